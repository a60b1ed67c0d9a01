// The World Health Organization's plans for children with diarrhoea, and the clock of a unit of blood.
//   plan B   75 mL/kg by mouth in 4 h; volumes by weight as the plan's table prints them: PMC10962728 (read)
//   plan C   30 mL/kg then 70 mL/kg: in 1 h and 5 h below 12 months, in 30 min and 2 h 30 min from 12 months on: table
//            of a BMJ Open paper after the WHO pocket book of 2013 (read)
//   blood    finished within 4 h of leaving controlled storage; usual 90 to 120 min: UK and NZ handbooks (read)
#include <gtest/gtest.h>

#include "dosing/transfusion.h"
#include "engine/engine.h"
#include "exchange/library.h"
#include "hydration/deficit.h"

namespace dwell {
namespace {

struct PlanC {
  double kilograms;
  int months;
  double first, first_minutes, then, then_minutes;
};
class PublishedPlanC : public testing::TestWithParam<PlanC> {};
TEST_P(PublishedPlanC, TwoSteps) {
  const auto& c = GetParam();
  const auto plan =
      hydration::diarrhoea_plan({c.kilograms * kilogram, c.months, hydration::DiarrhoeaPlan::severe_dehydration});
  ASSERT_TRUE(plan.has_value());
  ASSERT_EQ(plan->steps.size(), 2U);
  EXPECT_NEAR(in(plan->steps[0].volume, millilitre), c.first, 1e-6);
  EXPECT_NEAR(in(plan->steps[0].duration, minute), c.first_minutes, 1e-6);
  EXPECT_NEAR(in(plan->steps[1].volume, millilitre), c.then, 1e-6);
  EXPECT_NEAR(in(plan->steps[1].duration, minute), c.then_minutes, 1e-6);
  for (const auto& step : plan->steps) EXPECT_FALSE(step.by_mouth);
}
INSTANTIATE_TEST_SUITE_P(ByAge, PublishedPlanC,
                         testing::Values(PlanC{3, 1, 90, 60, 210, 300}, PlanC{8, 6, 240, 60, 560, 300},
                                         PlanC{9, 11, 270, 60, 630, 300}, PlanC{9, 12, 270, 30, 630, 150},
                                         PlanC{14, 36, 420, 30, 980, 150}, PlanC{30, 120, 900, 30, 2100, 150}));

struct PlanB {
  double kilograms, least, most;
};
class PublishedPlanB : public testing::TestWithParam<PlanB> {};
TEST_P(PublishedPlanB, InsideTheTable) {
  const auto& c = GetParam();
  const auto plan = hydration::diarrhoea_plan({c.kilograms * kilogram, 24, hydration::DiarrhoeaPlan::some_dehydration});
  ASSERT_TRUE(plan.has_value());
  ASSERT_EQ(plan->steps.size(), 1U);
  EXPECT_TRUE(plan->steps[0].by_mouth);
  EXPECT_NEAR(in(plan->steps[0].duration, hour), 4, 1e-9);
  EXPECT_GE(in(plan->steps[0].volume, millilitre), c.least);
  EXPECT_LE(in(plan->steps[0].volume, millilitre), c.most);
}
INSTANTIATE_TEST_SUITE_P(ByWeight, PublishedPlanB,
                         testing::Values(PlanB{3, 200, 400}, PlanB{5, 200, 400}, PlanB{6, 400, 700}, PlanB{9, 400, 700},
                                         PlanB{11, 700, 900}, PlanB{12, 900, 1400}, PlanB{18, 900, 1400}));

struct Clock {
  const char* source;
  int spiked_after;  ///< minutes out of storage
  int runs;          ///< minutes
  bool in_time;
};
class PublishedBloodClock : public testing::TestWithParam<Clock> {};
TEST_P(PublishedBloodClock, FourHoursFromStorage) {
  const auto& c = GetParam();
  dosing::TransfusionInput unit;
  unit.volume = 300.0 * millilitre;
  unit.over = static_cast<double>(c.runs) * minute;
  unit.left_storage = *parse_instant("2026-11-25T08:00:00Z");
  unit.start = *unit.left_storage + std::chrono::minutes{c.spiked_after};
  const auto plan = engine::call("dosing.transfusion", json::encode(unit), exchange::default_library());
  ASSERT_TRUE(plan.has_value());
  const auto& findings = plan->at("findings").as_array();
  const bool stops =
      std::any_of(findings.begin(), findings.end(), [](const json::Value& f) { return f.at("severity") == "stop"; });
  EXPECT_EQ(stops, !c.in_time) << c.source;
  EXPECT_EQ(plan->at("finish_by"), "2026-11-25T12:00:00.000Z");
}
INSTANTIATE_TEST_SUITE_P(FromStorage, PublishedBloodClock,
                         testing::Values(Clock{"usual, 90 min (read)", 10, 90, true},
                                         Clock{"usual, 120 min (read)", 20, 120, true},
                                         Clock{"to the minute (computed)", 30, 210, true},
                                         Clock{"a minute too long (computed)", 30, 211, false},
                                         Clock{"spiked at once, 4 h (computed)", 0, 240, true},
                                         Clock{"spiked at once, 4 h and a minute (computed)", 0, 241, false},
                                         Clock{"spiked late, usual time (computed)", 160, 90, false}));

}  // namespace
}  // namespace dwell
