#pragma once
// How does the failure rate go while lines lie: a rate of its own in each stretch of dwell between chosen cuts, and the
// same ratios throughout (piecewise exponential model). Source: sources.md#lifetime-models
#include <boost/describe.hpp>
#include <optional>
#include <vector>

#include "statistics/cox.h"

namespace dwell::statistics {

struct StretchesInput {
  Lifetimes rows;
  int cause = 1;          ///< the cause that counts; other ends are censored (hazard of this cause)
  std::vector<int> cuts;  ///< minutes, rising: a stretch runs from after one cut up to the next; none: one rate
  Covariates covariates;  ///< may have no columns
  double confidence = 0.95;
};
BOOST_DESCRIBE_STRUCT(StretchesInput, (), (rows, cause, cuts, covariates, confidence))

inline constexpr std::size_t most_cuts = 20;

struct Stretch {
  int from = 0;
  std::optional<int> to;  ///< absent: to the last
  int events = 0;
  double line_days = 0;
  double per_thousand_days = 0, low = 0, high = 0;  ///< of a line with each column at its mean
  double error_of_log = 0;                          ///< of the rate's logarithm
};
BOOST_DESCRIBE_STRUCT(Stretch, (), (from, to, events, line_days, per_thousand_days, low, high, error_of_log))

struct StretchesFit {
  int rows = 0, events = 0;
  double log_likelihood_without = 0;  ///< with the stretches, without columns
  double log_likelihood = 0;          ///< Σ ln rate over those that ended, less Σ rate × time; per minute
  std::vector<Stretch> stretches;
  std::vector<Coefficient> coefficients;
  std::vector<std::vector<double>> covariance;
  std::vector<double> means;
};
BOOST_DESCRIBE_STRUCT(StretchesFit, (),
                      (rows, events, log_likelihood_without, log_likelihood, stretches, coefficients, covariance,
                       means))

/// The rates stand for themselves: rate = ends / Σ e^{xβ} time of each stretch, and β is where what is left is largest,
/// Σ xβ of the ended − Σ ends ln Σ e^{xβ} time. Equal to a Poisson regression of the rows cut at the cuts with the
/// logarithm of their time beside. Lines may come late. Errors: lifetimes.h and covariates.h; no line that ended by the
/// cause; cuts that do not rise from 1, or more than 20; a stretch in which no line ended; columns as of cox(). Cost:
/// rows × stretches once, then at most 60 steps of patterns × stretches × columns.
[[nodiscard]] Checked<StretchesFit> stretches(const StretchesInput& input);

}  // namespace dwell::statistics
