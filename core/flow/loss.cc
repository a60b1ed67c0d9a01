#include "flow/loss.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace dwell::flow {
namespace {

constexpr double laminar_to = 2100, turbulent_from = 4000;

double square(double x) { return x * x; }

double area(const Bore& bore) { return std::numbers::pi / 4 * square(bore.diameter.value()); }

double reynolds_per_flow(const Bore& bore, const Fluid& fluid) {
  return fluid.density.value() * bore.diameter.value() / (area(bore) * fluid.viscosity.value());
}

/// 0 up to `from`, 1 from `to` on, smooth between.
double smooth_step(double x, double from, double to) {
  const double s = std::clamp((x - from) / (to - from), 0.0, 1.0);
  return s * s * (3 - 2 * s);
}

double turbulent_share(double reynolds) { return smooth_step(reynolds, laminar_to, turbulent_from); }

/// Shah 1978: apparent Fanning friction times Reynolds number at x = L / (D Re).
double apparent_friction_times_reynolds(double x) {
  const double entry = 3.44 / std::sqrt(x);
  return entry + (16 + 1.25 / (4 * x) - entry) / (1 + 0.00021 / (x * x));
}

/// Re^1/4 by two square roots, much quicker than pow.
double fourth_root(double x) { return std::sqrt(std::sqrt(x)); }

}  // namespace

namespace si {

Tube::Tube(const Bore& bore, const Fluid& fluid)
    : laminar_(128 * fluid.viscosity.value() * bore.length.value() /
               (std::numbers::pi * square(square(bore.diameter.value())))),
      reynolds_per_flow_(flow::reynolds_per_flow(bore, fluid)) {
  const double a = area(bore);
  turbulent_ = 0.316 / fourth_root(reynolds_per_flow_) * bore.length.value() / bore.diameter.value() *
               fluid.density.value() / (2 * a * a);
}

double Tube::laminar_up_to() const { return laminar_to / reynolds_per_flow_; }

double Tube::loss(double flow) const {
  const double laminar = laminar_ * flow;
  const double reynolds = reynolds_per_flow_ * flow;
  if (reynolds <= laminar_to) return laminar;
  const double turbulent = turbulent_ * flow * flow / fourth_root(flow);
  if (reynolds >= turbulent_from) return turbulent;
  const double share = turbulent_share(reynolds);
  return (1 - share) * laminar + share * turbulent;
}

Catheter::Catheter(const Bore& bore, const Fluid& fluid)
    : slenderness_(bore.length.value() / bore.diameter.value()),
      long_enough_(smooth_step(slenderness_, 60, 0.06 * laminar_to)),
      reynolds_per_flow_(flow::reynolds_per_flow(bore, fluid)),
      half_density_per_area_squared_(fluid.density.value() / (2 * area(bore) * area(bore))) {}

double Catheter::loss(double flow) const {
  if (flow <= 0) return 0;
  const double reynolds = reynolds_per_flow_ * flow;
  const auto laminar = [&] {
    return 1 + 4 * apparent_friction_times_reynolds(slenderness_ / reynolds) / reynolds * slenderness_;
  };
  const auto turbulent = [&] { return 1.5 + 0.316 / fourth_root(reynolds) * slenderness_; };
  const double share = long_enough_ * turbulent_share(reynolds);
  if (share <= 0) return velocity_head(flow) * laminar();
  return velocity_head(flow) * ((1 - share) * laminar() + share * turbulent());
}

}  // namespace si

Pressure catheter_loss(const Bore& catheter, const Fluid& fluid, Flow flow) {
  return Pressure::from_value(si::Catheter(catheter, fluid).loss(flow.value()));
}

Pressure tubing_loss(const Bore& tube, const Fluid& fluid, Flow flow) {
  return Pressure::from_value(si::Tube(tube, fluid).loss(flow.value()));
}

double reynolds_number(const Bore& bore, const Fluid& fluid, Flow flow) {
  return reynolds_per_flow(bore, fluid) * flow.value();
}

}  // namespace dwell::flow
