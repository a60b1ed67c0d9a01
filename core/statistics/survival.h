#pragma once
// How long lines last. Kaplan-Meier with Greenwood's variance; the conventions (ties, limits, median) follow the
// reference implementation named in sources.md#survival.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "quantity/checked.h"
#include "quantity/figure.h"

namespace dwell::statistics {

/// One line: time on one integer scale (minutes), whether the event of interest ended it.
struct Observation {
  int time = 0;
  bool event = false;
  BOOST_DESCRIBE_CLASS(Observation, (), (time, event), (), ())
};

enum class LimitKind { log, log_log, plain };
BOOST_DESCRIBE_ENUM(LimitKind, log, log_log, plain)

struct SurvivalPoint {
  int time = 0;
  int at_risk = 0;
  int events = 0;
  int censored = 0;
  double survival = 1;
  double standard_error = 0;        ///< Greenwood, of S; 0 where S is 0, which has none
  std::optional<double> low, high;  ///< pointwise; absent where undefined
  double cumulative_hazard = 0;     ///< Nelson-Aalen
};
BOOST_DESCRIBE_STRUCT(SurvivalPoint, (),
                      (time, at_risk, events, censored, survival, standard_error, low, high, cumulative_hazard))

struct SurvivalCurve {
  int subjects = 0;
  int events = 0;
  std::vector<SurvivalPoint> points;  ///< every distinct time
  std::optional<double> median, median_low, median_high;
  double restricted_mean = 0;  ///< to the last time
  double restricted_mean_error = 0;
};
BOOST_DESCRIBE_STRUCT(SurvivalCurve, (),
                      (subjects, events, points, median, median_low, median_high, restricted_mean,
                       restricted_mean_error))

/// S(t) = Π (1 − d/n); var S = S² Σ d/[n(n − d)]; events before censorings at one time. confidence in (0, 1).
/// Errors: empty list; a time <= 0 (a same-minute line must be mended, not dropped), with its index.
[[nodiscard]] Checked<SurvivalCurve> kaplan_meier(const std::vector<Observation>& lines, double confidence,
                                                  LimitKind limits);

struct LogRank {
  double chi_square = 0;
  int degrees_of_freedom = 1;
  double p_value = 1;
};
BOOST_DESCRIBE_STRUCT(LogRank, (), (chi_square, degrees_of_freedom, p_value))

/// More groups than this say nothing that a person could act upon, and cost the cube of their number.
inline constexpr std::size_t most_groups = 500;

/// u' V⁻ u over the groups, u observed less expected events, V the sum of the hypergeometric covariances; the degrees
/// of freedom are the rank of V. Cost for N lines in K groups: N log N to sort, N K for the covariance, K³/3 for its
/// one decomposition. Errors: fewer than two groups, or more than most_groups; an empty group; a time <= 0.
[[nodiscard]] Checked<LogRank> log_rank(const std::vector<std::vector<Observation>>& groups);

}  // namespace dwell::statistics
