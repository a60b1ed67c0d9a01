#pragma once
// How long does a line last, all else being equal, when its dwell has a known shape? A parametric model of the
// logarithm of the dwell with censoring (accelerated failure time), which also says something beyond the last line
// seen.
//
//   log T = x β + σ W,   W of the smallest extreme value (Weibull; σ = 1: exponential), normal or logistic
//
// Worked out in δ = β / σ and τ = 1 / σ, in which each of these likelihoods has one top only.
// Source: sources.md#lifetime-models
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "statistics/covariates.h"
#include "statistics/lifetimes.h"

namespace dwell::statistics {

enum class LifetimeShape { exponential, weibull, log_normal, log_logistic };
BOOST_DESCRIBE_ENUM(LifetimeShape, exponential, weibull, log_normal, log_logistic)

struct LifetimeModelInput {
  Lifetimes rows;         ///< all watched from placement
  int cause = 1;          ///< the cause that counts; other ends are censored (hazard of this cause)
  Covariates covariates;  ///< may have no columns: all lines alike
  LifetimeShape shape = LifetimeShape::weibull;
  double confidence = 0.95;
  std::vector<std::vector<double>> profiles;  ///< columns of lines to foretell
  std::vector<int> at;                        ///< minutes at which to foretell survival, from 1
  std::vector<double> shares;                 ///< of the lines ended, above 0, below 1: 0.5 foretells the median
};
BOOST_DESCRIBE_STRUCT(LifetimeModelInput, (), (rows, cause, covariates, shape, confidence, profiles, at, shares))

struct LifetimeCoefficient {
  std::string name;
  double coefficient = 0;  ///< of log minutes: above 0 lasts longer
  double standard_error = 0;
  double time_ratio = 1, low = 1, high = 1;  ///< e^coefficient: how many times as long
  /// Of a Weibull or exponential model: e^(−coefficient / σ), the failures a day beside another's.
  std::optional<double> hazard_ratio, hazard_low, hazard_high;
  double z = 0, p_value = 1;
};
BOOST_DESCRIBE_STRUCT(LifetimeCoefficient, (),
                      (name, coefficient, standard_error, time_ratio, low, high, hazard_ratio, hazard_low, hazard_high,
                       z, p_value))

struct ForetoldSurvival {
  int profile = 0, time = 0;
  double survival = 1, low = 1, high = 1;
};
BOOST_DESCRIBE_STRUCT(ForetoldSurvival, (), (profile, time, survival, low, high))

struct ForetoldTime {
  int profile = 0;
  double share = 0;                    ///< of the lines that have ended
  double time = 0, low = 0, high = 0;  ///< by then, minutes
};
BOOST_DESCRIBE_STRUCT(ForetoldTime, (), (profile, share, time, low, high))

struct LifetimeModel {
  int rows = 0, events = 0;
  double log_likelihood_without = 0;  ///< of the same shape without columns
  double log_likelihood = 0;
  double intercept = 0, intercept_error = 0;  ///< log minutes, of a line with each column 0
  double log_scale = 0, log_scale_error = 0;  ///< ln σ; exponential: 0, known
  std::vector<LifetimeCoefficient> coefficients;
  std::vector<std::vector<double>> covariance;  ///< of intercept, coefficients and (not exponential) ln σ
  std::vector<ForetoldSurvival> survival;
  std::vector<ForetoldTime> times;
};
BOOST_DESCRIBE_STRUCT(LifetimeModel, (),
                      (rows, events, log_likelihood_without, log_likelihood, intercept, intercept_error, log_scale,
                       log_scale_error, coefficients, covariance, survival, times))

/// Errors: lifetimes.h and covariates.h; lines that were in when watching began; no line that ended by the cause; a
/// column that is constant, follows from others, or parts the lines that ended from those that did not, by name; times
/// that lie exactly where the columns put them, so that σ would be 0; profiles of another number of columns; minutes
/// below 1; shares outside 0 to 1. Cost: at most 60 steps (and the same without columns), each proportional to rows +
/// patterns × columns².
[[nodiscard]] Checked<LifetimeModel> lifetime_model(const LifetimeModelInput& input);

}  // namespace dwell::statistics
