#include "statistics/fine_gray.h"

#include <Eigen/Cholesky>
#include <algorithm>

#include "say/statistics.h"
#include "statistics/survival.h"

namespace dwell::statistics {
namespace {

FieldErrors check(const FineGrayInput& input) {
  FieldErrors errors = check(input.rows, most_causes, "/rows");
  check_confidence(input.confidence, "/confidence", errors);
  check_watched_from_placement(input.rows, "/rows", errors);
  check_cause(input.rows, input.cause, errors);
  return errors;
}

bool competes(const FineGrayInput& input, std::size_t row) {
  return input.rows.cause[row] > 0 && input.rows.cause[row] != input.cause;
}

/// Gives the risk sets the rows that stay after another cause, and their weights.
void let_stay(RiskSets& sets, const FineGrayInput& input, const Patterns& patterns, const Passage& passage) {
  const auto slots = sets.time.size();
  std::vector<double> weight(input.rows.stop.size(), 0);
  std::vector<int> count(slots + 1, 0);
  sets.share.assign(slots, 0);
  double uncensored = 1;  // G(t−)
  std::size_t slot = 0;
  passage.each_time(0, [&](int time, int at_risk, const int* row, const int* last) {
    if (slot < slots && sets.time[slot] == time) sets.share[slot++] = uncensored;
    int censored = 0;
    for (; row != last; ++row) {
      const auto at = static_cast<std::size_t>(*row);
      if (input.rows.cause[at] == 0) ++censored;
      if (!competes(input, at) || static_cast<std::size_t>(sets.to[at]) >= slots) continue;
      weight[at] = 1 / uncensored;
      ++count[static_cast<std::size_t>(sets.to[at]) + 1];
    }
    uncensored *= 1 - static_cast<double>(censored) / at_risk;
  });
  for (std::size_t k = 0; k < slots; ++k) count[k + 1] += count[k];
  sets.staying_from = count;
  sets.staying.resize(static_cast<std::size_t>(count.back()));
  sets.factor.resize(sets.staying.size());
  for (std::size_t i = 0; i < weight.size(); ++i) {
    if (weight[i] <= 0) continue;
    const auto place = static_cast<std::size_t>(count[static_cast<std::size_t>(sets.to[i])]++);
    sets.staying[place] = patterns.of[i];
    sets.factor[place] = weight[i];
  }
}

/// Running sums of share × hazard (element 0) and share × x̄ × hazard, of the slots before each.
Patterns::Values shared_hazard(const RiskSets& sets, const Passages& passed) {
  const Eigen::Index columns = passed.mean.cols();
  Patterns::Values out = Patterns::Values::Zero(sets.slots() + 1, columns + 1);
  for (Eigen::Index k = 0; k < sets.slots(); ++k) {
    const auto at = static_cast<std::size_t>(k);
    out(k + 1, 0) = out(k, 0) + sets.share[at] * (passed.hazard[at + 1] - passed.hazard[at]);
    out.row(k + 1).tail(columns) =
        out.row(k).tail(columns) + sets.share[at] * (passed.mean_hazard.row(k + 1) - passed.mean_hazard.row(k));
  }
  return out;
}

/// Σ (η + ψ)(η + ψ)' over the rows: η the score residual, ψ what the row tells of the weights. With
///   q(u) = Σ r w Σ_{t ≥ u} (x − x̄(t)) share(t) dΛ(t)   over rows that another cause ended before u,
/// a row adds q(T) / π(T) when censored at T, less Σ_{u ≤ T} q(u) c(u) / π(u)², π at risk and c censored at u.
Eigen::MatrixXd between_rows(const RiskSets& sets, const FineGrayInput& input, const Patterns& patterns,
                             const Passage& passage, const Hazards& hazards, const Passages& passed) {
  const Eigen::Index columns = patterns.columns(), slots = sets.slots();
  const Patterns::Values shared = shared_hazard(sets, passed);
  Eigen::MatrixXd sum = Eigen::MatrixXd::Zero(columns, columns);
  Eigen::VectorXd stayed = Eigen::VectorXd::Zero(columns + 1), told = Eigen::VectorXd::Zero(columns), q(columns),
                  residual(columns);
  double uncensored = 1;
  Eigen::Index slot = 0;  // the first whose time is not before this one
  const auto residual_of = [&](std::size_t row) {
    const Eigen::Index to = sets.to[row], pattern = patterns.of[row];
    const auto x = patterns.values.row(pattern).transpose();
    double hazard = passed.hazard[static_cast<std::size_t>(to)];
    residual = -passed.mean_hazard.row(to).transpose();
    if (competes(input, row)) {
      hazard += (shared(slots, 0) - shared(to, 0)) / uncensored;
      residual -= (shared.row(slots) - shared.row(to)).tail(columns).transpose() / uncensored;
    }
    residual = -hazards.weighted(pattern, 0) * (hazard * x + residual);
    if (input.rows.cause[row] == input.cause) residual += x - passed.mean.row(to - 1).transpose();
  };
  passage.each_time(0, [&](int time, int at_risk, const int* first, const int* last) {
    while (slot < slots && sets.time[static_cast<std::size_t>(slot)] < time) ++slot;
    int censored = 0;
    for (const int* row = first; row != last; ++row) censored += input.rows.cause[static_cast<std::size_t>(*row)] == 0;
    q = stayed.tail(columns) * (shared(slots, 0) - shared(slot, 0)) -
        stayed(0) * (shared.row(slots) - shared.row(slot)).tail(columns).transpose();
    told += q * censored / (static_cast<double>(at_risk) * at_risk);
    for (const int* row = first; row != last; ++row) {
      const auto at = static_cast<std::size_t>(*row);
      residual_of(at);
      residual -= told;
      if (input.rows.cause[at] == 0) residual += q / at_risk;
      sum += residual * residual.transpose();
    }
    for (const int* row = first; row != last; ++row)
      if (const auto at = static_cast<std::size_t>(*row); competes(input, at))
        stayed += hazards.weighted.row(patterns.of[at]).transpose() / uncensored;
    uncensored *= 1 - static_cast<double>(censored) / at_risk;
  });
  return sum;
}

}  // namespace

Checked<FineGrayFit> fine_gray(const FineGrayInput& input) {
  if (auto errors = check(input); !errors.empty()) return refuse(std::move(errors));
  auto packing = packed(input.covariates, input.rows.stop.size(), "/covariates");
  if (!packing) return refuse(std::move(packing.error()));
  const Patterns& patterns = *packing;
  RiskSets sets(input.rows, input.cause, {}, patterns.of);
  const Passage passage(input.rows, {});
  let_stay(sets, input, patterns, passage);
  auto model = maximise(sets, patterns, Ties::breslow, "/covariates");
  if (!model) return refuse(std::move(model.error()));

  const Hazards hazards(patterns, model->beta);
  const Passages passed = passages(sets, patterns, hazards, Ties::breslow);
  const Eigen::MatrixXd model_covariance =
      model->at.information.ldlt().solve(Eigen::MatrixXd::Identity(patterns.columns(), patterns.columns()));
  const Eigen::MatrixXd covariance = without_false_certainty(
      model_covariance * between_rows(sets, input, patterns, passage, hazards, passed) * model_covariance,
      model_covariance);
  FineGrayFit out;
  out.rows = static_cast<int>(patterns.of.size());
  for (std::size_t i = 0; i < patterns.of.size(); ++i) {
    out.events += input.rows.cause[i] == input.cause;
    out.censored += input.rows.cause[i] == 0;
    out.competing += competes(input, i);
  }
  out.log_likelihood_without = model->at_zero.log_likelihood;
  out.log_likelihood = model->at.log_likelihood;
  out.coefficients = coefficients(patterns, model->beta, covariance, model_covariance, input.confidence);
  out.covariance = rows_of(covariance.cwiseQuotient(patterns.scale * patterns.scale.transpose()));
  out.means.assign(patterns.centre.begin(), patterns.centre.end());
  const double at_means = std::exp(-hazards.shift);
  for (std::size_t k = 0; k < sets.time.size(); ++k)
    out.baseline.push_back({0, sets.time[k], at_means * passed.hazard[k + 1]});
  return out;
}

}  // namespace dwell::statistics
