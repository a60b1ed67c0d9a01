#include "statistics/lifetime_model.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <limits>

#include "quantity/display.h"
#include "say/quantity.h"
#include "say/statistics.h"
#include "statistics/cox.h"
#include "statistics/newton.h"
#include "statistics/survival.h"

namespace dwell::statistics {
namespace {

/// A logarithm and its first two derivatives by z.
struct Term {
  double log = 0, first = 0, second = 0;
};

/// ln(1 − Φ(z)), whose slope is the hazard φ(z) / (1 − Φ(z)); far out by its continued fraction z + 1/(z + 2/(z +
/// 3/…)).
Term normal_beyond(double z, double log_density) {
  constexpr double far = 6;
  double log = 0, hazard = z;
  if (z < far) {
    const double share = cdf(complement(boost::math::normal(), z));
    log = std::log(share);
    hazard = std::exp(log_density) / share;
  } else {
    for (int k = 60; k >= 1; --k) hazard = z + k / hazard;
    log = log_density - std::log(hazard);
  }
  return {log, -hazard, -hazard * (hazard - z)};
}

/// Of a line that ended: the log density of W at z; of one that did not: the log of the share beyond z.
Term term(LifetimeShape shape, double z, bool ended) {
  switch (shape) {
    case LifetimeShape::exponential:
    case LifetimeShape::weibull: {
      const double e = std::exp(z);
      return ended ? Term{z - e, 1 - e, -e} : Term{-e, -e, -e};
    }
    case LifetimeShape::log_logistic: {
      // ln(1 + e^z) without overflow, and e^z / (1 + e^z).
      const double soft = std::max(z, 0.0) + std::log1p(std::exp(-std::abs(z)));
      const double p = z > 0 ? 1 / (1 + std::exp(-z)) : std::exp(z) / (1 + std::exp(z));
      return ended ? Term{z - 2 * soft, 1 - 2 * p, -2 * p * (1 - p)} : Term{-soft, -p, -p * (1 - p)};
    }
    case LifetimeShape::log_normal: break;
  }
  const double log_density = -z * z / 2 - std::log(boost::math::constants::root_two_pi<double>());
  if (ended) return {log_density, -z, -1};
  return normal_beyond(z, log_density);
}

/// The share of W beyond z.
double beyond(LifetimeShape shape, double z) { return std::exp(term(shape, z, false).log); }

/// W that a share p of lines has passed.
double quantile_of(LifetimeShape shape, double p) {
  switch (shape) {
    case LifetimeShape::exponential:
    case LifetimeShape::weibull: return std::log(-std::log1p(-p));
    case LifetimeShape::log_logistic: return std::log(p / (1 - p));
    case LifetimeShape::log_normal: break;
  }
  return quantile(boost::math::normal(), p);
}

/// The rows as the likelihood sees them: log minutes, standardised unless the scale is known.
struct Dwells {
  std::vector<double> y;
  std::vector<char> ended;
  double centre = 0, spread = 1;
  double sum_of_logs = 0;  // of the ended
  int events = 0;
};

Dwells dwells(const LifetimeModelInput& input) {
  Dwells out;
  const std::size_t n = input.rows.stop.size();
  for (std::size_t i = 0; i < n; ++i) {
    out.y.push_back(std::log(static_cast<double>(input.rows.stop[i])));
    out.ended.push_back(input.rows.cause[i] == input.cause ? 1 : 0);
    out.centre += out.y[i] / static_cast<double>(n);
    if (out.ended[i] != 0) out.sum_of_logs += out.y[i];
    out.events += out.ended[i];
  }
  double squares = 0;
  for (double& y : out.y) {
    y -= out.centre;
    squares += y * y;
  }
  if (input.shape == LifetimeShape::exponential) return out;
  if (squares > 0) out.spread = std::sqrt(squares / static_cast<double>(n));
  for (double& y : out.y) y /= out.spread;
  return out;
}

/// Parameters: δ of the intercept, δ of the columns, and τ unless it is known to be 1. z = τ y − (1, x) δ.
class Likelihood {
 public:
  Likelihood(LifetimeShape shape, const Dwells& dwells, const Patterns& patterns)
      : shape_(shape), dwells_(dwells), patterns_(patterns), design_(patterns.values.rows(), patterns.columns() + 1) {
    design_ << Eigen::VectorXd::Ones(patterns.values.rows()), patterns.values;
  }
  [[nodiscard]] bool scale_known() const { return shape_ == LifetimeShape::exponential; }
  [[nodiscard]] Eigen::Index size() const { return design_.cols() + (scale_known() ? 0 : 1); }

