#pragma once
// Did a change do something? Figures in time before and after it: the level and the trend that there were, the step at
// the change and the change of trend (segmented regression of an interrupted series). Source: sources.md#segments
#include <boost/describe.hpp>
#include <optional>
#include <vector>

#include "quantity/checked.h"
#include "quantity/figure.h"

namespace dwell::statistics {

/// level: figures as they are, by least squares. counts: events of so many lines or days, on the scale of the
/// logarithm (Poisson), with as much more variance than chance as the points show.
enum class SeriesKind { level, counts };
BOOST_DESCRIBE_ENUM(SeriesKind, level, counts)

struct SegmentsInput {
  SeriesKind kind = SeriesKind::level;
  std::vector<double> value;  ///< level: the figures, in order of time and equally apart
  std::vector<int> events;    ///< counts
  std::vector<double> of;     ///< counts: lines or days watched, above 0
  int change = 0;             ///< the place, from 0, of the first point after the change
  /// Points go with those before them, by so many: errors by Newey and West. Absent: each point stands alone.
  std::optional<int> lags;
  double confidence = 0.95;
};
BOOST_DESCRIBE_STRUCT(SegmentsInput, (), (kind, value, events, of, change, lags, confidence))

struct SeriesTerm {
  double coefficient = 0;  ///< counts: of the logarithm
  double standard_error = 0;
  double low = 0, high = 0;
  double p_value = 1;
};
BOOST_DESCRIBE_STRUCT(SeriesTerm, (), (coefficient, standard_error, low, high, p_value))

struct SeriesPoint {
  double value = 0;                      ///< counts: events / of
  double foretold = 0;                   ///< by the model
  std::optional<double> without_change;  ///< after the change: had things gone on as before
};
BOOST_DESCRIBE_STRUCT(SeriesPoint, (), (value, foretold, without_change))

struct Segments {
  SeriesTerm start, trend, step, trend_change;  ///< at the first point; a point; at the change; a point
  /// At the last point: the figure less what it would have been (level), or as a multiple of it (counts).
  double effect = 0, effect_low = 0, effect_high = 0;
  double dispersion = 0;          ///< level: variance about the model; counts: variance beside chance's, never below 1
  double goes_with_the_last = 0;  ///< correlation of what is left at a point with what is left at the one before
  std::vector<SeriesPoint> points;
  Message answer;
  std::vector<Finding> findings;  ///< points that go together, or are few
};
BOOST_DESCRIBE_STRUCT(Segments, (),
                      (start, trend, step, trend_change, effect, effect_low, effect_high, dispersion,
                       goes_with_the_last, points, answer, findings))

inline constexpr int least_points_a_side = 3, most_series_points = 10'000;

/// y = b0 + b1 t + b2 after + b3 (t − change) after; counts: ln(expected / of). Limits by Student's t on points − 4.
/// With lags L: (X'WX)⁻¹ [Γ0 + Σ (1 − l / (L + 1)) (Γl + Γl')] (X'WX)⁻¹, Γl = Σ s(t) s(t − l)', s the score of a point.
/// Errors: fewer than 3 points on a side, or more than 10,000; a value that is no number; events below 0; nothing
/// watched; events too few for a trend on a side; points that lie on the model exactly; lags below 1 or more than a
/// third of the points; confidence.
[[nodiscard]] Checked<Segments> segments(const SegmentsInput& input);

}  // namespace dwell::statistics
