// The edges of planning a change. Published sizes: tests/published/charts_test.cc.
#include "statistics/change_plan.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

namespace dwell::statistics {
namespace {

TEST(ChangePlan, EveryWrongInputIsNamed) {
  const auto refused = plan_change({PlanKind::share, 0.3, 0.3, 0, 1, 60, {}});
  ASSERT_FALSE(refused);
  ASSERT_EQ(refused.error().size(), 4u);
  EXPECT_EQ(refused.error()[0].path, "/hoped");
  EXPECT_EQ(refused.error()[1].path, "/wrong");
  EXPECT_EQ(refused.error()[2].path, "/power");
  EXPECT_EQ(refused.error()[3].path, "/of_a_ward");
  EXPECT_EQ(plan_change({PlanKind::hazard, 0.5, 0.7, 0.05, 0.8, {}, {}}).error().front().path, "/now");
  EXPECT_EQ(plan_change({PlanKind::hazard, 1, 0.7, 0.05, 0.8, 60, 0.2}).error().front().path, "/of_a_ward");
}

RC_GTEST_PROP(ChangePlanProperty, ASmallerDifferenceOrMoreCertaintyAsksForMore, ()) {
  const auto kind = *rc::gen::element(PlanKind::share, PlanKind::rate);
  const double now = *rc::gen::element(0.2, 0.4, 0.8), part = *rc::gen::element(0.3, 0.5, 0.8);
  const auto each = [&](double share, double wrong, double power) {
    return plan_change({kind, now, now * share, wrong, power, 50, 0.2})->exactly;
  };
  RC_ASSERT(each((1 + part) / 2, 0.05, 0.8) > each(part, 0.05, 0.8));
  RC_ASSERT(each(part, 0.01, 0.8) > each(part, 0.05, 0.8));
  RC_ASSERT(each(part, 0.05, 0.9) > each(part, 0.05, 0.8));
}

TEST(ChangePlan, TheExactTestHasAboutThePowerAskedFor) {
  for (const double hoped : {0.02, 0.03, 0.06}) {
    const auto plan = *plan_change({PlanKind::rate, 0.04, hoped, 0.05, 0.8, {}, {}});
    EXPECT_NEAR(*plan.power_of_exact_test, 0.8, 0.04);
  }
}

}  // namespace
}  // namespace dwell::statistics
