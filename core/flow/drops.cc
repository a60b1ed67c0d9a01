#include "flow/drops.h"

#include <algorithm>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <numbers>

#include "flow/limits.h"
#include "quantity/display.h"
#include "quantity/shown_in.h"
#include "say/common.h"
#include "say/flow.h"

namespace dwell::flow {
namespace {

FieldErrors check(const DripCount& count) {
  constexpr Duration shortest_gap = 0.01 * second, longest_gap = 1.0 * hour;
  constexpr DropFactor fewest_drops = 5.0 * drop / millilitre, most_drops = 100.0 * drop / millilitre;
  constexpr Flow slowest = 0.1 * millilitre / hour, fastest = 60.0 * litre / hour;
  FieldErrors errors;
  if (count.taps.size() < 3) errors.push_back({"/taps", std::to_string(count.taps.size()), say::taps_at_least(3)});
  if (count.taps.size() > 1000) errors.push_back({"/taps", std::to_string(count.taps.size()), say::taps_at_most(1000)});
  for (std::size_t i = 1; i < count.taps.size(); ++i)
    if (const Duration gap = count.taps[i] - count.taps[i - 1]; !(gap >= shortest_gap && gap <= longest_gap))
      errors.push_back(
          {"/taps/" + std::to_string(i), show(count.taps[i]), say::later_than_tap_before(shortest_gap, longest_gap)});
  if (!(count.drop_factor >= fewest_drops && count.drop_factor <= most_drops))
    errors.push_back({"/drop_factor", show(count.drop_factor), say::drop_factor_from_to(fewest_drops, most_drops)});
  if (count.ordered && !(*count.ordered >= slowest && *count.ordered <= fastest))
    errors.push_back({"/ordered", show(*count.ordered), say::a_rate_from_to(slowest, fastest)});
  if (!(count.drop_size_tolerance >= 0.0 && count.drop_size_tolerance < 0.5))
    errors.push_back(
        {"/drop_size_tolerance", show(count.drop_size_tolerance), say::from_to(shown(Ratio(0.0)), shown(Ratio(0.5)))});
  check_within("/catch_up_limit", count.catch_up_limit, Ratio(0.0), Ratio(1.0), errors);
  return errors;
}

/// Straight line through (drop number, tap time): the interval between drops and its standard error.
struct Line {
  double interval, error;
};

Line fit_interval(const std::vector<Duration>& taps) {
  const auto n = static_cast<double>(taps.size());
  const double mean_i = (n - 1) / 2;
  double mean_t = 0;
  for (const auto& t : taps) mean_t += t.value() / n;
  double sxx = 0, sxy = 0;
  for (std::size_t i = 0; i < taps.size(); ++i) {
    const double x = static_cast<double>(i) - mean_i;
    sxx += x * x;
    sxy += x * (taps[i].value() - mean_t);
  }
  const double slope = sxy / sxx;
  double squares = 0;
  for (std::size_t i = 0; i < taps.size(); ++i) {
    const double residual = taps[i].value() - mean_t - slope * (static_cast<double>(i) - mean_i);
    squares += residual * residual;
  }
  // A hand does not tap more exactly than about 20 ms; without this floor three lucky taps would look perfect.
  constexpr double least_jitter = 0.02;
  const double variance = std::max(squares / (n - 2), least_jitter * least_jitter);
  return {slope, std::sqrt(variance / sxx)};
}

/// Intervals near twice or half the usual one: a drop that was not tapped, or tapped twice.
std::vector<int> suspicious_intervals(const std::vector<Duration>& taps) {
  std::vector<double> intervals;
  for (std::size_t i = 1; i < taps.size(); ++i) intervals.push_back((taps[i] - taps[i - 1]).value());
  std::vector<double> sorted = intervals;
  std::nth_element(sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2), sorted.end());
  const double usual = sorted[sorted.size() / 2];
  std::vector<int> found;
  for (std::size_t i = 0; i < intervals.size(); ++i)
    if (intervals[i] > 1.7 * usual || intervals[i] < 0.45 * usual) found.push_back(static_cast<int>(i));
  return found;
}

/// By how much to change the drip, as a nurse can follow it: whole drops a minute, or, when the change is less than
/// one, the time from drop to drop.
Message change_text(const DripEstimate& e, double wanted_per_minute, bool fast) {
  const double counted_per_minute = in(e.drop_rate, 1.0 * drop / minute);
  if (std::abs(wanted_per_minute - counted_per_minute) >= 1) {
    const auto wanted = shown_number(round_half_up(wanted_per_minute));
    const int by = std::abs(e.change_drops_per_minute);
    return fast ? say::drops_slower(by, wanted) : say::drops_faster(by, wanted);
  }
  const auto gap = [](double per_minute) { return shown_in(round_half_up(60 / per_minute, 1) * second, second, "s"); };
  return say::one_drop_every(gap(wanted_per_minute), gap(counted_per_minute));
}

const Source& practice() {
  static const Source source{"common practice, no source", Mark::practice};
  return source;
}

void advise(DripEstimate& e, DripAdvice advice, Message text) {
  e.advice = advice;
  e.advice_text = std::move(text);
}

void find(DripEstimate& e, Severity severity, const char* code, Message text) {
  e.findings.push_back({severity, code, std::move(text), practice()});
}

/// Twice the order or more: nothing about it is little, and no miscounted tap explains it away.
void advise_far_too_fast(DripEstimate& e, double times, double wanted) {
  advise(e, DripAdvice::slower,
         say::runs_far_too_fast(shown_number(round_half_up(times, 1)), shown_number(round_half_up(wanted))));
  find(e, Severity::stop, "far_too_fast", say::see_how_much_ran_in());
}

void advise_too_fast(const DripCount& count, DripEstimate& e, double wanted, bool near) {
  const bool little = double(*e.excess) <= double(count.catch_up_limit) + 1e-9;
  const Message change = change_text(e, wanted, true);
  advise(e, DripAdvice::slower,
         little ? say::runs_fast_close_a_little(*e.excess, change) : say::runs_fast_close(*e.excess, change));
  if (little)
    find(e, near ? Severity::information : Severity::caution, "fast", say::faster_than_ordered());
  else
    find(e, Severity::caution, "too_fast", say::faster_than_allowed(count.catch_up_limit));
}

void advise_slow(DripEstimate& e, double wanted, bool near) {
  const Ratio lack(-double(*e.excess));
  const Message change = change_text(e, wanted, false);
  if (double(*e.excess) > -0.5) {
    advise(e, DripAdvice::faster, say::runs_slow_open_a_little(lack, change));
    find(e, near ? Severity::information : Severity::caution, "slow", say::slower_than_ordered());
    return;
  }
  advise(e, DripAdvice::faster, say::runs_slow_look_first(lack, change));
  find(e, Severity::caution, "far_too_slow", say::half_the_order_or_less());
}

void compare(const DripCount& count, DripEstimate& e) {
  if (!count.ordered) {
    e.advice_text = say::no_order_to_compare();
    find(e, Severity::caution, "no_order", say::not_compared_no_order());
    return;
  }
  const Flow ordered = *count.ordered;
  e.excess = Ratio((e.flow - ordered) / ordered);
  const auto wanted = in(DropRate(ordered * count.drop_factor), 1.0 * drop / minute);
  const auto counted = in(e.drop_rate, 1.0 * drop / minute);
  e.change_drops_per_minute = static_cast<int>(round_half_up(wanted) - round_half_up(counted));
  const double times = double(e.flow / ordered), limit = count.catch_up_limit;
  const bool inside = ordered >= e.flow_low && ordered <= e.flow_high;
  // Wherever in its interval the rate lies, it is near the order: how much it matters hangs on this alone, so that a
  // count of which less is known is never taken for a better one.
  const bool near = e.flow_high <= ordered * (1 + limit) && e.flow_low >= ordered * (1 - limit);
  constexpr double far = 2 * (1 - 1e-9);
  if (times >= far) {
    advise_far_too_fast(e, times, wanted);
  } else if (!e.missed_taps.empty()) {
    advise(e, DripAdvice::count_longer, say::taps_look_missed());
    find(e, Severity::caution, "taps", say::not_compared_uneven_taps());
  } else if (!inside) {
    times > 1 ? advise_too_fast(count, e, wanted, near) : advise_slow(e, wanted, near);
  } else if (!near) {
    advise(e, DripAdvice::count_longer, say::too_few_drops());
    find(e, Severity::caution, "few_drops", say::not_told_from_order());
  } else {
    advise(e, DripAdvice::hold, say::leave_the_clamp(shown_number(round_half_up(wanted))));
  }
}

}  // namespace

