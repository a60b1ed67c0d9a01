#include "flow/network.h"

#include <algorithm>
#include <array>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>

#include "flow/limits.h"
#include "quantity/display.h"
#include "say/common.h"
#include "say/flow.h"
#include "say/quantity.h"

namespace dwell::flow {
namespace {

double sign_of(double x) { return x < 0 ? -1.0 : 1.0; }

using Tubes = std::array<si::Tube, most_network_tubes>;

std::size_t make_tubes(const std::vector<Bore>& bores, const Fluid& fluid, Tubes& tubes) {
  const std::size_t count = std::min(bores.size(), tubes.size());
  for (std::size_t i = 0; i < count; ++i) tubes[i] = si::Tube(bores[i], fluid);
  return count;
}

/// One infusion up to the junction.
class BranchLine {
 public:
  BranchLine() = default;
  explicit BranchLine(const Branch& branch)
      : clamp_(branch.clamp.value() * double(branch.fluid.viscosity / reference_fluid().viscosity)),
        valve_(branch.back_check_valve) {
    if (branch.set) set_ = si::Part(*branch.set, branch.fluid);
    has_set_ = branch.set.has_value();
    count_ = make_tubes(branch.tubing, branch.fluid, tubes_);
    if (const auto* pump = std::get_if<Pump>(&branch.drive)) {
      pump_flow_ = pump->flow.value();
      return;
    }
    const auto& bag = std::get<Bag>(branch.drive);
    head_ = branch.fluid.density.value() * standard_gravity.value() * bag.height.value() + bag.cuff.value();
    resistance_ = clamp_;
    laminar_up_to_ = HUGE_VAL;
    for (std::size_t i = 0; i < count_; ++i) {
      resistance_ += tubes_[i].resistance();
      laminar_up_to_ = std::min(laminar_up_to_, tubes_[i].laminar_up_to());
    }
    if (has_set_) {
      laminar_up_to_ = 0;
      return;
    }
    // A bag spiked straight onto the junction still has its spike; without any resistance no flow would settle.
    constexpr double spike = 1e7;
    if (!(resistance_ > 0)) resistance_ = spike;
  }
  [[nodiscard]] bool is_pump() const { return pump_flow_ >= 0; }
  [[nodiscard]] double head() const { return head_; }
  [[nodiscard]] double loss(double flow) const {
    double loss = clamp_ * flow + sign_of(flow) * set_.loss(std::abs(flow));
    for (std::size_t i = 0; i < count_; ++i) loss += sign_of(flow) * tubes_[i].loss(std::abs(flow));
    return loss;
  }
  /// Flow into the junction when its pressure is p. Laminar flow, nearly always the case, is one division.
  [[nodiscard]] double flow_at(double p) const {
    if (is_pump()) return pump_flow_;
    const double drop = head_ - p;
    if (drop <= 0 && valve_) return 0;
    const double size = std::abs(drop);
    // More than it can be: the laminar parts alone, or the set alone.
    const double most = has_set_ ? set_.flow_at(size) : size / resistance_;
    if (most <= laminar_up_to_) return sign_of(drop) * most;
    const auto excess = [&](double flow) { return loss(flow) - size; };
    const double at_most = excess(most);
    if (at_most <= 0) return sign_of(drop) * most;
    std::uintmax_t evaluations = 60;
    const auto [low, high] = boost::math::tools::toms748_solve(
        excess, 0.0, most, -size, at_most, boost::math::tools::eps_tolerance<double>(46), evaluations);
    return sign_of(drop) * (low + high) / 2;
  }

 private:
  Tubes tubes_;
  std::size_t count_ = 0;
  si::Part set_;
  bool has_set_ = false;
  double clamp_ = 0, resistance_ = 0, laminar_up_to_ = 0, head_ = 0;
  double pump_flow_ = -1;
  bool valve_ = false;
};

/// From the junction to the vein, for the fluid that arrives there.
class Trunk {
 public:
  Trunk(const Network& network, const Fluid& fluid)
      : catheter_(network.catheter, fluid), connector_k_(network.connector_k) {
    count_ = make_tubes(network.tubing, fluid, tubes_);
    if (network.connector) connector_ = si::Part(*network.connector, fluid);
    if (network.vein_outflow) vein_ = network.vein_outflow->value();
  }
  [[nodiscard]] double loss(double flow) const {
    const double size = std::abs(flow);
    double loss =
        catheter_.loss(size) + connector_k_ * catheter_.velocity_head(size) + connector_.loss(size) + vein_ * size;
    for (std::size_t i = 0; i < count_; ++i) loss += tubes_[i].loss(size);
    return sign_of(flow) * loss;
  }

