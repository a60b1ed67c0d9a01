#include "statistics/chart.h"

#include <algorithm>
#include <boost/math/distributions/binomial.hpp>
#include <boost/math/distributions/geometric.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/poisson.hpp>
#include <cmath>

#include "quantity/display.h"
#include "say/quantity.h"
#include "say/statistics.h"
#include "statistics/lifetimes.h"

namespace dwell::statistics {
namespace {

namespace math = boost::math;

/// As charts are drawn everywhere; the exact 2/√π moves limits by 0.03 %.
constexpr double mean_of_two_apart = 1.128;
constexpr double sigmas = 3;

bool counts(ChartKind kind) { return kind == ChartKind::share || kind == ChartKind::rate; }
std::size_t points_of(const ChartInput& input) { return counts(input.kind) ? input.events.size() : input.value.size(); }

void check_counts(const ChartInput& input, FieldErrors& errors) {
  constexpr double most = 1e9;
  if (input.of.size() != input.events.size()) {
    errors.push_back({"/of", std::to_string(input.of.size()),
                      say::as_many_as_the_points(static_cast<std::int64_t>(input.events.size()))});
    return;
  }
  for (std::size_t i = 0; i < input.of.size() && errors.size() < most_errors; ++i) {
    const double of = input.of[i], at_most = input.kind == ChartKind::share ? of : most;
    const auto place = "/" + std::to_string(i);
    if (!(of >= 1e-6 && of <= most) || (input.kind == ChartKind::share && of != std::floor(of)))
      errors.push_back({"/of" + place, show_number(of),
                        input.kind == ChartKind::share ? say::whole_from_one() : say::number_above_zero()});
    else if (input.events[i] < 0 || input.events[i] > at_most)
      errors.push_back({"/events" + place, std::to_string(input.events[i]),
                        say::number_from_to(shown_number(0), shown_number(at_most))});
  }
}

void check_values(const ChartInput& input, FieldErrors& errors) {
  constexpr double most = 1e12;
  for (std::size_t i = 0; i < input.value.size() && errors.size() < most_errors; ++i) {
    const double value = input.value[i];
    const bool above = input.kind == ChartKind::waiting;
    if (above ? !(value >= 1e-12 && value <= most) : !(value >= 0 && value <= most))
      errors.push_back({"/value/" + std::to_string(i), show_number(value),
                        above ? say::number_above_zero() : say::number_from_to(shown_number(0), shown_number(most))});
  }
}

FieldErrors check(const ChartInput& input) {
  FieldErrors errors;
  constexpr std::size_t fewest = 3, most = 100'000;
  const std::size_t points = points_of(input);
  if (points < fewest || points > most)
    errors.push_back({counts(input.kind) ? "/events" : "/value", std::to_string(points),
                      say::number_from_to(shown_number(fewest), shown_number(most))});
  counts(input.kind) ? check_counts(input, errors) : check_values(input, errors);
  if (input.baseline &&
      (*input.baseline < static_cast<int>(fewest) || static_cast<std::size_t>(*input.baseline) > points))
    errors.push_back({"/baseline", std::to_string(*input.baseline),
                      say::number_from_to(shown_number(fewest), shown_number(static_cast<double>(points)))});
  if (input.widen && (!counts(input.kind) || input.limits == ChartLimits::exact))
    errors.push_back({"/widen", "true", say::widening_of_shares_and_rates()});
  return errors;
}

struct Range {
  std::optional<double> low, high;
};

/// P(less than low) and P(more than high) are at most half of 0.27 %; nothing low is too low where 0 is not.
template <class Distribution>
Range exact_range(const Distribution& distribution, double of) {
  const double tail = math::cdf(math::normal(), -sigmas);
  // Whole quantiles, rounded up: the smallest x with P(X <= x) at least so much.
  const auto whole = [&](double chance, double guess) {
    double x = std::max(0.0, std::floor(guess) - 2);
    for (int steps = 0; steps < 100 && math::cdf(distribution, x) < chance; ++steps) ++x;
    return x;
  };
  const double low = whole(tail, math::quantile(distribution, tail));
  const double high = whole(1 - tail, math::quantile(distribution, 1 - tail));
  return {low > 0 ? std::optional(low / of) : std::nullopt, high / of};
}

Range around(double centre, double error, double most) {
  const double low = centre - sigmas * error, high = centre + sigmas * error;
  return {low > 0 ? std::optional(low) : std::nullopt, std::min(most, high)};
}

/// Mean |difference of neighbours| / 1.128.
double moving_sigma(const std::vector<double>& values) {
  double sum = 0;
  for (std::size_t i = 1; i < values.size(); ++i) sum += std::abs(values[i] - values[i - 1]);
  return sum / static_cast<double>(values.size() - 1) / mean_of_two_apart;
}

void set_counts(const ChartInput& input, std::size_t baseline, Chart& out) {
  double events = 0, of = 0;
  for (std::size_t i = 0; i < baseline; ++i) {
    events += input.events[i];
    of += input.of[i];
  }
  const bool share = input.kind == ChartKind::share;
  const double centre = events / of;
  const auto error = [&](std::size_t i) { return std::sqrt(centre * (share ? 1 - centre : 1) / input.of[i]); };
  std::vector<double> z;
  for (std::size_t i = 0; i < baseline; ++i) z.push_back((input.events[i] / input.of[i] - centre) / error(i));
  out.sigma_z = moving_sigma(z);
  const double wider = input.widen ? std::max(1.0, *out.sigma_z) : 1;
  for (std::size_t i = 0; i < input.events.size(); ++i) {
    Range range;
    // A count of millions is normal to any digit that a chart shows.
    constexpr double vast = 1e6;
    if (input.limits == ChartLimits::sigma || centre * input.of[i] > vast)
      range = around(centre, wider * error(i), share ? 1 : 1e300);
    else if (share)
      range = exact_range(math::binomial_distribution<>(input.of[i], centre), input.of[i]);
    else
      range = exact_range(math::poisson_distribution<>(centre * input.of[i]), input.of[i]);
    out.points.push_back({input.events[i] / input.of[i], centre, range.low, range.high});
  }
}

double mean_of(const std::vector<double>& values, std::size_t count) {
  double sum = 0;
  for (std::size_t i = 0; i < count; ++i) sum += values[i];
  return sum / static_cast<double>(count);
}

Range between_range(double mean, ChartLimits limits) {
  if (limits == ChartLimits::sigma || mean == 0) return around(mean, std::sqrt(mean * (mean + 1)), 1e300);
  return exact_range(math::geometric_distribution<>(1 / (mean + 1)), 1);
}

/// Centre and limits of times: by the root that makes exponential times nearly normal, or of the exponential itself.
std::pair<double, Range> waiting_range(const ChartInput& input, std::size_t baseline) {
  constexpr double root = 1 / 3.6;
  if (input.limits == ChartLimits::exact) {
    const double mean = mean_of(input.value, baseline), tail = math::cdf(math::normal(), -sigmas);
    return {mean * std::log(2.0), {-mean * std::log1p(-tail), -mean * std::log(tail)}};
  }
  std::vector<double> rooted;
  for (std::size_t i = 0; i < baseline; ++i) rooted.push_back(std::pow(input.value[i], root));
  const double mean = mean_of(rooted, baseline);
  auto range = around(mean, moving_sigma(rooted), 1e300);
  for (auto* limit : {&range.low, &range.high})
    if (*limit) *limit = std::pow(**limit, 1 / root);
  return {std::pow(mean, 1 / root), range};
}

double median_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) return *middle;
  return (*middle + *std::max_element(values.begin(), middle)) / 2;
}

