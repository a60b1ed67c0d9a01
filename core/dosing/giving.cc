// How strong each medicine is in this bag, and how fast it runs, beside the limits of its entry.
#include <algorithm>

#include "dosing/order_looks.h"
#include "dosing/shown_in.h"
#include "say/common.h"
#include "say/dosing.h"

namespace dwell::dosing {
namespace {

using infusate::Part;
using verdict::Look;

/// Salts and sugar are judged as potassium, glucose and osmolarity; every other medicine has limits of its own.
std::vector<const Part*> medicines_of(const OrderCase& order) {
  std::vector<const Part*> medicines;
  for (const auto& part : order.parts)
    if (part.infusate && (part.infusate->giving || (part.infusate->kind == infusate::FluidKind::medicine &&
                                                    !mixes_freely(*part.infusate, order.policy.infusate))))
      medicines.push_back(&part);
  return medicines;
}

/// The looks have nothing to do when there is no medicine and every part is known.
bool nothing_to_look_at(const OrderCase& order, Message (*what)(std::string part), Look& look) {
  for (const auto& name : order.out.mixture.unknown_parts) look.lacks(what(name));
  if (!medicines_of(order).empty() || !order.out.mixture.unknown_parts.empty()) return false;
  look.does_not_apply();
  return true;
}

void judge_dose(const OrderCase& order, const Part& part, Look& look) {
  const auto& limit = part.infusate->giving;
  if (!limit || !limit->highest_dose) return look.lacks(say::how_much_at_once(part.name));
  if (!part.infusate->strength) return look.lacks(say::strength_of(part.name));
  const Mass dose = *part.infusate->strength * part.volume;
  if (dose > *limit->highest_dose * hair)
    look.say(Severity::stop, "giving_dose",
             say::part_dose_above(part.name, in_milligrams(dose), in_milligrams(*limit->highest_dose)), limit->source);
  else if (order.may_be_child())
    look.lacks(say::how_much_for_child(part.name));
}

void judge_age(const OrderCase& order, const Part& part, Look& look) {
  const auto& limit = part.infusate->giving;
  if (!limit || !limit->youngest_years) return;
  if (!order.age)
    look.lacks(say::the_birth_date());
  else if (*order.age < *limit->youngest_years)
    look.say(Severity::stop, "too_young", say::too_young(part.name, *limit->youngest_years), limit->source);
}

void judge_strength(const OrderCase& order, const Part& part, Look& look) {
  const auto& giving = part.infusate->giving;
  if (!giving || !giving->highest_concentration) return look.lacks(say::how_strong(part.name));
  if (!part.infusate->strength) return look.lacks(say::strength_of(part.name));
  const Mass dose = *part.infusate->strength * part.volume;
  const MassConcentration concentration = dose / order.out.rate.volume;
  if (!(concentration > *giving->highest_concentration * hair)) return;
  const auto& restricted = giving->highest_concentration_restricted;
  look.say(restricted && concentration <= *restricted * hair ? Severity::caution : Severity::stop,
           "giving_concentration",
           say::part_above(part.name, shown(concentration), shown(*giving->highest_concentration)), giving->source);
}

/// The slowest and the fastest limit that may apply to this person, as far as the entry knows them.
struct SpeedLimit {
  std::optional<MassRate> mildest, strictest;
  bool lacks_for_child = false;
};

void hold(std::optional<MassRate> limit, bool certain, SpeedLimit& speed) {
  if (!limit) return;
  speed.strictest = speed.strictest ? std::min(*speed.strictest, *limit) : *limit;
  if (certain) speed.mildest = speed.mildest ? std::min(*speed.mildest, *limit) : *limit;
}

SpeedLimit speed_limit(const OrderCase& order, const infusate::GivingLimit& giving) {
  SpeedLimit speed;
  hold(giving.highest_rate, true, speed);
  const auto frail = order.frail();
  if (frail.value_or(true)) hold(giving.highest_rate_frail, frail.has_value(), speed);
  if (order.may_be_child()) hold(giving.highest_rate_child, order.is_child(), speed);
  const auto& weight = order.input.patient.weight;
  if (giving.highest_rate_per_kilogram && weight)
    hold(MassRate(*giving.highest_rate_per_kilogram * *weight), true, speed);
  const bool for_children = giving.highest_rate_child || giving.highest_rate_per_kilogram || giving.shortest;
  speed.lacks_for_child = order.may_be_child() && !for_children;
  return speed;
}

/// What was found, and what the entry adds in its own words.
Message with_note(Message found, const Wording& note) {
  if (note.empty()) return found;
  return say::sentences({std::move(found), note});
}

void judge_rate(const OrderCase& order, const Part& part, Look& look) {
  const auto& giving = *part.infusate->giving;
  if (!giving.highest_rate && !giving.highest_rate_frail && !giving.highest_rate_child &&
      !giving.highest_rate_per_kilogram)
    return;
  if (!part.infusate->strength) return look.lacks(say::strength_of(part.name));
  const Mass dose = *part.infusate->strength * part.volume;
  const MassRate rate = dose / order.out.rate.duration;
  order.out.workings.push_back({say::speed_of_medicine(),
                                say::strength_times_volume_over_time(),
                                {{say::strength_name(), say::quantity(shown(*part.infusate->strength))},
                                 {say::volume_name(), say::quantity(shown(part.volume))},
                                 {say::time_name(), say::quantity(shown(order.out.rate.duration))}},
                                say::speed_at_strength(milligrams_per_minute(rate), dose / order.out.rate.volume),
                                giving.source});
  const auto limit = speed_limit(order, giving);
  if (limit.mildest && rate > *limit.mildest * hair)
    look.say(Severity::stop, "giving_rate",
             with_note(say::part_faster(part.name, milligrams_per_minute(rate), milligrams_per_minute(*limit.mildest)),
                       giving.note),
             giving.source);
  else if (limit.strictest && rate > *limit.strictest * hair)
    look.lacks(order.age ? say::whether_heart_or_kidneys_fail() : say::the_birth_date());
  if (giving.highest_rate_per_kilogram && !order.input.patient.weight) look.lacks(say::the_weight());
  if (limit.lacks_for_child) look.lacks(say::how_fast_in_child(part.name));
}

void judge_unit_rate(const OrderCase& order, const Part& part, Look& look) {
  const auto& giving = *part.infusate->giving;
  if (!giving.highest_unit_rate) return;
  if (!part.infusate->unit_strength) return look.lacks(say::strength_of(part.name));
  const UnitRate rate = *part.infusate->unit_strength * part.volume / order.out.rate.duration;
  if (rate > *giving.highest_unit_rate * hair)
    look.say(Severity::stop, "giving_rate",
             with_note(say::part_faster(part.name, shown(rate), shown(*giving.highest_unit_rate)), giving.note),
             giving.source);
}

void judge_speed(const OrderCase& order, const Part& part, Look& look) {
  const auto& giving = part.infusate->giving;
  const bool known = giving && (giving->highest_rate || giving->highest_rate_frail || giving->highest_rate_child ||
                                giving->highest_rate_per_kilogram || giving->highest_unit_rate || giving->shortest);
  if (!known) return look.lacks(say::how_fast(part.name));
  judge_rate(order, part, look);
  judge_unit_rate(order, part, look);
  if (giving->shortest && order.out.rate.duration * hair < *giving->shortest)
    look.say(Severity::stop, "giving_time", say::part_shorter(part.name, order.out.rate.duration, *giving->shortest),
             giving->source);
}

}  // namespace

void look_at_strength(const OrderCase& order, Look& look) {
  if (nothing_to_look_at(order, say::how_strong, look)) return;
  for (const auto* part : medicines_of(order)) judge_strength(order, *part, look);
}

void look_at_dose(const OrderCase& order, Look& look) {
  if (nothing_to_look_at(order, say::how_much_at_once, look)) return;
  for (const auto* part : medicines_of(order)) {
    judge_dose(order, *part, look);
    judge_age(order, *part, look);
  }
}

void look_at_speed(const OrderCase& order, Look& look) {
  if (nothing_to_look_at(order, say::how_fast, look)) return;
  for (const auto* part : medicines_of(order)) judge_speed(order, *part, look);
}

}  // namespace dwell::dosing
