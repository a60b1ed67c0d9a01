#pragma once
// How often something has happened to a line, or to a patient's lines, by a time, when it can happen again: blocked and
// freed, leaking and dressed anew, one line after another.
#include <boost/describe.hpp>
#include <optional>
#include <vector>

#include "statistics/lifetimes.h"

namespace dwell::statistics {

struct RecurrencePoint {
  int time = 0;
  int at_risk = 0;
  int events = 0;
  double mean = 0;            ///< events by this time, of one
  double standard_error = 0;  ///< between the lines: how often one has it does not change how often others do
  double low = 0, high = 0;   ///< on the scale of the logarithm
};
BOOST_DESCRIBE_STRUCT(RecurrencePoint, (), (time, at_risk, events, mean, standard_error, low, high))

struct Recurrence {
  int group = 0;
  int events = 0;
  std::vector<RecurrencePoint> points;  ///< where it rises
};
BOOST_DESCRIBE_STRUCT(Recurrence, (), (group, events, points))

/// M(t) = Σ d / n, and Σ over lines of [Σ (its events − d / n) / n while it is at risk]². A row ends by an event (any
/// cause) or not; rows.line says whose it is, and the line goes on in its next row. Cost: proportional to the rows.
/// Errors: lifetimes.h; confidence; no line numbers; a line in two groups.
[[nodiscard]] Checked<std::vector<Recurrence>> mean_cumulative(const Lifetimes& rows, const std::vector<int>& group,
                                                               double confidence);

}  // namespace dwell::statistics