 private:
  si::Catheter catheter_;
  Tubes tubes_;
  std::size_t count_ = 0;
  si::Part connector_;
  double connector_k_, vein_ = 0;
};

bool alike(const Network& network) {
  return std::all_of(network.branches.begin(), network.branches.end(),
                     [&](const Branch& b) { return b.fluid == network.branches.front().fluid; });
}

/// The fluid after the junction: what flows in, by share. Backward branches add nothing; when none flows in, all have a
/// part in it, so that the answer does not hang on which is named first.
Fluid joined_fluid(const Network& network, const std::array<double, most_branches>& flows) {
  const bool any_flows_in = std::any_of(flows.begin(), flows.end(), [](double flow) { return flow > 0; });
  const auto share = [&](std::size_t i) { return any_flows_in ? std::max(flows[i], 0.0) : 1.0; };
  Fluid fluid = network.branches.front().fluid;
  double so_far = share(0);
  for (std::size_t i = 1; i < network.branches.size(); ++i) {
    const double here = share(i);
    if (here <= 0) continue;
    fluid = joined(fluid, Ratio(so_far / (so_far + here)), network.branches[i].fluid);
    so_far += here;
  }
  return fluid;
}

class Junction {
 public:
  explicit Junction(const Network& network)
      : network_(network),
        one_fluid_(alike(network)),
        first_trunk_(network, network.branches.front().fluid),
        venous_(network.venous_pressure.value()) {
    for (std::size_t i = 0; i < count(); ++i) lines_[i] = BranchLine(network.branches[i]);
  }
  [[nodiscard]] std::size_t count() const { return std::min(network_.branches.size(), most_branches); }
  [[nodiscard]] const BranchLine& line(std::size_t i) const { return lines_[i]; }

  [[nodiscard]] std::array<double, most_branches> flows_at(double p) const {
    std::array<double, most_branches> flows{};
    for (std::size_t i = 0; i < count(); ++i) flows[i] = lines_[i].flow_at(p);
    return flows;
  }
  [[nodiscard]] double trunk_loss(const std::array<double, most_branches>& flows) const {
    double total = 0;
    for (std::size_t i = 0; i < count(); ++i) total += flows[i];
    return one_fluid_ ? first_trunk_.loss(total) : Trunk(network_, joined_fluid(network_, flows)).loss(total);
  }
  /// Positive while the junction's pressure is too low to carry what arrives there.
  [[nodiscard]] double excess(double p) const { return trunk_loss(flows_at(p)) - (p - venous_); }

  /// Below `low` every bag still runs in, so the excess is positive; above `high` only pumps do, and `high` carries
  /// them.
  [[nodiscard]] std::pair<double, double> bracket() const {
    double low = venous_, high = venous_;
    std::array<double, most_branches> pumped{};
    for (std::size_t i = 0; i < count(); ++i) {
      if (lines_[i].is_pump()) {
        pumped[i] = lines_[i].flow_at(0);
        continue;
      }
      low = std::min(low, lines_[i].head());
      high = std::max(high, lines_[i].head());
    }
    return {low, std::max(high, venous_ + thickest_loss(pumped))};
  }

 private:
  /// What the pumps' flow would lose if all of it were the thickest of the fluids: never less than it does lose.
  [[nodiscard]] double thickest_loss(const std::array<double, most_branches>& pumped) const {
    if (one_fluid_) return trunk_loss(pumped);
    double total = 0, most = 0;
    for (const double flow : pumped) total += flow;
    for (const auto& branch : network_.branches) most = std::max(most, Trunk(network_, branch.fluid).loss(total));
    return most;
  }

