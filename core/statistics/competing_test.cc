// Competing ends: incidence, Gray's test, and the model of the subdistribution. R: tests/peers.
#include "statistics/competing.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "say/statistics.h"
#include "statistics/fine_gray.h"
#include "statistics/gray.h"
#include "statistics/test_rows.h"

namespace dwell::statistics {
namespace {

RC_GTEST_PROP(CompetingProperty, IncidencesAndSurvivalAddUpToOne, ()) {
  const auto rows = any_rows(50, 3);
  const auto risks = competing_risks(rows, {}, {})->front();
  const auto all = survival_curves(rows, {}, {})->front();
  double sum = all.points.back().survival;
  for (const auto& curve : risks.causes) {
    double before = 0;
    for (const auto& point : curve.points) {
      RC_ASSERT((point.incidence >= before && std::isfinite(point.standard_error)));
      if (point.low) RC_ASSERT((*point.low <= point.incidence + 1e-12 && point.incidence <= *point.high + 1e-12));
      before = point.incidence;
    }
    sum += before;
  }
  RC_ASSERT(std::abs(sum - 1) < 1e-9);
}

/// With one cause it is 1 − S, and so is its error.
RC_GTEST_PROP(CompetingProperty, OneCauseIsTheOtherSideOfSurvival, ()) {
  const auto rows = any_rows(50, 1);
  const auto risks = competing_risks(rows, {}, {})->front();
  const auto all = survival_curves(rows, {}, {})->front();
  for (const auto& curve : risks.causes)
    for (const auto& point : curve.points)
      for (const auto& other : all.points)
        if (other.time == point.time) {
          RC_ASSERT(std::abs(point.incidence - (1 - other.survival)) < 1e-12);
          if (other.survival > 0) RC_ASSERT(std::abs(point.standard_error - other.standard_error) < 1e-9);
        }
}

TEST(Competing, NothingEndedIsNoCurve) {
  const auto risks = competing_risks({{}, {3, 5}, {0, 0}, {}}, {}, {});
  ASSERT_TRUE(risks);
  EXPECT_TRUE(risks->front().causes.empty());
}

RC_GTEST_PROP(GrayProperty, TheOrderOfGroupsDoesNotMatter, ()) {
  auto rows = any_rows(60, 2);
  rows.start.clear();
  rows.cause[0] = 1;
  auto group = any_column(rows, 3);
  group[0] = 0;
  group[1] = 1;
  const auto one = gray(rows, group, 1, 0);
  for (int& g : group) g = (g + 1) % 3;
  const auto other = gray(rows, group, 1, 0);
  RC_ASSERT((one && other));
  RC_ASSERT((std::isfinite(one->chi_square) && one->chi_square >= 0));
  RC_ASSERT(std::abs(one->chi_square - other->chi_square) < 1e-6 * (1 + one->chi_square));
}

TEST(Gray, LateEntryAndAMissingCauseAreNamed) {
  const auto refused = gray({{0, 2}, {3, 5}, {1, 1}, {}}, {0, 1}, 2, 0);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error()[0].expected, say::watched_from_placement());
  EXPECT_EQ(refused.error()[1].path, "/cause");
}

/// Without other causes it is Cox's model with Breslow's ties; its covariance is then that of rows as patients.
RC_GTEST_PROP(FineGrayProperty, WithoutOtherCausesItIsCoxsModel, ()) {
  auto rows = any_rows(50, 1);
  rows.start.clear();
  Covariates facts{{"a"}, {{}}};
  for (std::size_t i = 0; i < rows.stop.size(); ++i) facts.columns[0].push_back(*rc::gen::inRange(0, 4));
  CoxInput in;
  in.rows = rows;
  in.covariates = facts;
  in.ties = Ties::breslow;
  for (std::size_t i = 0; i < rows.stop.size(); ++i) in.patient.push_back(static_cast<int>(i));
  const auto one = cox(in);
  const auto other = fine_gray({rows, 1, facts, 0.95});
  RC_ASSERT(one.has_value() == other.has_value());
  if (!one) return;
  RC_ASSERT(std::abs(one->coefficients[0].coefficient - other->coefficients[0].coefficient) < 1e-9);
  RC_ASSERT(std::abs(one->coefficients[0].standard_error / other->coefficients[0].standard_error - 1) < 1e-7);
}

/// Without censoring each line that another cause ended stays for good, as if it were watched to the end.
RC_GTEST_PROP(FineGrayProperty, WithoutCensoringOtherEndsAreTheLastTime, ()) {
  auto rows = any_rows(50, 2);
  rows.start.clear();
  for (int& cause : rows.cause) cause = cause == 0 ? 1 : cause;
  Covariates facts{{"a"}, {{}}};
  for (std::size_t i = 0; i < rows.stop.size(); ++i) facts.columns[0].push_back(*rc::gen::inRange(0, 4));
  CoxInput in;
  in.rows = rows;
  for (std::size_t i = 0; i < rows.stop.size(); ++i) {
    if (rows.cause[i] == 1) continue;
    in.rows.cause[i] = 0;
    in.rows.stop[i] = latest + 1;
  }
  in.covariates = facts;
  in.ties = Ties::breslow;
  const auto one = cox(in);
  const auto other = fine_gray({rows, 1, facts, 0.95});
  RC_ASSERT(one.has_value() == other.has_value());
  if (!one) return;
  RC_ASSERT(std::abs(one->coefficients[0].coefficient - other->coefficients[0].coefficient) < 1e-9);
  RC_ASSERT(std::abs(one->coefficients[0].standard_error / *other->coefficients[0].model_error - 1) < 1e-7);
}

}  // namespace
}  // namespace dwell::statistics
