#include "dosing/push.h"

#include <algorithm>
#include <cmath>

#include "dosing/named_medicine.h"
#include "quantity/display.h"
#include "say/wording.h"

namespace dwell::dosing {
namespace {

constexpr int most_steps = 200;

FieldErrors check(const PushInput& in) {
  FieldErrors errors;
  growth::check_person(in.person, errors);
  if (!(in.volume >= 0.1 * millilitre && in.volume <= 100.0 * millilitre))
    errors.push_back({"/volume", show(in.volume), "from 0.1 to 100 mL, as a syringe holds"});
  if (!(in.over >= 5.0 * second && in.over <= 1.0 * hour))
    errors.push_back({"/over", show(in.over), "from 5 s to 1 h; longer belongs on a pump"});
  if (!(in.step >= 0.05 * millilitre && in.step <= std::max(in.volume, 0.05 * millilitre)))
    errors.push_back({"/step", show(in.step), "from 0.05 mL to the volume in the syringe"});
  else if (double(in.volume / in.step) > most_steps)
    errors.push_back({"/step", show(in.step), "a step of at least " + show(Volume(in.volume / double(most_steps)))});
  if (in.dose && !(*in.dose > Mass())) errors.push_back({"/dose", show(*in.dose), "above 0"});
  if (in.highest_rate && !(*in.highest_rate > MassRate()))
    errors.push_back({"/highest_rate", show(*in.highest_rate), "above 0"});
  if (in.weight && !(*in.weight >= 0.3 * kilogram && *in.weight <= 400.0 * kilogram))
    errors.push_back({"/weight", show(*in.weight), "a body weight from 0.3 to 400 kg"});
  if (in.highest_rate && !in.dose) errors.push_back({"/dose", "nothing", "the dose, to hold it against the rate"});
  return errors;
}

void set_least_time(const PushInput& in, PushPlan& plan) {
  plan.rate = *in.dose / in.over;
  if (!in.highest_rate) return;
  plan.least_time = *in.dose / *in.highest_rate;
  plan.workings.push_back({"least time",
                           "dose / fastest rate",
                           {{"dose", show(*in.dose)}, {"fastest rate", show(*in.highest_rate)}},
                           show(*plan.least_time),
                           {"the fastest rate entered: from label, order or local policy", Mark::practice}});
}

struct PushCase {
  const PushInput& input;
  const infusate::Formulary& formulary;
  const PushPlan& plan;
  NamedMedicine medicine;
};

template <PushLook>
void take(const PushCase&, verdict::Look&) = delete;

/// Whether it may be pushed at all.
template <>
void take<PushLook::pushed>(const PushCase& c, verdict::Look& look) {
  if (!c.medicine.name || c.medicine.name->empty()) return look.lacks("which medicine it is");
  const auto* entry = infusate::find(c.formulary, *c.medicine.name);
  if (!entry)
    return look.say(Severity::stop, "unknown_infusate",
                    "\"" + *c.medicine.name + "\" is not on the ward's list: cannot be checked. Ask pharmacy.",
                    {"unknown is not safe", Mark::practice});
  if (entry->must_be_diluted)
    look.say(Severity::stop, "undiluted", entry->name + " must never be given undiluted.", entry->source);
  if (entry->central_only.value_or(false))
    look.say(Severity::stop, "central_only", entry->name + " belongs in a central vein, whatever the dose.",
             entry->source);
  if (entry->leak_family == infusate::LeakFamily::vasopressor)
    look.say(Severity::stop, "never_pushed", entry->name + " is titrated, not pushed.",
             {"common practice, no source", Mark::practice});
  // What takes so long by its label is an infusion; no hand pushes evenly for it.
  constexpr Duration longest_push = 10.0 * minute;
  if (entry->giving && entry->giving->shortest && *entry->giving->shortest > longest_push)
    look.say(Severity::stop, "never_pushed",
             entry->name + " takes at least " + show(*entry->giving->shortest) + ": run it, do not push it.",
             entry->giving->source);
  if (entry->harm == infusate::HarmClass::vesicant)
    look.say(Severity::caution, "vesicant_push",
             "Vesicant: blood return before and during the push; stop at the first pain.", entry->harm_source);
  if (entry->harm == infusate::HarmClass::unknown) look.lacks("the harm class of " + entry->name);
  if (!entry->note.empty())
    look.say(Severity::information, "infusate_note", say::named_text(title_of(*entry), entry->note), entry->source);
}

template <>
void take<PushLook::body_weight>(const PushCase& c, verdict::Look& look) {
  look_at_weight_of(c.medicine.person, c.medicine.weight, look);
}

template <>
void take<PushLook::dose>(const PushCase& c, verdict::Look& look) {
  look_at_named_dose(c.medicine, c.formulary, look);
}

template <>
void take<PushLook::strength>(const PushCase& c, verdict::Look& look) {
  look_at_named_strength(c.medicine, c.formulary, look);
}

template <>
void take<PushLook::speed>(const PushCase& c, verdict::Look& look) {
  if (c.plan.rate && c.input.highest_rate && *c.plan.rate > *c.input.highest_rate * (1 + 1e-9))
    look.say(Severity::stop, "push_too_fast",
             show(*c.plan.rate) + " is faster than " + show(*c.input.highest_rate) + ": take at least " +
                 show(*c.plan.least_time) + ".",
             {"the fastest rate entered: from label, order or local policy", Mark::practice});
  look_at_named_speed(c.medicine, c.formulary, std::nullopt, look);
}

}  // namespace

Checked<PushPlan> push_plan(const PushInput& in, const infusate::Formulary& formulary) {
  if (auto errors = check(in); !errors.empty()) return refuse(std::move(errors));
  PushPlan plan;
  plan.flow = in.volume / in.over;
  plan.between_steps = in.over * double(in.step / in.volume);
  const int steps = static_cast<int>(std::ceil(double(in.volume / in.step) - 1e-9));
  for (int i = 1; i <= steps; ++i) {
    const Volume given = std::min(Volume(in.step * static_cast<double>(i)), in.volume);
    plan.steps.push_back({in.over * double(given / in.volume), given});
  }
  plan.workings.push_back({"pushed dose",
                           "time at a mark = whole time × volume given / volume in the syringe",
                           {{"volume", show(in.volume)}, {"over", show(in.over)}, {"step", show(in.step)}},
                           show(in.step) + " every " + show(plan.between_steps),
                           {"arithmetic", Mark::computed}});
  if (in.dose) set_least_time(in, plan);
  PushCase look_at{in, formulary, plan, {}};
  look_at.medicine.name = in.medicine;
  look_at.medicine.rate = plan.rate;
  if (in.dose) look_at.medicine.strength = *in.dose / in.volume;
  look_at.medicine.dose = in.dose;
  look_at.medicine.over = in.over;
  look_at.medicine.person = in.person;
  look_at.medicine.weight = in.weight;
  auto answer = verdict::take_all<PushLook>([&](auto which, verdict::Look& look) { take<which()>(look_at, look); });
  plan.verdict = answer.verdict;
  plan.looks = std::move(answer.looks);
  plan.findings = std::move(answer.findings);
  plan.findings.push_back({Severity::information,
                           "flush_at_the_same_speed",
                           "Flush afterwards at the same speed: the end of the dose still lies in line and catheter.",
                           {"common practice, no source", Mark::practice}});
  return plan;
}

}  // namespace dwell::dosing