  [[nodiscard]] Evaluation operator()(const Eigen::VectorXd& at) const {
    const Eigen::Index columns = design_.cols();
    const double tau = scale_known() ? 1 : at(columns);
    Evaluation out;
    out.log_likelihood = -std::numeric_limits<double>::infinity();
    if (!(tau > 0)) return out;
    const Eigen::VectorXd linear = design_ * at.head(columns);
    Eigen::VectorXd first = Eigen::VectorXd::Zero(linear.size()), second = first, second_y = first;
    double sum = 0, first_y = 0, second_yy = 0;
    for (std::size_t i = 0; i < dwells_.y.size(); ++i) {
      const Eigen::Index p = patterns_.of[i];
      const double y = dwells_.y[i];
      const Term one = term(shape_, tau * y - linear(p), dwells_.ended[i] != 0);
      sum += one.log;
      first(p) += one.first;
      second(p) += one.second;
      second_y(p) += one.second * y;
      first_y += one.first * y;
      second_yy += one.second * y * y;
    }
    const double d = dwells_.events;
    out.log_likelihood = sum + d * std::log(tau / dwells_.spread) - dwells_.sum_of_logs;
    out.score.resize(size());
    out.information.resize(size(), size());
    out.score.head(columns) = -design_.transpose() * first;
    out.information.topLeftCorner(columns, columns) = design_.transpose() * (-second).asDiagonal() * design_;
    if (!scale_known()) {
      out.score(columns) = first_y + d / tau;
      out.information.col(columns).head(columns) = design_.transpose() * second_y;
      out.information.row(columns).head(columns) = out.information.col(columns).head(columns).transpose();
      out.information(columns, columns) = d / (tau * tau) - second_yy;
    }
    return out;
  }

  /// Where the intercept may begin: of an exponential at its top, of others in the middle of the dwells.
  [[nodiscard]] double centre() const {
    if (shape_ != LifetimeShape::exponential && shape_ != LifetimeShape::weibull) return 0;
    double sum = 0;
    for (const double y : dwells_.y) sum += std::exp(y);
    return std::log(sum / dwells_.events);
  }

  /// What the columns tell beside the intercept.
  [[nodiscard]] FieldErrors check(const Evaluation& at, const std::string& path) const {
    const Eigen::Index columns = patterns_.columns();
    if (columns == 0) return {};
    const Eigen::MatrixXd of = at.information.block(1, 1, columns, columns);
    const Eigen::VectorXd with = at.information.block(1, 0, columns, 1);
    return check_independent(of - with * with.transpose() / at.information(0, 0), of.diagonal(), patterns_.names, path);
  }

