// How it is given: by drops or by pump, and what is fit to fill vessels in a hurry.
#include <algorithm>

#include "dosing/order_looks.h"
#include "quantity/display.h"

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
  if (!least) return look.lacks("what fluid fills vessels, in the ward's policy");
  const auto& mixture = order.out.mixture;
  for (const auto& name : mixture.without_sodium) look.lacks("the sodium of " + name);
  if (mixture.sodium && *mixture.sodium * hair < least->value)
    look.say(Severity::stop, "not_for_resuscitation",
             "Sodium " + show(*mixture.sodium) + ": below " + show(least->value) +
                 " it leaves the vessels as water, and swells the brain.",
             source_of(*least));
}

void judge_amount(const OrderCase& order, Look& look) {
  const auto& child = order.limits().resuscitation_most_child;
  const auto& adult = order.limits().resuscitation_most_adult;
  if (!child || !adult) return look.lacks("how much fills vessels at once, in the ward's policy");
  if (!order.input.patient.weight) return look.lacks("the weight");
  const VolumePerMass amount = order.out.rate.volume / std::min(*order.input.patient.weight, heaviest_counted);
  const auto& most = order.is_child() ? *child : *adult;
  if (amount > most.value * hair)
    look.say(Severity::stop, "resuscitation_most",
             show(order.out.rate.volume) + " in one order: above " + show(most.value) +
                 " somebody looks again before more is given.",
             source_of(most));
  else if (order.may_be_child() && amount > child->value * hair)
    look.lacks("the birth date");
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
  for (const auto& name : order.out.mixture.unknown_parts) look.lacks("whether " + name + " may run by drops");
  for (const auto& part : order.parts)
    if (part.infusate && part.infusate->pump_only.value_or(false))
      look.say(Severity::stop, "pump_only", part.name + " runs by pump alone, never by drops.", part.infusate->source);
  const auto& potassium = order.limits().potassium_failing_from;
  const bool any_potassium = !order.is_blood() && order.out.mixture.potassium_at_least > AmountConcentration();
  if (any_potassium && !potassium)
    look.lacks("how much potassium may run by drops, in the ward's policy");
  else if (any_potassium && order.out.mixture.potassium_at_least > potassium->value * hair)
    look.say(Severity::caution, "potassium_by_drops",
             "Potassium by drops: an open clamp gives the whole bag at once. By pump, if there is one.", practice);
  if (order.band == AgeBand::neonate || order.band == AgeBand::infant)
    look.say(Severity::caution, "drops_for_infant",
             "By drops to a newborn or infant: by pump, or from a chamber that holds no more than an hour's volume.",
             practice);
  else if (order.band == AgeBand::unknown)
    look.lacks("the birth date");
}

}  // namespace dwell::dosing