Checked<DripEstimate> estimate_drip(const DripCount& count) {
  if (auto errors = check(count); !errors.empty()) return refuse(std::move(errors));
  DripEstimate e;
  e.drops_counted = static_cast<int>(count.taps.size()) - 1;
  const Line line = fit_interval(count.taps);
  const auto freedom = static_cast<double>(count.taps.size() - 2);
  const double t = boost::math::quantile(boost::math::students_t(freedom), 0.975);
  const auto rate_of = [](double interval) { return DropRate::from_value(1.0 / interval); };
  e.drop_rate = rate_of(line.interval);
  // The rate's own interval is the inverse of the interval's; when that reaches 0 the count says nothing above.
  e.drop_rate_low = rate_of(line.interval + t * line.error);
  const double shortest = line.interval - t * line.error;
  e.drop_rate_high = shortest > 0.2 * line.interval ? rate_of(shortest) : 5.0 * e.drop_rate;
  e.flow = e.drop_rate / count.drop_factor;
  const double down = double((e.drop_rate - e.drop_rate_low) / e.drop_rate);
  const double up = double((e.drop_rate_high - e.drop_rate) / e.drop_rate);
  const double size = count.drop_size_tolerance;
  e.flow_low = e.flow * (1 - std::hypot(down, size));
  e.flow_high = e.flow * (1 + std::hypot(up, size));
  e.missed_taps = suspicious_intervals(count.taps);
  compare(count, e);
  e.workings = {
      {say::counted_flow_name(),
       say::counted_flow_formula(),
       {{say::intervals_counted_name(), say::quantity(shown_number(e.drops_counted))},
        {say::time_between_drops_name(), say::quantity(shown(Duration::from_value(line.interval)))},
        {say::set_drop_factor_name(), say::quantity(shown(count.drop_factor))},
        {say::drop_size_tolerance_name(), say::plus_minus(shown(count.drop_size_tolerance))}},
       say::within_range(shown(e.flow), shown(e.flow_low), shown(e.flow_high)),
       {"drop size ± 10 %: ISO 8536-4 (read in a copy of the 2020 text); interval by Student's t", Mark::read}}};
  return e;
}

