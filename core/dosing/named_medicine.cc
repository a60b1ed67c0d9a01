#include "dosing/named_medicine.h"

#include <algorithm>

#include "quantity/display.h"

namespace dwell::dosing {
namespace {

using verdict::Look;

constexpr double hair = 1 + 1e-9;

const infusate::Infusate* entry_of(const NamedMedicine& medicine, const infusate::Formulary& formulary, Look& look) {
  if (!medicine.name || medicine.name->empty()) {
    look.lacks("which medicine it is");
    return nullptr;
  }
  const auto* entry = infusate::find(formulary, *medicine.name);
  if (!entry)
    look.say(Severity::stop, "unknown_infusate",
             "\"" + *medicine.name + "\" is not on the ward's list: cannot be checked. Ask pharmacy.",
             {"unknown is not safe", Mark::practice});
  return entry;
}

void lower(std::optional<MassRate>& limit, std::optional<MassRate> other) {
  if (other) limit = limit ? std::min(*limit, *other) : *other;
}

/// The lowest of what its entry knows; one by weight counts only when the weight is known.
std::optional<MassRate> limit_of(const infusate::GivingLimit& giving, const NamedMedicine& medicine, Look& look) {
  std::optional<MassRate> limit = giving.highest_rate;
  if (giving.highest_rate_per_kilogram) {
    if (medicine.weight)
      lower(limit, MassRate(*giving.highest_rate_per_kilogram * *medicine.weight));
    else
      look.lacks("the weight");
  }
  return limit;
}

void judge_rate(const NamedMedicine& medicine, std::optional<MassRate> limit, const Source& source, Look& look) {
  if (!limit) return;
  if (!medicine.rate) return look.lacks("the dose");
  if (*medicine.rate > *limit * hair)
    look.say(Severity::stop, "too_fast",
             show_in(*medicine.rate, milligram / minute, "mg/min") + " is faster than " +
                 show_in(*limit, milligram / minute, "mg/min") + ".",
             source);
}

void judge_entry(const NamedMedicine& medicine, const infusate::GivingLimit& giving, Look& look) {
  judge_rate(medicine, limit_of(giving, medicine, look), giving.source, look);
  if (giving.highest_unit_rate) {
    if (!medicine.unit_rate)
      look.lacks("the dose in units");
    else if (*medicine.unit_rate > *giving.highest_unit_rate * hair)
      look.say(Severity::stop, "too_fast",
               show(*medicine.unit_rate) + " is faster than " + show(*giving.highest_unit_rate) + ".", giving.source);
  }
  if (giving.shortest && medicine.over && *medicine.over * hair < *giving.shortest)
    look.say(Severity::stop, "too_short", show(*medicine.over) + " is shorter than " + show(*giving.shortest) + ".",
             giving.source);
}

}  // namespace

void look_at_weight_of(const std::optional<growth::Person>& person, const std::optional<BodyWeight>& weight,
                       Look& look) {
  if (!weight || !person || !person->birth_date) return look.does_not_apply();
  std::vector<Finding> doubts;
  growth::ask_about_weight(person, weight, doubts);
  for (auto& doubt : doubts) look.say(doubt.severity, doubt.code, doubt.text, doubt.source);
}

void look_at_named_strength(const NamedMedicine& medicine, const infusate::Formulary& formulary, Look& look) {
  const auto* entry = entry_of(medicine, formulary, look);
  if (!entry) return;
  const auto& giving = entry->giving;
  if (!giving || !giving->highest_concentration) return look.lacks("how strong " + entry->name + " may be");
  if (!medicine.strength) return look.lacks("the dose");
  if (*medicine.strength > *giving->highest_concentration * hair)
    look.say(Severity::stop, "too_strong",
             show(*medicine.strength) + " is above " + show(*giving->highest_concentration) + ".", giving->source);
}

void look_at_named_speed(const NamedMedicine& medicine, const infusate::Formulary& formulary,
                         std::optional<MassRate> entered, Look& look) {
  judge_rate(medicine, entered, {"the fastest rate entered: from label, order or local policy", Mark::practice}, look);
  const bool named = medicine.name && !medicine.name->empty();
  if (!named && entered) return;
  const auto* entry = entry_of(medicine, formulary, look);
  if (!entry) return;
  const auto& giving = entry->giving;
  const bool known = giving && (giving->highest_rate || giving->highest_rate_per_kilogram ||
                                giving->highest_unit_rate || (giving->shortest && medicine.over));
  if (known)
    judge_entry(medicine, *giving, look);
  else if (!entered)
    look.lacks("how fast " + entry->name + " may run");
}

}  // namespace dwell::dosing
