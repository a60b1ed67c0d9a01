#include "suitability/suitability.h"

#include <algorithm>

#include "infusate/as_strong_as.h"
#include "infusate/list.h"
#include "quantity/display.h"
#include "say/common.h"
#include "say/infusate.h"

namespace dwell::infusate {
namespace {

using policy::Policy;
using verdict::Look;

/// What the looks look at, put together once.
struct Case {
  const Use& use;
  const MixtureResult& mixture;
  const std::vector<Part>& parts;
  const Policy& policy;
  const Formulary& formulary;
  Route& route;
  void at_least(Route other) const { route = std::max(route, other); }
};

// A hair of tolerance, so that a limit written exactly is not crossed by binary noise.
constexpr double hair = 1 + 1e-9;

const Source practice{"common practice, no source", Mark::practice};
const Source unknown_is_not_safe{"unknown is not safe", Mark::practice};

template <SuitabilityLook>
void take(const Case&, Look&) = delete;

template <>
void take<SuitabilityLook::known>(const Case& c, Look& look) {
  for (const auto& name : c.mixture.unknown_parts) {
    c.at_least(Route::ask_pharmacy);
    look.say(Severity::stop, "unknown_infusate", say::infusate_not_listed(name), unknown_is_not_safe);
  }
}

void judge_low_osmolarity(const Case& c, Look& look) {
  const auto& lowest = c.policy.infusate.lowest_osmolarity;
  if (!lowest) return look.lacks(say::lowest_osmolarity_of_policy());
  if (!c.mixture.osmolarity || *c.mixture.osmolarity * hair >= lowest->value) return;
  c.at_least(Route::not_as_it_stands);
  look.say(Severity::stop, "haemolysis", say::osmolarity_bursts_cells(*c.mixture.osmolarity, lowest->value),
           source_of(*lowest));
}

template <>
void take<SuitabilityLook::osmolarity>(const Case& c, Look& look) {
  // Blood has no osmolarity of a label, and needs none.
  if (std::all_of(c.parts.begin(), c.parts.end(),
                  [](const Part& part) { return part.infusate && part.infusate->kind == FluidKind::blood; }))
    return look.does_not_apply();
  const auto& limits = c.policy.infusate;
  const Osmolarity known = c.mixture.osmolarity_at_least;
  const bool whole = c.mixture.osmolarity.has_value();
  if (known > limits.highest_osmolarity.value * hair) {
    c.at_least(Route::refer_for_central);
    const Osmolarity limit = limits.highest_osmolarity.value;
    look.say(Severity::stop, "osmolarity",
             whole ? say::osmolarity_above_limit(known, limit) : say::least_osmolarity_above_limit(known, limit),
             source_of(limits.highest_osmolarity));
  } else if (known * hair >= limits.caution_osmolarity.value) {
    look.say(Severity::caution, "osmolarity",
             whole ? say::osmolarity_may_harm(known) : say::least_osmolarity_may_harm(known),
             source_of(limits.caution_osmolarity));
  }
  for (const auto& name : c.mixture.without_osmolarity) look.lacks(say::osmolarity_of(name));
  judge_low_osmolarity(c, look);
}

/// Whether anything else says how strong this may be in the bag.
bool has_final_limit(const Infusate& infusate, const policy::InfusateLimits& limits) {
  return mixes_freely(infusate, limits) ||
         (infusate.giving && infusate.giving->highest_concentration && infusate.strength);
}

template <>
void take<SuitabilityLook::dilution>(const Case& c, Look& look) {
  const auto& from = c.policy.infusate.undiluted_from;
  bool any = false;
  for (const auto& part : c.parts) {
    if (!part.infusate || !part.infusate->must_be_diluted) continue;
    any = true;
    const bool water = part.infusate->kind == FluidKind::water;
    // What is in the water tells whether it still bursts cells, where all of that is known.
    const bool judged_by_osmolarity = water && c.parts.size() > 1 && c.mixture.osmolarity;
    if (!from) {
      look.lacks(say::undiluted_of_policy());
    } else if (judged_by_osmolarity) {
      continue;
    } else if (part.volume / c.mixture.total_volume * hair >= double(from->value)) {
      c.at_least(Route::not_as_it_stands);
      look.say(Severity::stop, "undiluted", water ? say::never_alone(part.name) : say::never_undiluted(part.name),
               part.infusate->source);
    } else if (!has_final_limit(*part.infusate, c.policy.infusate)) {
      look.lacks(say::how_far_to_dilute(part.name));
    }
  }
  for (const auto& name : c.mixture.unknown_parts) look.lacks(say::whether_to_dilute(name));
  if (!any) look.does_not_apply();
}

/// Every vesicant in it runs as a short dose whose speed is known; a vasopressor never does, it is titrated.
bool runs_as_dose(const Case& c) {
  const auto& longest = c.policy.infusate.longest_dose;
  const Duration runs = c.use.one_run.value_or(c.use.planned);
  if (!longest || runs > to_duration(longest->value) * hair) return false;
  int vesicants = 0;
  for (const auto& part : c.parts) {
    if (!part.infusate || part.infusate->harm != HarmClass::vesicant) continue;
    ++vesicants;
    const auto& giving = part.infusate->giving;
    const bool speed_known = giving && (giving->highest_rate || giving->highest_rate_per_kilogram ||
                                        giving->highest_unit_rate || giving->shortest);
    if (!speed_known || part.infusate->leak_family == LeakFamily::vasopressor) return false;
  }
  return vesicants > 0;
}

/// Every vesicant in it is contrast: given in seconds, by a line proven for it.
bool is_contrast(const Case& c) {
  return std::all_of(c.parts.begin(), c.parts.end(), [](const Part& part) {
    return !part.infusate || part.infusate->harm != HarmClass::vesicant ||
           part.infusate->leak_family == LeakFamily::contrast;
  });
}

void judge_vesicant(const Case& c, Look& look) {
  const Message vesicant = c.mixture.harm_evidence ? say::vesicant_by(*c.mixture.harm_evidence) : say::vesicant();
  const auto looked = c.policy.watch.site_check.find(policy::SiteCheckClass::vesicant);
  const bool is_looked_at = looked != c.policy.watch.site_check.end();
  if (c.mixture.leak_family == LeakFamily::contrast && is_contrast(c))
    return look.say(Severity::caution, "vesicant_contrast", say::vesicant_contrast(vesicant), c.mixture.harm_source);
  if (runs_as_dose(c))
    return look.say(
        Severity::caution, "vesicant_dose",
        is_looked_at ? say::vesicant_dose_looked_at(vesicant, looked->second.value) : say::vesicant_dose(vesicant),
        c.mixture.harm_source);
  c.at_least(Route::refer_for_central);
  look.say(Severity::stop, "vesicant",
           is_looked_at ? say::vesicant_continuous_looked_at(vesicant, looked->second.value)
                        : say::vesicant_continuous(vesicant),
           c.mixture.harm_source);
}

template <>
void take<SuitabilityLook::harm>(const Case& c, Look& look) {
  for (const auto& part : c.parts)
    if (!part.infusate || part.infusate->harm == HarmClass::unknown) look.lacks(say::harm_class_of(part.name));
  if (c.parts.size() > 1) {
    if (c.policy.infusate.harm_by_solute.empty()) look.lacks(say::harm_by_solute_of_policy());
    for (const auto& part : c.parts)
      if (part.infusate && part.infusate->solutes.empty() && part.infusate->kind != FluidKind::water &&
          part.infusate->kind != FluidKind::blood)
        look.lacks(say::solutes_of(part.name));
  }
  if (c.mixture.harm == HarmClass::vesicant)
    judge_vesicant(c, look);
  else if (c.mixture.harm == HarmClass::irritant)
    look.say(Severity::caution, "irritant",
             c.mixture.harm_evidence ? say::irritant_by(*c.mixture.harm_evidence) : say::irritant(),
             c.mixture.harm_source);
}

template <>
void take<SuitabilityLook::ph>(const Case& c, Look& look) {
  // The pH of a mixture does not follow from its parts; each medicine is judged as it is listed, as a caution. A plain
  // salt has none to speak of once it is in the bag.
  const auto& limits = c.policy.infusate;
  bool any = false;
  for (const auto& part : c.parts) {
    if (!part.infusate || part.infusate->kind != FluidKind::medicine || !part.infusate->solutes.empty()) continue;
    any = true;
    const auto& infusate = *part.infusate;
    if (!infusate.ph_low || !infusate.ph_high) look.lacks(say::ph_of(part.name));
    if (infusate.ph_low && *infusate.ph_low < limits.lowest_ph.value)
      look.say(Severity::caution, "ph", say::acid(shown_number(*infusate.ph_low)), source_of(limits.lowest_ph));
    if (infusate.ph_high && *infusate.ph_high > limits.highest_ph.value)
      look.say(Severity::caution, "ph", say::alkaline(shown_number(*infusate.ph_high)), source_of(limits.highest_ph));
  }
  if (!any && c.mixture.unknown_parts.empty()) look.does_not_apply();
  for (const auto& name : c.mixture.unknown_parts) look.lacks(say::ph_of(name));
}

template <>
void take<SuitabilityLook::route>(const Case& c, Look& look) {
  for (const auto& part : c.parts) {
    if (!part.infusate || !part.infusate->central_only.value_or(false)) continue;
    c.at_least(Route::refer_for_central);
    look.say(Severity::stop, "central_only", say::only_central(part.name), part.infusate->source);
  }
  for (const auto* bag : as_strong_as(c.parts, c.formulary)) {
    if (!bag->central_only.value_or(false)) continue;
    c.at_least(Route::refer_for_central);
    look.say(Severity::stop, "central_only", say::as_strong_as_central(bag->name), bag->source);
  }
  for (const auto& part : c.parts)
    if (part.infusate && strength_is_unknown(*part.infusate)) look.lacks(say::solutes_of(part.name));
  for (const auto& name : c.mixture.unknown_parts) look.lacks(say::whether_by_small_vein(name));
}

template <>
void take<SuitabilityLook::time>(const Case& c, Look& look) {
  const auto& limits = c.policy.infusate;
  const Duration planned = c.use.planned;
  if (planned > to_duration(limits.longest_longer_peripheral.value)) {
    c.at_least(Route::refer_for_central);
    look.say(Severity::caution, "duration", say::longer_than_peripheral(to_interval(planned)),
             source_of(limits.longest_longer_peripheral));
  } else if (planned > to_duration(limits.longest_short_peripheral.value)) {
    c.at_least(Route::longer_peripheral);
    look.say(Severity::caution, "duration", say::consider_longer_catheter(to_interval(planned)),
             source_of(limits.longest_short_peripheral));
  }
  if (!c.use.planned_is_known) look.lacks(say::how_long_line_is_needed());
}

template <>
void take<SuitabilityLook::notes>(const Case& c, Look& look) {
  auto notes = notes_of(c.parts);
  if (notes.empty()) return look.does_not_apply();
  for (auto& note : notes) look.say(note.severity, note.code, std::move(note.text), std::move(note.source));
}

template <>
void take<SuitabilityLook::compatibility>(const Case& c, Look& look) {
  if (c.parts.size() < 2) return look.does_not_apply();
  bool forbidden = false;
  for (const auto& one : c.parts)
    for (const auto& other : c.parts)
      if (&one != &other && forbid_meeting(one, other, true, look)) forbidden = true;
  if (forbidden) c.at_least(Route::not_as_it_stands);
  std::vector<Message> strangers;
  for (const auto& part : c.parts)
    if (!part.infusate || !mixes_freely(*part.infusate, c.policy.infusate))
      strangers.push_back(say::listed_name(part.name));
  if (!strangers.empty()) look.lacks(say::what_may_share_with(std::move(strangers)));
}

FieldErrors check(const Use& use) {
  FieldErrors errors;
  constexpr Duration most = 365.0 * day;
  if (!(use.planned > Duration() && use.planned <= most))
    errors.push_back({"/planned", show(use.planned), say::above_zero_to(shown(most))});
  if (use.one_run && !(*use.one_run > Duration() && *use.one_run <= most))
    errors.push_back({"/one_run", show(*use.one_run), say::above_zero_to(shown(most))});
  return errors;
}

}  // namespace

bool forbid_meeting(const Part& one, const Part& other, bool in_one_bag, Look& look) {
  if (!one.infusate || !one.infusate->mixing) return false;
  const auto& mixing = *one.infusate->mixing;
  const auto names = [](const std::vector<std::string>& list, const std::string& name) {
    return std::any_of(list.begin(), list.end(), [&](const std::string& listed) { return same_name(listed, name); });
  };
  bool never = names(mixing.never_with, other.name);
  if (other.infusate)
    for (const auto& solute : other.infusate->solutes) never = never || names(mixing.never_with, solute.name);
  const bool not_made_up_in =
      in_one_bag && other.infusate && !mixing.only_in.empty() && !names(mixing.only_in, other.name);
  if (never)
    look.say(Severity::stop, "never_together", say::never_together(one.name, other.name), mixing.source);
  else if (not_made_up_in)
    look.say(Severity::stop, "not_made_up_in", say::not_made_up_in(one.name, other.name), mixing.source);
  return never || not_made_up_in;
}

bool mixes_freely(const Infusate& infusate, const policy::InfusateLimits& limits) {
  if (!limits.mix_freely) return false;
  if (infusate.solutes.empty()) return infusate.kind == FluidKind::water;
  const auto& freely = limits.mix_freely->value;
  return std::all_of(infusate.solutes.begin(), infusate.solutes.end(), [&](const Solute& solute) {
    return std::find(freely.begin(), freely.end(), solute.name) != freely.end();
  });
}

Checked<Suitability> suitability(const Mixture& mixture, const Use& use, const Formulary& formulary,
                                 const policy::Policy& policy) {
  FieldErrors errors = check(use);
  auto mixed = mix(mixture, formulary, policy.infusate.harm_by_solute);
  if (!mixed)
    for (const auto& e : mixed.error()) errors.push_back({"/mixture" + e.path, e.found, e.expected});
  if (!errors.empty()) return refuse(std::move(errors));

  Suitability out;
  out.route = Route::short_peripheral;
  out.mixture = std::move(*mixed);
  const auto parts = parts_of(mixture, formulary);
  const Case look_at{use, out.mixture, parts, policy, formulary, out.route};
  auto answer = verdict::take_all<SuitabilityLook>([&](auto which, Look& look) { take<which()>(look_at, look); });
  out.verdict = answer.verdict;
  out.looks = std::move(answer.looks);
  out.findings = std::move(answer.findings);
  return out;
}

namespace {

/// Any two of the mixtures that must never meet in the line.
bool forbid_any_meeting(const std::vector<Mixture>& mixtures, const Formulary& formulary,
                        std::vector<Finding>& findings) {
  Look look;
  bool forbidden = false;
  for (std::size_t i = 0; i < mixtures.size(); ++i)
    for (std::size_t j = 0; j < mixtures.size(); ++j)
      for (const auto& one : parts_of(mixtures[i], formulary))
        for (const auto& other : parts_of(mixtures[j], formulary))
          if (i != j && forbid_meeting(one, other, false, look)) forbidden = true;
  verdict::Composition composed;
  composed.add("meeting", std::move(look));
  const auto answer = std::move(composed).answer();
  findings.insert(findings.end(), answer.findings.begin(), answer.findings.end());
  return forbidden;
}

}  // namespace

Checked<LineSuitability> line_suitability(const LineTherapy& therapy, const Formulary& formulary,
                                          const policy::Policy& policy) {
  if (therapy.mixtures.empty()) return refuse("/mixtures", "none", say::a_fluid_or_medicine());
  FieldErrors errors;
  LineSuitability out;
  out.route = Route::short_peripheral;
  out.verdict = verdict::Verdict::pass;
  out.harm = HarmClass::harmless;
  for (std::size_t i = 0; i < therapy.mixtures.size(); ++i) {
    auto one = suitability(therapy.mixtures[i], {therapy.planned, std::nullopt}, formulary, policy);
    if (!one) {
      for (const auto& e : one.error()) {
        const bool of_mixture = e.path.starts_with("/mixture");
        if (of_mixture || i == 0)
          errors.push_back(
              {of_mixture ? "/mixtures/" + std::to_string(i) + e.path.substr(8) : e.path, e.found, e.expected});
      }
      continue;
    }
    if (out.decided_by.empty() || one->route > out.route) {
      out.route = std::max(out.route, one->route);
      out.decided_by = therapy.mixtures[i].base;
    }
    if (harm_rank(one->mixture.harm) > harm_rank(out.harm)) out.harm = one->mixture.harm;
    out.verdict = std::max(out.verdict, one->verdict);
    out.each.push_back(std::move(*one));
  }
  if (!errors.empty()) return refuse(std::move(errors));
  if (therapy.mixtures.size() > 1) {
    if (forbid_any_meeting(therapy.mixtures, formulary, out.findings)) {
      out.verdict = verdict::Verdict::stop;
      out.route = std::max(out.route, Route::not_as_it_stands);
    }
    out.verdict = std::max(out.verdict, verdict::Verdict::not_fully_checked);
    out.findings.push_back({Severity::caution, "compatibility", say::together_undecided(), practice});
  }
  return out;
}

}  // namespace dwell::infusate
