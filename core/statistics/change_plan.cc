#include "statistics/change_plan.h"

#include <algorithm>
#include <boost/math/distributions/binomial.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/poisson.hpp>
#include <cmath>

#include "quantity/display.h"
#include "say/quantity.h"
#include "say/statistics.h"

namespace dwell::statistics {
namespace {

namespace math = boost::math;

FieldErrors check(const ChangePlanInput& input) {
  FieldErrors errors;
  const auto within = [&](const char* path, double found, double low, double high) {
    if (!(found >= low && found <= high))
      errors.push_back({path, show_number(found), say::number_from_to(shown_number(low), shown_number(high))});
  };
  const bool share = input.kind == PlanKind::share, hazard = input.kind == PlanKind::hazard;
  within("/now", input.now, hazard ? 1 : 1e-4, hazard ? 1 : share ? 0.9999 : 1e4);
  within("/hoped", input.hoped, hazard ? 0.01 : 1e-4, hazard ? 100 : share ? 0.9999 : 1e4);
  if (errors.empty() && std::abs(input.now - input.hoped) < 1e-4 * std::max(input.now, input.hoped))
    errors.push_back({"/hoped", show_number(input.hoped), say::another_figure_than_now()});
  within("/wrong", input.wrong, 1e-4, 0.5);
  within("/power", input.power, 0.5, 0.999);
  if (input.of_a_ward) within("/of_a_ward", *input.of_a_ward, 1, 1e7);
  if (input.wards_differ) within("/wards_differ", *input.wards_differ, 0, 2);
  if (input.of_a_ward.has_value() != input.wards_differ.has_value() || (hazard && input.of_a_ward))
    errors.push_back({input.of_a_ward ? "/of_a_ward" : "/wards_differ", "", say::both_of_wards_or_none()});
  return errors;
}

double normal_quantile(double chance) { return math::quantile(math::normal(), chance); }

/// Power of the test that takes the first count as Binomial(sum, ½) when both are watched equally long: each tail at
/// most half of `wrong`.
double power_of_conditional_test(double one, double other, double days, double wrong) {
  const double mean = (one + other) * days, far = 9 * std::sqrt(mean) + 20;
  const math::poisson_distribution<> sum(mean);
  double power = 0;
  for (double n = std::max(1.0, std::floor(mean - far)); n <= mean + far; ++n) {
    // The largest count that is too small; by symmetry n less it is the smallest that is too large.
    const math::binomial_distribution<> fair(n, 0.5), true_one(n, one / (one + other));
    double k = std::floor(n / 2 + normal_quantile(wrong / 2) * std::sqrt(n) / 2) + 2;
    k = std::min(k, std::floor((n - 1) / 2));
    while (k >= 0 && math::cdf(fair, k) > wrong / 2) --k;
    if (k < 0) continue;
    power += math::pdf(sum, n) * (math::cdf(true_one, k) + math::cdf(math::complement(true_one, n - k - 1)));
  }
  return std::min(1.0, power);
}

}  // namespace

Checked<ChangePlan> plan_change(const ChangePlanInput& input) {
  if (auto errors = check(input); !errors.empty()) return refuse(std::move(errors));
  const double z = normal_quantile(1 - input.wrong / 2), z2 = normal_quantile(input.power), both = (z + z2) * (z + z2);
  const double p1 = input.now, p2 = input.hoped, apart = std::abs(p1 - p2);
  const bool share = input.kind == PlanKind::share;
  const double v1 = share ? p1 * (1 - p1) : p1, v2 = share ? p2 * (1 - p2) : p2;
  ChangePlan out;
  if (share) {
    const double middle = (p1 + p2) / 2;
    out.exactly = std::pow((z * std::sqrt(2 * middle * (1 - middle)) + z2 * std::sqrt(v1 + v2)) / apart, 2);
    out.corrected = std::ceil(out.exactly / 4 * std::pow(1 + std::sqrt(1 + 4 / (out.exactly * apart)), 2));
  } else if (input.kind == PlanKind::rate) {
    out.exactly = both * (v1 + v2) / (apart * apart);
  } else {
    out.exactly = 4 * both / std::pow(std::log(p2), 2);
  }
  out.each = std::ceil(out.exactly);
  constexpr double most_events = 20'000;
  if (input.kind == PlanKind::rate && (p1 + p2) * out.each <= most_events)
    out.power_of_exact_test = power_of_conditional_test(p1, p2, out.each, input.wrong);
  if (input.of_a_ward) {
    const double k = *input.wards_differ;
    const double wards = 1 + both * ((v1 + v2) / *input.of_a_ward + k * k * (p1 * p1 + p2 * p2)) / (apart * apart);
    constexpr double most_wards = 1e6;
    if (wards <= most_wards) out.wards = static_cast<int>(std::ceil(wards));
  }
  return out;
}

}  // namespace dwell::statistics
