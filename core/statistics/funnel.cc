#include "statistics/funnel.h"

#include <algorithm>
#include <boost/math/distributions/binomial.hpp>
#include <boost/math/distributions/chi_squared.hpp>
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

FieldErrors check(const FunnelInput& input) {
  FieldErrors errors;
  constexpr double most_units = 1000, most = 1e8;
  const auto count = static_cast<double>(input.units.size());
  if (count < 2 || count > most_units)
    errors.push_back({"/units", show_number(count), say::number_from_to(shown_number(2), shown_number(most_units))});
  const bool share = input.kind == FunnelKind::share;
  double events = 0, of = 0;
  for (std::size_t i = 0; i < input.units.size() && errors.size() < most_errors; ++i) {
    const auto& unit = input.units[i];
    const auto at = "/units/" + std::to_string(i);
    const double at_most = share ? unit.of : most;
    if (!(unit.of >= 1e-6 && unit.of <= most) || (share && unit.of != std::floor(unit.of)))
      errors.push_back({at + "/of", show_number(unit.of), share ? say::whole_from_one() : say::number_above_zero()});
    else if (unit.events < 0 || unit.events > at_most)
      errors.push_back(
          {at + "/events", std::to_string(unit.events), say::number_from_to(shown_number(0), shown_number(at_most))});
    events += unit.events;
    of += unit.of;
  }
  constexpr double least_target = 1e-6;
  const double most_target = share ? 1 - least_target : 1e6;
  if (input.target && !(*input.target >= least_target && *input.target <= most_target))
    errors.push_back({"/target", show_number(*input.target),
                      say::number_from_to(shown_number(least_target), shown_number(most_target))});
  if (errors.empty() && !input.target && (events == 0 || (share && events == of)))
    errors.push_back({"/units", show_number(events), say::events_and_none()});
  return errors;
}

/// r the smallest count with P(R <= r) >= p, less the part of its own chance by which it is above p.
template <class Distribution>
double between_counts(const Distribution& distribution, double p, double of) {
  double r = std::max(0.0, std::floor(math::quantile(distribution, p)) - 2);
  for (int steps = 0; steps < 100 && math::cdf(distribution, r) < p; ++steps) ++r;
  const double over = (math::cdf(distribution, r) - p) / math::pdf(distribution, r);
  return std::max(0.0, (r - over) / of);
}

FunnelLimits limits_at(FunnelKind kind, double target, double of) {
  const auto all = [&](const auto& distribution) {
    const auto at = [&](double p) { return between_counts(distribution, p, of); };
    return FunnelLimits{of, at(0.025), at(0.975), at(0.001), at(0.999)};
  };
  constexpr double vast = 1e7;
  if (target * of > vast) {  // normal to any digit that a funnel shows
    const double error = std::sqrt(target * (kind == FunnelKind::share ? 1 - target : 1) / of);
    const auto at = [&](double p) { return target + error * math::quantile(math::normal(), p); };
    return {of, at(0.025), at(0.975), at(0.001), at(0.999)};
  }
  return kind == FunnelKind::share ? all(math::binomial_distribution<>(of, target))
                                   : all(math::poisson_distribution<>(target * of));
}

/// The quantile that lies between the sorted values in proportion.
double quantile_of(const std::vector<double>& sorted, double p) {
  const double at = p * static_cast<double>(sorted.size() - 1);
  const auto below = static_cast<std::size_t>(at);
  const double above = sorted[std::min(below + 1, sorted.size() - 1)];
  return sorted[below] + (at - static_cast<double>(below)) * (above - sorted[below]);
}

/// φ with the outer tenths brought in.
double dispersion_of(const std::vector<double>& z) {
  std::vector<double> sorted = z;
  std::sort(sorted.begin(), sorted.end());
  const double low = quantile_of(sorted, 0.1), high = quantile_of(sorted, 0.9);
  double sum = 0;
  for (const double one : z) sum += std::pow(std::clamp(one, low, high), 2);
  return sum / static_cast<double>(z.size());
}

}  // namespace

Checked<Funnel> funnel(const FunnelInput& input) {
  if (auto errors = check(input); !errors.empty()) return refuse(std::move(errors));
  double events = 0, of = 0, smallest = input.units.front().of, largest = smallest;
  for (const auto& unit : input.units) {
    events += unit.events;
    of += unit.of;
    smallest = std::min(smallest, unit.of);
    largest = std::max(largest, unit.of);
  }
  Funnel out;
  out.target = input.target.value_or(events / of);
  const bool share = input.kind == FunnelKind::share;
  const double variance = out.target * (share ? 1 - out.target : 1), count = static_cast<double>(input.units.size());
  std::vector<double> z;
  double weights = 0, squares = 0;
  for (const auto& unit : input.units) {
    const double weight = unit.of / variance;
    z.push_back((unit.events / unit.of - out.target) * std::sqrt(weight));
    weights += weight;
    squares += weight * weight;
  }
  out.dispersion = dispersion_of(z);
  double between = 0;
  if (count * out.dispersion > math::quantile(math::chi_squared(count), 0.95))
    between = std::max(0.0, (count * out.dispersion - (count - 1)) / (weights - squares / weights));
  out.between_units = std::sqrt(between);
  const double far = math::quantile(math::normal(), 0.999);
  for (const auto& unit : input.units) {
    FunnelShown one{unit.name, unit.events, unit.of, unit.events / unit.of, limits_at(input.kind, out.target, unit.of)};
    one.z = (one.value - out.target) / std::sqrt(variance / unit.of + between);
    const double size = share ? unit.of : unit.of * out.target;
    if (size < smallest_unit)
      one.place = FunnelPlace::too_small_to_tell;
    else if (one.z > far && one.value > one.limits.high_998)
      one.place = FunnelPlace::higher;
    else if (one.z < -far && one.value < one.limits.low_998)
      one.place = FunnelPlace::lower;
    out.units.push_back(one);
  }
  constexpr int steps = 60;
  for (int i = 0; i <= steps; ++i) {
    const double at = smallest * std::pow(largest / smallest, static_cast<double>(i) / steps);
    out.curve.push_back(limits_at(input.kind, out.target, share ? std::round(at) : at));
  }
  return out;
}

}  // namespace dwell::statistics
