#pragma once
// The partial likelihood of proportional hazards, its score and its information, and where it is largest.
//
//   log L = Σ_ends x β − Σ_slots Σ_l log(s0 − f_l e0),   f_l = l / d for l = 0 … d − 1 (Efron), 0 (Breslow)
//
// s0, s1 sum r = exp(x β) and r x over those at risk, e0, e1 over the d who end at once. A row at risk from slot a to b
// adds r (Λ(b) − Λ(a)) to score and information, Λ the running Σ 1/(s0 − f e0), so neither needs a walk over its slots;
// and what rows of one pattern add is summed before x x' is made. Cost of an evaluation: rows × columns + (slots +
// patterns) × columns². Source: sources.md#cox
#include <Eigen/Core>
#include <boost/describe.hpp>
#include <cmath>
#include <vector>

#include "statistics/newton.h"
#include "statistics/risk_sets.h"

namespace dwell::statistics {

enum class Ties { efron, breslow };
BOOST_DESCRIBE_ENUM(Ties, efron, breslow)

/// The sums over the ends of one slot that all else is made of: with v_l = s0 − f_l e0,
struct TieSums {
  double log_sum = 0;             ///< Σ log v
  double hazard = 0;              ///< Σ 1/v
  double hazard_of_ended = 0;     ///< Σ (1 − f)/v
  double c0 = 0, c1 = 0, c2 = 0;  ///< Σ 1/v², Σ f/v², Σ f²/v²
};
[[nodiscard]] TieSums tie_sums(double s0, double e0, int ends, Ties ties);

/// r and r x of each pattern, r = exp(x β − shift), shift the largest x β (x β with the pattern's offset).
struct Hazards {
  Patterns::Values weighted;
  Eigen::VectorXd linear;  ///< x β − shift
  double shift = 0;
  Hazards(const Patterns& patterns, const Eigen::VectorXd& beta);
};

/// Each slot counts slot_weight times (0 or more; empty: once).
[[nodiscard]] Evaluation evaluate(const RiskSets& sets, const Patterns& patterns, const Eigen::VectorXd& beta,
                                  Ties ties, const std::vector<double>& slot_weight);

/// What each slot adds to the cumulative hazard, and the columns' mean there; sums of slots before k stand at k.
struct Passages {
  std::vector<double> hazard;           ///< Σ hazard of the slots before
  std::vector<double> hazard_variance;  ///< Σ Σ_l 1/v²
  Patterns::Values mean_hazard;         ///< Σ Σ_l x̄_l / v
  // of the slot itself
  std::vector<double> spared;    ///< hazard that those who end are spared: Σ f / v
  Patterns::Values mean;         ///< Σ_l x̄_l / d
  Patterns::Values spared_mean;  ///< Σ f x̄_l / v
};
[[nodiscard]] Passages passages(const RiskSets& sets, const Patterns& patterns, const Hazards& hazards, Ties ties);

/// Newton-Raphson from 0, a step halved when the likelihood falls. Errors, by column: one that is the same wherever a
/// line ended, or follows from others; one whose coefficient has no finite value (it parts those that end from those
/// that do not); sums that do not settle.
[[nodiscard]] Checked<Maximum> maximise(const RiskSets& sets, const Patterns& patterns, Ties ties,
                                        const std::string& at);

}  // namespace dwell::statistics
