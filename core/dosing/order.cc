#include "dosing/order.h"

#include <algorithm>
#include <cmath>

#include "growth/weight_question.h"
#include "hydration/maintenance.h"
#include "json/codec.h"
#include "quantity/display.h"

namespace dwell::dosing {
namespace {

using line::AgeBand;

FieldErrors check_patient(const line::Patient& patient, Instant now) {
  FieldErrors errors;
  if (patient.weight && !(*patient.weight >= 0.3 * kilogram && *patient.weight <= 400.0 * kilogram))
    errors.push_back({"/patient/weight", "weight " + show(*patient.weight) + "?", "a body weight from 0.3 to 400 kg"});
  growth::check_birth_date(patient.birth_date, now, "/patient/birth_date", errors);
  return errors;
}

/// What the checks look at, put together once.
struct Look {
  const OrderCheckInput& input;
  const policy::OrderLimits& limits;
  const infusate::Formulary& formulary;
  OrderCheck& out;
  AgeBand band;
  std::optional<int> age;

  void say(Severity severity, const char* code, std::string text, Source source) const {
    out.findings.push_back({severity, code, std::move(text), std::move(source)});
  }
  [[nodiscard]] bool child() const {
    return band == AgeBand::neonate || band == AgeBand::infant || band == AgeBand::child;
  }
  [[nodiscard]] bool frail() const {
    return (age && *age >= limits.older_age.value) || input.patient.heart_or_kidney_failure.value_or(false);
  }
  [[nodiscard]] bool resuscitation() const { return input.order.purpose == Purpose::resuscitation; }
};

void check_unknowns(const Look& look) {
  const Source unknown{"unknown is not safe", Mark::practice};
  if (!look.input.patient.weight)
    look.say(Severity::caution, "no_weight", "Without a weight the rate cannot be checked for this person.", unknown);
  if (auto doubt = growth::question_weight(look.input.patient, look.input.now)) look.out.findings.push_back(*doubt);
  if (!look.age) look.say(Severity::caution, "no_age", "Without a birth date no age limit can be checked.", unknown);
  for (const auto& name : look.out.mixture.unknown_parts)
    look.say(Severity::caution, "unknown_infusate",
             "\"" + name + "\" is not on the ward's list: cannot be checked. Ask pharmacy.", unknown);
}

void check_flow(const Look& look) {
  const auto& limits = look.limits;
  const Flow flow = look.out.rate.flow;
  if (flow > limits.highest_flow.value)
    look.say(look.resuscitation() ? Severity::caution : Severity::stop, "highest_flow",
             show(flow) + " is above " + show(limits.highest_flow.value) + ": is it a slip of the pen?",
             source_of(limits.highest_flow));
  if (look.input.patient.weight) {
    const FlowPerMass by_weight = flow / *look.input.patient.weight;
    look.out.flow_per_mass = by_weight;
    look.out.workings.push_back({"rate for weight",
                                 "rate / weight",
                                 {{"rate", show(flow)}, {"weight", show(*look.input.patient.weight)}},
                                 show(by_weight),
                                 source_of(limits.caution_flow_per_mass)});
    if (by_weight > limits.caution_flow_per_mass.value && !look.resuscitation() && !look.child() &&
        look.out.rate.duration > 1.0 * hour)
      look.say(Severity::caution, "rate_for_weight",
               show(by_weight) + " is above " + show(limits.caution_flow_per_mass.value) + " for longer than 1 h at " +
                   show(*look.input.patient.weight) + ".",
               source_of(limits.caution_flow_per_mass));
  }
  if (look.frail() && flow >= limits.caution_flow_older.value && !look.resuscitation())
    look.say(Severity::caution, "rate_for_age",
             show(flow) +
                 (look.age && *look.age >= limits.older_age.value ? " at " + std::to_string(*look.age) + " years"
                                                                  : " with heart or kidney failure") +
                 ": watch for overload (breath, oxygen, pressure).",
             source_of(limits.caution_flow_older));
  if (look.child() && flow > limits.child_ceiling.value && !look.resuscitation())
    look.say(Severity::caution, "child_ceiling",
             show(flow) + " is above a child's usual ceiling of " + show(limits.child_ceiling.value) + ".",
             source_of(limits.child_ceiling));
}

/// The container's volume beside a day's maintenance for this person.
void check_day(const Look& look) {
  const auto purpose = look.input.order.purpose;
  if (!look.input.patient.weight || (purpose != Purpose::maintenance && purpose != Purpose::rehydration)) return;
  hydration::MaintenanceInput in;
  in.weight = *look.input.patient.weight;
  in.rule = look.child() ? hydration::MaintenanceRule::four_two_one : hydration::MaintenanceRule::adult;
  in.frail = look.frail();
  const auto day = hydration::maintenance(in, look.limits);
  if (!day) return;
  for (const auto& w : day->workings) look.out.workings.push_back(w);
  const Volume most = day->high * (24.0 * hour);
  const Volume least = day->low * (24.0 * hour);
  const Volume ordered = look.out.rate.volume;
  const Source source = day->workings.front().source;
  const std::string range = look.child() ? show(most) : show(least) + " to " + show(most);
  if (ordered > most)
    look.say(Severity::caution, "day_volume",
             show(ordered) + " is more than a day's maintenance of " + range +
                 ": replaced losses should be named in the order.",
             source);
  else
    look.say(Severity::information, "day_volume",
             show(ordered) + " beside a day's maintenance of " + range + ": leave little for drink and other fluids.",
             source);
}

void check_potassium(const Look& look) {
  const auto& limits = look.limits;
  if (!look.out.mixture.potassium) return;
  const AmountConcentration concentration = *look.out.mixture.potassium;
  if (!(concentration > AmountConcentration())) return;
  const AmountRate rate = concentration * look.out.rate.flow;
  look.out.potassium_rate = rate;
  look.out.workings.push_back({"potassium rate",
                               "concentration × rate",
                               {{"potassium", show(concentration)}, {"rate", show(look.out.rate.flow)}},
                               show(rate),
                               source_of(limits.potassium_rate_caution)});
  if (rate > limits.potassium_rate_stop.value)
    look.say(Severity::stop, "potassium_rate",
             "Potassium " + show(rate) + " is above " + show(limits.potassium_rate_stop.value) + ".",
             source_of(limits.potassium_rate_stop));
  else if (rate > limits.potassium_rate_caution.value)
    look.say(Severity::caution, "potassium_rate",
             "Potassium " + show(rate) + " is above " + show(limits.potassium_rate_caution.value) +
                 ": continuous ECG and a senior order.",
             source_of(limits.potassium_rate_caution));
  if (concentration > limits.potassium_concentration_stop.value)
    look.say(Severity::stop, "potassium_concentration",
             "Potassium " + show(concentration) + " is above the peripheral limit of " +
                 show(limits.potassium_concentration_stop.value) + ".",
             source_of(limits.potassium_concentration_stop));
  else if (concentration > limits.potassium_concentration_caution.value)
    look.say(Severity::caution, "potassium_concentration",
             "Potassium " + show(concentration) + " is above " + show(limits.potassium_concentration_caution.value) +
                 ": painful, harms small veins.",
             source_of(limits.potassium_concentration_caution));
}

/// A medicine with giving limits: how strong is it in this bag, how fast does it run?
void check_giving(const Look& look, const std::string& name, Volume volume) {
  const auto found = look.formulary.find(name);
  if (found == look.formulary.end() || !found->second.giving || !found->second.strength) return;
  const auto& limit = *found->second.giving;
  const Mass dose = *found->second.strength * volume;
  const MassConcentration concentration = dose / look.out.rate.volume;
  const MassRate rate = dose / look.out.rate.duration;
  const auto& highest_rate = look.frail() && limit.highest_rate_frail ? limit.highest_rate_frail : limit.highest_rate;
  const auto per_minute = [](MassRate r) { return show_in(r, milligram / minute, "mg/min"); };
  look.out.workings.push_back(
      {"speed of the medicine",
       "strength × volume / time",
       {{"strength", show(*found->second.strength)}, {"volume", show(volume)}, {"time", show(look.out.rate.duration)}},
       per_minute(rate) + " at " + show(concentration),
       limit.source});
  // A hair of tolerance, so that an order written exactly at the limit is not refused for binary noise.
  constexpr double hair = 1 + 1e-9;
  if (limit.highest_concentration && concentration > *limit.highest_concentration * hair)
    look.say(limit.highest_concentration_restricted && concentration <= *limit.highest_concentration_restricted * hair
                 ? Severity::caution
                 : Severity::stop,
             "giving_concentration",
             name + ": " + show(concentration) + " is above " + show(*limit.highest_concentration) + ".", limit.source);
  if (highest_rate && rate > *highest_rate * hair)
    look.say(Severity::stop, "giving_rate",
             name + ": " + per_minute(rate) + " is faster than " + per_minute(*highest_rate) + ". " + limit.note,
             limit.source);
  if (limit.shortest && look.out.rate.duration * hair < *limit.shortest)
    look.say(Severity::stop, "giving_time",
             name + ": " + show(look.out.rate.duration) + " is shorter than " + show(*limit.shortest) + ".",
             limit.source);
}

void check_hanging(const Look& look) {
  using infusate::FluidKind;
  const auto found = look.formulary.find(look.input.order.mixture.base);
  const auto kind = found == look.formulary.end() ? std::optional<FluidKind>() : found->second.kind;
  const Duration hangs = look.out.rate.duration;
  if (look.input.order.purpose == Purpose::blood || kind == FluidKind::blood) {
    if (hangs > to_duration(look.limits.blood_hang.value))
      look.say(Severity::stop, "blood_hang",
               show(hangs) + ": a unit must be finished within " + show(look.limits.blood_hang.value) +
                   " of leaving controlled storage.",
               source_of(look.limits.blood_hang));
    return;
  }
  const auto& longest = kind == FluidKind::lipid ? look.limits.lipid_hang : look.limits.bag_hang;
  if (hangs > to_duration(longest.value))
    look.say(Severity::caution, "bag_hang",
             show(hangs) + ": a container should not hang longer than " + show(longest.value) +
                 ". Plan a smaller one or a change.",
             source_of(longest));
}

Verdict verdict_of(const std::vector<Finding>& findings) {
  Verdict verdict = Verdict::pass;
  for (const auto& f : findings) {
    if (f.severity == Severity::stop) return Verdict::stop;
    if (f.severity == Severity::caution) verdict = Verdict::caution;
  }
  return verdict;
}

}  // namespace

Checked<OrderCheck> check_order(const OrderCheckInput& input, const infusate::Formulary& formulary,
                                const policy::OrderLimits& limits) {
  FieldErrors errors = check_patient(input.patient, input.now);
  OrderCheck out;
  if (auto mixed = infusate::mix(input.order.mixture, formulary))
    out.mixture = std::move(*mixed);
  else
    for (const auto& e : mixed.error()) errors.push_back({"/order/mixture" + e.path, e.found, e.expected});
  RateInput wanted{out.mixture.total_volume, input.order.duration, input.order.flow, input.order.drop_factor,
                   input.now};
  if (errors.empty()) {
    if (auto r = rate(wanted))
      out.rate = std::move(*r);
    else
      for (const auto& e : r.error()) errors.push_back({"/order" + e.path, e.found, e.expected});
  }
  if (!errors.empty()) return refuse(std::move(errors));

  Look look{input, limits, formulary, out, line::age_band(input.patient, utc_date(input.now)), std::nullopt};
  if (input.patient.birth_date) look.age = age_in_years(*input.patient.birth_date, utc_date(input.now));
  out.workings = out.rate.workings;
  check_unknowns(look);
  check_flow(look);
  check_day(look);
  check_potassium(look);
  check_giving(look, input.order.mixture.base, input.order.mixture.volume);
  for (const auto& additive : input.order.mixture.additives) check_giving(look, additive.name, additive.volume);
  check_hanging(look);
  out.verdict = verdict_of(out.findings);
  return out;
}

std::vector<Disagreement> compare_orders(const Order& first, const Order& second) {
  std::vector<Disagreement> out;
  const auto a = json::encode(first).as_object();
  const auto b = json::encode(second).as_object();
  const auto text = [](const json::Object& o, std::string_view key) {
    const auto* value = o.if_contains(key);
    if (!value) return std::string("not given");
    if (const auto* object = value->if_object())
      if (const auto* said = object->if_contains("text")) return std::string(said->as_string());
    return json::found_text(*value);
  };
  // A long text is shortened for the eye, never for the comparison.
  const auto whole = [&](const json::Object& o, std::string_view key) {
    const auto* value = o.if_contains(key);
    const bool has_text = !value || (value->is_object() && value->as_object().contains("text"));
    return has_text ? text(o, key) : json::to_text(*value);
  };
  boost::mp11::mp_for_each<json::members_of<Order>>([&](auto member) {
    if (whole(a, member.name) != whole(b, member.name))
      out.push_back({std::string("/") + member.name, text(a, member.name), text(b, member.name)});
  });
  return out;
}

}  // namespace dwell::dosing
