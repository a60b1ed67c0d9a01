#include "statistics/segments.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "say/statistics.h"

namespace dwell::statistics {
namespace {

SegmentsInput a_fall() {
  SegmentsInput in;
  in.value = {9, 10, 9.5, 10.5, 9, 10, 9.6, 10.2, 6, 5.5, 5.8, 5, 5.2, 4.8, 4.9, 4.3};
  in.change = 8;
  return in;
}

SegmentsInput counted() {
  SegmentsInput in;
  in.kind = SeriesKind::counts;
  in.events = {9, 11, 8, 12, 3, 4, 2, 5};
  in.of = {100, 120, 90, 110, 100, 105, 95, 100};
  in.change = 4;
  return in;
}

std::string path(const SegmentsInput& in) { return segments(in).error().front().path; }

TEST(Segments, AFallIsLowerThanItWouldHaveBeen) {
  const auto fit = *segments(a_fall());
  EXPECT_LT(fit.step.high, 0);
  EXPECT_LT(fit.effect_high, 0);
  EXPECT_EQ(fit.answer, say::series_lower());
  EXPECT_FALSE(fit.points[7].without_change);
  EXPECT_NEAR(fit.points[15].foretold - *fit.points[15].without_change, fit.effect, 1e-9);
  EXPECT_TRUE(fit.findings.empty());
}

TEST(Segments, CountsAreMultiples) {
  const auto fit = *segments(counted());
  EXPECT_NEAR(fit.points[7].foretold / *fit.points[7].without_change, fit.effect, 1e-9);
  EXPECT_NEAR(fit.points[4].foretold / *fit.points[4].without_change, std::exp(fit.step.coefficient), 1e-9);
  EXPECT_GE(fit.dispersion, 1);
  ASSERT_EQ(fit.findings.size(), 1u);
  EXPECT_EQ(fit.findings[0].code, "few_points");
}

/// Another unit of the figures, or twice as many watched, changes nothing but the unit.
RC_GTEST_PROP(SegmentsProperty, UnitsDoNotMatter, ()) {
  SegmentsInput in;
  const int points = *rc::gen::inRange(6, 40);
  in.change = *rc::gen::inRange(3, points - 2);
  for (int i = 0; i < points; ++i) in.value.push_back(*rc::gen::inRange(0, 100));
  const auto before = segments(in);
  for (double& value : in.value) value *= 1000;
  const auto after = segments(in);
  RC_ASSERT(before.has_value() == after.has_value());
  if (!before) return;
  RC_ASSERT(std::abs(before->trend_change.coefficient * 1000 - after->trend_change.coefficient) < 1e-6);
  RC_ASSERT(std::abs(before->step.p_value - after->step.p_value) < 1e-6);
}

RC_GTEST_PROP(SegmentsProperty, CountsAnswerWithNumbersOrNameTheEvents, ()) {
  SegmentsInput in;
  in.kind = SeriesKind::counts;
  const int points = *rc::gen::inRange(6, 30);
  in.change = *rc::gen::inRange(3, points - 2);
  for (int i = 0; i < points; ++i) {
    in.events.push_back(*rc::gen::inRange(-3, 5));
    in.events.back() = std::max(0, in.events.back());
    in.of.push_back(*rc::gen::inRange(1, 60));
  }
  if (*rc::gen::arbitrary<bool>()) in.lags = 1;
  const auto fit = segments(in);
  if (!fit) {
    RC_ASSERT(fit.error().front().path == "/events");
    return;
  }
  for (const auto* one : {&fit->start, &fit->trend, &fit->step, &fit->trend_change})
    RC_ASSERT((std::isfinite(one->coefficient) && one->standard_error >= 0 && one->p_value >= 0));
  RC_ASSERT((fit->effect_low <= fit->effect && fit->effect <= fit->effect_high));
}

TEST(Segments, NameWhatTheyCannotCount) {
  auto in = a_fall();
  in.value[3] = std::nan("");
  EXPECT_EQ(path(in), "/value/3");
  in = a_fall();
  in.change = 2;
  EXPECT_EQ(path(in), "/change");
  in.change = 14;
  EXPECT_EQ(path(in), "/change");
  in = a_fall();
  in.lags = 6;
  EXPECT_EQ(path(in), "/lags");
  in = a_fall();
  in.value.assign(16, 5);
  EXPECT_EQ(segments(in).error().front().expected, say::scatter_about_the_model());
  in.value.assign(5, 5);
  EXPECT_EQ(path(in), "/value");
  in.value.assign(most_series_points + 1, 5);
  EXPECT_EQ(path(in), "/value");
  in = counted();
  in.events[2] = -1;
  EXPECT_EQ(path(in), "/events/2");
  in = counted();
  in.of[2] = 0;
  EXPECT_EQ(path(in), "/of/2");
  in = counted();
  in.of.pop_back();
  EXPECT_EQ(path(in), "/of");
  in = counted();
  in.events = {0, 0, 0, 0, 3, 4, 2, 5};
  EXPECT_EQ(segments(in).error().front().expected, say::events_at_several_points());
  in.events.assign(8, 0);
  EXPECT_EQ(segments(in).error().front().expected, say::events_at_several_points());
}

TEST(Segments, PointsThatGoTogetherAreSaid) {
  SegmentsInput in;
  for (int i = 0; i < 60; ++i) in.value.push_back(10 + 3 * std::sin(i / 4.0));
  in.change = 30;
  EXPECT_EQ(segments(in)->findings.front().code, "points_go_together");
  in.lags = 4;
  EXPECT_TRUE(segments(in)->findings.empty());
}

}  // namespace
}  // namespace dwell::statistics
