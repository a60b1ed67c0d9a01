// How it is given: by drops or by pump, and what is fit to fill vessels in a hurry.
#include <algorithm>

#include "dosing/order_looks.h"
#include "infusate/as_strong_as.h"
#include "quantity/display.h"
#include "say/dosing.h"
#include "say/infusate.h"

namespace dwell::dosing {
namespace {

using line::AgeBand;
using verdict::Look;

const Source practice{"common practice, no source", Mark::practice};

/// Smaller volumes are a medicine's dose, such as glucose for a low blood sugar, and fill nothing.
bool fills_vessels(const OrderCase& order) {
  const auto& weight = order.input.patient.weight;
  const auto& from = order.limits().sustained_from;
  return !weight || !from || order.out.rate.volume / *weight > from->value * hair;
}

void judge_sodium(const OrderCase& order, Look& look) {
  const auto& least = order.limits().resuscitation_sodium_least;
  if (!least) return look.lacks(say::filling_fluid_of_policy());
  const auto& mixture = order.out.mixture;
  for (const auto& name : mixture.without_sodium) look.lacks(say::sodium_of(name));
  if (mixture.sodium && *mixture.sodium * hair < least->value)
    look.say(Severity::stop, "not_for_resuscitation", say::sodium_fills_no_vessels(*mixture.sodium, least->value),
             source_of(*least));
}

void judge_amount(const OrderCase& order, Look& look) {
  const auto& child = order.limits().resuscitation_most_child;
  const auto& adult = order.limits().resuscitation_most_adult;
  if (!child || !adult) return look.lacks(say::filling_volume_of_policy());
  if (!order.input.patient.weight) return look.lacks(say::the_weight());
  const VolumePerMass amount = order.out.rate.volume / std::min(*order.input.patient.weight, heaviest_counted);
  const auto& most = order.is_child() ? *child : *adult;
  if (amount > most.value * hair)
    look.say(Severity::stop, "resuscitation_most", say::much_in_one_order(order.out.rate.volume, most.value),
             source_of(most));
  else if (order.may_be_child() && amount > child->value * hair)
    look.lacks(say::the_birth_date());
}

}  // namespace

void look_at_resuscitation(const OrderCase& order, Look& look) {
  if (!order.resuscitation() || order.is_blood()) return look.does_not_apply();
  if (!fills_vessels(order)) return;
  judge_sodium(order, look);
  judge_amount(order, look);
}

void look_at_delivery(const OrderCase& order, Look& look) {
  if (!order.input.order.drop_factor) return look.does_not_apply();
  for (const auto& name : order.out.mixture.unknown_parts) look.lacks(say::whether_by_drops(name));
  for (const auto& part : order.parts)
    if (part.infusate && part.infusate->pump_only.value_or(false))
      look.say(Severity::stop, "pump_only", say::pump_only(part.name), part.infusate->source);
  for (const auto* bag : infusate::as_strong_as(order.parts, order.formulary))
    if (bag->pump_only.value_or(false))
      look.say(Severity::stop, "pump_only", say::as_strong_as_pump_only(bag->name), bag->source);
  for (const auto& part : order.parts)
    if (part.infusate && infusate::strength_is_unknown(*part.infusate)) look.lacks(say::solutes_of(part.name));
  const auto& potassium = order.limits().potassium_failing_from;
  const bool any_potassium = !order.is_blood() && order.out.mixture.potassium_at_least > AmountConcentration();
  if (any_potassium && !potassium)
    look.lacks(say::potassium_by_drops_of_policy());
  else if (any_potassium && order.out.mixture.potassium_at_least > potassium->value * hair)
    look.say(Severity::caution, "potassium_by_drops", say::potassium_by_drops(), practice);
  if (order.band == AgeBand::neonate || order.band == AgeBand::infant)
    look.say(Severity::caution, "drops_for_infant", say::drops_for_infant(), practice);
  else if (order.band == AgeBand::unknown)
    look.lacks(say::the_birth_date());
}

}  // namespace dwell::dosing
