// Flow, vessel, infusate, dosing and hydration: the numbers.
#include "dosing/order.h"
#include "dosing/rate.h"
#include "engine/define.h"
#include "flow/drops.h"
#include "flow/path.h"
#include "hydration/maintenance.h"
#include "infusate/suitability.h"
#include "vessel/fit.h"

namespace dwell::engine {
namespace {

/// Quantities whose text a page may have to read.
enum class Readable { length, volume, mass, duration, flow, drop_factor, drop_rate, pressure, osmolarity };
BOOST_DESCRIBE_ENUM(Readable, length, volume, mass, duration, flow, drop_factor, drop_rate, pressure, osmolarity)

QuantityKind kind_of(Readable readable) {
  switch (readable) {
    case Readable::length: return QuantityKind::length;
    case Readable::volume: return QuantityKind::volume;
    case Readable::mass: return QuantityKind::mass;
    case Readable::duration: return QuantityKind::duration;
    case Readable::flow: return QuantityKind::flow;
    case Readable::drop_factor: return QuantityKind::drop_factor;
    case Readable::drop_rate: return QuantityKind::drop_rate;
    case Readable::pressure: return QuantityKind::pressure;
    case Readable::osmolarity: return QuantityKind::osmolarity;
  }
  return QuantityKind::ratio;
}

struct ReadInput {
  Readable quantity = Readable::flow;
  std::string text;
};
BOOST_DESCRIBE_STRUCT(ReadInput, (), (quantity, text))

struct DripInput {
  std::vector<Duration> taps;
  DropFactor drop_factor;
  std::optional<Flow> ordered;
  std::optional<Ratio> drop_size_tolerance;  ///< absent: the policy's
};
BOOST_DESCRIBE_STRUCT(DripInput, (), (taps, drop_factor, ordered, drop_size_tolerance))

struct SuitabilityInput {
  infusate::Mixture mixture;
  Duration planned;
};
BOOST_DESCRIBE_STRUCT(SuitabilityInput, (), (mixture, planned))

struct CompareInput {
  dosing::Order first, second;
};
BOOST_DESCRIBE_STRUCT(CompareInput, (), (first, second))

struct CompareOutput {
  bool agrees = false;
  std::vector<dosing::Disagreement> disagreements;
};
BOOST_DESCRIBE_STRUCT(CompareOutput, (), (agrees, disagreements))

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
};
BOOST_DESCRIBE_STRUCT(CatheterFlow, (), (catheter, open_line, bedside))

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
    flows.push_back({catheter.id, solved->flow, solved->flow * static_cast<double>(gravity.bedside_factor.value)});
  }
  return flows;
}

}  // namespace

std::vector<Function> number_functions() {
  std::vector<Function> all;
  all.push_back(define<ReadInput, json::Value>(
      "quantity.read", "Reads a quantity as a person writes it and gives it back in its usual unit.",
      [](const ReadInput& in, const Library&) -> Checked<json::Value> {
        return parse_quantity(kind_of(in.quantity), in.text)
            .map([&](double si) { return json::encode_quantity(kind_of(in.quantity), si); })
            .map_error([](FieldErrors errors) {
              for (auto& e : errors) e.path = "/text";
              return errors;
            });
      }));
  all.push_back(define<dosing::RateInput, dosing::RateResult>(
      "dosing.rate", "Volume, time and rate: any two give the third, with drops a minute and the end.",
      [](const dosing::RateInput& in, const Library&) { return dosing::rate(in); }));
  all.push_back(define<dosing::DoseInput, dosing::DoseResult>(
      "dosing.dose_rate", "Dose rate to pump rate and back, by weight and concentration.",
      [](const dosing::DoseInput& in, const Library&) { return dosing::dose_rate(in); }));
  all.push_back(define<dosing::OrderCheckInput, dosing::OrderCheck>(
      "dosing.check_order", "The second look at an order: rate, drops, end, and every limit of policy with its source.",
      [](const dosing::OrderCheckInput& in, const Library& library) {
        return dosing::check_order(in, library.infusates, library.policy.order);
      }));
  all.push_back(define<CompareInput, CompareOutput>(
      "dosing.compare_orders", "Two people's own entries of one order, compared field by field.",
      [](const CompareInput& in, const Library&) -> Checked<CompareOutput> {
        CompareOutput out;
        out.disagreements = dosing::compare_orders(in.first, in.second);
        out.agrees = out.disagreements.empty();
        return out;
      }));
  all.push_back(define<hydration::MaintenanceInput, hydration::Maintenance>(
      "hydration.maintenance", "Daily water by the child's rule or the adult's policy.",
      [](const hydration::MaintenanceInput& in, const Library& library) {
        return hydration::maintenance(in, library.policy.order);
      }));
  all.push_back(
      define<flow::Path, flow::Solution>("flow.solve", "The steady flow of bag, tubing, clamp and catheter.",
                                         [](const flow::Path& in, const Library&) { return flow::solve(in); }));
  all.push_back(define<CatheterFlowInput, std::vector<CatheterFlow>>(
      "flow.catheters", "What each catheter of the catalogue delivers from an open line.",
      [](const CatheterFlowInput& in, const Library& library) { return catheter_flows(in, library); }));
  all.push_back(define<DripInput, flow::DripEstimate>(
      "flow.drip", "The rate of a drip counted by taps, with its error, against the order.",
      [](const DripInput& in, const Library& library) {
        return flow::estimate_drip({in.taps, in.drop_factor, in.ordered,
                                    in.drop_size_tolerance.value_or(library.policy.gravity.drop_size_tolerance.value)});
      }));
  all.push_back(define<vessel::FitInput, vessel::Fit>(
      "vessel.fit", "How a catheter lies in a vein: share filled, share inside, flow that passes.",
      [](const vessel::FitInput& in, const Library&) { return vessel::fit(in); }));
  all.push_back(define<infusate::Mixture, infusate::MixtureResult>(
      "infusate.mix", "Osmolarity, sodium, potassium and harm class of what is in the bag.",
      [](const infusate::Mixture& in, const Library& library) { return infusate::mix(in, library.infusates); }));
  all.push_back(define<SuitabilityInput, infusate::Suitability>(
      "infusate.suitability", "May this run into a peripheral vein for this long?",
      [](const SuitabilityInput& in, const Library& library) {
        return infusate::suitability(in.mixture, in.planned, library.infusates, library.policy.infusate);
      }));
  return all;
}

}  // namespace dwell::engine
