#include "statistics/cox.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <cmath>

#include "quantity/display.h"
#include "say/quantity.h"
#include "say/statistics.h"
#include "statistics/survival.h"

namespace dwell::statistics {
namespace {

FieldErrors check(const CoxInput& input) {
  FieldErrors errors = check(input.rows, most_causes, "/rows");
  check_beside(input.stratum, input.rows, "/stratum", errors);
  check_beside(input.patient, input.rows, "/patient", errors);
  check_confidence(input.confidence, "/confidence", errors);
  check_cause(input.rows, input.cause, errors);
  const auto columns = static_cast<std::int64_t>(input.covariates.columns.size());
  if (!input.term.empty() && input.term.size() != input.covariates.columns.size())
    errors.push_back({"/term", std::to_string(input.term.size()), say::as_many_as_the_columns(columns)});
  check_profiles(input.profiles, input.covariates, errors);
  return errors;
}

/// Σ over patients of (Σ over their rows of the score residual)(…)'. The residual of a row: what it did beyond what was
/// expected of it, (x − x̄) of its end less r ∫ (x − x̄) dΛ while it was at risk.
Eigen::MatrixXd between_patients(const CoxInput& input, const RiskSets& sets, const Patterns& patterns,
                                 const Hazards& hazards, const Passages& passed) {
  const Numbered patient = numbered(input.patient);
  const Eigen::Index columns = patterns.columns();
  Patterns::Values sums = Patterns::Values::Zero(patient.count(), columns);
  Eigen::RowVectorXd met(columns);
  for (std::size_t i = 0; i < patterns.of.size(); ++i) {
    const int from = sets.from[i], to = sets.to[i];
    if (from >= to) continue;
    const Eigen::Index pattern = patterns.of[i];
    const auto x = patterns.values.row(pattern);
    auto sum = sums.row(patient[i]);
    double hazard = passed.hazard[static_cast<std::size_t>(to)] - passed.hazard[static_cast<std::size_t>(from)];
    met = passed.mean_hazard.row(to) - passed.mean_hazard.row(from);
    if (input.rows.cause[i] == input.cause) {
      hazard -= passed.spared[static_cast<std::size_t>(to - 1)];
      met -= passed.spared_mean.row(to - 1);
      sum += x - passed.mean.row(to - 1);
    }
    sum -= hazards.weighted(pattern, 0) * (hazard * x - met);
  }
  return sums.transpose() * sums;
}

std::vector<HazardStep> baseline(const RiskSets& sets, const Numbered& stratum, const Hazards& hazards,
                                 const Passages& passed) {
  std::vector<HazardStep> out;
  // Hazards are relative to the largest x β; a line at the means has x β = 0.
  const double at_means = std::exp(-hazards.shift);
  for (std::size_t k = 0; k < sets.time.size(); ++k) {
    const auto s = static_cast<std::size_t>(sets.stratum[k]);
    const double before = passed.hazard[static_cast<std::size_t>(sets.first_slot[s])];
    out.push_back(
        {stratum.of.empty() ? 0 : stratum.values[s], sets.time[k], at_means * (passed.hazard[k + 1] - before)});
  }
  return out;
}

void add_survival(Foretold& one, double z) {
  one.survival = std::exp(-one.hazard);
  if (one.hazard <= 0) return;
  const double width = z * one.hazard_error / one.hazard;
  one.low = std::exp(-one.hazard * std::exp(width));
  one.high = std::exp(-one.hazard * std::exp(-width));
}

/// H(t | x) = e^{xβ} H0(t), and its variance e^{2xβ} [Σ 1/v² + c' V c], c = Σ (x̄ − x) dH0.
std::vector<Foretold> foretell(const CoxInput& input, const RiskSets& sets, const Numbered& stratum,
                               const Patterns& patterns, const Eigen::VectorXd& beta, const Eigen::MatrixXd& covariance,
                               const Hazards& hazards, const Passages& passed) {
  std::vector<Foretold> out;
  const double z = two_sided(input.confidence);
  for (std::size_t profile = 0; profile < input.profiles.size(); ++profile) {
    const Eigen::VectorXd x =
        (Eigen::Map<const Eigen::VectorXd>(input.profiles[profile].data(), patterns.columns()) - patterns.centre)
            .cwiseQuotient(patterns.scale);
    const double ratio = std::exp(x.dot(beta) - hazards.shift);
    for (std::size_t s = 0; s + 1 < sets.first_slot.size(); ++s)
      for (const int time : input.at) {
        const auto first = sets.time.begin() + sets.first_slot[s], last = sets.time.begin() + sets.first_slot[s + 1];
        const auto from = static_cast<std::size_t>(sets.first_slot[s]);
        const auto to = static_cast<std::size_t>(std::upper_bound(first, last, time) - sets.time.begin());
        const double hazard = passed.hazard[to] - passed.hazard[from];
        const Eigen::VectorXd c = (passed.mean_hazard.row(static_cast<Eigen::Index>(to)) -
                                   passed.mean_hazard.row(static_cast<Eigen::Index>(from)))
                                      .transpose() -
                                  hazard * x;
        Foretold one;
        one.profile = static_cast<int>(profile);
        one.stratum = stratum.of.empty() ? 0 : stratum.values[s];
        one.time = time;
        one.hazard = ratio * hazard;
        one.hazard_error =
            ratio * std::sqrt(passed.hazard_variance[to] - passed.hazard_variance[from] + c.dot(covariance * c));
        add_survival(one, z);
        out.push_back(one);
      }
  }
  return out;
}

}  // namespace

Eigen::MatrixXd without_false_certainty(Eigen::MatrixXd between, const Eigen::MatrixXd& model_covariance) {
  constexpr double nothing = 1e-12;
  for (Eigen::Index j = 0; j < between.rows(); ++j)
    if (!(between(j, j) > nothing * model_covariance(j, j))) between(j, j) = model_covariance(j, j);
  return between;
}

std::vector<Coefficient> coefficients(const Patterns& patterns, const Eigen::VectorXd& beta,
                                      const Eigen::MatrixXd& covariance, const Eigen::MatrixXd& model_covariance,
                                      double confidence) {
  const double z = two_sided(confidence);
  std::vector<Coefficient> out;
  for (Eigen::Index j = 0; j < beta.size(); ++j) {
    Coefficient one;
    one.name = patterns.names[static_cast<std::size_t>(j)];
    one.coefficient = beta(j) / patterns.scale(j);
    one.standard_error = std::sqrt(covariance(j, j)) / patterns.scale(j);
    if (&covariance != &model_covariance) one.model_error = std::sqrt(model_covariance(j, j)) / patterns.scale(j);
    one.hazard_ratio = std::exp(one.coefficient);
    one.low = std::exp(one.coefficient - z * one.standard_error);
    one.high = std::exp(one.coefficient + z * one.standard_error);
    one.z = one.standard_error > 0 ? one.coefficient / one.standard_error : 0;
    one.p_value = 2 * boost::math::cdf(boost::math::complement(boost::math::normal(), std::abs(one.z)));
    out.push_back(one);
  }
  return out;
}

std::vector<std::vector<double>> rows_of(const Eigen::MatrixXd& matrix) {
  std::vector<std::vector<double>> out;
  for (Eigen::Index i = 0; i < matrix.rows(); ++i) {
    const Eigen::VectorXd row = matrix.row(i);
    out.emplace_back(row.begin(), row.end());
  }
  return out;
}

Checked<CoxFit> cox(const CoxInput& input) {
  if (auto errors = check(input); !errors.empty()) return refuse(std::move(errors));
  auto packing = packed(input.covariates, input.rows.stop.size(), "/covariates");
  if (!packing) return refuse(std::move(packing.error()));
  const Patterns& patterns = *packing;
  if (const int patients = numbered(input.patient).count(); !input.patient.empty() && patients <= patterns.columns())
    return refuse("/patient", std::to_string(patients), say::more_patients_than_columns(patterns.columns()));
  const Numbered stratum = numbered(input.stratum);
  const RiskSets sets(input.rows, input.cause, stratum, patterns.of);
  auto model = maximise(sets, patterns, input.ties, "/covariates");
  if (!model) return refuse(std::move(model.error()));

  const Eigen::LDLT<Eigen::MatrixXd> information(model->at.information);
  const Eigen::MatrixXd model_covariance =
      information.solve(Eigen::MatrixXd::Identity(patterns.columns(), patterns.columns()));
  const Hazards hazards(patterns, model->beta);
  const Passages passed = passages(sets, patterns, hazards, input.ties);
  Eigen::MatrixXd by_patient;
  if (!input.patient.empty())
    by_patient = without_false_certainty(
        model_covariance * between_patients(input, sets, patterns, hazards, passed) * model_covariance,
        model_covariance);
  const Eigen::MatrixXd& covariance = input.patient.empty() ? model_covariance : by_patient;

  CoxFit out;
  out.rows = static_cast<int>(patterns.of.size());
  for (const int ends : sets.ends) out.events += ends;
  out.patterns = static_cast<int>(patterns.values.rows());
  out.log_likelihood_without = model->at_zero.log_likelihood;
  out.log_likelihood = model->at.log_likelihood;
  out.score_test = model->at_zero.score.dot(model->at_zero.information.ldlt().solve(model->at_zero.score));
  out.wald_test = model->beta.dot(covariance.ldlt().solve(model->beta));
  out.coefficients = coefficients(patterns, model->beta, covariance, model_covariance, input.confidence);
  out.covariance = rows_of(covariance.cwiseQuotient(patterns.scale * patterns.scale.transpose()));
  out.means.assign(patterns.centre.begin(), patterns.centre.end());
  out.baseline = baseline(sets, stratum, hazards, passed);
  out.concordance = concordance(sets, hazards.linear);
  if (input.proportionality)
    out.proportionality =
        proportionality(sets, patterns, *model, input.ties,
                        slot_times(sets, input.rows, input.cause, *input.proportionality), input.term);
  out.foretold = foretell(input, sets, stratum, patterns, model->beta, covariance, hazards, passed);
  return out;
}

}  // namespace dwell::statistics
