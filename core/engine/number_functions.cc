// Vessel, infusate, dosing and hydration: the numbers.
#include "dosing/order.h"
#include "dosing/push.h"
#include "dosing/rate.h"
#include "dosing/secondary.h"
#include "dosing/transfusion.h"
#include "engine/define.h"
#include "hydration/maintenance.h"
#include "hydration/sodium.h"
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
  all.push_back(define<dosing::PushInput, dosing::PushPlan>(
      "dosing.push", "A dose pushed by hand, as volume steps on a clock.",
      [](const dosing::PushInput& in, const Library&) { return dosing::push_plan(in); }));
  all.push_back(define<dosing::SecondaryInput, dosing::SecondaryPlan>(
      "dosing.secondary",
      "A second infusion into the line: who runs first, when the primary resumes, when all is done.",
      [](const dosing::SecondaryInput& in, const Library&) { return dosing::secondary_plan(in); }));
  all.push_back(define<dosing::TransfusionInput, dosing::TransfusionPlan>(
      "dosing.transfusion", "One unit of blood: slow start, then the rate, observations, and the time it must be done.",
      [](const dosing::TransfusionInput& in, const Library& library) {
        return dosing::transfusion_plan(in, library.policy.order);
      }));
  all.push_back(define<hydration::MaintenanceInput, hydration::Maintenance>(
      "hydration.maintenance", "Daily water by the child's rule or the adult's policy.",
      [](const hydration::MaintenanceInput& in, const Library& library) {
        return hydration::maintenance(in, library.policy.order);
      }));
  all.push_back(define<hydration::SodiumInput, hydration::SodiumResult>(
      "hydration.sodium", "Body water, free-water deficit, and what an infusate does to the serum sodium.",
      [](const hydration::SodiumInput& in, const Library&) { return hydration::sodium(in); }));
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
