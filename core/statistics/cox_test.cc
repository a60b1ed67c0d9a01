// The model beside sums taken row by row, and what it says to data that cannot be fitted. Published examples and R:
// tests/published/models_test.cc, tests/peers.
#include "statistics/cox.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "say/quantity.h"
#include "say/statistics.h"
#include "statistics/test_rows.h"

namespace dwell::statistics {
namespace {

/// Log likelihood, score and information slot by slot and tie by tie, nothing shared.
Evaluation by_the_book(const Lifetimes& rows, const std::vector<int>& stratum, const Patterns& patterns,
                       const Eigen::VectorXd& beta, Ties ties) {
  Evaluation out;
  out.score = Eigen::VectorXd::Zero(beta.size());
  out.information = Eigen::MatrixXd::Zero(beta.size(), beta.size());
  for (int s = 0; s < 2; ++s)
    for (int t = 1; t <= latest; ++t) {
      double s0 = 0, e0 = 0, d = 0;
      Eigen::VectorXd s1 = Eigen::VectorXd::Zero(beta.size()), e1 = s1;
      Eigen::MatrixXd s2 = out.information * 0, e2 = s2;
      for (std::size_t i = 0; i < rows.stop.size(); ++i) {
        if (stratum[i] != s || rows.start[i] >= t || t > rows.stop[i]) continue;
        const Eigen::VectorXd x = patterns.values.row(patterns.of[i]).transpose();
        const double r = std::exp(x.dot(beta));
        s0 += r, s1 += r * x, s2 += r * x * x.transpose();
        if (rows.stop[i] != t || rows.cause[i] != 1) continue;
        e0 += r, e1 += r * x, e2 += r * x * x.transpose();
        d += 1;
        out.log_likelihood += x.dot(beta);
        out.score += x;
      }
      for (int l = 0; l < d; ++l) {
        const double f = ties == Ties::efron ? l / d : 0, v = s0 - f * e0;
        const Eigen::VectorXd mean = (s1 - f * e1) / v;
        out.log_likelihood -= std::log(v);
        out.score -= mean;
        out.information += (s2 - f * e2) / v - mean * mean.transpose();
      }
    }
  return out;
}

Covariates any_covariates(const Lifetimes& rows) {
  Covariates out{{"a", "b"}, {{}, {}}};
  for (std::size_t i = 0; i < rows.stop.size(); ++i) {
    out.columns[0].push_back(*rc::gen::inRange(0, 2));
    out.columns[1].push_back(*rc::gen::inRange(-3, 4) / 2.0);
  }
  return out;
}

RC_GTEST_PROP(PartialLikelihoodProperty, AgreesWithSumsRowByRow, ()) {
  const auto rows = any_rows(60, 2);
  const auto stratum = any_column(rows, 2);
  const auto patterns = *packed(any_covariates(rows), rows.stop.size(), "");
  const RiskSets sets(rows, 1, numbered(stratum), patterns.of);
  const Eigen::Vector2d beta(*rc::gen::inRange(-10, 10) / 8.0, *rc::gen::inRange(-10, 10) / 8.0);
  for (const auto ties : {Ties::efron, Ties::breslow}) {
    const auto fast = evaluate(sets, patterns, beta, ties, {});
    const auto slow = by_the_book(rows, stratum, patterns, beta, ties);
    // Both are relative to exp(shift), which cancels only in the likelihood as a whole.
    RC_ASSERT(std::abs(fast.log_likelihood - slow.log_likelihood) < 1e-9 * (1 + std::abs(slow.log_likelihood)));
    RC_ASSERT((fast.score - slow.score).norm() < 1e-9 * (1 + slow.score.norm()));
    RC_ASSERT((fast.information - slow.information).norm() < 1e-9 * (1 + slow.information.norm()));
  }
}

CoxInput any_model(int most) {
  CoxInput in;
  in.rows = any_rows(most, 2);
  in.covariates = any_covariates(in.rows);
  in.ties = *rc::gen::element(Ties::efron, Ties::breslow);
  return in;
}

/// Data that cannot be fitted are named; the rest is finite.
RC_GTEST_PROP(CoxProperty, AnswersWithNumbersOrNamesAColumn, ()) {
  auto in = any_model(25);
  in.patient = any_column(in.rows, 6);
  in.proportionality = TimeScale::survival;
  const auto fit = cox(in);
  if (!fit) {
    RC_ASSERT(!fit.error().empty());
    return;
  }
  for (const auto& one : fit->coefficients) {
    RC_ASSERT((std::isfinite(one.coefficient) && std::isfinite(one.standard_error) && std::isfinite(one.p_value)));
    RC_ASSERT(std::abs(one.coefficient) < 40);
    RC_ASSERT(one.standard_error > 0);
  }
  RC_ASSERT(std::isfinite(fit->wald_test));
  for (std::size_t j = 0; j < 2; ++j) RC_ASSERT(fit->covariance[j][j] > 0);
  for (const auto& test : fit->proportionality) RC_ASSERT((test.p_value >= 0 && test.p_value <= 1));
  RC_ASSERT((fit->concordance.share >= 0 && fit->concordance.share <= 1));
}

RC_GTEST_PROP(CoxProperty, ALineInPiecesIsTheSameLine, ()) {
  auto in = any_model(50);
  in.proportionality = TimeScale::minutes;
  const auto whole = cox(in);
  auto pieces = in;
  for (std::size_t i = 0; i < in.rows.stop.size(); ++i) {
    if (in.rows.stop[i] - in.rows.start[i] < 2) continue;
    const int cut = *rc::gen::inRange(in.rows.start[i] + 1, in.rows.stop[i]);
    pieces.rows.start.push_back(cut);
    pieces.rows.stop.push_back(in.rows.stop[i]);
    pieces.rows.cause.push_back(in.rows.cause[i]);
    pieces.rows.stop[i] = cut;
    pieces.rows.cause[i] = 0;
    for (auto& column : pieces.covariates.columns) column.push_back(column[i]);
  }
  const auto split = cox(pieces);
  RC_ASSERT(whole.has_value() == split.has_value());
  if (!whole) return;
  for (std::size_t j = 0; j < 2; ++j) {
    RC_ASSERT(std::abs(whole->coefficients[j].coefficient - split->coefficients[j].coefficient) < 1e-7);
    RC_ASSERT(std::abs(whole->coefficients[j].standard_error / split->coefficients[j].standard_error - 1) < 1e-6);
    RC_ASSERT(std::abs(whole->proportionality[j].chi_square - split->proportionality[j].chi_square) <
              1e-5 * (1 + whole->proportionality[j].chi_square));
  }
  RC_ASSERT(whole->concordance.concordant == split->concordance.concordant);
}

/// Each its own patient: the sum of squared score residuals, whatever the numbers that patients have.
RC_GTEST_PROP(CoxProperty, NumbersOfPatientsAreOnlyNames, ()) {
  auto in = any_model(50);
  in.patient = any_column(in.rows, 8);
  const auto one = cox(in);
  for (int& patient : in.patient) patient = 1000 - 7 * patient;
  const auto other = cox(in);
  if (one) RC_ASSERT(std::abs(one->coefficients[0].standard_error - other->coefficients[0].standard_error) < 1e-10);
}

CoxInput plain(std::vector<int> stop, std::vector<int> cause, Covariates covariates) {
  CoxInput in;
  in.rows.stop = std::move(stop);
  in.rows.cause = std::move(cause);
  in.covariates = std::move(covariates);
  return in;
}

void expect_refused(const CoxInput& in, const std::string& path, const Message& expected) {
  const auto fit = cox(in);
  ASSERT_FALSE(fit);
  EXPECT_EQ(fit.error().front().path, path);
  EXPECT_EQ(fit.error().front().expected, expected);
}

TEST(Cox, AColumnThatIsTheSameForAllIsNamed) {
  expect_refused(plain({1, 2, 3, 4}, {1, 1, 1, 0}, {{"a", "b"}, {{0.1, 0.1, 0.1, 0.1}, {1, 0, 1, 0}}}),
                 "/covariates/columns/0", say::values_that_differ());
}

TEST(Cox, AColumnThatFollowsFromOthersIsNamedWithThem) {
  expect_refused(plain({1, 2, 3, 4, 5, 6}, {1, 1, 1, 0, 1, 1},
                       {{"a", "b", "sum"}, {{1, 0, 1, 0, 0, 1}, {0, 1, 2, 1, 0, 2}, {1, 1, 3, 1, 0, 3}}}),
                 "/covariates/columns/2", say::column_of_its_own("a, b"));
}

TEST(Cox, AColumnThatPartsTheLinesCompletelyIsNamed) {
  expect_refused(plain({1, 2, 3, 7, 8, 9}, {1, 1, 1, 0, 0, 0}, {{"a"}, {{1, 1, 1, 0, 0, 0}}}), "/covariates/columns/0",
                 say::a_finite_coefficient());
  // No line of the few ended.
  expect_refused(plain({1, 2, 3, 4, 5, 6, 7, 8}, {1, 1, 0, 1, 1, 0, 1, 1},
                       {{"a", "b"}, {{0, 1, 0, 1, 1, 0, 0, 1}, {0, 0, 1, 0, 0, 1, 0, 0}}}),
                 "/covariates/columns/1", say::a_finite_coefficient());
}

TEST(Cox, AllCensoredAndOneEnd) {
  expect_refused(plain({1, 2, 3}, {0, 0, 2}, {{"a"}, {{1, 0, 1}}}), "/rows/cause", say::a_line_that_ended());
  // One end among unlike lines, neither the highest nor the lowest: the model stands.
  const auto fit = cox(plain({1, 2, 3}, {1, 0, 0}, {{"a"}, {{1, 0, 3}}}));
  ASSERT_TRUE(fit);
  EXPECT_TRUE(std::isfinite(fit->coefficients[0].standard_error));
}

TEST(Cox, PatientsWhoAgreeAreNoCertainty) {
  // The one end lies where its model expects it, and what the other two lines say sums to nothing within their patient.
  auto in = plain({1, 2, 3}, {1, 0, 0}, {{"a"}, {{1, 0, 3}}});
  in.patient = {1, 2, 2};
  const auto fit = cox(in);
  ASSERT_TRUE(fit);
  const auto& one = fit->coefficients[0];
  EXPECT_EQ(one.standard_error, one.model_error);
  EXPECT_NEAR(fit->covariance[0][0], one.standard_error * one.standard_error, 1e-9);
  EXPECT_NEAR(fit->wald_test, one.z * one.z, 1e-9);
}

TEST(Cox, AsManyPatientsAsColumnsTellNothingOfErrors) {
  auto in = plain({1, 2, 3, 4}, {1, 1, 1, 1}, {{"a"}, {{1, 0, 1, 0}}});
  in.patient = {7, 7, 7, 7};
  expect_refused(in, "/patient", say::more_patients_than_columns(1));
}

TEST(Cox, NoNumberIsNamed) {
  const auto fit = cox(plain({1, 2}, {1, 0}, {{"a"}, {{1, std::nan("")}}}));
  ASSERT_FALSE(fit);
  EXPECT_EQ(fit.error().front().path, "/covariates/columns/0/1");
  EXPECT_EQ(fit.error().front().expected, say::a_number());
}

TEST(Cox, AHundredThousandEndsAtOneTime) {
  std::vector<int> stop(100'000, 60), cause(100'000, 1);
  Covariates facts{{"a"}, {std::vector<double>(100'000, 0)}};
  for (std::size_t i = 0; i < stop.size(); i += 3) facts.columns[0][i] = 1;
  stop.push_back(90);
  cause.push_back(0);
  facts.columns[0].push_back(0);
  stop.push_back(90);
  cause.push_back(0);
  facts.columns[0].push_back(1);
  const auto fit = cox(plain(stop, cause, facts));
  ASSERT_TRUE(fit);
  EXPECT_EQ(fit->patterns, 2);
  EXPECT_TRUE(std::isfinite(fit->coefficients[0].coefficient));
}

}  // namespace
}  // namespace dwell::statistics
