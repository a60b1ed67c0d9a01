// What a child is kept on: a hypotonic fluid lowers sodium, and a newborn has no store of sugar. What a dose is made up
// in is free of these questions while it is little beside a day's need: a litre of dextrose keeps a child with a
// medicine in it too.
#include <algorithm>

#include "dosing/order_looks.h"
#include "say/common.h"
#include "say/dosing.h"

namespace dwell::dosing {
namespace {

using infusate::Part;
using line::AgeBand;
using verdict::Look;

const Source practice{"common practice, no source", Mark::practice};

/// A newborn has no store of sugar.
void look_at_newborn_fluid(const OrderCase& order, Look& look) {
  const auto& mixture = order.out.mixture;
  if (mixture.glucose_at_least > MassConcentration()) return;
  for (const auto& name : mixture.without_glucose) look.lacks(say::glucose_of(name));
  if (mixture.without_glucose.empty())
    look.say(Severity::caution, "no_glucose_for_newborn", say::no_glucose_for_newborn(), practice);
}

bool isotonic(const infusate::MixtureResult& mixture, const policy::ChildLimits& child) {
  return mixture.sodium_at_least * hair >= child.isotonic_sodium_least.value;
}

/// Asked as of a fluid that a child is kept on.
void look_at_what_maintains(const OrderCase& order, Look& look) {
  if (order.band == AgeBand::neonate) return look_at_newborn_fluid(order, look);
  const auto& mixture = order.out.mixture;
  if (order.band == AgeBand::unknown && !(mixture.glucose_at_least > MassConcentration()))
    look.lacks(say::the_birth_date());
  const auto& child = order.limits().child;
  if (!child) {
    if (!order.age || *order.age < 18) look.lacks(say::child_maintenance_of_policy());
    return;
  }
  if (order.age && *order.age >= child->isotonic_until_years.value) return look.does_not_apply();
  if (isotonic(mixture, *child)) return;
  for (const auto& name : mixture.without_sodium) look.lacks(say::sodium_of(name));
  if (!mixture.sodium) return;
  if (!order.age && look.missing().empty()) look.lacks(say::the_birth_date());
  if (!order.age) return;
  const auto& least = child->isotonic_sodium_least;
  look.say(Severity::caution, "hypotonic_for_child",
           say::hypotonic_for_child(*mixture.sodium, least.value, child->isotonic_until_years.value), source_of(least));
}

/// Blood and contrast keep nobody; whatever else is in the bag, or is not known, may.
bool may_maintain(const Part& part) {
  return !part.infusate || (part.infusate->kind != infusate::FluidKind::blood &&
                            part.infusate->leak_family != infusate::LeakFamily::contrast);
}

/// Of what may keep a child in the container, as much as runs in a day.
Volume fluid_in_a_day(const OrderCase& order) {
  Volume fluid;
  for (const auto& part : order.parts)
    if (may_maintain(part)) fluid += part.volume;
  return fluid * double(ordered_in_a_day(order) / order.out.rate.volume);
}

/// Whether a child who gets this beside the order could be asked the same question of it.
bool adds_to_it(const Beside& beside, const OrderCase& order, const policy::ChildLimits& child) {
  if (std::none_of(beside.parts.begin(), beside.parts.end(), may_maintain)) return false;
  const bool no_sugar = !(beside.mixture.glucose_at_least > MassConcentration());
  const bool hypotonic = !isotonic(beside.mixture, child);
  if (order.band == AgeBand::unknown) return no_sugar || hypotonic;
  return order.band == AgeBand::neonate ? no_sugar : hypotonic;
}

/// Whether what the dose is made up in is little beside a day's need, with all of the kind that runs beside it and as
/// often as that is given. What it could not look at is lacking in `look`; then it is not little.
bool is_little(const OrderCase& order, const policy::ChildLimits& child, Look& look) {
  if (!child.dose_fluid_most) look.lacks(say::dose_fluid_of_policy());
  if (!order.input.patient.weight) look.lacks(say::the_weight());
  Volume fluid = fluid_in_a_day(order);
  for (const auto& beside : order.beside) {
    if (!adds_to_it(beside, order, child)) continue;
    if (const auto more = in_a_day(beside))
      fluid += *more;
    else
      look.lacks(say::rate_of(beside.parts.front().name));
  }
  if (!child.dose_fluid_most || !order.input.patient.weight) return false;
  const auto need = childs_day_need(order);
  return need && fluid <= *need * double(child.dose_fluid_most->value) * hair && look.missing().empty();
}

/// Salts, sugar and water are no dose, whatever they are called.
bool is_dose(Purpose purpose) {
  return purpose == Purpose::medicine || purpose == Purpose::contrast || purpose == Purpose::blood;
}

}  // namespace

void look_at_maintenance_fluid(const OrderCase& order, Look& look) {
  if (order.resuscitation() || order.is_blood()) return look.does_not_apply();
  const auto& child = order.limits().child;
  if (!is_dose(order.purpose()) || !child) return look_at_what_maintains(order, look);
  Look asked, of_volume;
  look_at_what_maintains(order, asked);
  if (!asked.silent() && is_little(order, *child, of_volume)) return look.does_not_apply();
  look = asked.silent() || of_volume.missing().empty() ? std::move(asked) : std::move(of_volume);
}

}  // namespace dwell::dosing
