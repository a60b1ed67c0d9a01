// The three ways of giving that are more than one rate: pushed, secondary, transfused.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "dosing/push.h"
#include "dosing/secondary.h"
#include "dosing/transfusion.h"
#include "exchange/library.h"

namespace dwell::dosing {
namespace {

const policy::OrderLimits& limits() { return exchange::default_library().policy.order; }
const Instant noon = *parse_instant("2026-11-25T12:00:00Z");

bool told(const std::vector<Finding>& findings, const std::string& code, Severity severity) {
  return std::any_of(findings.begin(), findings.end(),
                     [&](const Finding& f) { return f.code == code && f.severity == severity; });
}

TEST(Push, TwoMillilitresOverFiveMinutesByFifths) {
  const auto p = *push_plan({2.0 * millilitre, 5.0 * minute, 0.4 * millilitre, std::nullopt, std::nullopt});
  ASSERT_EQ(p.steps.size(), 5u);
  EXPECT_NEAR(p.steps[0].at.value(), 60, 1e-9);
  EXPECT_NEAR(in(p.steps[4].given, millilitre), 2, 1e-12);
  EXPECT_NEAR(p.between_steps.value(), 60, 1e-9);
}

TEST(Push, FasterThanTheFastestIsAStopWithTheLeastTime) {
  // 1,000 mg at most 50 mg/min needs 20 min.
  PushInput in_{20.0 * millilitre, 5.0 * minute, 1.0 * millilitre, 1000.0 * milligram, 50.0 * milligram / minute};
  const auto p = *push_plan(in_);
  EXPECT_TRUE(told(p.findings, "push_too_fast", Severity::stop));
  EXPECT_NEAR(in(*p.least_time, minute), 20, 1e-9);
  in_.over = 20.0 * minute;
  EXPECT_FALSE(told(push_plan(in_)->findings, "push_too_fast", Severity::stop));
}

TEST(Push, BadInputIsNamed) {
  const auto refused = push_plan({Volume(), Duration(), 9.0 * millilitre, std::nullopt, MassRate::from_value(1)});
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().size(), 4u);
}

RC_GTEST_PROP(PushProperty, StepsRiseAndEndAtTheWhole, ()) {
  const Volume volume = *rc::gen::inRange(1, 100) * 0.5 * millilitre;
  const Volume step = *rc::gen::inRange(1, 100) * 0.005 * volume;
  RC_PRE(step >= 0.05 * millilitre);
  const auto p = push_plan({volume, *rc::gen::inRange(5, 3600) * 1.0 * second, step, std::nullopt, std::nullopt});
  RC_PRE(p.has_value());
  for (std::size_t i = 1; i < p->steps.size(); ++i) {
    RC_ASSERT(p->steps[i].at > p->steps[i - 1].at);
    RC_ASSERT(p->steps[i].given > p->steps[i - 1].given);
  }
  RC_ASSERT(std::abs(double(p->steps.back().given / volume) - 1) < 1e-12);
}

TEST(Secondary, ThePrimaryResumesWhenTheSecondaryIsEmpty) {
  // 100 mL at 200 mL/h takes 30 min; then 500 mL at 125 mL/h takes 4 h.
  const auto p = *secondary_plan({500.0 * millilitre, 125.0 * millilitre / hour, 100.0 * millilitre,
                                  200.0 * millilitre / hour, SecondaryMode::primary_waits, true, noon});
  EXPECT_EQ(*p.primary_resumes, noon + std::chrono::minutes{30});
  EXPECT_EQ(*p.primary_ends, noon + std::chrono::minutes{270});
  EXPECT_NEAR(in(p.all_done_after, hour), 4.5, 1e-9);
  EXPECT_TRUE(told(p.findings, "hang_higher", Severity::caution));
}

TEST(Secondary, TogetherTheLongerDecidesAndTheFlowsAdd) {
  const auto p = *secondary_plan({500.0 * millilitre, 125.0 * millilitre / hour, 100.0 * millilitre,
                                  200.0 * millilitre / hour, SecondaryMode::together, false, noon});
  EXPECT_NEAR(in(p.all_done_after, hour), 4, 1e-9);
  EXPECT_NEAR(in(p.fastest_together, millilitre / hour), 325, 1e-9);
  EXPECT_FALSE(p.primary_resumes);
  EXPECT_FALSE(secondary_plan({}));
}

TransfusionInput unit_of(double mL, double hours) {
  TransfusionInput in;
  in.volume = mL * millilitre;
  in.over = hours * hour;
  return in;
}

TEST(Transfusion, LateInTheFourHoursIsAStop) {
  auto in = unit_of(350, 3);
  in.start = noon;
  in.left_storage = noon - std::chrono::minutes{90};
  const auto p = *transfusion_plan(in, limits());
  EXPECT_EQ(*p.finish_by, noon + std::chrono::minutes{150});
  EXPECT_TRUE(told(p.findings, "blood_hang", Severity::stop));
  EXPECT_EQ(p.observations.size(), 3u);
  EXPECT_EQ(*p.observations[1].at, noon + std::chrono::minutes{15});
}

TEST(Transfusion, WithoutTheTimeOfLeavingStorageItAsks) {
  EXPECT_TRUE(told(transfusion_plan(unit_of(350, 3), limits())->findings, "blood_hang", Severity::caution));
  EXPECT_TRUE(told(transfusion_plan(unit_of(350, 5), limits())->findings, "blood_hang", Severity::stop));
}

TEST(Transfusion, BadInputIsNamed) {
  auto in = unit_of(5, 0.1);
  in.first_flow = 6.0 * litre / hour;
  in.weight = 700.0 * kilogram;
  const auto refused = transfusion_plan(in, limits());
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().size(), 3u);  // volume, first period longer than the whole, weight
}

RC_GTEST_PROP(TransfusionProperty, TheTwoPartsAreTheWhole, ()) {
  const auto p = transfusion_plan(unit_of(*rc::gen::inRange(50, 600), *rc::gen::inRange(1, 4)), limits());
  RC_PRE(p.has_value());
  RC_ASSERT(p->then_flow > Flow());
  RC_ASSERT(p->then_for > Duration());
}

}  // namespace
}  // namespace dwell::dosing
