#include "statistics/frailty.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "say/statistics.h"
#include "statistics/test_rows.h"

namespace dwell::statistics {
namespace {

FrailtyInput any_patients() {
  FrailtyInput in;
  in.rows = any_rows(30, 1);
  in.patient = any_column(in.rows, 5);
  const auto group = any_column(in.rows, 2);
  in.covariates = {{"group"}, {{group.begin(), group.end()}}};
  in.ties = *rc::gen::element(Ties::efron, Ties::breslow);
  return in;
}

/// At the top no patient's ratio and no coefficient can be moved to gain: each ratio is what the model says of it, and
/// together they are 1 on the average.
RC_GTEST_PROP(FrailtyProperty, RatiosAreAtRest, ()) {
  auto in = any_patients();
  in.spread = *rc::gen::element(0.05, 0.4, 2.0);
  const auto fit = frailty(in);
  if (!fit) {
    RC_ASSERT(!fit.error().empty());
    return;
  }
  const double nu = 1 / fit->spread;
  double sum = 0, ends = 0, expected = 0;
  for (const auto& one : fit->shares) {
    RC_ASSERT(std::abs(one.hazard_ratio - (nu + one.events) / (nu + one.expected)) < 1e-8);
    sum += one.hazard_ratio;
    ends += one.events;
    expected += one.expected * one.hazard_ratio;
  }
  RC_ASSERT(std::abs(sum - fit->patients) < 1e-7);
  RC_ASSERT(std::abs(ends - expected) < 1e-7);
  RC_ASSERT((std::isfinite(fit->log_likelihood) && fit->coefficients[0].standard_error > 0));
}

/// With hardly any spread it is Cox's model.
RC_GTEST_PROP(FrailtyProperty, LittleSpreadIsCoxsModel, ()) {
  auto in = any_patients();
  in.spread = 1e-4;
  const auto fit = frailty(in);
  const auto plain = cox({in.rows, 1, in.covariates, {}, {}, in.ties, 0.95, {}, {}, {}, {}});
  RC_ASSERT(fit.has_value() == plain.has_value());
  if (!fit) return;
  RC_ASSERT(std::abs(fit->log_likelihood_without - plain->log_likelihood) < 1e-9);
  RC_ASSERT(std::abs(fit->log_likelihood - plain->log_likelihood) < 0.05);
  RC_ASSERT(std::abs(fit->coefficients[0].coefficient - plain->coefficients[0].coefficient) < 0.05);
}

/// The likeliest spread is no worse than any that is given.
RC_GTEST_PROP(FrailtyProperty, NoSpreadIsLikelierThanTheLikeliest, ()) {
  auto in = any_patients();
  const auto best = frailty(in);
  if (!best) return;
  RC_ASSERT(best->log_likelihood >= best->log_likelihood_without - 1e-9);
  RC_ASSERT((*best->p_value >= 0 && *best->p_value <= 1));
  in.spread = *rc::gen::element(0.01, 0.1, 0.5, 1.0, 3.0);
  const auto other = frailty(in);
  if (other) RC_ASSERT(other->log_likelihood <= best->log_likelihood + 1e-6);
}

FrailtyInput two_patients() {
  FrailtyInput in;
  in.rows = {{}, {3, 5, 8, 13, 21, 34}, {1, 1, 0, 1, 1, 0}, {}};
  in.covariates = {{"x"}, {{1, 0, 1, 0, 1, 0}}};
  in.patient = {1, 1, 1, 2, 2, 2};
  return in;
}

TEST(Frailty, NamesWhatItCannotCount) {
  auto in = two_patients();
  in.patient.clear();
  EXPECT_EQ(frailty(in).error().front().path, "/patient");
  in.patient.assign(6, 3);
  EXPECT_EQ(frailty(in).error().front().expected, say::at_least_two_groups());
  in = two_patients();
  in.rows.cause.assign(6, 0);
  EXPECT_EQ(frailty(in).error().front().expected, say::a_line_that_ended());
  in = two_patients();
  in.spread = 0.0;
  EXPECT_EQ(frailty(in).error().front().path, "/spread");
  in.spread = std::nan("");
  EXPECT_EQ(frailty(in).error().front().path, "/spread");
  in = two_patients();
  in.covariates.columns[0] = {2, 2, 2, 2, 2, 2};
  EXPECT_EQ(frailty(in).error().front().expected, say::values_that_differ());
  in.covariates.columns[0] = {1, 1, 0, 1, 1, 0};
  EXPECT_EQ(frailty(in).error().front().expected, say::a_finite_coefficient());
  in = two_patients();
  in.rows.stop.assign(most_frailty_rows + 1, 5);
  in.rows.cause.assign(most_frailty_rows + 1, 1);
  EXPECT_EQ(frailty(in).error().front().expected, say::at_most_lines(most_frailty_rows));
}

TEST(Frailty, PatientsWhoAreAlikeHaveNoSpread) {
  auto in = two_patients();
  in.rows = {{}, {3, 5, 8, 13, 4, 6, 9, 14}, {1, 1, 0, 1, 1, 1, 0, 1}, {}};
  in.covariates = {{"x"}, {{1, 0, 1, 0, 0, 1, 0, 1}}};
  in.patient = {1, 1, 1, 1, 2, 2, 2, 2};
  const auto fit = *frailty(in);
  EXPECT_EQ(fit.spread, 0);
  EXPECT_EQ(*fit.likelihood_ratio, 0);
  EXPECT_EQ(*fit.p_value, 1);
  for (const auto& one : fit.shares) EXPECT_EQ(one.hazard_ratio, 1);
  EXPECT_NEAR(fit.shares[0].expected + fit.shares[1].expected, 6, 1e-9);
}

TEST(Frailty, OnePatientWithAllTheEndsStandsOut) {
  FrailtyInput in;
  for (int patient = 0; patient < 12; ++patient)
    for (int line = 0; line < 5; ++line) {
      in.rows.stop.push_back(patient == 0 ? 4 + line : 30 + 3 * patient + 7 * line);
      in.rows.cause.push_back(patient == 0 || line == 2 ? 1 : 0);
      in.patient.push_back(patient);
    }
  in.covariates.names = {"odd"};
  in.covariates.columns.resize(1);
  for (std::size_t i = 0; i < in.patient.size(); ++i) in.covariates.columns[0].push_back(i % 2 == 0 ? 1 : 0);
  const auto fit = *frailty(in);
  EXPECT_GT(fit.spread, 0.1);
  EXPECT_LT(*fit.p_value, 0.05);
  EXPECT_GT(fit.shares[0].hazard_ratio, 2);
  EXPECT_LT(fit.shares[1].hazard_ratio, 1.1);
}

}  // namespace
}  // namespace dwell::statistics
