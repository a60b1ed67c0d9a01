#include "flow/path.h"

#include <algorithm>
#include <array>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>

#include "flow/limits.h"
#include "quantity/display.h"
#include "quantity/shown_in.h"
#include "say/common.h"
#include "say/flow.h"

namespace dwell::flow {
namespace {

/// How much thicker than the fluid in which a clamp's setting is given.
double thickness(const Fluid& fluid) { return fluid.viscosity / reference_fluid().viscosity; }

/// The parts of one line in SI numbers, ready to be evaluated many times.
class Line {
 public:
  explicit Line(const Path& path, double catheter_law = 1)
      : catheter_(path.catheter, path.fluid),
        laminar_(path.clamp.value() * thickness(path.fluid)),
        connector_k_(path.connector_k),
        law_(catheter_law) {
    if (path.set) set_ = si::Part(*path.set, path.fluid);
    if (path.connector) connector_ = si::Part(*path.connector, path.fluid);
    if (path.vein_outflow) laminar_ += path.vein_outflow->value();
    for (const auto& bore : path.tubing)
      if (tubes_ < tubing_.size()) tubing_[tubes_++] = si::Tube(bore, path.fluid);
  }
  [[nodiscard]] double loss(double flow) const {
    double loss = law_ * catheter_.loss(flow) + laminar_ * flow + connector_k_ * catheter_.velocity_head(flow) +
                  set_.loss(flow) + connector_.loss(flow);
    for (std::size_t i = 0; i < tubes_; ++i) loss += tubing_[i].loss(flow);
    return loss;
  }

 private:
  si::Catheter catheter_;
  std::array<si::Tube, most_tubes> tubing_;
  std::size_t tubes_ = 0;
  si::Part set_, connector_;
  double laminar_, connector_k_, law_;
};

double head_si(const Path& path) {
  return path.fluid.density.value() * standard_gravity.value() * path.bag_height.value() + path.bag_pressure.value() -
         path.venous_pressure.value();
}

FieldErrors check(const Path& path) {
  FieldErrors errors;
  check_fluid("/fluid", path.fluid, errors);
  check_within("/bag_height", path.bag_height, -1.0 * metre, 3.0 * metre, errors);
  check_within("/bag_pressure", path.bag_pressure, 0.0 * pascal, 600.0 * millimetre_of_mercury, errors);
  check_venous("/venous_pressure", path.venous_pressure, errors);
  check_clamp("/clamp", path.clamp, errors);
  check_connector("/connector_k", path.connector_k, errors);
  check_bore("/catheter", path.catheter, errors);
  check_tubing("/tubing", path.tubing, most_tubes, errors);
  if (path.set) check_part("/set", *path.set, errors);
  if (path.connector) check_part("/connector", *path.connector, errors);
  if (path.vein_outflow) check_clamp("/vein_outflow", *path.vein_outflow, errors);
  return errors;
}

void tell_head(const Path& path, Solution& s) {
  if (s.head > Pressure()) return;
  const Source physics{"pressure balance", Mark::computed};
  if (path.bag_height <= Length() && path.bag_pressure <= Pressure())
    s.findings.push_back({Severity::stop, "bag_below_tip", say::bag_below_tip(), physics});
  else
    s.findings.push_back({Severity::stop, "no_head", say::bag_too_low(), physics});
}

}  // namespace

Pressure head_of(const Path& path) { return Pressure::from_value(head_si(path)); }

Pressure loss_of(const Path& path, Flow flow, double catheter_law) {
  return Pressure::from_value(Line(path, catheter_law).loss(flow.value()));
}

Flow steady_flow(const Path& path) { return steady_flow(path, 1); }

Flow steady_flow(const Path& path, double catheter_law) {
  const double head = head_si(path);
  if (!(head > 0)) return Flow{};
  const Line line(path, catheter_law);
  // Above Reynolds 2,100 as below, the real catheter loses more than developed laminar flow through it, whose flow is
  // therefore an upper bound.
  const double highest = head / (catheter_law * si::Tube(path.catheter, path.fluid).resistance());
  const auto excess = [&](double flow) { return line.loss(flow) - head; };
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
  s.head = Pressure::from_value(head_si(path));
  s.reynolds_catheter = reynolds_number(path.catheter, path.fluid, s.flow);
  s.loss_catheter = catheter_loss(path.catheter, path.fluid, s.flow);
  s.loss_clamp = path.clamp * s.flow * thickness(path.fluid);
  if (path.set) s.loss_set = part_loss(*path.set, path.fluid, s.flow);
  if (path.vein_outflow) s.loss_vein = *path.vein_outflow * s.flow;
  for (const auto& tube : path.tubing) s.loss_tubing += tubing_loss(tube, path.fluid, s.flow);
  s.relative_residual =
      s.head.value() > 0 ? std::abs(Line(path).loss(s.flow.value()) - s.head.value()) / s.head.value() : 0.0;
  tell_head(path, s);
  s.workings = {{say::steady_flow_name(),
                 say::steady_flow_formula(),
                 {{say::bag_above_tip_name(), say::quantity(shown(path.bag_height))},
                  {say::bag_pressure_name(), say::quantity(shown(path.bag_pressure))},
                  {say::venous_pressure_name(), say::quantity(shown(path.venous_pressure))},
                  {say::catheter_bore_name(), say::quantity(shown(path.catheter.diameter))},
                  {say::catheter_length_name(), say::quantity(shown(path.catheter.length))},
                  {say::viscosity_name(), say::quantity(shown(path.fluid.viscosity))}},
                 say::flow_in_two_units(shown_in(s.flow, millilitre / minute, "mL/min"), shown(s.flow)),
                 {"Shah, J Fluids Eng 1978;100:177 for the catheter (constants from memory); see flow.md for its error",
                  Mark::memory}}};
  return s;
}

std::optional<Resistance> clamp_for(const Path& path, Flow wanted) {
  if (!(wanted > Flow())) return std::nullopt;
  Path open = path;
  open.clamp = Resistance();
  const double spare = head_si(open) - Line(open).loss(wanted.value());
  if (!(spare >= 0)) return std::nullopt;
  return Resistance::from_value(spare / wanted.value() / thickness(path.fluid));
}

Length height_for(const Path& path, Flow wanted) {
  Path level = path;
  level.bag_height = Length();
  const double missing = Line(path).loss(wanted.value()) - head_si(level);
  return Length::from_value(missing / (path.fluid.density.value() * standard_gravity.value()));
}

std::optional<Pressure> cuff_for(const Path& path, Flow wanted) {
  Path bare = path;
  bare.bag_pressure = Pressure();
  const double missing = Line(path).loss(wanted.value()) - head_si(bare);
  if (!(missing >= 0)) return std::nullopt;
  return Pressure::from_value(missing);
}

}  // namespace dwell::flow
