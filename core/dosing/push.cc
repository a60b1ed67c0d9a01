#include "dosing/push.h"

#include <algorithm>
#include <cmath>

#include "dosing/named_medicine.h"
#include "quantity/display.h"
#include "say/common.h"
#include "say/dosing.h"
#include "say/infusate.h"
#include "say/wording.h"

namespace dwell::dosing {
namespace {

constexpr int most_steps = 200;

FieldErrors check(const PushInput& in) {
  FieldErrors errors;
  growth::check_person(in.person, errors);
  constexpr Volume least = 0.1 * millilitre, most = 100.0 * millilitre, least_step = 0.05 * millilitre;
  constexpr Duration shortest = 5.0 * second, longest = 1.0 * hour;
  if (!(in.volume >= least && in.volume <= most))
    errors.push_back({"/volume", show(in.volume), say::syringe_from_to(least, most)});
  if (!(in.over >= shortest && in.over <= longest))
    errors.push_back({"/over", show(in.over), say::push_from_to(shortest, longest)});
  if (!(in.step >= least_step && in.step <= std::max(in.volume, least_step)))
    errors.push_back({"/step", show(in.step), say::step_from(least_step)});
  else if (double(in.volume / in.step) > most_steps)
    errors.push_back({"/step", show(in.step), say::step_at_least(in.volume / double(most_steps))});
  if (in.dose && !(*in.dose > Mass())) errors.push_back({"/dose", show(*in.dose), say::above_zero()});
  if (in.highest_rate && !(*in.highest_rate > MassRate()))
    errors.push_back({"/highest_rate", show(*in.highest_rate), say::above_zero()});
  check_weight("/weight", in.weight, errors);
  if (in.highest_rate && !in.dose) errors.push_back({"/dose", "", say::dose_beside_rate()});
  return errors;
}

void set_least_time(const PushInput& in, PushPlan& plan) {
  plan.rate = *in.dose / in.over;
  if (!in.highest_rate) return;
  plan.least_time = *in.dose / *in.highest_rate;
  plan.workings.push_back({say::least_time(),
                           say::dose_over_fastest_rate(),
                           {{say::dose_name(), say::quantity(shown(*in.dose))},
                            {say::fastest_rate_name(), say::quantity(shown(*in.highest_rate))}},
                           say::quantity(shown(*plan.least_time)),
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
  if (!c.medicine.name || c.medicine.name->empty()) return look.lacks(say::which_medicine());
  const auto* entry = infusate::find(c.formulary, *c.medicine.name);
  if (!entry)
    return look.say(Severity::stop, "unknown_infusate", say::not_listed(*c.medicine.name),
                    {"unknown is not safe", Mark::practice});
  if (entry->must_be_diluted) look.say(Severity::stop, "undiluted", say::never_undiluted(entry->name), entry->source);
  if (entry->central_only.value_or(false))
    look.say(Severity::stop, "central_only", say::only_central(entry->name), entry->source);
  if (entry->leak_family == infusate::LeakFamily::vasopressor)
    look.say(Severity::stop, "never_pushed", say::titrated_not_pushed(entry->name),
             {"common practice, no source", Mark::practice});
  // What takes so long by its label is an infusion; no hand pushes evenly for it.
  constexpr Duration longest_push = 10.0 * minute;
  if (entry->giving && entry->giving->shortest && *entry->giving->shortest > longest_push)
    look.say(Severity::stop, "never_pushed", say::run_not_pushed(entry->name, *entry->giving->shortest),
             entry->giving->source);
  if (entry->harm == infusate::HarmClass::vesicant)
    look.say(Severity::caution, "vesicant_push", say::vesicant_pushed(), entry->harm_source);
  if (entry->harm == infusate::HarmClass::unknown) look.lacks(say::harm_class_of(entry->name));
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
             say::too_fast_take_at_least(*c.plan.rate, *c.input.highest_rate, *c.plan.least_time),
             {"the fastest rate entered: from label, order or local policy", Mark::practice});
  look_at_named_speed(c.medicine, c.formulary, std::nullopt, look);
}

template <>
void take<PushLook::allergy>(const PushCase& c, verdict::Look& look) {
  look_at_named_allergy(c.medicine.name, c.input.patient, c.formulary, look);
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
  plan.workings.push_back({say::pushed_dose(),
                           say::pushed_dose_formula(),
                           {{say::volume_name(), say::quantity(shown(in.volume))},
                            {say::over_name(), say::quantity(shown(in.over))},
                            {say::step_name(), say::quantity(shown(in.step))}},
                           say::step_every(in.step, plan.between_steps),
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
                           say::flush_at_same_speed(),
                           {"common practice, no source", Mark::practice}});
  return plan;
}

}  // namespace dwell::dosing
