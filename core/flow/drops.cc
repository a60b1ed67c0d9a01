#include "flow/drops.h"

#include <algorithm>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <numbers>

#include "flow/limits.h"
#include "quantity/display.h"

namespace dwell::flow {
namespace {

FieldErrors check(const DripCount& count) {
  FieldErrors errors;
  if (count.taps.size() < 3)
    errors.push_back({"/taps", std::to_string(count.taps.size()), "at least 3 taps, one a drop"});
  if (count.taps.size() > 1000)
    errors.push_back({"/taps", std::to_string(count.taps.size()), "at most 1\u202f000 taps"});
  for (std::size_t i = 1; i < count.taps.size(); ++i)
    if (const Duration gap = count.taps[i] - count.taps[i - 1]; !(gap >= 0.01 * second && gap <= 1.0 * hour))
      errors.push_back(
          {"/taps/" + std::to_string(i), show(count.taps[i]), "later than the tap before, by 0.01 s to 1 h"});
  if (!(count.drop_factor >= 5.0 * drop / millilitre && count.drop_factor <= 100.0 * drop / millilitre))
    errors.push_back({"/drop_factor", show(count.drop_factor), "from 5 to 100 drops/mL, as on the set's packet"});
  if (count.ordered && !(*count.ordered >= 0.1 * millilitre / hour && *count.ordered <= 60.0 * litre / hour))
    errors.push_back({"/ordered", show(*count.ordered), "a rate from 0.1 mL/h to 60 L/h"});
  if (!(count.drop_size_tolerance >= 0.0 && count.drop_size_tolerance < 0.5))
    errors.push_back({"/drop_size_tolerance", show(count.drop_size_tolerance), "from 0 to 50 %"});
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
std::string change_text(const DripEstimate& e, double wanted_per_minute, bool fast) {
  const double counted_per_minute = in(e.drop_rate, 1.0 * drop / minute);
  if (std::abs(wanted_per_minute - counted_per_minute) >= 1)
    return std::to_string(std::abs(e.change_drops_per_minute)) + " drops/min " + (fast ? "slower" : "faster") +
           ", to " + show_number(round_half_up(wanted_per_minute)) + " drops/min";
  const auto seconds = [](double per_minute) { return show_number(round_half_up(60 / per_minute, 1)) + " s"; };
  return "one drop every " + seconds(wanted_per_minute) + " instead of every " + seconds(counted_per_minute);
}

const Source& practice() {
  static const Source source{"common practice, no source", Mark::practice};
  return source;
}

void say(DripEstimate& e, DripAdvice advice, std::string text) {
  e.advice = advice;
  e.advice_text = std::move(text);
}

void find(DripEstimate& e, Severity severity, const char* code, std::string text) {
  e.findings.push_back({severity, code, std::move(text), practice()});
}

/// Twice the order or more: nothing about it is little, and no miscounted tap explains it away.
void advise_far_too_fast(DripEstimate& e, double times, double wanted) {
  say(e, DripAdvice::slower,
      "Runs at about " + show_number(round_half_up(times, 1)) +
          " times the order. Close the roller clamp fully, now. Then set it anew from closed, to " +
          show_number(round_half_up(wanted)) + " drops/min.");
  find(e, Severity::stop, "far_too_fast",
       "See how much has run in, look at the patient, tell the prescriber; is the drop factor the set's own?");
}

void advise_too_fast(const DripCount& count, DripEstimate& e, double wanted, bool near) {
  const bool little = double(*e.excess) <= double(count.catch_up_limit) + 1e-9;
  say(e, DripAdvice::slower,
      "Runs about " + show(*e.excess) + " fast. Close the roller clamp" + (little ? " a little" : "") + ": " +
          change_text(e, wanted, true) + ". Count again.");
  if (little)
    find(e, near ? Severity::information : Severity::caution, "fast", "Faster than ordered.");
  else
    find(e, Severity::caution, "too_fast",
         "Faster than the ward allows without a new order (" + show(count.catch_up_limit) +
             "): see how much has run in, tell the prescriber.");
}

void advise_slow(DripEstimate& e, double wanted, bool near) {
  const std::string runs = "Runs about " + show(Ratio(-double(*e.excess))) + " slow. ";
  if (double(*e.excess) > -0.5) {
    say(e, DripAdvice::faster,
        runs + "Open the roller clamp a little: " + change_text(e, wanted, false) + ". Count again.");
    find(e, near ? Severity::information : Severity::caution, "slow", "Slower than ordered.");
    return;
  }
  say(e, DripAdvice::faster,
      runs +
          "Leave the clamp: look at the site first, then for a kink, a bent joint, a low or empty bag. Only then open "
          "it: " +
          change_text(e, wanted, false) + ". Count again.");
  find(e, Severity::caution, "far_too_slow", "At half the order or less: a leak and a closing vein begin like this.");
}

void advise(const DripCount& count, DripEstimate& e) {
  if (!count.ordered) {
    e.advice_text = "No ordered rate given: compare with the order.";
    find(e, Severity::caution, "no_order", "Not compared: the ordered rate is missing.");
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
    say(e, DripAdvice::count_longer, "Some taps look missed or doubled. Count again.");
    find(e, Severity::caution, "taps", "Not compared with the order: the taps are uneven.");
  } else if (!inside) {
    times > 1 ? advise_too_fast(count, e, wanted, near) : advise_slow(e, wanted, near);
  } else if (!near) {
    say(e, DripAdvice::count_longer, "Too few drops to tell. Count for longer.");
    find(e, Severity::caution, "few_drops", "Not told from the order: it could be off by more than the ward allows.");
  } else {
    say(e, DripAdvice::hold,
        "Within what drop size and counting explain. Leave the clamp; aim for " + show_number(round_half_up(wanted)) +
            " drops/min.");
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
  advise(count, e);
  e.workings = {
      {"counted flow",
       "drop rate / drop factor; drop rate = 1 / interval of the straight line through the taps",
       {{"intervals counted", std::to_string(e.drops_counted)},
        {"time between drops", show(Duration::from_value(line.interval))},
        {"drop factor", show(count.drop_factor)},
        {"drop size tolerance", "± " + show(count.drop_size_tolerance)}},
       show(e.flow) + " (" + show(e.flow_low) + " to " + show(e.flow_high) + ")",
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
  const std::string share = show(input.wanted_error);
  out.text = "For ± " + share + ": count whole drops for " + show(out.window) + " (about " +
             std::to_string(out.drops_in_window) + " drops), or tap " + std::to_string(out.taps) + " drops (" +
             show(out.tapping) + "). The drop itself is only known to ± 10 %.";
  const Source source{"counting of whole events; drop size: ISO 8536-4 (read in a copy of the 2020 text)",
                      Mark::computed};
  out.workings = {{"counting window",
                   "1 drop / (wanted error × drop rate)",
                   {{"wanted error", "± " + share}, {"drop rate", show(input.expected)}},
                   show(out.window),
                   source},
                  {"tapping time",
                   "1.96 √2 × jitter / wanted error, in whole drops",
                   {{"wanted error", "± " + share}, {"jitter", show_in(input.tap_jitter, 1e-3 * second, "ms")}},
                   show(out.tapping),
                   source}};
  return out;
}

}  // namespace dwell::flow
