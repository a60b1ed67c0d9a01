// Flow: what the line gives, the other way round, and the drip that is counted.
#include <algorithm>
#include <cmath>

#include "device/line_of.h"
#include "engine/define.h"
#include "flow/drops.h"
#include "flow/emptying.h"
#include "flow/limits.h"
#include "flow/network.h"
#include "flow/open_line.h"
#include "flow/path.h"
#include "say/flow.h"

namespace dwell::engine {
namespace {

constexpr Temperature coldest{1}, hottest{42};  ///< of a fluid that runs

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
  Flow open_line;  ///< at the bench: the ward's set and the given venous pressure, no vein behind the tip
  Flow bedside;    ///< in a vein of the size usual for the gauge
  Flow bedside_low, bedside_high;
};
BOOST_DESCRIBE_STRUCT(CatheterFlow, (), (catheter, open_line, bedside, bedside_low, bedside_high))

/// A fluid of the ward's list, or saline-like when none is named; at its temperature.
Checked<flow::Fluid> running_fluid(const std::string& infusate, Temperature temperature, const Library& library) {
  FieldErrors errors;
  if (!(temperature >= coldest && temperature <= hottest))
    errors.push_back({"/temperature", show(temperature),
                      say::degrees_celsius_from_to(shown_number(coldest.celsius), shown_number(hottest.celsius))});
  double relative_viscosity = 1.02;
  Density density = flow::reference_fluid().density;
  if (!infusate.empty()) {
    const auto found = library.infusates.find(infusate);
    if (found == library.infusates.end())
      errors.push_back({"/infusate", infusate, say::a_fluid_of_the_list()});
    else if (!found->second.relative_viscosity)
      errors.push_back({"/infusate", infusate, say::a_fluid_of_known_viscosity()});
    else
      relative_viscosity = *found->second.relative_viscosity;
    if (errors.empty()) density = found->second.density.value_or(density);
  }
  if (!errors.empty()) return refuse(std::move(errors));
  return flow::aqueous(relative_viscosity, density, temperature);
}

Checked<std::vector<CatheterFlow>> catheter_flows(const CatheterFlowInput& in, const Library& library) {
  auto fluid = running_fluid(in.infusate, in.temperature, library);
  if (!fluid) return refuse(fluid.error());
  flow::Standing standing;
  standing.fluid = *fluid;
  standing.bag_height = in.bag_height;
  standing.cuff = in.bag_pressure;
  std::vector<CatheterFlow> flows;
  for (const auto& catheter : library.catheters) {
    auto line = device::open_line_of(catheter, library.policy.gravity);
    line.venous_pressure = in.venous_pressure;
    flow::Path bench = flow::path_at(line, standing);
    bench.bag_pressure = in.bag_pressure;
    auto solved = flow::solve(bench);
    if (!solved) return refuse(solved.error());
    if (!(flow::head_of(bench) > Pressure())) return refuse("/bag_height", show(in.bag_height), say::a_bag_that_runs());
    bench.vein_outflow.reset();
    const auto band = flow::expected(line, standing);
    flows.push_back({catheter.id, flow::steady_flow(bench), band.middle, band.low, band.high});
  }
  return flows;
}

/// One count of the open line: clamp fully open, so much in a time.
struct CountInput {
  Flow flow;
  std::optional<Length> bag_height;  ///< absent: as the line stands
  std::optional<Pressure> cuff;      ///< absent: as the line stands
  std::optional<Ratio> error;        ///< of the reading, one standard deviation; absent: 5 %
  std::optional<bool> by_drops;      ///< counted in drops: their size is known to the policy's tolerance only
};
BOOST_DESCRIBE_STRUCT(CountInput, (), (flow, bag_height, cuff, error, by_drops))

struct OpenLineInput {
  std::optional<std::string> catheter;     ///< of the catalogue
  std::optional<Flow> declared_flow;       ///< on the pack; with its length it stands for the catalogue's entry
  std::optional<Length> catheter_length;   ///< with declared_flow; absent: the catalogue entry's
  std::optional<std::string> infusate;     ///< absent: saline-like
  std::optional<Temperature> temperature;  ///< absent: 22 °C
  std::optional<device::SetKind> set;      ///< absent: the ward's
  std::optional<Flow> set_flow;            ///< of the set alone, end open, 1 m, when somebody measured it
  std::optional<bool> in_vein;             ///< absent: yes
  std::optional<Diameter> vein;            ///< inner diameter; absent: usual for the gauge, within 30 %
  std::optional<Length> bag_height;        ///< absent: the policy's, give or take 20 cm
  std::optional<Pressure> cuff;            ///< on the gauge of a sleeve around the bag
  std::vector<CountInput> counts;
  std::optional<Flow> ordered;
};
BOOST_DESCRIBE_STRUCT(OpenLineInput, (),
                      (catheter, declared_flow, catheter_length, infusate, temperature, set, set_flow, in_vein, vein,
                       bag_height, cuff, counts, ordered))

const device::Catheter* find_catheter(const OpenLineInput& in, const Library& library, FieldErrors& errors) {
  if (!in.catheter) {
    if (!in.declared_flow || !in.catheter_length) errors.push_back({"/catheter", "", say::a_catheter_or_its_pack()});
    return nullptr;
  }
  for (const auto& catheter : library.catheters)
    if (catheter.id == *in.catheter) return &catheter;
  std::string known;
  for (const auto& catheter : library.catheters) known += (known.empty() ? "" : ", ") + catheter.id;
  errors.push_back({"/catheter", *in.catheter, say::a_catheter_of(known)});
  return nullptr;
}

/// A gauge by its declared flow, for the vein in which it usually lies.
Gauge gauge_by_flow(Flow declared, const Library& library) {
  const device::Catheter* nearest = nullptr;
  const auto apart = [&](const device::Catheter& c) {
    return std::abs(std::log(double(flow::declared_of_bore({c.bore, c.length}) / declared)));
  };
  for (const auto& catheter : library.catheters)
    if (!nearest || apart(catheter) < apart(*nearest)) nearest = &catheter;
  return nearest ? nearest->gauge : Gauge{20};
}

Checked<flow::OpenLine> line_of(const OpenLineInput& in, const Library& library) {
  FieldErrors errors;
  const device::Catheter* found = find_catheter(in, library, errors);
  device::Catheter catheter = found ? *found : device::Catheter{};
  if (in.catheter_length) catheter.length = *in.catheter_length;
  if (in.declared_flow) {
    catheter.declared_flow = in.declared_flow;
    const auto bore = errors.empty() ? flow::bore_of_declared(*in.declared_flow, catheter.length) : Length();
    if (!bore)
      for (const auto& error : bore.error())
        errors.push_back({error.path == "/length" ? "/catheter_length" : error.path, error.found, error.expected});
    else if (!found)
      catheter.gauge = gauge_by_flow(*in.declared_flow, library);
  } else if (in.catheter_length) {
    check_within("/catheter_length", *in.catheter_length, 5.0 * millimetre, 300.0 * millimetre, errors);
  }
  if (in.set_flow)
    check_within("/set_flow", *in.set_flow, Flow(20.0 * millilitre / minute), Flow(2.0 * litre / minute), errors);
  if (in.vein) check_within("/vein", *in.vein, 0.5 * millimetre, 20.0 * millimetre, errors);
  if (!errors.empty()) return refuse(std::move(errors));
  auto line = device::open_line_of(catheter, library.policy.gravity, in.set.value_or(device::SetKind::ward));
  if (in.set_flow) line.set = flow::measured_set(*in.set_flow);
  if (in.vein) line.vein = *in.vein;
  line.in_vein = in.in_vein.value_or(true);
  return line;
}

Checked<flow::OpenLineAnswer> open_line(const OpenLineInput& in, const Library& library) {
  const auto& gravity = library.policy.gravity;
  auto line = line_of(in, library);
  auto fluid = running_fluid(in.infusate.value_or(""), in.temperature.value_or(Temperature{22}), library);
  FieldErrors errors;
  if (!line) errors = line.error();
  if (!fluid) errors.insert(errors.end(), fluid.error().begin(), fluid.error().end());
  if (!errors.empty()) return refuse(std::move(errors));
  flow::Standing standing;
  standing.fluid = *fluid;
  standing.bag_height = in.bag_height.value_or(gravity.bag_height.value);
  if (!in.bag_height) standing.height_spread = 20.0 * centimetre;
  standing.cuff = in.cuff.value_or(Pressure());
  std::vector<flow::OpenCount> counts;
  for (const auto& counted : in.counts) {
    flow::OpenCount count;
    count.standing = standing;
    if (counted.bag_height) {
      count.standing.bag_height = *counted.bag_height;
      count.standing.height_spread.reset();
    }
    if (counted.cuff) count.standing.cuff = *counted.cuff;
    count.flow = counted.flow;
    if (counted.error) count.error = double(*counted.error);
    if (counted.by_drops.value_or(false)) count.drop_size_tolerance = gravity.drop_size_tolerance.value;
    counts.push_back(std::move(count));
  }
  return flow::open_line(*line, standing, counts, in.ordered);
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
    tried.catheter = device::usual_catheter(catheter).bore;
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
  if (!(in.temperature >= coldest && in.temperature <= hottest))
    errors.push_back({"/temperature", show(in.temperature),
                      say::degrees_celsius_from_to(shown_number(coldest.celsius), shown_number(hottest.celsius))});
  if (!errors.empty()) return refuse(std::move(errors));
  return flow::blood(in.haematocrit, in.temperature);
}

}  // namespace

