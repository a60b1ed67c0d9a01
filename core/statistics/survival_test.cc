// The conventions, on cases small enough for pencil and paper. Published tables: tests/published/survival_test.cc.
#include "statistics/survival.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>

namespace dwell::statistics {
namespace {

SurvivalCurve curve(const std::vector<Observation>& lines, LimitKind kind = LimitKind::log_log) {
  return *kaplan_meier(lines, 0.95, kind);
}

TEST(KaplanMeier, ALineCensoredAtTheTimeOfAFailureWasStillAtRisk) {
  const auto points = curve({{5, false}, {5, true}, {9, true}, {9, false}}).points;
  ASSERT_EQ(points.size(), 2u);
  EXPECT_EQ(points[0].at_risk, 4);
  EXPECT_DOUBLE_EQ(points[0].survival, 0.75);
  EXPECT_EQ(points[1].at_risk, 2);
  EXPECT_DOUBLE_EQ(points[1].survival, 0.375);
}

TEST(KaplanMeier, BeforeTheFirstFailureEveryLimitIsOne) {
  for (const auto kind : {LimitKind::log, LimitKind::log_log, LimitKind::plain}) {
    const auto first = curve({{3, false}, {7, true}, {8, false}}, kind).points.front();
    EXPECT_DOUBLE_EQ(first.survival, 1);
    EXPECT_DOUBLE_EQ(*first.low, 1);
    EXPECT_DOUBLE_EQ(*first.high, 1);
  }
}

TEST(KaplanMeier, WhenTheLastLineFailsThereAreNoLimits) {
  for (const auto kind : {LimitKind::log, LimitKind::log_log, LimitKind::plain}) {
    const auto last = curve({{3, true}, {7, true}}, kind).points.back();
    EXPECT_EQ(last.survival, 0);
    EXPECT_FALSE(last.low);
    EXPECT_FALSE(last.high);
    EXPECT_EQ(last.standard_error, 0);
  }
}

TEST(KaplanMeier, TheMedianIsTheMiddleOfAFlatHalf) {
  EXPECT_EQ(curve({{1, true}, {2, true}, {3, true}, {4, true}}).median, 2.5);
  // Nothing ends the stretch: it runs to the last time.
  EXPECT_EQ(curve({{1, true}, {2, true}, {3, false}, {4, false}}).median, 3);
  EXPECT_FALSE(curve({{1, true}, {2, false}, {3, false}, {4, false}}).median);
}

TEST(KaplanMeier, AHalfIsRecognisedThroughRounding) {
  // 9/10 · 8/9 · … · 5/6 is a half on paper, and not quite in floating point.
  std::vector<Observation> lines;
  for (int t = 1; t <= 10; ++t) lines.push_back({t * 10, true});
  EXPECT_EQ(curve(lines).median, 55);
}

TEST(KaplanMeier, OneLineIsACurve) {
  const auto failed = curve({{60, true}});
  EXPECT_EQ(failed.median, 60);
  EXPECT_DOUBLE_EQ(failed.restricted_mean, 60);
  EXPECT_EQ(failed.restricted_mean_error, 0);
  EXPECT_FALSE(curve({{60, false}}).median);
}

TEST(KaplanMeier, EveryWrongTimeIsNamed) {
  const auto refused = kaplan_meier({{5, true}, {0, true}, {-1, false}}, 1.0, LimitKind::log);
  ASSERT_FALSE(refused);
  ASSERT_EQ(refused.error().size(), 3u);
  EXPECT_EQ(refused.error()[0].path, "/lines/1/time");
  EXPECT_EQ(refused.error()[1].path, "/lines/2/time");
  EXPECT_EQ(refused.error()[2].path, "/confidence");
  EXPECT_FALSE(kaplan_meier({}, 0.95, LimitKind::log));
  EXPECT_FALSE(kaplan_meier({{5, true}}, std::nan(""), LimitKind::log));
}

std::vector<Observation> any_lines() {
  std::vector<Observation> lines(*rc::gen::inRange<std::size_t>(1, 40));
  for (auto& line : lines) line = {*rc::gen::inRange(1, 30), *rc::gen::arbitrary<bool>()};
  return lines;
}

RC_GTEST_PROP(KaplanMeierProperty, TheCurveFallsInsideItsLimitsAndCountsEveryLine, ()) {
  const auto lines = any_lines();
  for (const auto kind : {LimitKind::log, LimitKind::log_log, LimitKind::plain}) {
    const auto c = curve(lines, kind);
    double before = 1;
    int counted = 0;
    for (const auto& p : c.points) {
      RC_ASSERT((p.survival <= before && p.survival >= 0));
      RC_ASSERT(p.at_risk == static_cast<int>(lines.size()) - counted);
      if (p.low) RC_ASSERT((*p.low <= p.survival + 1e-12 && p.survival <= *p.high + 1e-12));
      before = p.survival;
      counted += p.events + p.censored;
    }
    RC_ASSERT(counted == c.subjects);
    RC_ASSERT((c.restricted_mean > 0 && c.restricted_mean <= c.points.back().time + 1e-9));
  }
}

RC_GTEST_PROP(KaplanMeierProperty, WithoutCensoringItIsTheShareStillIn, ()) {
  auto lines = any_lines();
  for (auto& line : lines) line.event = true;
  double mean = 0;
  for (const auto& line : lines) mean += static_cast<double>(line.time) / static_cast<double>(lines.size());
  const auto c = curve(lines);
  for (const auto& p : c.points) {
    const double left = p.at_risk - p.events;
    RC_ASSERT(std::abs(p.survival - left / static_cast<double>(lines.size())) < 1e-12);
  }
  RC_ASSERT(std::abs(c.restricted_mean - mean) < 1e-9);
}

TEST(SurvivalCurves, ALineThatCameLateIsAtRiskFromItsAgeThen) {
  const Lifetimes rows{{0, 0, 4}, {5, 9, 9}, {1, 1, 0}, {}};
  const auto curves = *survival_curves(rows, {}, {});
  ASSERT_EQ(curves.size(), 1u);
  EXPECT_EQ(curves[0].points[0].at_risk, 3);
  // In at 5 it would be too late: at risk is who came before.
  EXPECT_EQ(survival_curves({{0, 0, 5}, {5, 9, 9}, {1, 1, 0}, {}}, {}, {})->front().points[0].at_risk, 2);
}

TEST(SurvivalCurves, EachGroupIsDrawnByItself) {
  const Lifetimes rows{{}, {5, 7, 9, 3}, {1, 1, 0, 2}, {}};
  const auto curves = *survival_curves(rows, {8, 3, 8, 3}, {});
  ASSERT_EQ(curves.size(), 2u);
  EXPECT_EQ(curves[0].points.front().time, 3);
  EXPECT_EQ(curves[0].events, 2);
  EXPECT_EQ(curves[1].points.front().time, 5);
  CurveWishes only;
  only.cause = 1;
  EXPECT_EQ(survival_curves(rows, {8, 3, 8, 3}, only)->front().events, 1);
}

TEST(SurvivalCurves, TheMeanGoesToTheHorizonAndNotBeyondWhatWasWatched) {
  const Lifetimes rows{{}, {2, 4, 10}, {1, 1, 0}, {}};
  CurveWishes wishes;
  wishes.horizon = 3;
  auto curve = survival_curves(rows, {}, wishes)->front();
  EXPECT_NEAR(curve.restricted_mean, 2 + 2.0 / 3, 1e-12);
  EXPECT_EQ(curve.restricted_to, 3);
  wishes.horizon = 1;
  EXPECT_NEAR(survival_curves(rows, {}, wishes)->front().restricted_mean, 1, 1e-12);
  wishes.horizon = 100;
  curve = survival_curves(rows, {}, wishes)->front();
  EXPECT_EQ(curve.restricted_to, 10);
  EXPECT_NEAR(curve.restricted_mean, 2 + 2 * 2.0 / 3 + 6 / 3.0, 1e-12);
}

}  // namespace
}  // namespace dwell::statistics
