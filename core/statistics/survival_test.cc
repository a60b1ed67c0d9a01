// The conventions, on cases small enough for pencil and paper. Published tables: tests/published/survival_test.cc.
#include "statistics/survival.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <Eigen/QR>
#include <algorithm>
#include <cmath>
#include <set>

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
      RC_ASSERT(p.survival <= before && p.survival >= 0);
      RC_ASSERT(p.at_risk == static_cast<int>(lines.size()) - counted);
      if (p.low) RC_ASSERT(*p.low <= p.survival + 1e-12 && p.survival <= *p.high + 1e-12);
      before = p.survival;
      counted += p.events + p.censored;
    }
    RC_ASSERT(counted == c.subjects);
    RC_ASSERT(c.restricted_mean > 0 && c.restricted_mean <= c.points.back().time + 1e-9);
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

TEST(LogRank, TheSameGroupTwiceDoesNotDiffer) {
  const std::vector<Observation> group{{3, true}, {5, false}, {8, true}};
  const auto test = *log_rank({group, group});
  EXPECT_NEAR(test.chi_square, 0, 1e-12);
  EXPECT_NEAR(test.p_value, 1, 1e-12);
  EXPECT_EQ(test.degrees_of_freedom, 1);
}

TEST(LogRank, WithoutFailuresThereIsNothingToTest) {
  const auto test = *log_rank({{{3, false}}, {{5, false}}});
  EXPECT_EQ(test.degrees_of_freedom, 0);
  EXPECT_EQ(test.p_value, 1);
}

TEST(LogRank, OneGroupOrAnEmptyOneIsRefused) {
  EXPECT_FALSE(log_rank({{{3, true}}}));
  EXPECT_EQ(log_rank({{{3, true}}, {}}).error().front().path, "/groups/1");
}

TEST(LogRank, TooManyGroupsAreRefusedByTheirNumber) {
  const std::vector<std::vector<Observation>> groups(most_groups + 1, {{3, true}});
  const auto refused = log_rank(groups);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().path, "/groups");
  EXPECT_EQ(refused.error().front().found, "501");
}

/// The textbook's sums, time by time.
LogRank by_the_book(const std::vector<std::vector<Observation>>& groups) {
  std::set<int> times;
  for (const auto& group : groups)
    for (const auto& line : group)
      if (line.event) times.insert(line.time);
  const auto size = static_cast<Eigen::Index>(groups.size()) - 1;
  Eigen::VectorXd u = Eigen::VectorXd::Zero(size);
  Eigen::MatrixXd v = Eigen::MatrixXd::Zero(size, size);
  for (const int time : times) {
    Eigen::VectorXd at_risk(size + 1), failed(size + 1);
    for (Eigen::Index k = 0; k <= size; ++k) {
      const auto& group = groups[static_cast<std::size_t>(k)];
      at_risk(k) =
          static_cast<double>(std::count_if(group.begin(), group.end(), [&](auto& o) { return o.time >= time; }));
      failed(k) = static_cast<double>(
          std::count_if(group.begin(), group.end(), [&](auto& o) { return o.time == time && o.event; }));
    }
    const double n = at_risk.sum(), d = failed.sum();
    u += (failed - d * at_risk / n).head(size);
    if (n < 2) continue;
    const Eigen::VectorXd share = at_risk.head(size) / n;
    v += d * (n - d) / (n - 1) * (Eigen::MatrixXd(share.asDiagonal()) - share * share.transpose());
  }
  const Eigen::ColPivHouseholderQR<Eigen::MatrixXd> solver(v);
  LogRank out;
  out.degrees_of_freedom = static_cast<int>(solver.rank());
  out.chi_square = solver.rank() > 0 ? u.dot(solver.solve(u)) : 0;
  return out;
}

RC_GTEST_PROP(LogRankProperty, AgreesWithTheTextbooksSums, ()) {
  std::vector<std::vector<Observation>> groups(*rc::gen::inRange<std::size_t>(2, 7));
  for (auto& group : groups) group = any_lines();
  const auto fast = *log_rank(groups), slow = by_the_book(groups);
  RC_ASSERT(fast.degrees_of_freedom == slow.degrees_of_freedom);
  RC_ASSERT(std::abs(fast.chi_square - slow.chi_square) <= 1e-9 * (1 + slow.chi_square));
}

RC_GTEST_PROP(LogRankProperty, TheOrderOfGroupsDoesNotMatter, ()) {
  const auto a = any_lines(), b = any_lines(), c = any_lines();
  const auto one = *log_rank({a, b, c}), other = *log_rank({c, a, b});
  RC_ASSERT(std::abs(one.chi_square - other.chi_square) <= 1e-8 * (1 + one.chi_square));
  RC_ASSERT(one.degrees_of_freedom == other.degrees_of_freedom);
}

}  // namespace
}  // namespace dwell::statistics
