// Flow: what the line gives, the other way round, and the drip that is counted.
#include <algorithm>

#include "engine/define.h"
#include "flow/drops.h"
#include "flow/emptying.h"
#include "flow/limits.h"
#include "flow/network.h"
#include "flow/path.h"

namespace dwell::engine {
namespace {

struct CatheterFlowInput {
  Length bag_height;
  Pressure bag_pressure;
  Pressure venous_pressure;
  Temperature temperature;
  std::string infusate;  ///< empty: saline-like crystalloid
};
BOOST_DESCRIBE_STRUCT(CatheterFlowInput, (), (bag_height, bag_pressure, venous_pressure, temperature, infusate))

struct CatheterFlow {
  std::string catheter;
  Flow open_line;  ///< predicted, without the bedside factor
  Flow bedside;    ///< with it
  Flow bedside_low, bedside_high;
};
BOOST_DESCRIBE_STRUCT(CatheterFlow, (), (catheter, open_line, bedside, bedside_low, bedside_high))

Checked<std::vector<CatheterFlow>> catheter_flows(const CatheterFlowInput& in, const Library& library) {
  const auto& gravity = library.policy.gravity;
  double relative_viscosity = 1.02;
  Density density = 1004.6 * kilogram_per_cubic_metre;
  if (!in.infusate.empty()) {
    const auto found = library.infusates.find(in.infusate);
    if (found == library.infusates.end()) return refuse("/infusate", in.infusate, "a fluid of the ward's list");
    if (!found->second.relative_viscosity) return refuse("/infusate", in.infusate, "a fluid whose viscosity is known");
    relative_viscosity = *found->second.relative_viscosity;
    density = found->second.density.value_or(density);
  }
  flow::Path path;
  path.fluid = flow::aqueous(relative_viscosity, density, in.temperature);
  path.bag_height = in.bag_height;
  path.bag_pressure = in.bag_pressure;
  path.venous_pressure = in.venous_pressure;
  path.tubing = {{gravity.tubing_bore.value, gravity.tubing_length.value}};
  std::vector<CatheterFlow> flows;
  for (const auto& catheter : library.catheters) {
    path.catheter = {catheter.bore, catheter.length};
    auto solved = flow::solve(path);
    if (!solved) return refuse(solved.error());
    const auto lowered = [&](const Figure<Ratio>& factor) { return solved->flow * double(factor.value); };
    flows.push_back({catheter.id, solved->flow, lowered(gravity.bedside_factor), lowered(gravity.bedside_factor_low),
                     lowered(gravity.bedside_factor_high)});
  }
  return flows;
}

struct WantedFlowInput {
  flow::Path path;
  Flow wanted;
};
BOOST_DESCRIBE_STRUCT(WantedFlowInput, (), (path, wanted))

/// Each alone would bring the line to the wanted flow; absent where it cannot.
struct WantedFlow {
  Length bag_height;
  std::optional<Pressure> cuff;
  std::optional<Resistance> clamp;
  std::vector<std::string> catheters;  ///< of the catalogue, that reach it as the line stands, narrowest first
};
BOOST_DESCRIBE_STRUCT(WantedFlow, (), (bag_height, cuff, clamp, catheters))

Checked<WantedFlow> ways_to(const WantedFlowInput& in, const Library& library) {
  FieldErrors errors;
  if (auto solved = flow::solve(in.path); !solved)
    for (const auto& error : solved.error()) errors.push_back({"/path" + error.path, error.found, error.expected});
  flow::check_within("/wanted", in.wanted, 0.1 * millilitre / hour, 60.0 * litre / hour, errors);
  if (!errors.empty()) return refuse(std::move(errors));
  WantedFlow ways;
  ways.bag_height = flow::height_for(in.path, in.wanted);
  ways.cuff = flow::cuff_for(in.path, in.wanted);
  ways.clamp = flow::clamp_for(in.path, in.wanted);
  std::vector<const device::Catheter*> enough;
  flow::Path tried = in.path;
  for (const auto& catheter : library.catheters) {
    tried.catheter = {catheter.bore, catheter.length};
    if (flow::steady_flow(tried) >= in.wanted) enough.push_back(&catheter);
  }
  std::stable_sort(enough.begin(), enough.end(),
                   [](const device::Catheter* a, const device::Catheter* b) { return a->bore < b->bore; });
  for (const auto* catheter : enough) ways.catheters.push_back(catheter->id);
  return ways;
}

struct CountingTimeInput {
  DropRate expected;
  std::optional<Ratio> wanted_error;   ///< absent: 5 %
  std::optional<Duration> tap_jitter;  ///< absent: 0.1 s
};
BOOST_DESCRIBE_STRUCT(CountingTimeInput, (), (expected, wanted_error, tap_jitter))

struct BloodInput {
  Ratio haematocrit;
  Temperature temperature;
};
BOOST_DESCRIBE_STRUCT(BloodInput, (), (haematocrit, temperature))

Checked<flow::Fluid> blood(const BloodInput& in) {
  FieldErrors errors;
  flow::check_within("/haematocrit", in.haematocrit, Ratio(0), Ratio(0.8), errors);
  if (!(in.temperature >= Temperature{1} && in.temperature <= Temperature{42}))
    errors.push_back({"/temperature", show(in.temperature), "from 1 to 42 °C"});
  if (!errors.empty()) return refuse(std::move(errors));
  return flow::blood(in.haematocrit, in.temperature);
}

}  // namespace

std::vector<Function> flow_functions() {
  std::vector<Function> all;
  all.push_back(
      define<flow::Path, flow::Solution>("flow.solve", "The steady flow of bag, tubing, clamp and catheter.",
                                         [](const flow::Path& in, const Library&) { return flow::solve(in); }));
  all.push_back(define<CatheterFlowInput, std::vector<CatheterFlow>>(
      "flow.catheters", "What each catheter of the catalogue delivers from an open line.",
      [](const CatheterFlowInput& in, const Library& library) { return catheter_flows(in, library); }));
  all.push_back(define<flow::Network, flow::NetworkSolution>(
      "flow.network", "Infusions that join before one catheter: what each gives, and whether one runs back.",
      [](const flow::Network& in, const Library&) { return flow::solve_network(in); }));
  all.push_back(define<flow::EmptyingInput, flow::Emptying>(
      "flow.emptying", "How a hanging bag slows as it empties, and when it is empty.",
      [](const flow::EmptyingInput& in, const Library&) { return flow::emptying(in); }));
  all.push_back(define<WantedFlowInput, WantedFlow>(
      "flow.reach", "Height, cuff, clamp or catheter with which the line gives a wanted flow.",
      [](const WantedFlowInput& in, const Library& library) { return ways_to(in, library); }));
  all.push_back(define<BloodInput, flow::Fluid>("flow.blood", "Viscosity and density of blood or red cells.",
                                                [](const BloodInput& in, const Library&) { return blood(in); }));
  all.push_back(define<CountingTimeInput, flow::CountingTime>(
      "flow.counting_time", "How long to count drops for a wanted error.",
      [](const CountingTimeInput& in, const Library&) {
        return flow::counting_time(
            {in.expected, in.wanted_error.value_or(Ratio(0.05)), in.tap_jitter.value_or(0.1 * second)});
      }));
  return all;
}

}  // namespace dwell::engine
