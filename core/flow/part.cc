#include "flow/part.h"

#include <array>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <numbers>

#include "flow/limits.h"
#include "say/flow.h"

namespace dwell::flow {
namespace {

double one_metre_of(const Fluid& fluid) { return fluid.density.value() * standard_gravity.value(); }

/// The rig in which catheters are declared, without its catheter.
constexpr DeclaredPart rig{525.0 * millilitre / minute, Ratio::from_value(0.0)};

Fluid rig_water() { return {water_viscosity(Temperature{22}), water_density(Temperature{22})}; }

/// What the catheter and the rig leave of the metre of water at this flow.
double left_of_rig(const Bore& catheter, const Fluid& water, double flow) {
  const si::Catheter part(catheter, water);
  return one_metre_of(water) - part.loss(flow) - hub_velocity_heads * part.velocity_head(flow) -
         si::Part(rig, water).loss(flow);
}

template <class Function>
double root(const Function& f, double low, double high) {
  std::uintmax_t evaluations = 80;
  const auto [a, b] =
      boost::math::tools::toms748_solve(f, low, high, boost::math::tools::eps_tolerance<double>(44), evaluations);
  return (a + b) / 2;
}

}  // namespace

const Fluid& reference_fluid() {
  static const Fluid fluid{1.02 * millipascal_second, 1004.6 * kilogram_per_cubic_metre};
  return fluid;
}

namespace si {

Part::Part(const DeclaredPart& part, const Fluid& fluid) {
  const double open = part.open_flow.value(), share = part.laminar_share;
  const double metre_of_saline = one_metre_of(reference_fluid());
  laminar_ = share * metre_of_saline / open * double(fluid.viscosity / reference_fluid().viscosity);
  quadratic_ = (1 - share) * metre_of_saline / (open * open) * double(fluid.density / reference_fluid().density);
}

double Part::flow_at(double pressure) const {
  if (!(pressure > 0)) return 0;
  // The root of b Q^2 + a Q = P in the form that stays exact when b is small.
  return 2 * pressure / (laminar_ + std::sqrt(laminar_ * laminar_ + 4 * quadratic_ * pressure));
}

}  // namespace si

Pressure part_loss(const DeclaredPart& part, const Fluid& fluid, Flow flow) {
  return Pressure::from_value(si::Part(part, fluid).loss(flow.value()));
}

void check_part(const std::string& path, const DeclaredPart& part, FieldErrors& errors) {
  check_within(path + "/open_flow", part.open_flow, Flow(1.0 * millilitre / minute), Flow(10.0 * litre / minute),
               errors);
  check_within(path + "/laminar_share", part.laminar_share, Ratio(0.0), Ratio(1.0), errors);
}

Checked<Length> bore_of_declared(Flow declared, Length length) {
  FieldErrors errors;
  check_within("/declared_flow", declared, Flow(2.0 * millilitre / minute), Flow(500.0 * millilitre / minute), errors);
  check_within("/length", length, 5.0 * millimetre, 300.0 * millimetre, errors);
  if (!errors.empty()) return refuse(std::move(errors));
  const Fluid water = rig_water();
  const auto left = [&](double bore) {
    return left_of_rig({Length::from_value(bore), length}, water, declared.value());
  };
  const double low = 1e-4, high = 1e-2;
  if (left(low) > 0 || left(high) < 0)
    return refuse("/declared_flow", show_in(declared, millilitre / minute, "mL/min"),
                  say::a_flow_of_some_bore(Length::from_value(low), Length::from_value(high)));
  return Length::from_value(root(left, low, high));
}

Flow declared_of_bore(const Bore& catheter) {
  const Fluid water = rig_water();
  const auto left = [&](double flow) { return left_of_rig(catheter, water, flow); };
  return Flow::from_value(root(left, 1e-12, rig.open_flow.value()));
}

Resistance vein_outflow(Diameter vein) {
  constexpr double viscosity = 1.2e-3, length = 0.3;
  return Resistance::from_value(128 * viscosity * length / (std::numbers::pi * std::pow(vein.value(), 4)));
}

Diameter usual_vein(Gauge gauge) {
  struct Size {
    int gauge;
    double millimetres;
  };
  // 22, 20, 16 and 14 gauge: published sizes of the veins chosen; the others between them (docs/flow.md).
  constexpr std::array<Size, 6> sizes{{{24, 1.8}, {22, 2.0}, {20, 2.6}, {18, 3.2}, {16, 4.3}, {14, 4.8}}};
  for (std::size_t i = 0; i < sizes.size(); ++i)
    if (gauge.number >= sizes[i].gauge) {
      if (i == 0 || gauge.number == sizes[i].gauge) return sizes[i].millimetres * millimetre;
      // 23, 21, 19, 17, 15 gauge lie between two sizes.
      return (sizes[i].millimetres + sizes[i - 1].millimetres) / 2 * millimetre;
    }
  return sizes.back().millimetres * millimetre;
}

}  // namespace dwell::flow
