// The test beside the textbook's own sums. Published tables: tests/published.
#include "statistics/log_rank.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <Eigen/QR>
#include <algorithm>
#include <cmath>
#include <set>

#include "statistics/test_rows.h"

namespace dwell::statistics {
namespace {

std::vector<Observation> any_lines() {
  std::vector<Observation> lines(*rc::gen::inRange<std::size_t>(1, 40));
  for (auto& line : lines) line = {*rc::gen::inRange(1, 30), *rc::gen::arbitrary<bool>()};
  return lines;
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

/// The same with weights, strata and late entry.
RC_GTEST_PROP(LogRankProperty, WeightedAndStratifiedAgreesWithTheTextbooksSums, ()) {
  const auto rows = any_rows(60, 1);
  const auto group = any_column(rows, 3), stratum = any_column(rows, 2);
  const LogRankWeight weight{*rc::gen::inRange(0, 3) / 2.0, *rc::gen::inRange(0, 3) / 2.0};
  const auto found = log_rank(rows, group, stratum, weight);
  if (numbered(group).count() < 2) {
    RC_ASSERT(!found);
    return;
  }
  Eigen::VectorXd u = Eigen::VectorXd::Zero(3);
  Eigen::MatrixXd v = Eigen::MatrixXd::Zero(3, 3);
  for (int s = 0; s < 2; ++s) {
    double survival = 1;
    for (int t = 1; t <= latest; ++t) {
      Eigen::VectorXd at_risk = Eigen::VectorXd::Zero(3), ended = at_risk;
      for (std::size_t i = 0; i < rows.stop.size(); ++i)
        if (stratum[i] == s && rows.start[i] < t && t <= rows.stop[i]) {
          at_risk(group[i]) += 1;
          if (rows.stop[i] == t && rows.cause[i] > 0) ended(group[i]) += 1;
        }
      const double n = at_risk.sum(), d = ended.sum();
      if (d == 0) continue;
      const double w = std::pow(survival, weight.early) * std::pow(1 - survival, weight.late);
      u += w * (ended - d * at_risk / n);
      if (n > 1) {
        const Eigen::VectorXd share = at_risk / n;
        v += w * w * d * (n - d) / (n - 1) * (Eigen::MatrixXd(share.asDiagonal()) - share * share.transpose());
      }
      survival *= 1 - d / n;
    }
  }
  const Eigen::CompleteOrthogonalDecomposition<Eigen::MatrixXd> solver(v);
  RC_ASSERT(std::abs(found->chi_square - u.dot(solver.solve(u))) <= 1e-7 * (1 + found->chi_square));
}

}  // namespace
}  // namespace dwell::statistics
