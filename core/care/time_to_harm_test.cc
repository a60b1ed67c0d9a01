#include "care/time_to_harm.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "care/test_ward.h"
#include "line/test_policy.h"
#include "quantity/display.h"

namespace dwell::care {
namespace {

using access::Region;
using infusate::HarmClass;
using line::AgeBand;
using policy::LeakOf;
using std::chrono::hours;
using std::chrono::minutes;
using std::chrono::seconds;

site::Exposure exposure(HarmClass harm, Flow flow, std::optional<Region> region, std::optional<AgeBand> age) {
  site::Exposure out;
  out.harm = harm;
  out.flow = flow;
  out.region = region;
  out.age = age;
  return out;
}
Flow rate(double millilitres_per_hour) { return millilitres_per_hour * millilitre / hour; }
LeakAllowances rows_of(std::initializer_list<std::pair<LeakOf, double>> rows) {
  LeakAllowances all;
  for (const auto& [of, millilitres] : rows) all[of] = test::figure<Volume>(millilitres * millilitre);
  return all;
}
double millilitres(Volume volume) { return in(volume, millilitre); }

// A hand sum: 100 mL/h for 15 min is 25 mL; 5 mL at 100 mL/h run in 3 min.
TEST(TimeToHarm, IsAHandSum) {
  const auto ahead = time_to_harm(exposure(HarmClass::vesicant, rate(100), Region::forearm_middle, AgeBand::adult),
                                  test::figure<Interval>(minutes{15}), rows_of({{LeakOf::vesicant, 5}}));
  ASSERT_TRUE(ahead);
  EXPECT_NEAR(millilitres(ahead->by_next_look), 25, 1e-9);
  EXPECT_NEAR(static_cast<double>(Interval(minutes{3}).count()), static_cast<double>(ahead->look_within.count()), 1);
  EXPECT_EQ(ahead->findings.at(0).severity, Severity::caution);
  EXPECT_EQ(ahead->workings.size(), 2u);
}

TEST(TimeToHarm, IsNeverLaterThanPolicy) {
  const auto slow = time_to_harm(exposure(HarmClass::vesicant, rate(4), Region::forearm_middle, AgeBand::adult),
                                 test::figure<Interval>(minutes{15}), rows_of({{LeakOf::vesicant, 5}}));
  EXPECT_EQ(slow->look_within, Interval(minutes{15}));
  EXPECT_EQ(slow->findings.at(0).severity, Severity::information);
}

TEST(TimeToHarm, SaysNothingOfALineInWhichNothingRuns) {
  auto none = exposure(HarmClass::vesicant, Flow(), Region::hand_back, AgeBand::adult);
  EXPECT_FALSE(time_to_harm(none, test::figure<Interval>(minutes{15}), {}));
  none.flow.reset();
  EXPECT_FALSE(time_to_harm(none, test::figure<Interval>(minutes{15}), {}));
}

TEST(LeakAllowance, TheLeastOfAllThatApply) {
  const auto rows = rows_of({{LeakOf::harmless, 50},
                             {LeakOf::irritant, 20},
                             {LeakOf::irritant_child, 10},
                             {LeakOf::vesicant, 5},
                             {LeakOf::vesicant_little_tissue, 2}});
  const auto of = [&](HarmClass harm, std::optional<Region> region, std::optional<AgeBand> age) {
    return millilitres(leak_allowance(exposure(harm, rate(1), region, age), rows)->value);
  };
  EXPECT_DOUBLE_EQ(of(HarmClass::harmless, Region::forearm_middle, AgeBand::adult), 50);
  EXPECT_DOUBLE_EQ(of(HarmClass::irritant, Region::forearm_middle, AgeBand::adult), 20);
  EXPECT_DOUBLE_EQ(of(HarmClass::vesicant, Region::forearm_middle, AgeBand::adult), 5);
  EXPECT_DOUBLE_EQ(of(HarmClass::unknown, Region::forearm_middle, AgeBand::adult), 5) << "as a vesicant";
  for (const auto little : {Region::hand_back, Region::wrist_back, Region::antecubital, Region::foot, Region::scalp})
    EXPECT_DOUBLE_EQ(of(HarmClass::vesicant, little, AgeBand::adult), 2);
  EXPECT_DOUBLE_EQ(of(HarmClass::vesicant, std::nullopt, AgeBand::adult), 2) << "where it lies is not known";
  EXPECT_DOUBLE_EQ(of(HarmClass::irritant, Region::forearm_middle, AgeBand::infant), 10);
  EXPECT_DOUBLE_EQ(of(HarmClass::irritant, Region::forearm_middle, AgeBand::unknown), 10);
  EXPECT_FALSE(leak_allowance(exposure(HarmClass::harmless, rate(1), {}, {}), rows_of({{LeakOf::vesicant, 5}})));
}

/// Any allowances of a ward, also such as leave a class, a place or an age out.
LeakAllowances any_rows() {
  LeakAllowances rows;
  for (int i = *rc::gen::inRange(0, 6); i > 0; --i)
    rows[*rc::gen::element(LeakOf::harmless, LeakOf::irritant, LeakOf::irritant_child, LeakOf::vesicant,
                           LeakOf::vesicant_little_tissue, LeakOf::vesicant_child)] =
        test::figure<Volume>(*rc::gen::inRange(1, 500) / 10.0 * millilitre);
  return rows;
}

RC_GTEST_PROP(TimeToHarm, MoreHazardAndLessKnowledgeAreNeverLookedAtLater, ()) {
  const auto rows = any_rows();
  const auto every = test::figure<Interval>(minutes{*rc::gen::inRange(5, 480)});
  const Flow slower = rate(*rc::gen::inRange(1, 500)), faster = slower + rate(*rc::gen::inRange(0, 500));
  const auto within = [&](HarmClass harm, Flow flow, std::optional<Region> region, std::optional<AgeBand> age) {
    return time_to_harm(exposure(harm, flow, region, age), every, rows)->look_within;
  };
  const auto mild = within(HarmClass::harmless, slower, Region::forearm_middle, AgeBand::adult);
  RC_ASSERT(mild <= every.value);
  RC_ASSERT(within(HarmClass::harmless, faster, Region::forearm_middle, AgeBand::adult) <= mild);
  RC_ASSERT(within(HarmClass::harmless, slower, Region::hand_back, AgeBand::adult) <= mild);
  RC_ASSERT(within(HarmClass::harmless, slower, std::nullopt, AgeBand::adult) <= mild);
  RC_ASSERT(within(HarmClass::harmless, slower, Region::forearm_middle, AgeBand::neonate) <= mild);
  RC_ASSERT(within(HarmClass::harmless, slower, Region::forearm_middle, std::nullopt) <= mild);
  const auto irritant = within(HarmClass::irritant, slower, Region::forearm_middle, AgeBand::adult);
  const auto vesicant = within(HarmClass::vesicant, slower, Region::forearm_middle, AgeBand::adult);
  RC_ASSERT(irritant <= mild);
  RC_ASSERT(vesicant <= irritant);
  RC_ASSERT(within(HarmClass::unknown, slower, Region::forearm_middle, AgeBand::adult) == vesicant);
}

TEST(TimeToHarm, OfALineFollowsItsOwnClock) {
  auto h = test::dwelling().at(minutes{1}, test::infusion(100, test::vasopressor));
  const auto& ward = test::standard_ward();
  const auto ahead = time_to_harm(test::folded(h), ward.policy, ward.infusates, test::after(minutes{2}));
  ASSERT_TRUE(ahead);
  EXPECT_EQ(ahead->every, Interval(minutes{15}));
  EXPECT_LT(ahead->look_within, ahead->every);
  h.at(minutes{3}, line::InfusionEnded{});
  EXPECT_FALSE(time_to_harm(test::folded(h), ward.policy, ward.infusates, test::after(minutes{4})));
}

}  // namespace
}  // namespace dwell::care
