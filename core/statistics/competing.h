#pragma once
// How many lines come to each kind of end, when one end rules out the others. 1 minus a survival curve with the other
// ends censored is larger and no risk; this is.
#include <boost/describe.hpp>
#include <optional>
#include <vector>

#include "statistics/lifetimes.h"
#include "statistics/survival.h"

namespace dwell::statistics {

struct IncidencePoint {
  int time = 0;
  int events = 0;
  double incidence = 0;
  double standard_error = 0;
  std::optional<double> low, high;  ///< pointwise; absent where undefined
};
BOOST_DESCRIBE_STRUCT(IncidencePoint, (), (time, events, incidence, standard_error, low, high))

struct IncidenceCurve {
  int cause = 0;
  int events = 0;
  std::vector<IncidencePoint> points;  ///< where it rises; between them nothing changes
  double time_lost = 0;                ///< ∫ incidence to `to`: minutes lost to this cause
};
BOOST_DESCRIBE_STRUCT(IncidenceCurve, (), (cause, events, points, time_lost))

struct CompetingRisks {
  int group = 0;
  int rows = 0;
  int to = 0;                          ///< the horizon, or the last time where watching ends before it
  std::vector<IncidenceCurve> causes;  ///< each that ended a line of any group
};
BOOST_DESCRIBE_STRUCT(CompetingRisks, (), (group, rows, to, causes))

/// Aalen and Johansen: F_k(t) = Σ S(t−) d_k / n, S of all causes together, and the delta variance
///
///   Σ [F(t) − F(t_j)]² d / (n (n − d)) + Σ S(t_j−)² d_k (n − d_k) / n³ − 2 Σ [F(t) − F(t_j)] S(t_j−) d_k / n²
///
/// by group (empty: one), late entry allowed. Cost: rows + times × causes. wishes.cause is not used. Errors:
/// lifetimes.h; confidence; horizon. Source: sources.md#competing
[[nodiscard]] Checked<std::vector<CompetingRisks>> competing_risks(const Lifetimes& rows, const std::vector<int>& group,
                                                                   const CurveWishes& wishes);

}  // namespace dwell::statistics
