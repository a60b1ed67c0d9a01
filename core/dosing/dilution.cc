#include "dosing/dilution.h"

#include <algorithm>
#include <tuple>

#include "dosing/named_medicine.h"
#include "dosing/order_looks.h"
#include "dosing/shown_in.h"
#include "quantity/within.h"
#include "say/common.h"
#include "say/dosing.h"
#include "say/infusate.h"
#include "suitability/suitability.h"

namespace dwell::dosing {
namespace {

using infusate::GivingLimit;

FieldErrors check(const DilutionInput& in, const infusate::Formulary& formulary) {
  FieldErrors errors;
  if (!infusate::find(formulary, in.medicine)) errors.push_back({"/medicine", in.medicine, say::a_listed_medicine()});
  constexpr Mass most = 100.0 * gram;
  if (!(in.dose > Mass() && in.dose <= most))
    errors.push_back({"/dose", show_in(in.dose, milligram, "mg"), say::above_zero_to(shown(most))});
  if (in.volume) check_within("/volume", *in.volume, 1.0 * millilitre, 5.0 * litre, errors);
  if (in.duration) check_within("/duration", *in.duration, 10.0 * second, 48.0 * hour, errors);
  if (!in.patient) return errors;
  check_weight("/patient/weight", in.patient->weight, errors);
  if (in.today) growth::check_birth_date(in.patient->birth_date, *in.today, "/patient/birth_date", errors);
  return errors;
}

bool is_child(const DilutionInput& in) {
  return in.patient && in.today && line::is_child(line::age_band(*in.patient, *in.today));
}

std::optional<MassConcentration> concentration_limit(const DilutionInput& in, const GivingLimit& limit) {
  return in.fluid_restricted && limit.highest_concentration_restricted ? limit.highest_concentration_restricted
                                                                       : limit.highest_concentration;
}

/// The lowest that is known to be this patient's.
std::optional<MassRate> rate_limit(const DilutionInput& in, const GivingLimit& limit) {
  std::optional<MassRate> lowest = in.frail && limit.highest_rate_frail ? limit.highest_rate_frail : limit.highest_rate;
  const auto hold = [&](MassRate other) { lowest = lowest ? std::min(*lowest, other) : other; };
  if (limit.highest_rate_child && is_child(in)) hold(*limit.highest_rate_child);
  if (limit.highest_rate_per_kilogram && in.patient && in.patient->weight)
    hold(*limit.highest_rate_per_kilogram * *in.patient->weight);
  return lowest;
}

void find_least_volume(const DilutionInput& in, const GivingLimit& limit, DilutionPlan& out) {
  const auto highest = concentration_limit(in, limit);
  if (!highest) return;
  out.least_volume = in.dose / *highest;
  out.workings.push_back({say::least_volume(),
                          say::dose_over_highest_concentration(),
                          {{say::dose_name(), say::quantity(in_milligrams(in.dose))},
                           {say::highest_concentration_name(), say::quantity(shown(*highest))}},
                          say::quantity(shown(*out.least_volume)),
                          limit.source});
}

void find_least_time(const DilutionInput& in, const GivingLimit& limit, DilutionPlan& out) {
  const auto highest = rate_limit(in, limit);
  if (!highest && !limit.shortest) return;
  const Duration by_rate = highest ? Duration(in.dose / *highest) : Duration();
  out.least_time = std::max(by_rate, limit.shortest.value_or(Duration()));
  std::vector<WorkingInput> inputs{{say::dose_name(), say::quantity(in_milligrams(in.dose))}};
  if (highest) inputs.push_back({say::highest_rate_name(), say::quantity(milligrams_per_minute(*highest))});
  if (limit.shortest) inputs.push_back({say::shortest_time_name(), say::quantity(shown(*limit.shortest))});
  out.workings.push_back({say::least_time(), say::least_time_formula(), std::move(inputs),
                          say::quantity(shown(*out.least_time)), limit.source});
}

// ---- what is looked at ----

using infusate::Part;
using verdict::Look;

const Source practice{"common practice, no source", Mark::practice};

struct DilutionCase {
  const DilutionInput& in;
  const infusate::Infusate& entry;
  const infusate::Formulary& formulary;
  const policy::Policy& policy;
  const DilutionPlan& out;  ///< its figures are set
  NamedMedicine medicine;   ///< beside the patient
};

std::optional<Part> diluent_of(const DilutionCase& c) {
  if (!c.in.diluent || c.in.diluent->empty()) return std::nullopt;
  const auto* entry = infusate::find(c.formulary, *c.in.diluent);
  return Part{entry ? entry->name : *c.in.diluent, {}, entry};
}

template <DilutionLook>
void take(const DilutionCase&, Look&) = delete;

template <>
void take<DilutionLook::body_weight>(const DilutionCase& c, Look& look) {
  const auto& [weight, person] = std::tie(c.medicine.weight, c.medicine.person);
  if (!weight) look.lacks(say::the_weight());
  if (!person || !person->birth_date) look.lacks(say::the_birth_date());
  if (look.missing().empty()) look_at_weight_of(person, weight, look);
}

template <>
void take<DilutionLook::strength>(const DilutionCase& c, Look& look) {
  const auto& giving = c.entry.giving;
  if (!giving || !c.out.least_volume) return look.lacks(say::how_strong(c.entry.name));
  if (c.in.volume && *c.in.volume * hair < *c.out.least_volume)
    return look.say(Severity::stop, "too_strong", say::too_little_volume(*c.in.volume, *c.out.least_volume),
                    giving->source);
  if (c.out.concentration && giving->highest_concentration &&
      *c.out.concentration > *giving->highest_concentration * hair)
    look.say(Severity::caution, "stronger_by_order",
             say::stronger_by_order(*c.out.concentration, *giving->highest_concentration), giving->source);
}

template <>
void take<DilutionLook::dose>(const DilutionCase& c, Look& look) {
  look_at_named_dose(c.medicine, c.formulary, look);
}

template <>
void take<DilutionLook::speed>(const DilutionCase& c, Look& look) {
  if (!c.entry.giving || !c.out.least_time) return look.lacks(say::how_fast(c.entry.name));
  if (c.in.duration && *c.in.duration * hair < *c.out.least_time)
    return look.say(Severity::stop, "too_fast", say::too_fast_at_least(*c.in.duration, *c.out.least_time),
                    c.entry.giving->source);
  look_at_named_speed(c.medicine, c.formulary, std::nullopt, look);
}

template <>
void take<DilutionLook::container>(const DilutionCase& c, Look& look) {
  if (!c.in.in_syringe.value_or(false)) return look.does_not_apply();
  const auto& largest = c.policy.order.largest_syringe;
  const auto volume = c.in.volume ? c.in.volume : c.out.least_volume;
  if (!largest) return look.lacks(say::largest_syringe_of_policy());
  if (!volume) return look.lacks(say::volume_made_up_to());
  if (*volume > largest->value * hair)
    look.say(Severity::stop, "too_much_for_syringe", say::too_much_for_syringe(*volume, largest->value),
             source_of(*largest));
}

template <>
void take<DilutionLook::diluent>(const DilutionCase& c, Look& look) {
  const auto diluent = diluent_of(c);
  if (!diluent) return look.lacks(say::what_made_up_in());
  if (!diluent->infusate)
    return look.say(Severity::stop, "unknown_infusate", say::not_listed(diluent->name),
                    {"unknown is not safe", Mark::practice});
  const Part medicine{c.entry.name, {}, &c.entry};
  const bool one_way = infusate::forbid_meeting(medicine, *diluent, true, look);
  const bool other_way = infusate::forbid_meeting(*diluent, medicine, false, look);
  if (one_way || other_way) return;
  if (diluent->infusate->kind == infusate::FluidKind::blood)
    return look.say(Severity::stop, "blood_alone", say::nothing_added_to_blood(medicine.name), practice);
  const auto& mixing = c.entry.mixing;
  const bool listed = mixing && std::any_of(mixing->only_in.begin(), mixing->only_in.end(),
                                            [&](const auto& name) { return infusate::same_name(name, diluent->name); });
  const auto& limits = c.policy.infusate;
  if (!listed && !(infusate::mixes_freely(c.entry, limits) && infusate::mixes_freely(*diluent->infusate, limits)))
    look.lacks(say::whether_made_up_in(c.entry.name, diluent->name));
}

template <>
void take<DilutionLook::allergy>(const DilutionCase& c, Look& look) {
  if (!c.in.patient) return look.lacks(say::allergies_not_asked());
  std::vector<Part> parts{{c.entry.name, {}, &c.entry}};
  if (auto diluent = diluent_of(c))
    parts.push_back(*diluent);
  else
    look.lacks(say::what_made_up_in());
  look_at_allergies_of(*c.in.patient, parts, c.formulary, look);
}

void set_flow(const DilutionInput& in, DilutionPlan& out) {
  const auto volume = in.volume ? in.volume : out.least_volume;
  const auto duration = in.duration ? in.duration : out.least_time;
  if (volume) out.concentration = in.dose / *volume;
  if (duration) out.rate = in.dose / *duration;
  if (!volume || !duration) return;
  out.flow = *volume / *duration;
  out.workings.push_back(
      {say::rate_name(),
       say::volume_over_time(),
       {{say::volume_name(), say::quantity(shown(*volume))}, {say::time_name(), say::quantity(shown(*duration))}},
       say::quantity(shown(*out.flow)),
       {"arithmetic", Mark::computed}});
}

/// The medicine as it is to run, and whose it is as far as anybody said.
NamedMedicine named(const DilutionInput& in, const DilutionPlan& out) {
  NamedMedicine medicine;
  medicine.name = in.medicine;
  medicine.strength = out.concentration;
  medicine.dose = in.dose;
  medicine.rate = out.rate;
  medicine.over = in.duration ? in.duration : out.least_time;
  medicine.frail = in.frail;
  if (in.patient) medicine.weight = in.patient->weight;
  if (in.patient && in.today) medicine.person = growth::Person{in.patient->birth_date, in.patient->sex, *in.today};
  return medicine;
}

}  // namespace

Checked<DilutionPlan> dilution(const DilutionInput& in, const infusate::Formulary& formulary,
                               const policy::Policy& policy) {
  if (auto errors = check(in, formulary); !errors.empty()) return refuse(std::move(errors));
  DilutionPlan out;
  const auto& entry = *infusate::find(formulary, in.medicine);
  if (entry.giving) {
    find_least_volume(in, *entry.giving, out);
    find_least_time(in, *entry.giving, out);
  }
  set_flow(in, out);
  const DilutionCase look_at{in, entry, formulary, policy, out, named(in, out)};
  auto answer = verdict::take_all<DilutionLook>([&](auto which, Look& look) { take<which()>(look_at, look); });
  out.verdict = answer.verdict;
  out.looks = std::move(answer.looks);
  out.findings = std::move(answer.findings);
  if (!entry.giving)
    out.findings.push_back({Severity::caution,
                            "limits_unknown",
                            say::limits_not_listed(entry.name),
                            {"unknown is not safe", Mark::practice}});
  else if (!entry.giving->note.empty())
    out.findings.push_back({Severity::information, "note", entry.giving->note, entry.giving->source});
  return out;
}

}  // namespace dwell::dosing
