#include "statistics/comparison.h"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <boost/math/distributions/beta.hpp>
#include <boost/math/distributions/binomial.hpp>
#include <boost/math/distributions/gamma.hpp>
#include <boost/math/distributions/poisson.hpp>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>

#include "quantity/display.h"
#include "say/statistics.h"
#include "statistics/rate.h"
#include "statistics/survival.h"

namespace dwell::statistics {
namespace {

namespace math = boost::math;

void check(const Counted& counted, const std::string& path, FieldErrors& errors) {
  if (counted.of < 1)
    errors.push_back({path + "/of", std::to_string(counted.of), say::at_least_one_line()});
  else if (counted.events < 0 || counted.events > counted.of)
    errors.push_back({path + "/events", std::to_string(counted.events),
                      say::number_from_to(shown_number(0), shown_number(counted.of))});
}
constexpr double most_events = 1e9;
void check(int events, const std::string& path, FieldErrors& errors) {
  if (events < 0 || events > most_events)
    errors.push_back({path, std::to_string(events), say::number_from_to(shown_number(0), shown_number(most_events))});
}
void check(const Exposed& exposed, const std::string& path, FieldErrors& errors) {
  check(exposed.events, path + "/events", errors);
  if (!(exposed.time > Duration() && exposed.time <= 1e9 * day))
    errors.push_back({path + "/time", show(exposed.time), say::time_above_zero()});
}

/// The root of a function that changes sign between the bounds.
template <class Function>
double root(const Function& function, double low, double high) {
  const double at_low = function(low), at_high = function(high);
  if (at_low == 0) return low;
  if (at_high == 0) return high;
  // None between: the bound itself, from which the function comes.
  if ((at_low > 0) == (at_high > 0)) return std::abs(at_low) < std::abs(at_high) ? low : high;
  std::uintmax_t steps = 200;
  const auto [a, b] =
      math::tools::toms748_solve(function, low, high, at_low, at_high, math::tools::eps_tolerance<double>(50), steps);
  return (a + b) / 2;
}

struct Range {
  double low = 0, high = 1;
};

/// Limits of a binomial share, half the rest of the confidence on each side.
Range of_share(int events, int of, Tail tail, double confidence) {
  const double half = (1 - confidence) / 2;
  const double x = events, n = of;
  Range out;
  if (tail == Tail::exact) {
    if (events > 0) out.low = math::quantile(math::beta_distribution<>(x, n - x + 1), half);
    if (events < of) out.high = math::quantile(math::complement(math::beta_distribution<>(x + 1, n - x), half));
    return out;
  }
  // P(less) + P(equal) / 2, which falls as the share rises.
  const auto below = [&](double p) {
    const math::binomial_distribution<> binomial(n, p);
    return (events > 0 ? math::cdf(binomial, x - 1) : 0) + math::pdf(binomial, x) / 2;
  };
  if (events > 0) out.low = root([&](double p) { return below(p) - (1 - half); }, 0, x / n);
  if (events < of) out.high = root([&](double p) { return below(p) - half; }, x / n, 1);
  return out;
}

/// Limits of a Poisson mean.
Range of_count(int events, Tail tail, double confidence) {
  const double half = (1 - confidence) / 2, x = events;
  if (tail == Tail::exact)
    return {events > 0 ? math::quantile(math::gamma_distribution<>(x), half) : 0,
            math::quantile(math::complement(math::gamma_distribution<>(x + 1), half))};
  if (events == 0) return {0, -std::log(2 * half)};
  const auto below = [&](double mean) {
    const math::poisson_distribution<> poisson(mean);
    return math::cdf(poisson, x - 1) + math::pdf(poisson, x) / 2;
  };
  return {root([&](double mean) { return below(mean) - (1 - half); }, 1e-12 * x, x),
          root([&](double mean) { return below(mean) - half; }, x, x + 20 * std::sqrt(x) + 200)};
}

double share_of(const Counted& counted) { return static_cast<double>(counted.events) / counted.of; }

/// The shares that are likeliest when the first exceeds the second by `difference` (the cubic's root by its angle).
Range likeliest(const Counted& one, const Counted& other, double difference) {
  const double n1 = one.of, n2 = other.of, x1 = one.events, x2 = other.events, n = n1 + n2;
  const double l2 = (n1 + 2 * n2) * difference - n - x1 - x2;
  const double l1 = (n2 * difference - n - 2 * x2) * difference + x1 + x2;
  const double l0 = x2 * difference * (1 - difference);
  const double third = l2 / (3 * n);
  const double q = third * third * third - l1 * l2 / (6 * n * n) + l0 / (2 * n);
  const double p = std::copysign(std::sqrt(std::max(0.0, third * third - l1 / (3 * n))), q);
  const double cube = p * p * p;  // 0 also of a p that is next to nothing
  const double angle = cube == 0 ? 0 : (math::constants::pi<double>() + std::acos(std::clamp(q / cube, -1.0, 1.0))) / 3;
  const double second = std::clamp(2 * p * std::cos(angle) - third, 0.0, 1.0);
  return {std::clamp(second + difference, 0.0, 1.0), second};
}

/// A score of one difference (or ratio) against what was seen, its sign kept; where next to nothing varies, so far that
/// no limit asks for more, and so near that a search may reckon with it.
double score(double apart, double variance) {
  constexpr double beyond = 1e6;
  if (apart == 0) return 0;
  return variance > 0 ? std::clamp(apart / std::sqrt(variance), -beyond, beyond) : std::copysign(beyond, apart);
}

Estimate by_score(const Counted& one, const Counted& other, double z) {
  const double n = static_cast<double>(one.of) + other.of, seen = share_of(one) - share_of(other);
  const auto at = [&](double difference) {
    const auto [p1, p2] = likeliest(one, other, difference);
    return score(seen - difference, (p1 * (1 - p1) / one.of + p2 * (1 - p2) / other.of) * n / (n - 1));
  };
  return {seen, root([&](double d) { return at(d) - z; }, -1, seen),
          root([&](double d) { return at(d) + z; }, seen, 1)};
}

Estimate by_newcombe(const Counted& one, const Counted& other, double confidence) {
  const auto a = *wilson_share(one.events, one.of, confidence), b = *wilson_share(other.events, other.of, confidence);
  const double seen = a.share - b.share;
  return {seen, seen - std::hypot(a.share - a.low, b.high - b.share),
          seen + std::hypot(a.high - a.share, b.share - b.low)};
}

}  // namespace

Checked<Estimate> share_interval(const Counted& counted, Tail tail, double confidence) {
  FieldErrors errors;
  check(counted, "/counted", errors);
  check_confidence(confidence, "/confidence", errors);
  if (!errors.empty()) return refuse(std::move(errors));
  const auto [low, high] = of_share(counted.events, counted.of, tail, confidence);
  return Estimate{share_of(counted), low, high};
}

Checked<Estimate> rate_interval(const Exposed& exposed, Tail tail, double confidence) {
  FieldErrors errors;
  check(exposed, "/exposed", errors);
  check_confidence(confidence, "/confidence", errors);
  if (!errors.empty()) return refuse(std::move(errors));
  const double days = in(exposed.time, day);
  const auto [low, high] = of_count(exposed.events, tail, confidence);
  return Estimate{exposed.events / days, low / days, high / days};
}

Checked<Estimate> share_difference(const Counted& one, const Counted& other, DifferenceKind kind, double confidence) {
  FieldErrors errors;
  check(one, "/one", errors);
  check(other, "/other", errors);
  check_confidence(confidence, "/confidence", errors);
  if (!errors.empty()) return refuse(std::move(errors));
  return kind == DifferenceKind::newcombe ? by_newcombe(one, other, confidence)
                                          : by_score(one, other, two_sided(confidence));
}

Checked<Estimate> share_ratio(const Counted& one, const Counted& other, double confidence) {
  FieldErrors errors;
  check(one, "/one", errors);
  check(other, "/other", errors);
  check_confidence(confidence, "/confidence", errors);
  if (!errors.empty()) return refuse(std::move(errors));
  if (one.events == 0 && other.events == 0) return Estimate{};

  const double n1 = one.of, n2 = other.of, x1 = one.events, x2 = other.events, n = n1 + n2;
  const double z = two_sided(confidence);
  // By the logarithm of the ratio, from nothing to endless.
  const auto at = [&](double log_ratio) {
    const double ratio = std::exp(log_ratio);
    const double b = n1 * ratio + x1 + n2 + x2 * ratio;
    const double p2 = 2 * (x1 + x2) / (b + std::sqrt(std::max(0.0, b * b - 4 * n * ratio * (x1 + x2))));
    const double p1 = std::min(1.0, ratio * p2);
    const double variance = (p1 * (1 - p1) / n1 + ratio * ratio * p2 * (1 - p2) / n2) * n / (n - 1);
    return score(x1 / n1 - ratio * x2 / n2, variance);
  };
  constexpr double far = 60;
  const double seen = x1 > 0 && x2 > 0 ? std::log(x1 / n1 * n2 / x2) : x1 > 0 ? far : -far;
  Estimate out;
  if (x2 > 0) out.value = x1 / n1 * n2 / x2;
  out.low = x1 > 0 ? std::exp(root([&](double r) { return at(r) - z; }, -far, seen)) : 0;
  if (x2 > 0) out.high = std::exp(root([&](double r) { return at(r) + z; }, seen, far));
  return out;
}

Checked<Estimate> rate_ratio(const Exposed& one, const Exposed& other, Tail tail, double confidence) {
  FieldErrors errors;
  check(one, "/one", errors);
  check(other, "/other", errors);
  check_confidence(confidence, "/confidence", errors);
  if (!errors.empty()) return refuse(std::move(errors));
  if (one.events == 0 && other.events == 0) return Estimate{};
  const double times = in(other.time, day) / in(one.time, day);
  const auto [low, high] = of_share(one.events, one.events + other.events, tail, confidence);
  Estimate out;
  out.low = low / (1 - low) * times;
  if (other.events == 0) return out;
  out.value = static_cast<double>(one.events) / other.events * times;
  out.high = high / (1 - high) * times;
  return out;
}

Checked<Estimate> ratio_to_expected(int observed, double expected, Tail tail, double confidence) {
  FieldErrors errors;
  check(observed, "/observed", errors);
  if (!(expected > 0 && expected <= most_events))
    errors.push_back({"/expected", show_number(expected), say::number_above_zero()});
  check_confidence(confidence, "/confidence", errors);
  if (!errors.empty()) return refuse(std::move(errors));
  const auto [low, high] = of_count(observed, tail, confidence);
  return Estimate{observed / expected, low / expected, high / expected};
}

}  // namespace dwell::statistics
