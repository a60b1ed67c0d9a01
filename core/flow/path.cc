#include "flow/path.h"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <numbers>

#include "quantity/display.h"

namespace dwell::flow {
namespace {

constexpr double laminar_to = 2100, turbulent_from = 4000;

/// The bore in plain SI numbers with the powers that every evaluation needs. Private to the solver, where one flow is
/// evaluated many times; nothing outside sees a bare number.
struct Pipe {
  double diameter, length, area;
  explicit Pipe(const Bore& bore)
      : diameter(bore.diameter.value()),
        length(bore.length.value()),
        area(std::numbers::pi / 4 * diameter * diameter) {}
};

double reynolds(const Pipe& pipe, const Fluid& fluid, double flow) {
  return fluid.density.value() * flow / pipe.area * pipe.diameter / fluid.viscosity.value();
}

/// Shah 1978: apparent Fanning friction times Reynolds number at x = L / (D Re).
double apparent_friction_times_reynolds(double x) {
  const double entry = 3.44 / std::sqrt(x);
  return entry + (16 + 1.25 / (4 * x) - entry) / (1 + 0.00021 / (x * x));
}

double catheter_loss_si(const Pipe& pipe, const Fluid& fluid, double flow) {
  if (flow <= 0) return 0;
  const double v = flow / pipe.area;
  const double re = reynolds(pipe, fluid, flow);
  const double x = pipe.length / (pipe.diameter * re);
  const double f_app = apparent_friction_times_reynolds(x) / re;
  return fluid.density.value() * v * v / 2 * (1 + 4 * f_app * pipe.length / pipe.diameter);
}

/// Darcy friction factor: 64/Re laminar, Blasius turbulent, a smooth step between.
double darcy_friction(double re) {
  const double laminar = 64 / re;
  if (re <= laminar_to) return laminar;
  const double turbulent = 0.316 / std::pow(re, 0.25);
  if (re >= turbulent_from) return turbulent;
  const double s = (re - laminar_to) / (turbulent_from - laminar_to);
  const double weight = s * s * (3 - 2 * s);
  return (1 - weight) * laminar + weight * turbulent;
}

double tubing_loss_si(const Pipe& pipe, const Fluid& fluid, double flow) {
  if (flow <= 0) return 0;
  const double v = flow / pipe.area;
  return darcy_friction(reynolds(pipe, fluid, flow)) * pipe.length / pipe.diameter * fluid.density.value() * v * v / 2;
}

double connector_loss_si(double k, const Pipe& catheter, const Fluid& fluid, double flow) {
  const double v = flow / catheter.area;
  return k * fluid.density.value() * v * v / 2;
}

double head_si(const Path& path) {
  return path.fluid.density.value() * standard_gravity.value() * path.bag_height.value() + path.bag_pressure.value() -
         path.venous_pressure.value();
}

double loss_si(const Path& path, const Pipe& catheter, double flow) {
  double loss = catheter_loss_si(catheter, path.fluid, flow) + path.clamp.value() * flow +
                connector_loss_si(path.connector_k, catheter, path.fluid, flow);
  for (const auto& tube : path.tubing) loss += tubing_loss_si(Pipe(tube), path.fluid, flow);
  return loss;
}

template <class Q>
void within(const char* path, Q value, Q low, Q high, FieldErrors& errors) {
  if (!(value >= low && value <= high))
    errors.push_back({path, show(value), "from " + show(low) + " to " + show(high)});
}

void check_bore(const std::string& path, const Bore& bore, FieldErrors& errors) {
  within((path + "/diameter").c_str(), bore.diameter, 0.1 * millimetre, 10.0 * millimetre, errors);
  within((path + "/length").c_str(), bore.length, 1.0 * millimetre, 10.0 * metre, errors);
}

FieldErrors check(const Path& path) {
  FieldErrors errors;
  within("/fluid/viscosity", path.fluid.viscosity, 0.3 * millipascal_second, 50.0 * millipascal_second, errors);
  within("/fluid/density", path.fluid.density, 900.0 * kilogram_per_cubic_metre, 1200.0 * kilogram_per_cubic_metre,
         errors);
  within("/bag_height", path.bag_height, -1.0 * metre, 3.0 * metre, errors);
  within("/bag_pressure", path.bag_pressure, 0.0 * pascal, 600.0 * millimetre_of_mercury, errors);
  within("/venous_pressure", path.venous_pressure, -10.0 * millimetre_of_mercury, 100.0 * millimetre_of_mercury,
         errors);
  if (path.clamp < Resistance()) errors.push_back({"/clamp", show(path.clamp), "0 (open) or more"});
  if (!(path.connector_k >= 0 && path.connector_k <= 1000))
    errors.push_back({"/connector_k", show_number(path.connector_k), "from 0 to 1,000 velocity heads"});
  check_bore("/catheter", path.catheter, errors);
  for (std::size_t i = 0; i < path.tubing.size(); ++i)
    check_bore("/tubing/" + std::to_string(i), path.tubing[i], errors);
  return errors;
}

}  // namespace

Pressure catheter_loss(const Bore& catheter, const Fluid& fluid, Flow flow) {
  return Pressure::from_value(catheter_loss_si(Pipe(catheter), fluid, flow.value()));
}

Pressure tubing_loss(const Bore& tube, const Fluid& fluid, Flow flow) {
  return Pressure::from_value(tubing_loss_si(Pipe(tube), fluid, flow.value()));
}

Flow steady_flow(const Path& path) {
  const double head = head_si(path);
  if (!(head > 0)) return Flow{};
  const Pipe catheter(path.catheter);
  // Developed laminar flow through the catheter alone loses less than the real line, so its flow is an upper bound.
  const double highest =
      std::numbers::pi * std::pow(catheter.diameter, 4) * head / (128 * path.fluid.viscosity.value() * catheter.length);
  const auto excess = [&](double flow) { return loss_si(path, catheter, flow) - head; };
  const double at_highest = excess(highest);
  if (at_highest <= 0) return Flow::from_value(highest);
  std::uintmax_t evaluations = 60;
  const boost::math::tools::eps_tolerance<double> tolerance(44);
  const auto [low, high] =
      boost::math::tools::toms748_solve(excess, 0.0, highest, -head, at_highest, tolerance, evaluations);
  return Flow::from_value((low + high) / 2);
}

Checked<Solution> solve(const Path& path) {
  if (auto errors = check(path); !errors.empty()) return refuse(std::move(errors));
  Solution s;
  s.flow = steady_flow(path);
  const double q = s.flow.value();
  const Pipe catheter(path.catheter);
  s.head = Pressure::from_value(head_si(path));
  s.reynolds_catheter = reynolds(catheter, path.fluid, q);
  s.loss_catheter = catheter_loss(path.catheter, path.fluid, s.flow);
  s.loss_clamp = path.clamp * s.flow;
  for (const auto& tube : path.tubing) s.loss_tubing += tubing_loss(tube, path.fluid, s.flow);
  s.relative_residual =
      s.head.value() > 0 ? std::abs(loss_si(path, catheter, q) - s.head.value()) / s.head.value() : 0.0;
  s.workings = {{"steady flow",
                 "ρ g H + bag pressure − venous pressure = losses in tubing, clamp, connector and catheter",
                 {{"bag above the tip", show(path.bag_height)},
                  {"bag pressure", show(path.bag_pressure)},
                  {"venous pressure", show(path.venous_pressure)},
                  {"catheter bore", show(path.catheter.diameter)},
                  {"catheter length", show(path.catheter.length)},
                  {"viscosity", show(path.fluid.viscosity)}},
                 show_in(s.flow, millilitre / minute, "mL/min") + " (" + show(s.flow) + ")",
                 {"Shah, J Fluids Eng 1978;100:177 for the catheter (constants from memory); see flow.md for its error",
                  Mark::memory}}};
  return s;
}

std::optional<Resistance> clamp_for(const Path& path, Flow wanted) {
  if (!(wanted > Flow())) return std::nullopt;
  Path open = path;
  open.clamp = Resistance();
  const double spare = head_si(open) - loss_si(open, Pipe(open.catheter), wanted.value());
  if (!(spare >= 0)) return std::nullopt;
  return Resistance::from_value(spare / wanted.value());
}

}  // namespace dwell::flow
