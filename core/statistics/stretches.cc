#include "statistics/stretches.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

#include "quantity/display.h"
#include "say/quantity.h"
#include "say/statistics.h"
#include "statistics/survival.h"

namespace dwell::statistics {
namespace {

constexpr double minutes_a_day = 1440;

/// What was seen in each stretch.
struct Seen {
  Patterns::Values minutes;  ///< of each pattern (row) in each stretch (column)
  Eigen::VectorXd ends;      ///< of each pattern
  Eigen::VectorXd ends_in;   ///< in each stretch
};

Seen seen_in(const StretchesInput& input, const Patterns& patterns) {
  const auto stretches = static_cast<Eigen::Index>(input.cuts.size() + 1);
  Seen out{Patterns::Values::Zero(patterns.values.rows(), stretches), Eigen::VectorXd::Zero(patterns.values.rows()),
           Eigen::VectorXd::Zero(stretches)};
  for (std::size_t i = 0; i < input.rows.stop.size(); ++i) {
    const Eigen::Index pattern = patterns.of[i];
    int from = input.rows.start.empty() ? 0 : input.rows.start[i];
    const int stop = input.rows.stop[i];
    auto cut = std::upper_bound(input.cuts.begin(), input.cuts.end(), from);
    for (; cut != input.cuts.end() && *cut < stop; ++cut) {
      out.minutes(pattern, cut - input.cuts.begin()) += *cut - from;
      from = *cut;
    }
    out.minutes(pattern, cut - input.cuts.begin()) += stop - from;
    if (input.rows.cause[i] != input.cause) continue;
    out.ends(pattern) += 1;
    out.ends_in(cut - input.cuts.begin()) += 1;
  }
  return out;
}

/// At β: Σ e^{xβ} time of each stretch, and the mean of the columns weighted by it.
struct Weighed {
  Eigen::VectorXd time;
  Eigen::MatrixXd mean;      ///< columns × stretches
  Eigen::VectorXd expected;  ///< ends of each pattern
};

Weighed weighed(const Seen& seen, const Patterns& patterns, const Eigen::VectorXd& beta) {
  const Eigen::VectorXd ratio = (patterns.values * beta).array().exp().matrix();
  Weighed out;
  out.time = seen.minutes.transpose() * ratio;
  const Eigen::MatrixXd sums = patterns.values.transpose() * (ratio.asDiagonal() * seen.minutes);
  out.mean = sums * out.time.cwiseInverse().asDiagonal();
  out.expected = ratio.cwiseProduct(seen.minutes * seen.ends_in.cwiseQuotient(out.time));
  return out;
}

Evaluation evaluated(const Seen& seen, const Patterns& patterns, const Eigen::VectorXd& beta) {
  const Weighed at = weighed(seen, patterns, beta);
  Evaluation out;
  out.log_likelihood = seen.ends.dot(patterns.values * beta);
  for (Eigen::Index k = 0; k < at.time.size(); ++k)
    out.log_likelihood += seen.ends_in(k) * (std::log(seen.ends_in(k) / at.time(k)) - 1);
  out.score = patterns.values.transpose() * (seen.ends - at.expected);
  out.information = patterns.values.transpose() * at.expected.asDiagonal() * patterns.values;
  out.scale = out.information.diagonal();
  out.information -= at.mean * seen.ends_in.asDiagonal() * at.mean.transpose();
  return out;
}

FieldErrors check(const StretchesInput& input) {
  FieldErrors errors = check(input.rows, most_causes, "/rows");
  check_confidence(input.confidence, "/confidence", errors);
  check_cause(input.rows, input.cause, errors);
  if (input.cuts.size() > most_cuts)
    errors.push_back({"/cuts", std::to_string(input.cuts.size()), say::at_most_cuts(most_cuts)});
  int before = 0;
  for (std::size_t k = 0; k < input.cuts.size() && errors.size() < most_errors; ++k) {
    if (input.cuts[k] <= before)
      errors.push_back({"/cuts/" + std::to_string(k), std::to_string(input.cuts[k]), say::cut_after(before)});
    before = std::max(before, input.cuts[k]);
  }
  return errors;
}

FieldErrors check(const Seen& seen, const std::vector<int>& cuts) {
  FieldErrors errors;
  for (Eigen::Index k = 0; k < seen.ends_in.size(); ++k) {
    if (seen.ends_in(k) > 0) continue;
    const auto at = static_cast<std::size_t>(k);
    const bool last = at == cuts.size();
    errors.push_back({"/cuts/" + std::to_string(last ? at - 1 : at), std::to_string(cuts[last ? at - 1 : at]),
                      say::an_end_in_each_stretch(k == 0 ? 0 : cuts[at - 1])});
  }
  return errors;
}

}  // namespace

Checked<StretchesFit> stretches(const StretchesInput& input) {
  if (auto errors = check(input); !errors.empty()) return refuse(std::move(errors));
  const auto packing = packed_if_any(input.covariates, input.rows.stop.size(), "/covariates");
  if (!packing) return refuse(packing.error());
  const Patterns& patterns = *packing;
  const Seen seen = seen_in(input, patterns);
  if (auto errors = check(seen, input.cuts); !errors.empty()) return refuse(std::move(errors));

  Maximum model;
  model.beta = Eigen::VectorXd::Zero(patterns.columns());
  model.at_zero = model.at = evaluated(seen, patterns, model.beta);
  if (patterns.columns() > 0) {
    if (auto errors = check_independent(model.at.information, model.at.scale, patterns.names, "/covariates");
        !errors.empty())
      return refuse(std::move(errors));
    auto top = climb(
        std::move(model), [&](const Eigen::VectorXd& beta) { return evaluated(seen, patterns, beta); },
        [&](const Climbing& now) { return parting(patterns, now.step, now.gain, "/covariates"); }, "/covariates");
    if (!top) return refuse(std::move(top.error()));
    model = std::move(*top);
  }

  const Eigen::Index columns = patterns.columns();
  Eigen::MatrixXd covariance(columns, columns);
  if (columns > 0) covariance = model.at.information.ldlt().solve(Eigen::MatrixXd::Identity(columns, columns));
  const Weighed at = weighed(seen, patterns, model.beta);
  const double z = two_sided(input.confidence);
  StretchesFit out;
  out.rows = static_cast<int>(patterns.of.size());
  out.log_likelihood_without = model.at_zero.log_likelihood;
  out.log_likelihood = model.at.log_likelihood;
  for (Eigen::Index k = 0; k < seen.ends_in.size(); ++k) {
    const auto place = static_cast<std::size_t>(k);
    Stretch one;
    one.from = k == 0 ? 0 : input.cuts[place - 1];
    if (place < input.cuts.size()) one.to = input.cuts[place];
    one.events = static_cast<int>(seen.ends_in(k));
    out.events += one.events;
    one.line_days = seen.minutes.col(k).sum() / minutes_a_day;
    const double mean_varies = columns > 0 ? at.mean.col(k).dot(covariance * at.mean.col(k)) : 0;
    one.error_of_log = std::sqrt(1 / seen.ends_in(k) + mean_varies);
    one.per_thousand_days = 1000 * minutes_a_day * seen.ends_in(k) / at.time(k);
    one.low = one.per_thousand_days * std::exp(-z * one.error_of_log);
    one.high = one.per_thousand_days * std::exp(z * one.error_of_log);
    out.stretches.push_back(one);
  }
  if (columns == 0) return out;
  out.coefficients = coefficients(patterns, model.beta, covariance, covariance, input.confidence);
  out.covariance = rows_of(covariance.cwiseQuotient(patterns.scale * patterns.scale.transpose()));
  out.means.assign(patterns.centre.begin(), patterns.centre.end());
  return out;
}

}  // namespace dwell::statistics