 private:
  LifetimeShape shape_;
  const Dwells& dwells_;
  const Patterns& patterns_;
  Eigen::MatrixXd design_;
};

Checked<Maximum> fitted(const Likelihood& likelihood, const Patterns& patterns) {
  Maximum from;
  from.beta = Eigen::VectorXd::Zero(likelihood.size());
  const Eigen::Index columns = patterns.columns();
  from.beta(0) = likelihood.centre();
  if (!likelihood.scale_known()) from.beta(columns + 1) = 1;
  from.at_zero = from.at = likelihood(from.beta);
  if (auto errors = likelihood.check(from.at, "/covariates"); !errors.empty()) return refuse(std::move(errors));
  return climb(
      std::move(from), likelihood,
      [&](const Climbing& now) {
        constexpr double nothing = 1e7;  // 1 / σ of dwells of spread 1
        if (!likelihood.scale_known() && now.beta(columns + 1) > nothing)
          return FieldErrors{{"/rows/stop", std::to_string(patterns.of.size()), say::scatter_about_the_model()}};
        return parting(patterns, now.step.segment(1, columns), now.gain, "/covariates");
      },
      "/covariates");
}

/// The parameters as people know them: intercept, coefficients, ln σ; and how they move with those of the likelihood.
struct Parameters {
  Eigen::VectorXd value;
  Eigen::MatrixXd covariance;
};

Parameters parameters(const Likelihood& likelihood, const Dwells& dwells, const Patterns& patterns,
                      const Eigen::VectorXd& at, const Eigen::MatrixXd& covariance) {
  const Eigen::Index columns = patterns.columns(), size = likelihood.size();
  const double tau = likelihood.scale_known() ? 1 : at(columns + 1), scale = dwells.spread / tau;
  Parameters out;
  Eigen::MatrixXd by = Eigen::MatrixXd::Zero(size, size);
  out.value = Eigen::VectorXd::Zero(size);
  out.value(0) = dwells.centre + scale * at(0);
  by(0, 0) = scale;
  for (Eigen::Index j = 0; j < columns; ++j) {
    const double unit = scale / patterns.scale(j);
    out.value(j + 1) = unit * at(j + 1);
    out.value(0) -= patterns.centre(j) * out.value(j + 1);
    by(j + 1, j + 1) = unit;
    by(0, j + 1) = -patterns.centre(j) * unit;
  }
  if (!likelihood.scale_known()) {
    out.value(size - 1) = std::log(scale);
    by.col(size - 1) = -out.value / tau;
    by(0, size - 1) += dwells.centre / tau;
    by(size - 1, size - 1) = -1 / tau;
  }
  out.covariance = by * covariance * by.transpose();
  return out;
}

LifetimeCoefficient coefficient(const LifetimeModelInput& input, const Patterns& patterns, Eigen::Index j,
                                const Parameters& known, double delta, double delta_error) {
  const double z = two_sided(input.confidence);
  LifetimeCoefficient one;
  one.name = patterns.names[static_cast<std::size_t>(j)];
  one.coefficient = known.value(j + 1);
  one.standard_error = std::sqrt(known.covariance(j + 1, j + 1));
  one.time_ratio = std::exp(one.coefficient);
  one.low = std::exp(one.coefficient - z * one.standard_error);
  one.high = std::exp(one.coefficient + z * one.standard_error);
  one.z = one.coefficient / one.standard_error;
  one.p_value = 2 * cdf(complement(boost::math::normal(), std::abs(one.z)));
  if (input.shape == LifetimeShape::weibull || input.shape == LifetimeShape::exponential) {
    const double log_ratio = -delta / patterns.scale(j), error = delta_error / patterns.scale(j);
    one.hazard_ratio = std::exp(log_ratio);
    one.hazard_low = std::exp(log_ratio - z * error);
    one.hazard_high = std::exp(log_ratio + z * error);
  }
  return one;
}

/// z at a time is τ y − (1, x) δ, so it and its error are straight sums; the share beyond it stays within 0 and 1.
void foretell(const LifetimeModelInput& input, const Dwells& dwells, const Patterns& patterns,
              const Eigen::VectorXd& at, const Eigen::MatrixXd& covariance, const Parameters& known,
              LifetimeModel& out) {
  const double wide = two_sided(input.confidence);
  const Eigen::Index columns = patterns.columns(), size = at.size();
  const bool scale_known = size == columns + 1;
  for (std::size_t profile = 0; profile < input.profiles.size(); ++profile) {
    const Eigen::Map<const Eigen::VectorXd> raw(input.profiles[profile].data(), columns);
    const int number = static_cast<int>(profile);
    Eigen::VectorXd by(size);
    by(0) = -1;
    by.segment(1, columns) = columns > 0 ? Eigen::VectorXd((patterns.centre - raw).cwiseQuotient(patterns.scale)) : raw;
    for (const int time : input.at) {
      const double y = (std::log(static_cast<double>(time)) - dwells.centre) / dwells.spread;
      if (!scale_known) by(size - 1) = y;
      const double z = by.dot(at) + (scale_known ? y : 0), error = std::sqrt(by.dot(covariance * by));
      out.survival.push_back({number, time, beyond(input.shape, z), beyond(input.shape, z + wide * error),
                              beyond(input.shape, z - wide * error)});
    }
    by(0) = 1;
    by.segment(1, columns) = raw;
    for (const double share : input.shares) {
      const double w = quantile_of(input.shape, share) * std::exp(out.log_scale);
      if (!scale_known) by(size - 1) = w;
      const double log_time = known.value.head(columns + 1).dot(by.head(columns + 1)) + w;
      const double error = std::sqrt(by.dot(known.covariance * by));
      out.times.push_back(
          {number, share, std::exp(log_time), std::exp(log_time - wide * error), std::exp(log_time + wide * error)});
    }
  }
}

FieldErrors check(const LifetimeModelInput& input) {
  FieldErrors errors = check(input.rows, most_causes, "/rows");
  check_confidence(input.confidence, "/confidence", errors);
  check_watched_from_placement(input.rows, "/rows", errors);
  check_cause(input.rows, input.cause, errors);
  check_profiles(input.profiles, input.covariates, errors);
  for (std::size_t i = 0; i < input.at.size() && errors.size() < most_errors; ++i)
    if (input.at[i] < 1 || input.at[i] > most_minutes)
      errors.push_back({"/at/" + std::to_string(i), std::to_string(input.at[i]),
                        say::number_from_to(shown_number(1), shown_number(most_minutes))});
  for (std::size_t i = 0; i < input.shares.size() && errors.size() < most_errors; ++i)
    if (!(input.shares[i] > 0 && input.shares[i] < 1))
      errors.push_back({"/shares/" + std::to_string(i), show_number(input.shares[i]), say::between_zero_and_one()});
  return errors;
}

}  // namespace

Checked<LifetimeModel> lifetime_model(const LifetimeModelInput& input) {
  if (auto errors = check(input); !errors.empty()) return refuse(std::move(errors));
  const auto packing = packed_if_any(input.covariates, input.rows.stop.size(), "/covariates");
  if (!packing) return refuse(packing.error());
  const auto without = packed_if_any({}, input.rows.stop.size(), "/covariates");
  const Patterns& patterns = *packing;
  const Dwells seen = dwells(input);
  const Likelihood likelihood(input.shape, seen, patterns), plain(input.shape, seen, *without);
  const auto base = fitted(plain, *without);
  if (!base) return refuse(base.error());
  const auto model = fitted(likelihood, patterns);
  if (!model) return refuse(model.error());

  const Eigen::Index size = likelihood.size();
  const Eigen::MatrixXd covariance = model->at.information.ldlt().solve(Eigen::MatrixXd::Identity(size, size));
  const Parameters known = parameters(likelihood, seen, patterns, model->beta, covariance);
  LifetimeModel out;
  out.rows = static_cast<int>(seen.y.size());
  out.events = seen.events;
  out.log_likelihood_without = base->at.log_likelihood;
  out.log_likelihood = model->at.log_likelihood;
  out.intercept = known.value(0);
  out.intercept_error = std::sqrt(known.covariance(0, 0));
  if (!likelihood.scale_known()) {
    out.log_scale = known.value(size - 1);
    out.log_scale_error = std::sqrt(known.covariance(size - 1, size - 1));
  }
  for (Eigen::Index j = 0; j < patterns.columns(); ++j)
    out.coefficients.push_back(
        coefficient(input, patterns, j, known, model->beta(j + 1), std::sqrt(covariance(j + 1, j + 1))));
  out.covariance = rows_of(known.covariance);
  foretell(input, seen, patterns, model->beta, covariance, known, out);
  return out;
}

}  // namespace dwell::statistics
