#include "dosing/dilution.h"

#include <algorithm>

#include "dosing/order_looks.h"
#include "infusate/suitability.h"
#include "quantity/display.h"

namespace dwell::dosing {
namespace {

using infusate::GivingLimit;

FieldErrors check(const DilutionInput& in, const infusate::Formulary& formulary) {
  FieldErrors errors;
  if (!infusate::find(formulary, in.medicine))
    errors.push_back({"/medicine", in.medicine, "a medicine of the ward's list; ask pharmacy about others"});
  if (!(in.dose > Mass() && in.dose <= 100.0 * gram))
    errors.push_back({"/dose", show_in(in.dose, milligram, "mg"), "above 0 and at most 100 g"});
  if (in.volume && !(*in.volume >= 1.0 * millilitre && *in.volume <= 5.0 * litre))
    errors.push_back({"/volume", show(*in.volume), "from 1 mL to 5 L"});
  if (in.duration && !(*in.duration >= 10.0 * second && *in.duration <= 48.0 * hour))
    errors.push_back({"/duration", show(*in.duration), "from 10 s to 48 h"});
  return errors;
}

std::optional<MassConcentration> concentration_limit(const DilutionInput& in, const GivingLimit& limit) {
  return in.fluid_restricted && limit.highest_concentration_restricted ? limit.highest_concentration_restricted
                                                                       : limit.highest_concentration;
}

std::optional<MassRate> rate_limit(const DilutionInput& in, const GivingLimit& limit) {
  return in.frail && limit.highest_rate_frail ? limit.highest_rate_frail : limit.highest_rate;
}

std::string dose_text(Mass dose) { return show_in(dose, milligram, "mg"); }

void find_least_volume(const DilutionInput& in, const GivingLimit& limit, DilutionPlan& out) {
  const auto highest = concentration_limit(in, limit);
  if (!highest) return;
  out.least_volume = in.dose / *highest;
  out.workings.push_back({"least volume",
                          "dose / highest concentration",
                          {{"dose", dose_text(in.dose)}, {"highest concentration", show(*highest)}},
                          show(*out.least_volume),
                          limit.source});
}

void find_least_time(const DilutionInput& in, const GivingLimit& limit, DilutionPlan& out) {
  const auto highest = rate_limit(in, limit);
  if (!highest && !limit.shortest) return;
  const Duration by_rate = highest ? Duration(in.dose / *highest) : Duration();
  out.least_time = std::max(by_rate, limit.shortest.value_or(Duration()));
  std::vector<WorkingInput> inputs{{"dose", dose_text(in.dose)}};
  if (highest) inputs.push_back({"highest rate", show_in(*highest, milligram / minute, "mg/min")});
  if (limit.shortest) inputs.push_back({"shortest time", show(*limit.shortest)});
  out.workings.push_back({"least time", "the longer of dose / highest rate and the shortest time", std::move(inputs),
                          show(*out.least_time), limit.source});
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
};

std::optional<Part> diluent_of(const DilutionCase& c) {
  if (!c.in.diluent || c.in.diluent->empty()) return std::nullopt;
  const auto* entry = infusate::find(c.formulary, *c.in.diluent);
  return Part{entry ? entry->name : *c.in.diluent, {}, entry};
}

template <DilutionLook>
void take(const DilutionCase&, Look&) = delete;

template <>
void take<DilutionLook::strength>(const DilutionCase& c, Look& look) {
  const auto& giving = c.entry.giving;
  if (!giving || !c.out.least_volume) return look.lacks("how strong " + c.entry.name + " may be");
  if (c.in.volume && *c.in.volume * hair < *c.out.least_volume)
    return look.say(Severity::stop, "too_strong",
                    show(*c.in.volume) + " is too little: at least " + show(*c.out.least_volume) + ".", giving->source);
  if (c.out.concentration && giving->highest_concentration &&
      *c.out.concentration > *giving->highest_concentration * hair)
    look.say(Severity::caution, "stronger_by_order",
             show(*c.out.concentration) + " is above " + show(*giving->highest_concentration) +
                 ": only by an order that says so.",
             giving->source);
}

template <>
void take<DilutionLook::dose>(const DilutionCase& c, Look& look) {
  const auto& giving = c.entry.giving;
  if (!giving || !giving->highest_dose) return look.lacks("how much of " + c.entry.name + " may be given at once");
  if (c.in.dose > *giving->highest_dose * hair)
    look.say(Severity::stop, "giving_dose",
             c.entry.name + ": " + dose_text(c.in.dose) + " is above " + dose_text(*giving->highest_dose) +
                 " in one container.",
             giving->source);
}

template <>
void take<DilutionLook::speed>(const DilutionCase& c, Look& look) {
  if (!c.entry.giving || !c.out.least_time) return look.lacks("how fast " + c.entry.name + " may run");
  if (c.in.duration && *c.in.duration * hair < *c.out.least_time)
    look.say(Severity::stop, "too_fast",
             show(*c.in.duration) + " is too fast: at least " + show(*c.out.least_time) + ".", c.entry.giving->source);
}

template <>
void take<DilutionLook::container>(const DilutionCase& c, Look& look) {
  if (!c.in.in_syringe.value_or(false)) return look.does_not_apply();
  const auto& largest = c.policy.order.largest_syringe;
  const auto volume = c.in.volume ? c.in.volume : c.out.least_volume;
  if (!largest) return look.lacks("the largest syringe, in the ward's policy");
  if (!volume) return look.lacks("the volume that it is made up to");
  if (*volume > largest->value * hair)
    look.say(Severity::stop, "too_much_for_syringe",
             show(*volume) + " does not go into a syringe of " + show(largest->value) + ": a bag.",
             source_of(*largest));
}

template <>
void take<DilutionLook::diluent>(const DilutionCase& c, Look& look) {
  const auto diluent = diluent_of(c);
  if (!diluent) return look.lacks("what it is made up in");
  if (!diluent->infusate)
    return look.say(Severity::stop, "unknown_infusate",
                    "\"" + diluent->name + "\" is not on the ward's list: cannot be checked. Ask pharmacy.",
                    {"unknown is not safe", Mark::practice});
  const Part medicine{c.entry.name, {}, &c.entry};
  const bool one_way = infusate::forbid_meeting(medicine, *diluent, true, look);
  const bool other_way = infusate::forbid_meeting(*diluent, medicine, false, look);
  if (one_way || other_way) return;
  if (diluent->infusate->kind == infusate::FluidKind::blood)
    return look.say(Severity::stop, "blood_alone", "Nothing is added to blood: not " + medicine.name + ".", practice);
  const auto& mixing = c.entry.mixing;
  const bool listed = mixing && std::any_of(mixing->only_in.begin(), mixing->only_in.end(),
                                            [&](const auto& name) { return infusate::same_name(name, diluent->name); });
  const auto& limits = c.policy.infusate;
  if (!listed && !(infusate::mixes_freely(c.entry, limits) && infusate::mixes_freely(*diluent->infusate, limits)))
    look.lacks("whether " + c.entry.name + " is made up in " + diluent->name + ": ask pharmacy");
}

template <>
void take<DilutionLook::allergy>(const DilutionCase& c, Look& look) {
  if (!c.in.patient) return look.does_not_apply();
  std::vector<Part> parts{{c.entry.name, {}, &c.entry}};
  if (auto diluent = diluent_of(c)) parts.push_back(*diluent);
  look_at_allergies_of(*c.in.patient, parts, c.formulary, look);
}

void set_flow(const DilutionInput& in, DilutionPlan& out) {
  const auto volume = in.volume ? in.volume : out.least_volume;
  const auto duration = in.duration ? in.duration : out.least_time;
  if (volume) out.concentration = in.dose / *volume;
  if (duration) out.rate = in.dose / *duration;
  if (!volume || !duration) return;
  out.flow = *volume / *duration;
  out.workings.push_back({"rate",
                          "volume / time",
                          {{"volume", show(*volume)}, {"time", show(*duration)}},
                          show(*out.flow),
                          {"arithmetic", Mark::computed}});
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
  const DilutionCase look_at{in, entry, formulary, policy, out};
  auto answer = verdict::take_all<DilutionLook>([&](auto which, Look& look) { take<which()>(look_at, look); });
  out.verdict = answer.verdict;
  out.looks = std::move(answer.looks);
  out.findings = std::move(answer.findings);
  if (!entry.giving)
    out.findings.push_back({Severity::caution,
                            "limits_unknown",
                            "No limit of strength or speed is on the ward's list for " + entry.name + ": ask pharmacy.",
                            {"unknown is not safe", Mark::practice}});
  else if (!entry.giving->note.empty())
    out.findings.push_back({Severity::information, "note", entry.giving->note, entry.giving->source});
  return out;
}

}  // namespace dwell::dosing