std::vector<Function> flow_functions() {
  std::vector<Function> all;
  all.push_back(define<&flow::solve>("flow.solve", "The steady flow of bag, tubing, clamp and catheter."));
  all.push_back(
      define<&catheter_flows>("flow.catheters", "What each catheter of the catalogue delivers from an open line."));
  all.push_back(define<&open_line>(
      "flow.open_line", "The open line as it is usual, and as counts of it show it to be: flow, set and vein."));
  all.push_back(define<&flow::solve_network>(
      "flow.network", "Infusions that join before one catheter: what each gives, and whether one runs back."));
  all.push_back(
      define<&flow::emptying>("flow.emptying", "How a hanging bag slows as it empties, and when it is empty."));
  all.push_back(
      define<&ways_to>("flow.reach", "Height, cuff, clamp or catheter with which the line gives a wanted flow."));
  all.push_back(define<&blood>("flow.blood", "Viscosity and density of blood or red cells."));
  all.push_back(define("flow.counting_time", "How long to count drops for a wanted error.",
                       [](const CountingTimeInput& in, const Library&) {
                         return flow::counting_time({in.expected, in.wanted_error.value_or(Ratio(0.05)),
                                                     in.tap_jitter.value_or(0.1 * second)});
                       }));
  return all;
}

}  // namespace dwell::engine
