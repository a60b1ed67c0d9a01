// The limits of a medicine's own entry on both sides, wherever they are asked: in an order, a push, a dose by rate. The
// medicine is invented, so that each limit stands alone.
#include <gtest/gtest.h>

#include "dosing/push.h"
#include "dosing/shown_in.h"
#include "dosing/test_order.h"

namespace dwell::dosing {
namespace {

using namespace test;

OrderCheck ordered(const infusate::Infusate& entry, Volume volume, Duration over, const char* born = Birth::adult,
                   double kilograms = 64, Volume in_saline = Volume()) {
  auto in = order_of(name, volume, Flow(), born, kilograms);
  if (in_saline > Volume()) in.order.mixture = {saline, in_saline, {{name, volume}}};
  in.order.flow.reset();
  in.order.duration = over;
  return checked(in, limits(), list_of(entry));
}

// 64 mL hold 64 mg; every division below is by a power of two.
constexpr Volume some = 64.0 * millilitre;
const Mass in_it = 1.0 * milligram / millilitre * some;

TEST(MedicineLimits, TheDoseInOneContainer) {
  auto entry = medicine();
  const auto at = [&](Mass highest, bool with_strength_limit) {
    entry.giving->highest_dose = highest;
    entry.giving->highest_concentration.reset();
    if (with_strength_limit) entry.giving->highest_concentration = 1.0 * gram / millilitre;
    return told(ordered(entry, some, 1.0 * hour), "giving_dose");
  };
  for (const bool with_strength_limit : {false, true}) {
    EXPECT_EQ(at(in_it, with_strength_limit), "");
    EXPECT_EQ(at(in_it * within, with_strength_limit), "stop");
  }
  entry.strength.reset();
  EXPECT_EQ(at(in_it * within, false), "");
}

TEST(MedicineLimits, TheStrengthInTheBag) {
  auto entry = medicine();
  const auto at = [&](double highest, std::optional<double> restricted) {
    entry.giving->highest_concentration = highest * milligram / millilitre;
    entry.giving->highest_concentration_restricted.reset();
    if (restricted) entry.giving->highest_concentration_restricted = *restricted * milligram / millilitre;
    return told(ordered(entry, some, 1.0 * hour, Birth::adult, 64, 192.0 * millilitre), "giving_concentration");
  };
  EXPECT_EQ(at(0.25, {}), "");  // 64 mg in 256 mL
  EXPECT_EQ(at(0.25 * within, {}), "stop");
  EXPECT_EQ(at(0.25 * within, 0.25), "caution");
  EXPECT_EQ(at(0.25 * within, 0.25 * within), "stop");
  entry.strength.reset();
  EXPECT_TRUE(lacks(ordered(entry, some, 1.0 * hour), OrderLook::strength, say::strength_of(name)));
  entry.giving->highest_concentration.reset();
  EXPECT_TRUE(lacks(ordered(entry, some, 1.0 * hour), OrderLook::strength, say::how_strong(name)));
}

/// 64 mg in 64 min at a limit a minute of 1 mg: exactly at it.
constexpr MassRate at_one = 1.0 * milligram / minute;
OrderCheck at_a_milligram_a_minute(const infusate::Infusate& entry, double faster, const char* born,
                                   std::optional<bool> failing = false, double kilograms = 64) {
  auto in = order_of(name, some, Flow(), born, kilograms);
  in.order.flow.reset();
  in.order.duration = 64.0 * minute / faster;
  in.patient.heart_or_kidney_failure = failing;
  return checked(in, limits(), list_of(entry));
}

message::Quantity in_milligrams_a_minute(double rate) { return milligrams_per_minute(at_one * rate); }

TEST(MedicineLimits, TheSpeed) {
  auto entry = medicine();
  entry.giving->highest_rate = at_one;
  entry.giving->note = "Slowly.";
  EXPECT_EQ(told(at_a_milligram_a_minute(entry, 1, Birth::adult), "giving_rate"), "");
  const auto faster = at_a_milligram_a_minute(entry, beyond, Birth::adult);
  EXPECT_EQ(told(faster, "giving_rate"), "stop");
  EXPECT_EQ(text_of(faster, "giving_rate"),
            say::sentences({say::part_faster(name, in_milligrams_a_minute(beyond), in_milligrams_a_minute(1)),
                            Wording("Slowly.")}));
  entry.strength.reset();
  EXPECT_TRUE(lacks(at_a_milligram_a_minute(entry, 1, Birth::adult), OrderLook::speed, say::strength_of(name)));
}

TEST(MedicineLimits, TheSpeedOfAFailingHeart) {
  auto entry = medicine();
  entry.giving->highest_rate = at_one * 4.0;
  entry.giving->highest_rate_frail = at_one;
  const auto at = [&](double faster, const char* born, std::optional<bool> failing) {
    return at_a_milligram_a_minute(entry, faster, born, failing);
  };
  EXPECT_EQ(told(at(1, Birth::adult, true), "giving_rate"), "");
  EXPECT_EQ(told(at(beyond, Birth::adult, true), "giving_rate"), "stop");
  EXPECT_EQ(told(at(beyond, Birth::older, false), "giving_rate"), "stop");
  EXPECT_EQ(told(at(beyond, Birth::adult, false), "giving_rate"), "");
  EXPECT_FALSE(lacks_anything(at(beyond, Birth::adult, false), OrderLook::speed));
  EXPECT_TRUE(lacks(at(beyond, Birth::adult, std::nullopt), OrderLook::speed, say::whether_heart_or_kidneys_fail()));
  EXPECT_FALSE(lacks_anything(at(1, Birth::adult, std::nullopt), OrderLook::speed));
  EXPECT_TRUE(lacks(at(beyond, Birth::unknown, std::nullopt), OrderLook::speed, say::the_birth_date()));
  EXPECT_EQ(told(at(4 * beyond, Birth::adult, false), "giving_rate"), "stop");
}

TEST(MedicineLimits, TheSpeedInAChild) {
  auto entry = medicine();
  entry.giving->highest_rate = at_one * 4.0;
  const auto at = [&](double faster, const char* born) { return at_a_milligram_a_minute(entry, faster, born); };
  EXPECT_TRUE(lacks(at(1, Birth::child), OrderLook::speed, say::how_fast_in_child(name)));
  EXPECT_TRUE(lacks(at(1, Birth::unknown), OrderLook::speed, say::how_fast_in_child(name)));
  EXPECT_FALSE(lacks_anything(at(1, Birth::adult), OrderLook::speed));
  entry.giving->highest_rate_child = at_one;
  EXPECT_FALSE(lacks_anything(at(1, Birth::child), OrderLook::speed));
  EXPECT_EQ(told(at(1, Birth::child), "giving_rate"), "");
  EXPECT_EQ(told(at(beyond, Birth::child), "giving_rate"), "stop");
  EXPECT_EQ(told(at(beyond, Birth::adult), "giving_rate"), "");
  EXPECT_EQ(told(at(beyond, Birth::unknown), "giving_rate"), "");
  EXPECT_TRUE(lacks(at(beyond, Birth::unknown), OrderLook::speed, say::the_birth_date()));
  entry.giving->highest_rate_child.reset();
  entry.giving->shortest = 1.0 * minute;
  EXPECT_FALSE(lacks_anything(at(1, Birth::child), OrderLook::speed));
}

TEST(MedicineLimits, TheSpeedByWeight) {
  auto entry = medicine();
  entry.giving->highest_rate_per_kilogram = at_one / (64.0 * kilogram);
  const auto at = [&](double faster, double kilograms) {
    return at_a_milligram_a_minute(entry, faster, Birth::adult, false, kilograms);
  };
  EXPECT_EQ(told(at(1, 64), "giving_rate"), "");
  EXPECT_EQ(told(at(beyond, 64), "giving_rate"), "stop");
  EXPECT_EQ(told(at(2, 128), "giving_rate"), "");
  EXPECT_TRUE(lacks(at(1, 0), OrderLook::speed, say::the_weight()));
  EXPECT_FALSE(lacks_anything(at_a_milligram_a_minute(entry, 1, Birth::child), OrderLook::speed));
  // The lower of two limits holds.
  entry.giving->highest_rate = at_one * 0.5;
  EXPECT_EQ(told(at(0.5 * beyond, 64), "giving_rate"), "stop");
  entry.giving->highest_rate = at_one * 2.0;
  EXPECT_EQ(told(at(beyond, 64), "giving_rate"), "stop");
  EXPECT_EQ(told(at(1, 64), "giving_rate"), "");
}

/// So much faster than a limit of one unit a minute.
Message faster_in_units(double times) {
  constexpr UnitRate limit = 1.0 * biological_unit / minute;
  return say::part_faster(name, shown(UnitRate(limit * times)), shown(limit));
}

TEST(MedicineLimits, TheSpeedInUnits) {
  auto entry = medicine();
  entry.strength.reset();
  entry.unit_strength = 1.0 * biological_unit / millilitre;
  entry.giving->highest_unit_rate = 1.0 * biological_unit / minute;
  EXPECT_EQ(told(ordered(entry, some, 64.0 * minute), "giving_rate"), "");
  const auto faster = ordered(entry, some, 64.0 * minute / beyond);
  EXPECT_EQ(told(faster, "giving_rate"), "stop");
  EXPECT_EQ(text_of(faster, "giving_rate"), faster_in_units(beyond));
  entry.giving->note = "Slowly.";
  EXPECT_EQ(text_of(ordered(entry, some, 60.0 * minute), "giving_rate"),
            say::sentences({faster_in_units(64.0 / 60), Wording("Slowly.")}));
  entry.unit_strength.reset();
  EXPECT_TRUE(lacks(ordered(entry, some, 64.0 * minute), OrderLook::speed, say::strength_of(name)));
}

TEST(MedicineLimits, TheShortestTime) {
  auto entry = medicine();
  entry.giving->shortest = 1.0 * hour;
  EXPECT_EQ(told(ordered(entry, some, 1.0 * hour), "giving_time"), "");
  EXPECT_EQ(told(ordered(entry, some, 1.0 * hour * within), "giving_time"), "stop");
  EXPECT_FALSE(lacks_anything(ordered(entry, some, 1.0 * hour), OrderLook::speed));
  entry.giving->shortest.reset();
  EXPECT_TRUE(lacks(ordered(entry, some, 1.0 * hour), OrderLook::speed, say::how_fast(name)));
  entry.giving.reset();
  EXPECT_TRUE(lacks(ordered(entry, some, 1.0 * hour), OrderLook::speed, say::how_fast(name)));
  EXPECT_TRUE(lacks(ordered(entry, some, 1.0 * hour), OrderLook::strength, say::how_strong(name)));
}

TEST(MedicineLimits, WhereThereIsNoMedicineNothingIsAsked) {
  const auto plain = checked(order_of(saline, some, 10.0 * millilitre / hour, Birth::adult, 64));
  EXPECT_EQ(state(plain, OrderLook::strength), verdict::LookState::does_not_apply);
  EXPECT_EQ(state(plain, OrderLook::speed), verdict::LookState::does_not_apply);
  const auto unknown = checked(order_of("something new", some, 10.0 * millilitre / hour, Birth::adult, 64));
  EXPECT_TRUE(lacks(unknown, OrderLook::strength, say::how_strong("something new")));
  EXPECT_TRUE(lacks(unknown, OrderLook::speed, say::how_fast("something new")));
  // A fluid with a limit of its own is asked as a medicine is.
  auto fluid = exchange::default_library().infusates.at(saline);
  fluid.giving.emplace();
  auto list = list_of(fluid);
  EXPECT_TRUE(lacks(checked(order_of(saline, some, 10.0 * millilitre / hour, Birth::adult, 64), limits(), list),
                    OrderLook::speed, say::how_fast(saline)));
}

// ---- a push ----

template <class Answer>
std::string told_by(const Answer& answer, std::string_view code) {
  for (const auto& finding : answer.findings)
    if (finding.code == code) return std::string(json::name_of(finding.severity));
  return "";
}
template <class Answer>
bool lacks_in(const Answer& answer, const Message& what) {
  return std::any_of(answer.looks.begin(), answer.looks.end(), [&](const verdict::LookReport& report) {
    return std::find(report.missing.begin(), report.missing.end(), what) != report.missing.end();
  });
}

PushPlan push_of(const infusate::Infusate& entry, double faster = 1, double kilograms = 64) {
  PushInput in{some, 64.0 * minute / 64.0 / faster, 16.0 * millilitre, in_it, std::nullopt, entry.name};
  if (kilograms > 0) in.weight = kilograms * kilogram;
  in.person = growth::Person{*parse_date("1960-01-01"), line::Sex::female, *parse_date("2026-11-25")};
  return *push_plan(in, list_of(entry));
}
std::string pushed(const infusate::Infusate& entry, std::string_view code, double faster = 1, double kilograms = 64) {
  return told_by(push_of(entry, faster, kilograms), code);
}

TEST(MedicineLimits, APushedMedicine) {
  auto entry = medicine();
  EXPECT_TRUE(lacks_in(push_of(entry), say::how_fast(name)));
  EXPECT_TRUE(lacks_in(push_of(entry), say::how_strong(name)));
  entry.giving->highest_rate = 64.0 * milligram / minute;
  EXPECT_FALSE(lacks_in(push_of(entry), say::how_fast(name)));
  EXPECT_EQ(pushed(entry, "too_fast"), "");
  EXPECT_EQ(pushed(entry, "too_fast", beyond), "stop");
  entry.giving->highest_rate_per_kilogram = 64.0 * milligram / minute / (64.0 * kilogram);
  EXPECT_EQ(pushed(entry, "too_fast", beyond), "stop");
  EXPECT_EQ(pushed(entry, "too_fast", 1, 32), "stop");
  EXPECT_TRUE(lacks_in(push_of(entry, 1, 0), say::the_weight()));
  entry.giving->highest_rate.reset();
  EXPECT_EQ(pushed(entry, "too_fast"), "");
  EXPECT_EQ(pushed(entry, "too_fast", beyond), "stop") << "known by weight alone";
  entry.giving = infusate::GivingLimit{};
  entry.giving->shortest = 1.0 * minute;
  EXPECT_EQ(pushed(entry, "too_short"), "");
  EXPECT_EQ(pushed(entry, "too_short", beyond), "stop");
  entry.giving = infusate::GivingLimit{};
  entry.giving->highest_concentration = 1.0 * milligram / millilitre;
  EXPECT_EQ(pushed(entry, "too_strong"), "");
  entry.giving->highest_concentration = 1.0 * milligram / millilitre * within;
  EXPECT_EQ(pushed(entry, "too_strong"), "stop");
  entry.giving->highest_unit_rate = 1.0 * biological_unit / minute;
  EXPECT_TRUE(lacks_in(push_of(entry), say::the_dose_in_units()));
}

TEST(MedicineLimits, WhatIsSaidOfAPush) {
  auto entry = medicine();
  for (const char* code : {"undiluted", "central_only", "never_pushed", "vesicant_push", "infusate_note"})
    EXPECT_EQ(pushed(entry, code), "") << code;
  EXPECT_FALSE(lacks_in(push_of(entry), say::harm_class_of(name)));
  EXPECT_EQ(pushed(entry, "flush_at_the_same_speed"), "information");
  entry.must_be_diluted = true;
  entry.central_only = true;
  entry.leak_family = infusate::LeakFamily::vasopressor;
  entry.harm = infusate::HarmClass::vesicant;
  entry.note = "A note.";
  EXPECT_EQ(pushed(entry, "undiluted"), "stop");
  EXPECT_EQ(pushed(entry, "central_only"), "stop");
  EXPECT_EQ(pushed(entry, "never_pushed"), "stop");
  EXPECT_EQ(pushed(entry, "vesicant_push"), "caution");
  EXPECT_EQ(pushed(entry, "infusate_note"), "information");
  entry.central_only = false;
  EXPECT_EQ(pushed(entry, "central_only"), "");
  entry.harm = infusate::HarmClass::unknown;
  EXPECT_TRUE(lacks_in(push_of(entry), say::harm_class_of(name)));
}

TEST(MedicineLimits, APushWithoutANameIsNotCheckedAtAll) {
  for (const auto& name : {std::optional<std::string>{}, std::optional<std::string>{""}}) {
    const auto plan =
        push_plan({some, 1.0 * minute, 16.0 * millilitre, in_it, std::nullopt, name}, list_of(medicine()));
    EXPECT_EQ(plan->verdict, Verdict::not_fully_checked);
    const auto& pushed = plan->looks.at(static_cast<std::size_t>(PushLook::pushed));
    EXPECT_EQ(pushed.missing, std::vector<Message>{say::which_medicine()});
  }
}

TEST(MedicineLimits, ThePushThatWasEntered) {
  // 1,000 mg in 20 min is 50 mg/min.
  const auto at = [](double over) {
    const auto plan =
        push_plan({20.0 * millilitre, over * minute, 1.0 * millilitre, 1000.0 * milligram, 50.0 * milligram / minute});
    return std::any_of(plan->findings.begin(), plan->findings.end(), [](const Finding& finding) {
      return finding.code == "push_too_fast" && finding.severity == Severity::stop;
    });
  };
  EXPECT_FALSE(at(20));
  EXPECT_TRUE(at(20 * within));
}

// ---- a dose by its rate ----

DoseResult dose_of(const infusate::Infusate& entry, double faster, bool by_units) {
  DoseInput in;
  in.dose = faster;
  in.dose_unit = by_units ? DoseUnit::units_per_min : DoseUnit::mg_per_min;
  if (by_units)
    in.bag.units = 64.0 * biological_unit;
  else
    in.bag.mass = in_it;
  in.bag.volume = some;
  in.medicine = entry.name;
  return *dose_rate(in, list_of(entry));
}
std::string dosed(const infusate::Infusate& entry, std::string_view code, double faster, bool by_units) {
  return told_by(dose_of(entry, faster, by_units), code);
}

TEST(MedicineLimits, ADoseByItsRate) {
  auto entry = medicine();
  entry.giving->highest_rate = at_one;
  entry.giving->highest_concentration = 1.0 * milligram / millilitre;
  EXPECT_EQ(dosed(entry, "too_fast", 1, false), "");
  EXPECT_EQ(dosed(entry, "too_fast", beyond, false), "stop");
  EXPECT_EQ(dosed(entry, "too_strong", 1, false), "");
  EXPECT_TRUE(lacks_in(dose_of(entry, 1, true), say::the_dose()));
  entry.giving->highest_concentration = 1.0 * milligram / millilitre * within;
  EXPECT_EQ(dosed(entry, "too_strong", 1, false), "stop");
  entry.giving->highest_rate.reset();
  entry.giving->highest_unit_rate = 1.0 * biological_unit / minute;
  EXPECT_EQ(dosed(entry, "too_fast", 1, true), "");
  EXPECT_EQ(dosed(entry, "too_fast", beyond, true), "stop");
  EXPECT_TRUE(lacks_in(dose_of(entry, 1, false), say::the_dose_in_units()));
  // A shortest time is held against the time that the bag lasts: 64 mg at 1 mg/min.
  entry.giving = infusate::GivingLimit{};
  entry.giving->shortest = 64.0 * minute;
  EXPECT_FALSE(lacks_in(dose_of(entry, within, false), say::how_fast(name))) << "it is known how fast";
}

}  // namespace
}  // namespace dwell::dosing
