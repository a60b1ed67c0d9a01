#pragma once
// A ward's indicators: each a count of so many, with its interval, what counts and what is left out, where the
// definition comes from, the lines behind the figure, and those of which it is not recorded.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "statistics/indicator_kind.h"
#include "statistics/lines.h"

namespace dwell::statistics {

/// share: events / of, 0 to 1. per_thousand_days: events per 1,000 line-days, of in days. minutes: a time.
enum class IndicatorMeasure { share, per_thousand_days, minutes };
BOOST_DESCRIBE_ENUM(IndicatorMeasure, share, per_thousand_days, minutes)

struct Indicator {
  IndicatorKind kind = IndicatorKind::failure_share;
  IndicatorMeasure measure = IndicatorMeasure::share;
  Message name, counted, among, left_out;
  Source source;
  int events = 0;
  double of = 0;
  std::optional<double> value, low, high;  ///< value absent: nothing to count among; low, high: none
  std::vector<std::string> lines;          ///< that are counted (looked_daily: with a day without a look), in order
  int missing = 0;  ///< lines of which it is not recorded; not in `of`, but for the days of a rate, which were watched
  std::vector<std::string> missing_lines;
};
BOOST_DESCRIBE_STRUCT(Indicator, (),
                      (kind, measure, name, counted, among, left_out, source, events, of, value, low, high, lines,
                       missing, missing_lines))

struct Indicators {
  std::vector<Indicator> indicators;  ///< each kind once, in its order
  int lines = 0;                      ///< of which they are made
  std::vector<SetAside> set_aside;    ///< rows left out, and why
  std::vector<Finding> findings;      ///< what the figures cannot know
};
BOOST_DESCRIBE_STRUCT(Indicators, (), (indicators, lines, set_aside, findings))

inline constexpr std::size_t most_lines_named = 500;

/// Of the lines that learn() counts (its group_by says nothing here). Shares with Wilson's interval, rates with the
/// exact Poisson interval, the time in which half have ended by Kaplan and Meier (failure or not). At most 500 lines
/// are named of each list; `events` and `missing` count all. Errors: as learn(). Cost: rows × kinds.
[[nodiscard]] Checked<Indicators> indicators(LearnInput input);

}  // namespace dwell::statistics
