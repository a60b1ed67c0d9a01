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
  Ratio drop_size_tolerance;  ///< half-width, 0.1 by ISO 8536-4
};
BOOST_DESCRIBE_STRUCT(DripCount, (), (taps, drop_factor, ordered, drop_size_tolerance))

enum class DripAdvice { hold, slower, faster, count_longer, none };
BOOST_DESCRIBE_ENUM(DripAdvice, hold, slower, faster, count_longer, none)

struct DripEstimate {
  DropRate drop_rate, drop_rate_low, drop_rate_high;  ///< 95 % by tap times
  Flow flow, flow_low, flow_high;                     ///< the drop-size tolerance added in quadrature
  int drops_counted = 0;
  std::optional<Ratio> excess;  ///< (flow - ordered) / ordered
  DripAdvice advice = DripAdvice::none;
  int change_drops_per_minute = 0;  ///< faster (+) or slower (-) by so many
  std::string advice_text;
  std::vector<int> missed_taps;  ///< index of intervals that look like a missed or doubled tap
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(DripEstimate, (),
                      (drop_rate, drop_rate_low, drop_rate_high, flow, flow_low, flow_high, drops_counted, excess,
                       advice, change_drops_per_minute, advice_text, missed_taps, workings))

/// Least-squares (maximum-likelihood for equal tap jitter) slope of drop number against tap time:  t_i = t_0 + i T +
/// e_i, rate = 1/T, interval by Student's t on the jitter. Flow = rate / drop factor. Advice only when the order lies
/// outside what counting error and drop size together explain. Errors: fewer than 3 taps, taps not rising, drop factor
/// outside 5 to 100 drops/mL, more than 1,000 taps.
[[nodiscard]] Checked<DripEstimate> estimate_drip(const DripCount& count);

}  // namespace dwell::flow