Checked<CountingTime> counting_time(const CountingInput& input) {
  FieldErrors errors;
  check_within("/expected", input.expected, 0.2 * drop / minute, 400.0 * drop / minute, errors);
  check_within("/wanted_error", input.wanted_error, Ratio(0.01), Ratio(0.5), errors);
  check_within("/tap_jitter", input.tap_jitter, 5e-3 * second, 2.0 * second, errors);
  if (!errors.empty()) return refuse(std::move(errors));
  const double wanted = input.wanted_error;
  CountingTime out;
  out.window = 1.0 * drop / (wanted * input.expected);
  out.drops_in_window = static_cast<int>(std::ceil(double(out.window * input.expected / (1.0 * drop)) - 1e-9));
  const Duration least = 1.96 * std::numbers::sqrt2 / wanted * input.tap_jitter;
  const int intervals = std::max(2, static_cast<int>(std::ceil(double(least * input.expected / (1.0 * drop)) - 1e-9)));
  out.taps = intervals + 1;
  out.tapping = static_cast<double>(intervals) * drop / input.expected;
  out.text = say::how_to_count(input.wanted_error, out.window, out.drops_in_window, out.taps, out.tapping);
  const Message share = say::plus_minus(shown(input.wanted_error));
  const Source source{"counting of whole events; drop size: ISO 8536-4 (read in a copy of the 2020 text)",
                      Mark::computed};
  out.workings = {
      {say::counting_window_name(),
       say::counting_window_formula(),
       {{say::wanted_error_name(), share}, {say::counted_drop_rate_name(), say::quantity(shown(input.expected))}},
       say::quantity(shown(out.window)),
       source},
      {say::tapping_time_name(),
       say::tapping_time_formula(),
       {{say::wanted_error_name(), share},
        {say::jitter_name(), say::quantity(shown_in(input.tap_jitter, 1e-3 * second, "ms"))}},
       say::quantity(shown(out.tapping)),
       source}};
  return out;
}

}  // namespace dwell::flow
