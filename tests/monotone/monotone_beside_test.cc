// Several fluids into one vein: what is added to them, or not known of them, never makes the answer milder.
#include "tests/monotone/cases.h"

namespace dwell::monotone {
namespace {

using dosing::Companion;
using dosing::OrderCheck;
using dosing::OrderCheckInput;
using verdict::Verdict;

Checked<OrderCheck> checked(const OrderCheckInput& in) {
  return dosing::check_order(in, library().infusates, library().policy);
}

Companion companion(Random& random) {
  Companion one{mixture(random), random.spread(1, 400) * millilitre / hour, std::nullopt, random.one_in(5)};
  if (random.one_in(3)) one.every = random.spread(30, 1440) * minute;
  return one;
}

OrderCheckInput order_with(Random& random, int companions) {
  auto in = order(random);
  for (int i = 0; i < companions; ++i) in.beside.push_back(companion(random));
  return in;
}

using Change = std::function<bool(OrderCheckInput&, Random&)>;

/// `known`: more danger, which no look may tell milder; else less knowledge, which lifts nothing above not fully
/// checked.
void never_milder(const char* name, int companions, bool known, const Change& change) {
  each_case(name, [&](Random& random) {
    auto in = order_with(random, companions);
    const auto before = checked(in);
    if (!before || !change(in, random)) return false;
    const auto after = checked(in);
    if (!after) return false;
    if (known) {
      expect_no_milder(before->looks, after->looks, written(in));
      EXPECT_GE(rank(after->verdict), rank(before->verdict)) << written(in);
    } else {
      expect_not_reassured(before->looks, after->looks, written(in));
      expect_not_reassured(before->verdict, after->verdict, written(in));
    }
    return true;
  });
}

TEST(Beside, OneMore) {
  // A weaker one thins the potassium of all; by the hour nothing gets less, and the order keeps its own look.
  each_case("beside: one more", [&](Random& random) {
    auto in = order_with(random, 0);
    const auto before = checked(in);
    in.beside.push_back(companion(random));
    const auto after = checked(in);
    if (!before || !after) return false;
    EXPECT_GE(rank(after->verdict), rank(before->verdict)) << written(in);
    return true;
  });
}
TEST(Beside, OneRunsFaster) {
  each_case("beside: faster", [&](Random& random) {
    auto in = order_with(random, 1);
    const auto before = checked(in);
    *in.beside.front().flow *= random.spread(1.01, 20);
    const auto after = checked(in);
    if (!before || !after) return false;
    auto was = ranks(before->looks), is = ranks(after->looks);
    for (const char* look : {"flow_together", "day_together", "glucose_together", "meeting"})
      EXPECT_GE(is[look], was[look]) << look << " " << written(in);
    return true;
  });
}
TEST(Beside, DosesComeOftener) {
  never_milder("beside: oftener", 1, true, [](OrderCheckInput& in, Random& random) {
    if (!in.beside.front().every) return false;
    *in.beside.front().every *= 1 / random.spread(1.01, 10);
    return true;
  });
}
TEST(Beside, ALighterPerson) {
  each_case("beside: lighter", [&](Random& random) {
    auto in = order_with(random, 1);
    const auto before = checked(in);
    *in.patient.weight *= 1 / random.spread(1.01, 20);
    const auto after = checked(in);
    if (!before || !after) return false;
    auto was = ranks(before->looks), is = ranks(after->looks);
    for (const char* look : {"flow_together", "day_together", "potassium_together", "glucose_together"})
      EXPECT_GE(is[look], was[look]) << look << " " << written(in);
    return true;
  });
}
TEST(Beside, ItsRateUnknown) {
  never_milder("beside: no rate", 1, false, [](OrderCheckInput& in, Random&) {
    in.beside.front().flow.reset();
    return true;
  });
}
TEST(Beside, ItsNameUnknown) {
  never_milder("beside: no name", 1, false, [](OrderCheckInput& in, Random&) {
    in.beside.front().mixture.base = "something new";
    return true;
  });
}
TEST(Beside, NobodyIsTheFirst) {
  each_case("beside: another order", [&](Random& random) {
    auto in = order_with(random, 3);
    const auto before = checked(in);
    std::swap(in.beside.front(), in.beside.back());
    const auto after = checked(in);
    if (!before || !after) return false;
    EXPECT_EQ(before->verdict, after->verdict) << written(in);
    EXPECT_EQ(ranks(before->looks), ranks(after->looks)) << written(in);
    return true;
  });
}

}  // namespace
}  // namespace dwell::monotone
