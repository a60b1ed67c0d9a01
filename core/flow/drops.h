#pragma once
// What does the drip I count really give? From tap times to a rate with its honest uncertainty, and the advice to speed
// up or slow down. The drop itself is only known to ± 10 % (ISO 8536-4), so a count alone can never be sharper.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"
#include "quantity/time.h"

namespace dwell::flow {

struct DripCount {
  std::vector<Duration> taps;  ///< moment of each counted drop since any start, rising; at least 3
  DropFactor drop_factor;
  std::optional<Flow> ordered;
  Ratio drop_size_tolerance;                       ///< half-width, 0.1 by ISO 8536-4
  Ratio catch_up_limit = Ratio::from_value(0.25);  ///< how far from the order needs no word with the prescriber
};
BOOST_DESCRIBE_STRUCT(DripCount, (), (taps, drop_factor, ordered, drop_size_tolerance, catch_up_limit))

enum class DripAdvice { hold, slower, faster, count_longer, none };
BOOST_DESCRIBE_ENUM(DripAdvice, hold, slower, faster, count_longer, none)

struct DripEstimate {
  DropRate drop_rate, drop_rate_low, drop_rate_high;  ///< 95 % by tap times
  Flow flow, flow_low, flow_high;                     ///< the drop-size tolerance added in quadrature
  int drops_counted = 0;
  std::optional<Ratio> excess;  ///< (flow - ordered) / ordered
  DripAdvice advice = DripAdvice::none;
  int change_drops_per_minute = 0;  ///< faster (+) or slower (-) by so many
  Message advice_text;
  std::vector<Finding> findings;  ///< how much it matters: near the order at most information
  std::vector<int> missed_taps;   ///< index of intervals that look like a missed or doubled tap
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(DripEstimate, (),
                      (drop_rate, drop_rate_low, drop_rate_high, flow, flow_low, flow_high, drops_counted, excess,
                       advice, change_drops_per_minute, advice_text, findings, missed_taps, workings))

/// Least-squares (maximum-likelihood for equal tap jitter) slope of drop number against tap time:  t_i = t_0 + i T +
/// e_i, rate = 1/T, interval by Student's t on the jitter. Flow = rate / drop factor.
///
/// The clamp is left alone only when the order lies inside the interval, and the interval inside the catch-up limit:
/// a drip of which little is known is counted longer. Twice the order is a stop whatever the taps look like, and no
/// "little" is said of it; half the order is not opened before the site was looked at (common practice, no source).
/// Errors: fewer than 3 taps, taps not rising, drop factor outside 5 to 100 drops/mL, more than 1,000 taps.
[[nodiscard]] Checked<DripEstimate> estimate_drip(const DripCount& count);

struct CountingInput {
  DropRate expected;
  Ratio wanted_error;   ///< 0.05: within 5 %
  Duration tap_jitter;  ///< how exactly a hand taps a drop, standard deviation
};
BOOST_DESCRIBE_STRUCT(CountingInput, (), (expected, wanted_error, tap_jitter))

struct CountingTime {
  Duration window;          ///< counting whole drops by the watch
  int drops_in_window = 0;  ///< about so many will fall in it
  int taps = 0;             ///< tapping from drop to drop
  Duration tapping;
  Message text;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(CountingTime, (), (window, drops_in_window, taps, tapping, text, workings))

/// How long to count. Whole drops in a window T can be off by one drop:  T = 1 / (e f).  Tapped from drop to drop only
/// the two ends err (95 %):  t = 1.96 sqrt(2) s / e.  f drop rate, e wanted error, s jitter. The size of the drop
/// (± 10 %, ISO 8536-4) is not made better by counting. Errors: rate 0.2 to 400 drops/min, error 1 to 50 %, jitter
/// 5 ms to 2 s. Source: counting of whole events (computed)
[[nodiscard]] Checked<CountingTime> counting_time(const CountingInput& input);

}  // namespace dwell::flow