void set_values(const ChartInput& input, std::size_t baseline, double median, Chart& out) {
  double centre = median;
  Range range;
  if (input.kind == ChartKind::between) {
    centre = mean_of(input.value, baseline);
    range = between_range(centre, input.limits);
  } else if (input.kind == ChartKind::waiting) {
    std::tie(centre, range) = waiting_range(input, baseline);
  }
  for (const double value : input.value) out.points.push_back({value, centre, range.low, range.high});
}

void count_runs(double line, Chart& out) {
  int run = 0, side = 0;
  for (const auto& point : out.points) {
    const int now = point.value > line ? 1 : point.value < line ? -1 : 0;
    if (now == 0) continue;
    ++out.useful;
    if (side != 0 && now != side) ++out.crossings;
    run = now == side ? run + 1 : 1;
    side = now;
    out.longest_run = std::max(out.longest_run, run);
  }
  if (out.useful < 2) return;
  out.longest_by_chance = static_cast<int>(std::lround(std::log2(out.useful))) + 3;
  const math::binomial_distribution<> coin(out.useful - 1, 0.5);
  while (math::cdf(coin, out.fewest_by_chance) < 0.05) ++out.fewest_by_chance;
  out.shifted = out.longest_run > out.longest_by_chance || out.crossings < out.fewest_by_chance;
}

Message in_words(const Chart& chart) {
  const auto beyond = std::count_if(chart.points.begin(), chart.points.end(), [](const auto& p) { return p.beyond; });
  if (beyond > 0 && chart.shifted) return say::chart_beyond_and_shifted(beyond);
  if (beyond > 0) return say::chart_beyond(beyond);
  if (chart.shifted) return say::chart_shifted(chart.longest_run, chart.crossings);
  constexpr int enough = 10;
  return chart.useful < enough ? say::chart_too_short(chart.useful) : say::chart_steady();
}

}  // namespace

Checked<Chart> chart(const ChartInput& input) {
  if (auto errors = check(input); !errors.empty()) return refuse(std::move(errors));
  const std::size_t points = points_of(input);
  const auto baseline = static_cast<std::size_t>(input.baseline.value_or(static_cast<int>(points)));
  Chart out;
  double line = 0;
  if (counts(input.kind)) {
    double events = 0, of = 0;
    for (std::size_t i = 0; i < baseline; ++i) {
      events += input.events[i];
      of += input.of[i];
    }
    if (events == 0 || (input.kind == ChartKind::share && events == of))
      return refuse("/events", show_number(events), say::events_and_none());
    set_counts(input, baseline, out);
    line = out.points.front().centre;
  } else {
    line = median_of({input.value.begin(), input.value.begin() + static_cast<std::ptrdiff_t>(baseline)});
    set_values(input, baseline, line, out);
  }
  for (auto& point : out.points)
    point.beyond = (point.low && point.value < *point.low) || (point.high && point.value > *point.high);
  count_runs(line, out);
  out.steady =
      !out.shifted && std::none_of(out.points.begin(), out.points.end(), [](const auto& p) { return p.beyond; });
  out.answer = in_words(out);
  return out;
}

}  // namespace dwell::statistics
