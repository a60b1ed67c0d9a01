// Taking a line out, and what is in the pack: a thinner blood, a shorter catheter, a later day or less knowledge is
// never milder. Asked as every host asks, through the engine.
#include "engine/engine.h"
#include "exchange/library.h"
#include "generated.h"
#include "procedure/steps.h"

namespace dwell::procedure {
namespace {

using infusate::HarmClass;
using monotone::Chance;
using monotone::each_case;
using monotone::gravest;

const policy::Policy& ward() { return exchange::default_library().policy; }

RemovingInput any_removing(Chance& chance) {
  RemovingInput in;
  in.running =
      chance.one_of(std::vector{HarmClass::harmless, HarmClass::irritant, HarmClass::vesicant, HarmClass::unknown});
  in.leak_suspected = chance.coin();
  if (chance.coin()) in.length_placed = chance.between(10, 80) * millimetre;
  if (chance.coin()) in.patient.fragile_skin = chance.coin();
  return in;
}

Interval pressed(RemovingInput in, std::optional<bool> anticoagulant) {
  in.patient.anticoagulant = anticoagulant;
  for (const auto& step : removing_steps(in, ward()))
    if (step.clock && step.clock->rule == ClockRule::at_least) return step.clock->limit;
  return Interval{-1};
}

std::size_t cautions(const RemovingInput& in) {
  std::size_t count = 0;
  for (const auto& step : removing_steps(in, ward())) count += step.cautions.size() + 2 * step.stops.size();
  return count;
}

TEST(MonotoneRemoving, AnAnticoagulantOrNotKnowingOfOneIsNeverPressedShorter) {
  each_case([](Chance& chance) {
    const auto in = any_removing(chance);
    EXPECT_GT(pressed(in, false), Interval{0});
    EXPECT_GE(pressed(in, true), pressed(in, false));
    EXPECT_GE(pressed(in, std::nullopt), pressed(in, true));
  });
}

TEST(MonotoneRemoving, ALeakOrADrugThatHarmsIsNeverWarnedOfLess) {
  each_case([](Chance& chance) {
    auto in = any_removing(chance);
    in.leak_suspected = false;
    const auto sound = cautions(in);
    in.leak_suspected = true;
    EXPECT_GE(cautions(in), sound);
    in.running = HarmClass::harmless;
    const auto harmless = cautions(in);
    for (const auto harm : {HarmClass::vesicant, HarmClass::unknown}) {
      in.running = harm;
      EXPECT_GT(cautions(in), harmless);
    }
  });
}

TEST(MonotoneCatheter, TheShorterItIsFoundTheMoreIsMissing) {
  each_case([](Chance& chance) {
    const Length placed = chance.between(10, 80) * millimetre, found = chance.between(0, 1.1) * placed;
    const Length shorter = chance.between(0, 1) * found;
    const std::optional<bool> tip = chance.coin() ? std::optional(chance.coin()) : std::nullopt;
    const auto before = check_catheter(placed, found, tip, ward()),
               after = check_catheter(placed, shorter, tip, ward());
    ASSERT_TRUE(before && after);
    EXPECT_GE(after->alarm, before->alarm);
    EXPECT_GE(after->missing.value_or(Length()), before->missing.value_or(Length()));
    if (before->alarm) {
      EXPECT_GE(gravest(after->findings), gravest(before->findings));
    }
  });
}

TEST(MonotoneCatheter, WhatWasNotLookedAtIsNeverWhole) {
  each_case([](Chance& chance) {
    std::optional<Length> placed = chance.between(10, 80) * millimetre, found = *placed;
    std::optional<bool> tip = true;
    const int left_out = chance.whole(0, 2);
    if (left_out == 0) placed.reset();
    if (left_out == 1) found.reset();
    if (left_out == 2) tip.reset();
    EXPECT_GE(gravest(check_catheter(placed, found, tip, ward())->findings), static_cast<int>(Severity::caution));
  });
}

TEST(MonotoneCatheter, ATornTipIsAnAlarmWhateverTheLength) {
  each_case([](Chance& chance) {
    const auto some = [&]() -> std::optional<Length> {
      return chance.coin() ? std::optional(chance.between(0, 100) * millimetre) : std::nullopt;
    };
    const auto check = check_catheter(some(), some(), false, ward());
    EXPECT_TRUE(check->alarm);
    EXPECT_TRUE(check->card.has_value());
  });
}

// ---- supply

using std::chrono::days;

constexpr Date in_days(int from_2026) {
  return Date{std::chrono::sys_days{std::chrono::year{2026} / 1 / 1} + days{from_2026}};
}

struct Pack {
  std::optional<Date> scanned, typed;
};

std::string scan_of(Date expiry) {
  const std::string text = iso(expiry);  // 2027-02-28
  return "(01)09506000134352(17)" + text.substr(2, 2) + text.substr(5, 2) + text.substr(8, 2);
}

bool usable(const Pack& pack, Date today) {
  json::Object input{{"what", "flush"}, {"today", iso(today)}, {"code", pack.scanned ? scan_of(*pack.scanned) : ""}};
  if (pack.typed) input["expiry"] = iso(*pack.typed);
  const auto answer = engine::call("supply.check", input, exchange::default_library());
  EXPECT_TRUE(answer.has_value());
  return answer && answer->at("usable").as_bool();
}

Pack any_pack(Chance& chance) {
  Pack pack;
  if (chance.coin()) pack.scanned = in_days(chance.whole(0, 1000));
  if (!pack.scanned || chance.coin()) pack.typed = in_days(chance.whole(0, 1000));
  return pack;
}

TEST(MonotoneSupply, WhatHasExpiredIsNeverInDateAgain) {
  each_case([](Chance& chance) {
    const Pack pack = any_pack(chance);
    const int day = chance.whole(0, 1000);
    if (!usable(pack, in_days(day))) {
      EXPECT_FALSE(usable(pack, in_days(day + chance.whole(1, 1000))));
    }
  });
}

TEST(MonotoneSupply, AnEarlierExpiryIsNeverBetter) {
  each_case([](Chance& chance) {
    Pack pack = any_pack(chance);
    const Date today = in_days(chance.whole(0, 1000));
    const bool before = usable(pack, today);
    auto& one = pack.typed ? pack.typed : pack.scanned;
    one = Date{std::chrono::sys_days(*one) - days{chance.whole(0, 700)}};
    if (!before) {
      EXPECT_FALSE(usable(pack, today));
    }
  });
}

TEST(MonotoneSupply, OfTwoDatesTheEarlierHolds) {
  each_case([](Chance& chance) {
    const Pack both{in_days(chance.whole(0, 1000)), in_days(chance.whole(0, 1000))};
    const Date today = in_days(chance.whole(0, 1000));
    EXPECT_LE(usable(both, today), usable({both.scanned, {}}, today));
    EXPECT_LE(usable(both, today), std::chrono::sys_days(*both.typed) >= std::chrono::sys_days(today));
  });
}

TEST(MonotoneSupply, WithoutADateNothingIsInDate) {
  each_case([](Chance& chance) { EXPECT_FALSE(usable({}, in_days(chance.whole(0, 10000)))); });
}

}  // namespace
}  // namespace dwell::procedure
