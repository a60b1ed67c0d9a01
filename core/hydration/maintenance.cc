#include "hydration/maintenance.h"

#include <algorithm>

#include "quantity/display.h"
#include "say/common.h"
#include "say/growth.h"
#include "say/hydration.h"

namespace dwell::hydration {
namespace {

constexpr BodyWeight band = 10.0 * kilogram;

/// Splits a weight into its first 10 kg, next 10 kg and the rest.
struct Bands {
  BodyWeight first, next, rest;
};

Bands bands(BodyWeight weight) {
  const BodyWeight first = std::min(weight, band);
  const BodyWeight next = std::clamp(BodyWeight(weight - band), BodyWeight(), band);
  return {first, next, std::max(BodyWeight(weight - 2.0 * band), BodyWeight())};
}

Flow by_bands(BodyWeight weight, FlowPerMass first, FlowPerMass next, FlowPerMass rest) {
  const Bands b = bands(weight);
  return b.first * first + b.next * next + b.rest * rest;
}

constexpr FlowPerMass mL_per_kg_day = FlowPerMass::from_value(1e-6 / 86400);
constexpr FlowPerMass mL_per_kg_hour = FlowPerMass::from_value(1e-6 / 3600);

const Source holliday_segar_source{"Holliday & Segar, Pediatrics 1957;19:823 (read in a teaching page)",
                                   Mark::secondary};

Working child_working(MaintenanceRule rule, BodyWeight weight, Flow flow) {
  const bool daily = rule == MaintenanceRule::holliday_segar_daily;
  return {daily ? say::maintenance_daily_working() : say::maintenance_hourly_working(),
          daily ? say::maintenance_daily_formula() : say::maintenance_hourly_formula(),
          {{say::weight_name(), say::quantity(shown(weight))}},
          say::quantity(shown(flow)),
          holliday_segar_source};
}

}  // namespace

Flow holliday_segar_daily(BodyWeight weight) {
  return by_bands(weight, 100.0 * mL_per_kg_day, 50.0 * mL_per_kg_day, 20.0 * mL_per_kg_day);
}

Flow four_two_one(BodyWeight weight) {
  return by_bands(weight, 4.0 * mL_per_kg_hour, 2.0 * mL_per_kg_hour, 1.0 * mL_per_kg_hour);
}

Checked<Maintenance> maintenance(const MaintenanceInput& input, const policy::OrderLimits& limits) {
  FieldErrors errors;
  growth::check_person(input.person, errors);
  constexpr BodyWeight lightest = 0.3 * kilogram, heaviest = 400.0 * kilogram;
  if (!(input.weight >= lightest && input.weight <= heaviest))
    errors.push_back({"/weight", show(input.weight), say::a_body_weight_from_to(lightest, heaviest)});
  if (!errors.empty()) return refuse(std::move(errors));
  Maintenance out;
  growth::ask_about_weight(input.person, input.weight, out.findings);
  if (input.rule == MaintenanceRule::adult) {
    const auto& low = input.frail ? limits.maintenance_low_frail : limits.maintenance_low;
    const auto& high = input.frail ? limits.maintenance_high_frail : limits.maintenance_high;
    out.low = low.value * input.weight;
    out.high = high.value * input.weight;
    const auto a_day = [](FlowPerMass f) { return shown_number(f / mL_per_kg_day); };
    out.workings = {{input.frail ? say::maintenance_frail_working() : say::maintenance_adult_working(),
                     say::maintenance_adult_formula(a_day(low.value), a_day(high.value)),
                     {{say::weight_name(), say::quantity(shown(input.weight))}},
                     say::flow_from_to(out.low, out.high),
                     source_of(low)}};
    return out;
  }
  const bool daily = input.rule == MaintenanceRule::holliday_segar_daily;
  out.low = out.high = daily ? holliday_segar_daily(input.weight) : four_two_one(input.weight);
  out.workings = {child_working(input.rule, input.weight, out.low)};
  if (input.weight < 3.0 * kilogram || input.weight > 100.0 * kilogram)
    out.findings.push_back(
        {Severity::caution, "weight_for_rule", say::is_this_a_child(input.weight), holliday_segar_source});
  if (out.high > limits.child_ceiling.value)
    out.findings.push_back({Severity::caution, "child_ceiling",
                            say::above_usual_ceiling(out.high, limits.child_ceiling.value),
                            source_of(limits.child_ceiling)});
  return out;
}

}  // namespace dwell::hydration
