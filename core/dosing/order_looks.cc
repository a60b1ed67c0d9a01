#include "dosing/order_looks.h"

#include <algorithm>

#include "dosing/named_medicine.h"
#include "dosing/shown_in.h"
#include "hydration/maintenance.h"
#include "say/common.h"
#include "say/dosing.h"
#include "say/growth.h"
#include "say/infusate.h"

namespace dwell::dosing {
namespace {

using infusate::FluidKind;
using line::AgeBand;
using verdict::Look;

const Source practice{"common practice, no source", Mark::practice};

// ---- the weight on which every limit by weight stands ----

void look_at_body_weight(const OrderCase& order, Look& look) {
  const auto& patient = order.input.patient;
  if (!patient.weight) look.lacks(say::the_weight());
  if (!patient.birth_date) look.lacks(say::the_birth_date());
  if (!look.missing().empty()) return;
  // A child that was born today east of here is of today.
  const Date today = std::max(utc_date(order.input.now), patient.birth_date.value_or(utc_date(order.input.now)));
  look_at_weight_of(growth::Person{patient.birth_date, patient.sex, today}, patient.weight, look);
}

// ---- the rate itself ----

bool is_contrast(const OrderCase& order) {
  return order.input.order.purpose == Purpose::contrast &&
         std::any_of(order.parts.begin(), order.parts.end(), [](const infusate::Part& part) {
           return part.infusate && part.infusate->leak_family == infusate::LeakFamily::contrast;
         });
}

}  // namespace

void look_at_highest_flow(const OrderCase& order, Look& look) {
  const auto& highest = order.limits().highest_flow;
  const Flow flow = order.out.rate.flow;
  if (!(flow > highest.value * hair)) return;
  if (is_contrast(order))
    look.say(Severity::caution, "contrast_flow", say::contrast_rate(shown_in(flow, millilitre / minute, "mL/min")),
             practice);
  else
    look.say(order.resuscitation() ? Severity::caution : Severity::stop, "highest_flow",
             say::slip_of_the_pen(flow, highest.value), source_of(highest));
}

namespace {

/// A child's by weight, beside the ward's: the lower governs.
void look_at_keeping_open_of_a_child(const OrderCase& order, Look& look) {
  if (!order.may_be_child()) return;
  const auto& child = order.limits().child;
  if (!child || !child->keep_open_most) return look.lacks(say::keep_open_limit_missing());
  if (!order.input.patient.weight) return look.lacks(say::the_weight());
  const auto& most = *child->keep_open_most;
  const FlowPerMass by_weight = order.out.rate.flow / *order.input.patient.weight;
  if (!(by_weight > most.value * hair)) return;
  if (!order.is_child()) return look.lacks(say::the_birth_date());
  look.say(Severity::caution, "keep_open_flow_for_weight", say::keep_open_flow_for_weight(by_weight, most.value),
           source_of(most));
}

void look_at_flow(const OrderCase& order, Look& look) {
  const auto& limits = order.limits();
  const Flow flow = order.out.rate.flow;
  look_at_highest_flow(order, look);
  const auto& open = limits.keep_open_most;
  if (order.input.order.purpose == Purpose::keep_open) {
    if (!open)
      look.lacks(say::keep_open_of_policy());
    else if (flow > open->value * hair)
      look.say(Severity::caution, "keep_open_flow", say::keep_open(flow, open->value), source_of(*open));
    look_at_keeping_open_of_a_child(order, look);
  }
  look_at_flow_ceilings(order, look);
}

}  // namespace

void look_at_flow_ceilings(const OrderCase& order, Look& look) {
  const auto& limits = order.limits();
  const Flow flow = order.out.rate.flow;
  if (order.resuscitation() || is_contrast(order)) return;
  if (flow * hair >= limits.caution_flow_older.value && !order.is_child()) {
    const auto frail = order.frail();
    if (!frail) {
      if (!order.age) look.lacks(say::the_birth_date());
      look.lacks(say::whether_heart_or_kidneys_fail());
    } else if (*frail) {
      const bool older = order.age && *order.age >= limits.older_age.value;
      look.say(Severity::caution, "rate_for_age",
               older ? say::rate_at_age(flow, *order.age) : say::rate_with_failure(flow),
               source_of(limits.caution_flow_older));
    }
  }
  if (flow > limits.child_ceiling.value * hair && order.may_be_child()) {
    if (order.is_child())
      look.say(Severity::caution, "child_ceiling", say::child_ceiling(flow, limits.child_ceiling.value),
               source_of(limits.child_ceiling));
    else
      look.lacks(say::the_birth_date());
  }
}

namespace {

// ---- limits by age: one when the age is known, else the mildest and the strictest ----

/// A limit of every age that this person may have.
struct AgeRange {
  std::vector<const policy::AgeLimits*> may_apply;
  bool known = false;
};

AgeRange ages_of(const OrderCase& order) {
  AgeRange range;
  const auto& by_age = order.limits().by_age;
  if (order.band == AgeBand::unknown) {
    for (const auto& [band, limits] : by_age) range.may_apply.push_back(&limits);
  } else if (const auto found = by_age.find(order.band); found != by_age.end()) {
    range.may_apply.push_back(&found->second);
    range.known = true;
  }
  return range;
}

const Figure<FlowPerMass>& flow_caution_of(const policy::AgeLimits& of_age, const policy::OrderLimits& limits) {
  return of_age.flow_caution ? *of_age.flow_caution : limits.caution_flow_per_mass;
}

/// Whether the value is above the limit at every age, and whether at any.
template <class Q, class LimitOf>
std::pair<const Figure<Q>*, bool> above(Q value, const AgeRange& ages, LimitOf limit_of) {
  const Figure<Q>* mildest = nullptr;
  bool any = false;
  for (const auto* of_age : ages.may_apply) {
    const Figure<Q>& limit = limit_of(*of_age);
    any = any || value > limit.value * hair;
    if (!mildest || limit.value > mildest->value) mildest = &limit;
  }
  return {mildest && value > mildest->value * hair ? mildest : nullptr, any};
}

}  // namespace

void look_at_flow_for_body(const OrderCase& order, Look& look) {
  const auto& weight = order.input.patient.weight;
  if (!weight) return look.lacks(say::the_weight());
  const auto& limits = order.limits();
  const FlowPerMass by_weight = order.out.rate.flow / *weight;
  order.out.flow_per_mass = by_weight;
  order.out.workings.push_back({say::rate_for_weight(),
                                say::rate_over_weight(),
                                {{say::rate_name(), say::quantity(shown(order.out.rate.flow))},
                                 {say::weight_name(), say::quantity(shown(*weight))}},
                                say::quantity(shown(by_weight)),
                                source_of(limits.caution_flow_per_mass)});
  if (is_contrast(order)) return;
  const auto ages = ages_of(order);
  if (ages.may_apply.empty() || !limits.sustained_from) return look.lacks(say::rate_by_weight_of_policy());
  const BodyWeight counted = std::min(*weight, heaviest_counted);
  const bool sustained = order.out.rate.volume / counted > limits.sustained_from->value * hair;
  const auto caution_of = [&](const policy::AgeLimits& of_age) -> const Figure<FlowPerMass>& {
    return flow_caution_of(of_age, limits);
  };
  const auto stop_of = [](const policy::AgeLimits& of_age) -> const Figure<FlowPerMass>& { return of_age.flow_stop; };
  const FlowPerMass judged = order.out.rate.flow / counted;
  const auto [stop, any_stop] = above(judged, ages, stop_of);
  const auto [caution, any_caution] = above(judged, ages, caution_of);
  const auto text = [&](const Figure<FlowPerMass>& limit) -> Message {
    if (by_weight < judged) return say::rate_for_heavy(order.out.rate.flow, Flow(limit.value * counted), counted);
    return say::rate_above_at_weight(by_weight, limit.value, *weight);
  };
  if (stop) {
    look.say(sustained && !order.resuscitation() ? Severity::stop : Severity::caution, "rate_for_weight_stop",
             text(*stop), source_of(*stop));
  } else if (caution && sustained && !order.resuscitation()) {
    look.say(Severity::caution, "rate_for_weight", text(*caution), source_of(*caution));
  }
  if (!ages.known && ((any_stop && !stop) || (any_caution && !caution && sustained))) look.lacks(say::the_birth_date());
}

namespace {

// ---- the container's volume beside a day's need ----

struct DayNeed {
  Volume least, most;
  Source source;
  std::vector<Working> workings;
};

std::optional<DayNeed> day_need(const OrderCase& order, bool child, bool newborn, bool frail) {
  const BodyWeight weight = *order.input.patient.weight;
  if (newborn) {
    if (!order.limits().child) return std::nullopt;
    const auto& most = order.limits().child->newborn_day_most;
    const Volume all = most.value * weight * (24.0 * hour);
    return DayNeed{all, all, source_of(most), {}};
  }
  hydration::MaintenanceInput in;
  // A child heavier than the rule was made for needs no more than its last kilogram gives.
  in.weight = child ? std::min(weight, heaviest_counted) : weight;
  in.rule = child ? hydration::MaintenanceRule::four_two_one : hydration::MaintenanceRule::adult;
  in.frail = frail;
  const auto day = hydration::maintenance(in, order.limits());
  if (!day) return std::nullopt;
  // A heavy adult needs no more water for it: the ceiling holds whatever the weight.
  const Flow ceiling = child ? day->high : order.limits().maintenance_ceiling.value;
  return DayNeed{std::min(day->low, ceiling) * (24.0 * hour), std::min(day->high, ceiling) * (24.0 * hour),
                 day->workings.front().source, day->workings};
}

bool counts_for_the_day(Purpose purpose) {
  return purpose != Purpose::resuscitation && purpose != Purpose::blood && purpose != Purpose::contrast;
}

}  // namespace

std::optional<Volume> childs_day_need(const OrderCase& order) {
  const auto newborn = day_need(order, true, true, false), older = day_need(order, true, false, false);
  if (!newborn || !older) return std::nullopt;
  if (order.band == AgeBand::unknown) return std::min(newborn->most, older->most);
  return order.band == AgeBand::neonate ? newborn->most : older->most;
}

void look_at_day_volume(const OrderCase& order, Look& look) {
  const auto purpose = order.purpose();
  if (!counts_for_the_day(purpose)) return look.does_not_apply();
  if (!order.input.patient.weight) return look.lacks(say::the_weight());
  const bool newborn = order.band == AgeBand::neonate;
  // The mildest that may apply, and the strictest.
  const auto mild = day_need(order, order.may_be_child(), newborn, order.frail().value_or(false));
  const auto strict = day_need(order, order.is_child(), newborn, order.frail().value_or(true));
  if (!mild || !strict) return look.lacks(say::days_need());
  for (const auto& working : mild->workings) order.out.workings.push_back(working);
  const Volume ordered = std::min(order.out.rate.volume, Volume(order.out.rate.flow * (24.0 * hour)));
  const Volume most = std::max(mild->most, strict->most), least_most = std::min(mild->most, strict->most);
  const bool one_figure = order.is_child();
  const Message need =
      one_figure ? say::quantity(shown(mild->most)) : say::low_to_high(shown(mild->least), shown(mild->most));
  if (ordered > most * hair)
    look.say(Severity::caution, "day_volume", say::day_volume_above(ordered, need), mild->source);
  else if (ordered > least_most * hair)
    look.lacks(order.age ? say::whether_heart_or_kidneys_fail() : say::the_birth_date());
  else if (purpose != Purpose::medicine)
    look.say(Severity::information, "day_volume", say::day_volume_beside(ordered, need), mild->source);
}

namespace {

// ---- potassium and glucose ----

void look_at_potassium_strength(const OrderCase& order, AmountConcentration concentration, Look& look) {
  const auto& limits = order.limits();
  const bool child_limit = limits.child && order.may_be_child();
  const auto& stop =
      order.is_child() && child_limit &&
              limits.child->potassium_concentration_stop.value < limits.potassium_concentration_stop.value
          ? limits.child->potassium_concentration_stop
          : limits.potassium_concentration_stop;
  if (concentration > stop.value * hair)
    look.say(Severity::stop, "potassium_concentration", say::potassium_above_peripheral(concentration, stop.value),
             source_of(stop));
  else if (concentration > limits.potassium_concentration_caution.value * hair)
    look.say(Severity::caution, "potassium_concentration",
             say::potassium_painful(concentration, limits.potassium_concentration_caution.value),
             source_of(limits.potassium_concentration_caution));
  if (child_limit && !order.is_child() && concentration <= stop.value * hair &&
      concentration > limits.child->potassium_concentration_stop.value * hair)
    look.lacks(say::the_birth_date());
}

/// Kidneys that fail keep what they are given.
void look_at_potassium_of_failing(const OrderCase& order, AmountConcentration concentration, Look& look) {
  const auto& from = order.limits().potassium_failing_from;
  const auto& fails = order.input.patient.heart_or_kidney_failure;
  if (!from && fails.value_or(true)) look.lacks(say::potassium_failing_of_policy());
  if (!from || !(concentration > from->value * hair)) return;
  if (!fails)
    look.lacks(say::whether_heart_or_kidneys_fail());
  else if (*fails)
    look.say(Severity::caution, "potassium_failing", say::potassium_failing(concentration), source_of(*from));
}

/// A child's limits by weight, beside the adult pair: the lower governs.
void look_at_potassium_for_body(const OrderCase& order, AmountRate rate, Look& look) {
  if (!order.may_be_child()) return;
  const auto& child = order.limits().child;
  if (!child) return look.lacks(say::potassium_by_weight_of_policy());
  if (!order.input.patient.weight) return look.lacks(say::the_weight());
  const AmountRatePerMass by_weight = rate / *order.input.patient.weight;
  const bool above_caution = by_weight > child->potassium_rate_caution.value * hair;
  if (!order.is_child()) {
    if (above_caution) look.lacks(say::the_birth_date());
    return;
  }
  if (by_weight > child->potassium_rate_stop.value * hair)
    look.say(Severity::stop, "potassium_rate_for_weight",
             say::potassium_above(shown(by_weight), shown(child->potassium_rate_stop.value)),
             source_of(child->potassium_rate_stop));
  else if (above_caution)
    look.say(Severity::caution, "potassium_rate_for_weight",
             say::potassium_above_ecg(shown(by_weight), shown(child->potassium_rate_caution.value)),
             source_of(child->potassium_rate_caution));
}

}  // namespace

void look_at_potassium(const OrderCase& order, Look& look) {
  look_at_potassium_now(order, look);
  look_at_potassium_of_a_day(order, look);
}

void look_at_potassium_now(const OrderCase& order, Look& look) {
  if (order.is_blood()) return look.does_not_apply();
  const auto& limits = order.limits();
  const auto& mixture = order.out.mixture;
  for (const auto& name : mixture.without_potassium) look.lacks(say::potassium_of(name));
  const AmountConcentration concentration = mixture.potassium_at_least;
  if (!(concentration > AmountConcentration())) {
    if (mixture.without_potassium.empty()) look.does_not_apply();
    return;
  }
  const AmountRate rate = concentration * order.out.rate.flow;
  order.out.potassium_rate = rate;
  order.out.workings.push_back({say::potassium_rate(),
                                say::concentration_times_rate(),
                                {{say::potassium_name(), say::quantity(shown(concentration))},
                                 {say::rate_name(), say::quantity(shown(order.out.rate.flow))}},
                                say::quantity(shown(rate)),
                                source_of(limits.potassium_rate_caution)});
  if (rate > limits.potassium_rate_stop.value * hair)
    look.say(Severity::stop, "potassium_rate",
             say::potassium_above(shown(rate), shown(limits.potassium_rate_stop.value)),
             source_of(limits.potassium_rate_stop));
  else if (rate > limits.potassium_rate_caution.value * hair)
    look.say(Severity::caution, "potassium_rate",
             say::potassium_above_ecg(shown(rate), shown(limits.potassium_rate_caution.value)),
             source_of(limits.potassium_rate_caution));
  look_at_potassium_strength(order, concentration, look);
  look_at_potassium_for_body(order, rate, look);
  look_at_potassium_of_failing(order, concentration, look);
}

namespace {

message::Quantity shown_glucose(MassRatePerMass by_weight) {
  return shown_in(by_weight, MassRatePerMass(milligram / kilogram / minute), "mg/kg/min");
}

void judge_glucose(const OrderCase& order, MassRatePerMass by_weight, Look& look) {
  const auto ages = ages_of(order);
  if (ages.may_apply.empty()) return look.lacks(say::glucose_of_policy());
  const auto [stop, any_stop] = above(
      by_weight, ages, [](const policy::AgeLimits& of_age) -> const auto& { return of_age.glucose_stop; });
  const auto [caution, any_caution] = above(
      by_weight, ages, [](const policy::AgeLimits& of_age) -> const auto& { return of_age.glucose_caution; });
  if (stop)
    look.say(order.resuscitation() ? Severity::caution : Severity::stop, "glucose_rate",
             say::glucose_above(shown_glucose(by_weight), shown_glucose(stop->value)), source_of(*stop));
  else if (caution)
    look.say(Severity::caution, "glucose_rate",
             say::glucose_above_measure(shown_glucose(by_weight), shown_glucose(caution->value)), source_of(*caution));
  if (!ages.known && ((any_stop && !stop) || (any_caution && !caution))) look.lacks(say::the_birth_date());
}

/// What a listed medicine is made up in matters to a child. In an adult a fluid matters, and what is not listed may be
/// one.
std::vector<std::string> unknown_glucose(const OrderCase& order) {
  if (order.may_be_child()) return order.out.mixture.without_glucose;
  std::vector<std::string> unknown = order.out.mixture.unknown_parts;
  for (const auto& part : order.parts) {
    const auto& without = order.out.mixture.without_glucose;
    if (part.infusate && part.infusate->kind != FluidKind::medicine &&
        std::find(without.begin(), without.end(), part.name) != without.end())
      unknown.push_back(part.name);
  }
  return unknown;
}

}  // namespace

void look_at_glucose(const OrderCase& order, Look& look) {
  if (order.is_blood()) return look.does_not_apply();
  const auto& mixture = order.out.mixture;
  const auto unknown = unknown_glucose(order);
  for (const auto& name : unknown) look.lacks(say::glucose_of(name));
  if (!(mixture.glucose_at_least > MassConcentration())) {
    if (unknown.empty()) look.does_not_apply();
    return;
  }
  const auto& weight = order.input.patient.weight;
  if (!weight) return look.lacks(say::the_weight());
  const MassRate rate = mixture.glucose_at_least * order.out.rate.flow;
  const MassRatePerMass by_weight = rate / *weight;
  order.out.glucose_rate = rate;
  order.out.workings.push_back(
      {say::glucose_rate(),
       say::concentration_times_rate_over_weight(),
       {{say::glucose_name(), say::quantity(shown_in(mixture.glucose_at_least, gram / litre, "g/L"))},
        {say::rate_name(), say::quantity(shown(order.out.rate.flow))},
        {say::weight_name(), say::quantity(shown(*weight))}},
       say::quantity(shown_glucose(by_weight)),
       {"arithmetic", Mark::computed}});
  judge_glucose(order, by_weight, look);
}

namespace {

// ---- blood, and what hangs too long ----

bool any_kind(const OrderCase& order, FluidKind kind) {
  return std::any_of(order.parts.begin(), order.parts.end(),
                     [&](const infusate::Part& part) { return part.infusate && part.infusate->kind == kind; });
}

}  // namespace

bool is_plain_saline(const infusate::Infusate& infusate) {
  return infusate.solutes.size() == 1 && infusate.solutes.front().name == "sodium chloride" && infusate.sodium &&
         infusate.sodium->value() > 140 && infusate.sodium->value() < 160;
}

namespace {

void look_at_blood_rate(const OrderCase& order, Look& look) {
  const auto& most = order.limits().blood_flow_most;
  if (!most)
    look.lacks(say::blood_rate_of_policy());
  else if (order.out.rate.flow > most->value * hair)
    look.say(Severity::caution, "blood_rate", say::blood_rate_above(order.out.rate.flow, most->value),
             source_of(*most));
  if (!order.may_be_child() || order.resuscitation()) return;
  const auto& child = order.limits().child;
  if (!child) return look.lacks(say::child_blood_rate_of_policy());
  if (!order.input.patient.weight) return look.lacks(say::the_weight());
  const FlowPerMass by_weight = order.out.rate.flow / *order.input.patient.weight;
  if (!(by_weight > child->blood_flow_most.value * hair)) return;
  if (!order.is_child()) return look.lacks(say::the_birth_date());
  look.say(Severity::caution, "blood_rate_for_weight", say::child_blood_rate(by_weight, child->blood_flow_most.value),
           source_of(child->blood_flow_most));
}

void look_at_transfusion(const OrderCase& order, Look& look) {
  const bool blood = any_kind(order, FluidKind::blood);
  for (const auto& name : order.out.mixture.unknown_parts) look.lacks(say::whether_blood(name));
  if (!blood && order.input.order.purpose != Purpose::blood) return look.does_not_apply();
  if (order.out.rate.duration > to_duration(order.limits().blood_hang.value) * hair)
    look.say(Severity::stop, "blood_hang",
             say::unit_hangs_too_long(order.out.rate.duration, order.limits().blood_hang.value),
             source_of(order.limits().blood_hang));
  for (const auto& part : order.parts)
    if (blood && part.infusate && part.infusate->kind != FluidKind::blood && !is_plain_saline(*part.infusate))
      look.say(Severity::stop, "blood_alone", say::nothing_added_to_blood(part.name), practice);
  if (!blood) look.say(Severity::caution, "no_blood_in_it", say::no_blood_in_it(), practice);
  look_at_blood_rate(order, look);
}

void look_at_hanging(const OrderCase& order, Look& look) {
  // A unit of blood has a clock of its own, and a shorter one.
  if (any_kind(order, FluidKind::blood) || order.input.order.purpose == Purpose::blood) return look.does_not_apply();
  const auto& limits = order.limits();
  const auto& longest = any_kind(order, FluidKind::lipid) ? limits.lipid_hang : limits.bag_hang;
  const Duration hangs = order.out.rate.duration;
  if (hangs > to_duration(longest.value) * hair)
    look.say(Severity::caution, "bag_hang", say::hangs_too_long(hangs, longest.value), source_of(longest));
  else if (hangs > to_duration(limits.lipid_hang.value) * hair)
    for (const auto& name : order.out.mixture.unknown_parts) look.lacks(say::whether_lipid(name));
}

// ---- each look by its name ----

/// Salts, sugar and water make no medicine of a fluid, however strong they come to the bedside and whoever mixes them.
bool makes_fluid(const infusate::Infusate& infusate) {
  const bool watery = infusate.kind == FluidKind::crystalloid || infusate.kind == FluidKind::dextrose ||
                      infusate.kind == FluidKind::water;
  const bool potassium = infusate.must_be_diluted && infusate.potassium && *infusate.potassium > AmountConcentration();
  return potassium || (watery && !infusate.giving);
}

template <OrderLook>
void take(const OrderCase&, Look&) = delete;
template <>
void take<OrderLook::body_weight>(const OrderCase& order, Look& look) {
  look_at_body_weight(order, look);
}
template <>
void take<OrderLook::flow>(const OrderCase& order, Look& look) {
  look_at_flow(order, look);
}
template <>
void take<OrderLook::flow_for_body>(const OrderCase& order, Look& look) {
  look_at_flow_for_body(order, look);
}
template <>
void take<OrderLook::day_volume>(const OrderCase& order, Look& look) {
  look_at_day_volume(order, look);
}
template <>
void take<OrderLook::potassium>(const OrderCase& order, Look& look) {
  look_at_potassium(order, look);
}
template <>
void take<OrderLook::sodium>(const OrderCase& order, Look& look) {
  look_at_sodium(order, look);
}
template <>
void take<OrderLook::glucose>(const OrderCase& order, Look& look) {
  look_at_glucose(order, look);
}
template <>
void take<OrderLook::strength>(const OrderCase& order, Look& look) {
  look_at_strength(order, look);
}
template <>
void take<OrderLook::dose>(const OrderCase& order, Look& look) {
  look_at_dose(order, look);
}
template <>
void take<OrderLook::delivery>(const OrderCase& order, Look& look) {
  look_at_delivery(order, look);
}
template <>
void take<OrderLook::resuscitation>(const OrderCase& order, Look& look) {
  look_at_resuscitation(order, look);
}
template <>
void take<OrderLook::meeting>(const OrderCase& order, Look& look) {
  look_at_meeting(order, look);
}
template <>
void take<OrderLook::flow_together>(const OrderCase& order, Look& look) {
  look_at_flow_together(order, look);
}
template <>
void take<OrderLook::day_together>(const OrderCase& order, Look& look) {
  look_at_day_together(order, look);
}
template <>
void take<OrderLook::potassium_together>(const OrderCase& order, Look& look) {
  look_at_potassium_together(order, look);
}
template <>
void take<OrderLook::glucose_together>(const OrderCase& order, Look& look) {
  look_at_glucose_together(order, look);
}
template <>
void take<OrderLook::speed>(const OrderCase& order, Look& look) {
  look_at_speed(order, look);
}
template <>
void take<OrderLook::allergy>(const OrderCase& order, Look& look) {
  look_at_allergies(order, look);
}
template <>
void take<OrderLook::maintenance_fluid>(const OrderCase& order, Look& look) {
  look_at_maintenance_fluid(order, look);
}
template <>
void take<OrderLook::transfusion>(const OrderCase& order, Look& look) {
  look_at_transfusion(order, look);
}
template <>
void take<OrderLook::hanging>(const OrderCase& order, Look& look) {
  look_at_hanging(order, look);
}

}  // namespace

bool OrderCase::is_child() const {
  return band == AgeBand::neonate || band == AgeBand::infant || band == AgeBand::child;
}
bool OrderCase::may_be_child() const { return is_child() || band == AgeBand::unknown; }

Purpose OrderCase::purpose() const {
  using infusate::FluidKind;
  const auto any = [&](auto holds) {
    return std::any_of(parts.begin(), parts.end(),
                       [&](const infusate::Part& part) { return part.infusate && holds(*part.infusate); });
  };
  const Purpose ordered = input.order.purpose;
  bool held = true;
  if (ordered == Purpose::blood) held = any([](const auto& one) { return one.kind == FluidKind::blood; });
  if (ordered == Purpose::contrast)
    held = any([](const auto& one) { return one.leak_family == infusate::LeakFamily::contrast; });
  if (ordered == Purpose::medicine) held = any([](const auto& one) { return !makes_fluid(one); });
  return held ? ordered : Purpose::other;
}

std::optional<bool> OrderCase::frail() const {
  if (age && *age >= limits().older_age.value) return true;
  if (input.patient.heart_or_kidney_failure) {
    // Of someone whose age is not known, only a failing organ is known.
    if (*input.patient.heart_or_kidney_failure) return true;
    return age ? std::optional(false) : std::nullopt;
  }
  return std::nullopt;
}

bool OrderCase::is_blood() const {
  return std::all_of(parts.begin(), parts.end(), [](const infusate::Part& part) {
    return part.infusate && part.infusate->kind == infusate::FluidKind::blood;
  });
}

verdict::Composition look_at_order(const OrderCase& order) {
  return verdict::take_looks<OrderLook>([&](auto which, verdict::Look& look) { take<which()>(order, look); });
}

}  // namespace dwell::dosing