  const Network& network_;
  bool one_fluid_;
  Trunk first_trunk_;
  double venous_;
  std::array<BranchLine, most_branches> lines_;
};

FieldErrors check(const Network& network) {
  FieldErrors errors;
  if (network.branches.empty() || network.branches.size() > most_branches)
    errors.push_back({"/branches", std::to_string(network.branches.size()), say::infusions_up_to(most_branches)});
  for (std::size_t i = 0; i < network.branches.size(); ++i) {
    const auto& branch = network.branches[i];
    const std::string path = "/branches/" + std::to_string(i);
    check_fluid(path + "/fluid", branch.fluid, errors);
    check_tubing(path + "/tubing", branch.tubing, most_network_tubes, errors);
    check_clamp(path + "/clamp", branch.clamp, errors);
    if (branch.set) check_part(path + "/set", *branch.set, errors);
    if (const auto* pump = std::get_if<Pump>(&branch.drive)) {
      check_within(path + "/drive/flow", pump->flow, 0.1 * millilitre / hour, 60.0 * litre / hour, errors);
      if (pump->alarm_pressure)
        check_within(path + "/drive/alarm_pressure", *pump->alarm_pressure, 10.0 * millimetre_of_mercury,
                     1500.0 * millimetre_of_mercury, errors);
    } else {
      check_bag(path + "/drive", std::get<Bag>(branch.drive).height, std::get<Bag>(branch.drive).cuff, errors);
    }
  }
  check_tubing("/tubing", network.tubing, most_network_tubes, errors);
  check_connector("/connector_k", network.connector_k, errors);
  check_bore("/catheter", network.catheter, errors);
  check_venous("/venous_pressure", network.venous_pressure, errors);
  if (network.connector) check_part("/connector", *network.connector, errors);
  if (network.vein_outflow) check_clamp("/vein_outflow", *network.vein_outflow, errors);
  return errors;
}

Message name_of(const Branch& branch, std::size_t i) {
  return branch.name.empty() ? say::infusion_number(static_cast<std::int64_t>(i) + 1) : say::as_named(branch.name);
}

const Source& physics() {
  static const Source source{"pressure balance at the junction; see flow.md for the model's error", Mark::computed};
  return source;
}

void tell_branch(const Branch& branch, const Message& name, Flow flow, std::optional<Pressure> outlet,
                 std::vector<Finding>& findings) {
  if (const auto* pump = std::get_if<Pump>(&branch.drive)) {
    if (pump->alarm_pressure && outlet && *outlet > *pump->alarm_pressure)
      findings.push_back(
          {Severity::caution, "pump_alarm", say::pump_would_alarm(name, *outlet, *pump->alarm_pressure), physics()});
    return;
  }
  if (flow < Flow())
    findings.push_back({Severity::stop, "runs_back", say::runs_back_into_bag(name), physics()});
  else if (flow == Flow())
    findings.push_back({Severity::caution, "stands_still", say::stands_still(name), physics()});
}

}  // namespace

Settled settle(const Network& network) {
  const Junction junction(network);
  const auto [low, high] = junction.bracket();
  const auto excess = [&](double p) { return junction.excess(p); };
  double p = low;
  if (const double at_low = excess(low); at_low > 0) {
    const double at_high = excess(high);
    if (at_high >= 0) {
      p = high;
    } else {
      std::uintmax_t evaluations = 60;
      const auto [a, b] = boost::math::tools::toms748_solve(excess, low, high, at_low, at_high,
                                                            boost::math::tools::eps_tolerance<double>(46), evaluations);
      p = (a + b) / 2;
    }
  }
  Settled settled;
  settled.junction = Pressure::from_value(p);
  const auto flows = junction.flows_at(p);
  for (std::size_t i = 0; i < junction.count(); ++i) {
    settled.branches[i] = Flow::from_value(flows[i]);
    settled.total += settled.branches[i];
  }
  const double scale = std::max({std::abs(high), std::abs(low), 1.0});
  settled.relative_residual = std::abs(excess(p)) / scale;
  return settled;
}

Checked<NetworkSolution> solve_network(const Network& network) {
  if (auto errors = check(network); !errors.empty()) return refuse(std::move(errors));
  const Settled settled = settle(network);
  NetworkSolution s;
  s.total = settled.total;
  s.junction = settled.junction;
  s.relative_residual = settled.relative_residual;
  std::array<double, most_branches> flows{};
  for (std::size_t i = 0; i < network.branches.size(); ++i) {
    const auto& branch = network.branches[i];
    const Flow flow = settled.branches[i];
    flows[i] = flow.value();
    std::optional<Pressure> outlet;
    if (std::holds_alternative<Pump>(branch.drive))
      outlet = settled.junction + Pressure::from_value(BranchLine(branch).loss(flow.value()));
    s.branches.push_back({name_of(branch, i), flow, outlet});
    tell_branch(branch, name_of(branch, i), flow, outlet, s.findings);
  }
  if (s.total < Flow()) s.findings.push_back({Severity::stop, "blood_runs_back", say::blood_runs_back(), physics()});
  const bool any_pump = std::any_of(network.branches.begin(), network.branches.end(),
                                    [](const Branch& b) { return std::holds_alternative<Pump>(b.drive); });
  if (s.total == Flow() && !any_pump)
    s.findings.push_back({Severity::stop, "no_head", say::every_bag_too_low(), physics()});
  if (s.total > Flow()) s.reynolds_catheter = reynolds_number(network.catheter, joined_fluid(network, flows), s.total);
  Working working{say::joined_flow_name(),
                  say::joined_flow_formula(),
                  {{say::venous_pressure_name(), say::quantity(shown(network.venous_pressure))}},
                  say::flow_and_junction(s.total, s.junction),
                  physics()};
  for (const auto& branch : s.branches) working.inputs.push_back({branch.name, say::quantity(shown(branch.flow))});
  s.workings = {std::move(working)};
  return s;
}

}  // namespace dwell::flow
