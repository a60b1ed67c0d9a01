#include "dosing/named_medicine.h"

#include <algorithm>

#include "dosing/order_looks.h"
#include "dosing/shown_in.h"
#include "say/dosing.h"
#include "say/infusate.h"

namespace dwell::dosing {
namespace {

using verdict::Look;

const infusate::Infusate* entry_of(const NamedMedicine& medicine, const infusate::Formulary& formulary, Look& look) {
  if (!medicine.name || medicine.name->empty()) {
    look.lacks(say::which_medicine());
    return nullptr;
  }
  const auto* entry = infusate::find(formulary, *medicine.name);
  if (!entry)
    look.say(Severity::stop, "unknown_infusate", say::not_listed(*medicine.name),
             {"unknown is not safe", Mark::practice});
  return entry;
}

void lower(std::optional<MassRate>& limit, std::optional<MassRate> other) {
  if (other) limit = limit ? std::min(*limit, *other) : *other;
}

/// Whose limits apply, as far as the age is known.
struct Whose {
  std::optional<int> years;
  bool is_child = false, may_be_child = true;
};

Whose whose(const NamedMedicine& medicine) {
  const auto& person = medicine.person;
  if (!person || !person->birth_date) return {};
  line::Patient patient;
  patient.birth_date = person->birth_date;
  const auto band = line::age_band(patient, person->today);
  const bool child = band == line::AgeBand::neonate || band == line::AgeBand::infant || band == line::AgeBand::child;
  return {age_in_years(*person->birth_date, person->today), child, child};
}

/// The lowest of what its entry knows for this age; one by weight counts only when the weight is known.
std::optional<MassRate> limit_of(const infusate::GivingLimit& giving, const NamedMedicine& medicine, Look& look) {
  std::optional<MassRate> limit = giving.highest_rate;
  if (whose(medicine).is_child) lower(limit, giving.highest_rate_child);
  if (giving.highest_rate_per_kilogram) {
    if (medicine.weight)
      lower(limit, MassRate(*giving.highest_rate_per_kilogram * *medicine.weight));
    else
      look.lacks(say::the_weight());
  }
  return limit;
}

/// Limits of whom it may be, where nobody has said: asked for only when they would change something.
void ask_whose(const NamedMedicine& medicine, const infusate::Infusate& entry, std::optional<MassRate> limit,
               Look& look) {
  const auto& giving = *entry.giving;
  const auto of = whose(medicine);
  const bool within = medicine.rate && (!limit || *medicine.rate <= *limit * hair);
  const auto above = [&](const auto& other) { return within && other && *medicine.rate > *other * hair; };
  if (medicine.frail.value_or(true) && above(giving.highest_rate_frail))
    look.lacks(say::whether_heart_or_kidneys_fail());
  if (of.may_be_child && !of.is_child && above(giving.highest_rate_child)) look.lacks(say::the_birth_date());
  if (of.may_be_child && !giving.highest_rate_child && !giving.highest_rate_per_kilogram && !giving.shortest)
    look.lacks(say::how_fast_in_child(entry.name));
}

void judge_rate(const NamedMedicine& medicine, std::optional<MassRate> limit, const Source& source, Look& look) {
  if (!limit) return;
  if (!medicine.rate) return look.lacks(say::the_dose());
  if (*medicine.rate > *limit * hair)
    look.say(Severity::stop, "too_fast",
             say::too_fast(milligrams_per_minute(*medicine.rate), milligrams_per_minute(*limit)), source);
}

void judge_entry(const NamedMedicine& medicine, const infusate::Infusate& entry, Look& look) {
  const auto& giving = *entry.giving;
  const auto limit = limit_of(giving, medicine, look);
  judge_rate(medicine, limit, giving.source, look);
  ask_whose(medicine, entry, limit, look);
  if (giving.highest_unit_rate) {
    if (!medicine.unit_rate)
      look.lacks(say::the_dose_in_units());
    else if (*medicine.unit_rate > *giving.highest_unit_rate * hair)
      look.say(Severity::stop, "too_fast", say::too_fast(shown(*medicine.unit_rate), shown(*giving.highest_unit_rate)),
               giving.source);
  }
  if (giving.shortest && medicine.over && *medicine.over * hair < *giving.shortest)
    look.say(Severity::stop, "too_short", say::too_short(*medicine.over, *giving.shortest), giving.source);
}

}  // namespace

void check_weight(const std::string& path, const std::optional<BodyWeight>& weight, FieldErrors& errors) {
  constexpr BodyWeight low = 0.3 * kilogram, high = 400.0 * kilogram;
  if (weight && !(*weight >= low && *weight <= high))
    errors.push_back({path, show(*weight), say::weight_from_to(low, high)});
}

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
  if (!giving || !giving->highest_concentration) return look.lacks(say::how_strong(entry->name));
  if (!medicine.strength) return look.lacks(say::the_dose());
  if (*medicine.strength > *giving->highest_concentration * hair)
    look.say(Severity::stop, "too_strong",
             say::too_strong(shown(*medicine.strength), shown(*giving->highest_concentration)), giving->source);
}

