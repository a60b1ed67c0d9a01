#pragma once
// How long lines last. Kaplan-Meier with Greenwood's variance, Nelson-Aalen, restricted means; the conventions (ties,
// limits, median) follow the reference implementation named in sources.md#survival.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "quantity/checked.h"
#include "quantity/figure.h"
#include "statistics/lifetimes.h"

namespace dwell::statistics {

/// One line: time on one integer scale (minutes), whether the event of interest ended it.
struct Observation {
  int time = 0;
  bool event = false;
  BOOST_DESCRIBE_CLASS(Observation, (), (time, event), (), ())
};

enum class LimitKind { log, log_log, plain };
BOOST_DESCRIBE_ENUM(LimitKind, log, log_log, plain)

struct Limits {
  std::optional<double> low, high;  ///< absent where undefined
};
/// Pointwise limits of a share from the standard error of its logarithm; none when that is infinite. z: two_sided().
[[nodiscard]] Limits limits(double share, double error_of_log, double z, LimitKind kind);

struct SurvivalPoint {
  int time = 0;
  int at_risk = 0;
  int events = 0;
  int censored = 0;
  double survival = 1;
  double standard_error = 0;           ///< Greenwood, of S; 0 where S is 0, which has none
  std::optional<double> low, high;     ///< pointwise; absent where undefined
  double cumulative_hazard = 0;        ///< Nelson-Aalen: Σ d/n
  double cumulative_hazard_error = 0;  ///< √ Σ d/n²
};
BOOST_DESCRIBE_STRUCT(SurvivalPoint, (),
                      (time, at_risk, events, censored, survival, standard_error, low, high, cumulative_hazard,
                       cumulative_hazard_error))

struct SurvivalCurve {
  int subjects = 0;
  int events = 0;
  std::vector<SurvivalPoint> points;  ///< every distinct time
  std::optional<double> median, median_low, median_high;
  double restricted_mean = 0;  ///< to `restricted_to`
  double restricted_mean_error = 0;
  int restricted_to = 0;  ///< the horizon asked for, or the last time where watching ends before it
};
BOOST_DESCRIBE_STRUCT(SurvivalCurve, (),
                      (subjects, events, points, median, median_low, median_high, restricted_mean,
                       restricted_mean_error, restricted_to))

/// How the curves are to be drawn.
struct CurveWishes {
  double confidence = 0.95;
  LimitKind limits = LimitKind::log_log;
  std::optional<int> horizon;  ///< minutes to which the mean is taken; absent: to the last time
  std::optional<int> cause;    ///< the cause that counts, others censored; absent: any
};
BOOST_DESCRIBE_STRUCT(CurveWishes, (), (confidence, limits, horizon, cause))

/// One curve a group, in rising order of the group's number; group empty: one curve. A line that was in when watching
/// began is at risk from its age then, so a curve whose first lines are few may fall to 0 at once and stay there. Cost:
/// proportional to the rows. Errors: lifetimes.h; a horizon below 1; confidence.
[[nodiscard]] Checked<std::vector<SurvivalCurve>> survival_curves(const Lifetimes& rows, const std::vector<int>& group,
                                                                  const CurveWishes& wishes);

/// The same of lines that were all watched from their placement.
/// S(t) = Π (1 − d/n); var S = S² Σ d/[n(n − d)]; events before censorings at one time. confidence in (0, 1).
/// Errors: empty list; a time <= 0 (a same-minute line must be mended, not dropped), with its index.
[[nodiscard]] Checked<SurvivalCurve> kaplan_meier(const std::vector<Observation>& lines, double confidence,
                                                  LimitKind limits);

/// Faults of a list of observations, by path and place.
[[nodiscard]] FieldErrors check(const std::vector<Observation>& lines, const std::string& path);
/// Φ⁻¹ of the upper limit: 1.96 for 0.95.
[[nodiscard]] double two_sided(double confidence);
void check_confidence(double confidence, const std::string& path, FieldErrors& errors);

}  // namespace dwell::statistics