void look_at_named_dose(const NamedMedicine& medicine, const infusate::Formulary& formulary, Look& look) {
  const auto* entry = entry_of(medicine, formulary, look);
  if (!entry) return;
  const auto& giving = entry->giving;
  const auto of = whose(medicine);
  if (!giving || !giving->highest_dose)
    look.lacks(say::how_much_at_once(entry->name));
  else if (!medicine.dose)
    look.lacks(say::the_dose());
  else if (*medicine.dose > *giving->highest_dose * hair)
    look.say(Severity::stop, "giving_dose",
             say::part_dose_above(entry->name, in_milligrams(*medicine.dose), in_milligrams(*giving->highest_dose)),
             giving->source);
  else if (of.may_be_child)
    look.lacks(say::how_much_for_child(entry->name));
  if (!giving || !giving->youngest_years) return;
  if (!of.years)
    look.lacks(say::the_birth_date());
  else if (*of.years < *giving->youngest_years)
    look.say(Severity::stop, "too_young", say::too_young(entry->name, *giving->youngest_years), giving->source);
}

void look_at_named_harm(const NamedMedicine& medicine, const infusate::Formulary& formulary, Look& look) {
  const auto* entry = entry_of(medicine, formulary, look);
  if (!entry) return;
  if (entry->must_be_diluted) {
    // Half of its own strength is what an order counts as undiluted too.
    constexpr double undiluted = 0.5;
    if (!medicine.strength || !entry->strength)
      look.lacks(say::how_far_diluted(entry->name));
    else if (*medicine.strength * hair >= *entry->strength * undiluted)
      look.say(Severity::stop, "undiluted", say::never_undiluted(entry->name), entry->source);
  }
  if (entry->central_only.value_or(false))
    look.say(Severity::stop, "central_only", say::only_central(entry->name), entry->source);
  if (entry->harm == infusate::HarmClass::vesicant)
    look.say(Severity::caution, "vesicant_runs", say::vesicant_in_a_sum(), entry->harm_source);
  if (entry->harm == infusate::HarmClass::unknown) look.lacks(say::harm_class_of(entry->name));
}

void look_at_named_allergy(const std::optional<std::string>& name, const std::optional<line::Patient>& patient,
                           const infusate::Formulary& formulary, Look& look) {
  if (!name || name->empty()) return look.lacks(say::which_medicine());
  if (!patient) return look.lacks(say::allergies_not_asked());
  const auto* entry = infusate::find(formulary, *name);
  look_at_allergies_of(*patient, {{entry ? entry->name : *name, {}, entry}}, formulary, look);
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
    judge_entry(medicine, *entry, look);
  else if (!entered)
    look.lacks(say::how_fast(entry->name));
}

}  // namespace dwell::dosing
