#include "infusate/infusate.h"

#include <algorithm>

#include "infusate/amount.h"
#include "infusate/harm.h"
#include "quantity/display.h"
#include "say/common.h"
#include "say/infusate.h"

namespace dwell::infusate {

std::optional<AmountConcentration> amount_of(const Solute& solute) {
  if (solute.amount_concentration) return solute.amount_concentration;
  if (solute.mass_concentration && solute.molar_mass) return *solute.mass_concentration / *solute.molar_mass;
  return std::nullopt;
}

namespace {

FieldErrors check(const Mixture& mixture) {
  FieldErrors errors;
  constexpr Volume most = 10.0 * litre;
  if (!(mixture.volume > Volume() && mixture.volume <= most))
    errors.push_back({"/volume", show(mixture.volume), say::above_zero_to(shown(most))});
  constexpr std::size_t most_additives = 50;
  if (mixture.additives.size() > most_additives)
    errors.push_back(
        {"/additives", std::to_string(mixture.additives.size()), say::at_most_additives(std::int64_t{most_additives})});
  for (std::size_t i = 0; i < std::min(mixture.additives.size(), most_additives); ++i)
    if (!(mixture.additives[i].volume > Volume() && mixture.additives[i].volume <= most))
      errors.push_back({"/additives/" + std::to_string(i) + "/volume", show(mixture.additives[i].volume),
                        say::above_zero_to(shown(most))});
  return errors;
}

Tonicity tonicity_of(std::optional<Osmolarity> osmolarity) {
  if (!osmolarity) return Tonicity::unknown;
  // Plasma 275 to 295; bags from 240 to 340 are called isotonic in the trade (common practice, no source).
  if (*osmolarity < 240.0 * milliosmole_per_litre) return Tonicity::hypotonic;
  return *osmolarity > 340.0 * milliosmole_per_litre ? Tonicity::hypertonic : Tonicity::isotonic;
}

std::optional<Osmolarity> labelled_or_ideal(const Infusate& infusate) {
  return infusate.labelled_osmolarity ? infusate.labelled_osmolarity : osmolarity(infusate);
}

bool is_of(const Solute& solute, std::string_view ion) { return solute.name.starts_with(ion); }

/// What the label says; else nothing of it, when the solutes are all named and none is a salt of it; else not known.
std::optional<AmountConcentration> ion_of(const Infusate& infusate, std::optional<AmountConcentration> labelled,
                                          std::string_view ion) {
  if (labelled || infusate.kind == FluidKind::water) return labelled.value_or(AmountConcentration());
  const bool none = std::none_of(infusate.solutes.begin(), infusate.solutes.end(),
                                 [&](const Solute& solute) { return is_of(solute, ion); });
  return !infusate.solutes.empty() && none ? std::optional(AmountConcentration()) : std::nullopt;
}

std::optional<MassConcentration> mass_of(const Solute& solute) {
  if (solute.mass_concentration) return solute.mass_concentration;
  if (solute.amount_concentration && solute.molar_mass) return *solute.amount_concentration * *solute.molar_mass;
  return std::nullopt;
}

std::optional<MassConcentration> glucose_of(const Infusate& infusate) {
  if (infusate.glucose) return infusate.glucose;
  if (infusate.solutes.empty())
    return infusate.kind == FluidKind::water ? std::optional(MassConcentration()) : std::nullopt;
  MassConcentration sum;
  for (const auto& solute : infusate.solutes)
    if (is_of(solute, "dextrose") || is_of(solute, "glucose")) {
      const auto mass = mass_of(solute);
      if (!mass) return std::nullopt;
      sum += *mass;
    }
  return sum;
}

/// The sum over the parts that have a figure, and the names of those that have none.
template <class Concentration, class FigureOf>
Concentration at_least(const std::vector<Part>& parts, Volume total, FigureOf figure_of,
                       std::vector<std::string>& without) {
  auto sum = Concentration() * Volume();
  for (const auto& part : parts) {
    const auto figure = part.infusate ? figure_of(*part.infusate) : std::optional<Concentration>();
    if (figure)
      sum += *figure * part.volume;
    else
      without.push_back(part.name);
  }
  return sum / total;
}

// ---- the class of harm, as it reaches the vein ----

const SoluteHarm* rule_for(const Solute& solute, const std::vector<SoluteHarm>& rules) {
  const auto found = std::find_if(rules.begin(), rules.end(), [&](const SoluteHarm& rule) {
    return std::find(rule.solutes.begin(), rule.solutes.end(), solute.name) != rule.solutes.end();
  });
  return found == rules.end() ? nullptr : &*found;
}

/// A part whose every solute has a rule is judged by these alone; plain water by what it makes of the osmolarity.
bool is_judged_by_solute(const Infusate& infusate, const std::vector<SoluteHarm>& rules) {
  if (infusate.solutes.empty()) return infusate.kind == FluidKind::water && !rules.empty();
  return std::all_of(infusate.solutes.begin(), infusate.solutes.end(), [&](const Solute& solute) {
    const auto* rule = rule_for(solute, rules);
    const bool in_mass = rule && (rule->irritant_from_mass || rule->vesicant_from_mass);
    return rule && (in_mass ? mass_of(solute).has_value() : amount_of(solute).has_value());
  });
}

struct Ground {
  HarmClass harm = HarmClass::harmless;
  LeakFamily leak_family = LeakFamily::none;
  std::string of;
  std::optional<HarmEvidence> evidence;
  Source source;
};

/// Strictly worse only: among equals the first in the order of the names stays.
void take_worse(const Ground& other, Ground& worst) {
  if (harm_rank(other.harm) > harm_rank(worst.harm)) worst = other;
}

template <class Concentration>
Ground by_strength(const Concentration strength, const std::optional<Figure<Concentration>>& irritant_from,
                   const std::optional<Figure<Concentration>>& vesicant_from) {
  // A hair of tolerance, so that a strength exactly at the limit is not missed for binary noise.
  const Concentration reached = strength * (1 + 1e-9);
  if (vesicant_from && reached >= vesicant_from->value)
    return {HarmClass::vesicant, LeakFamily::none, "", std::nullopt, source_of(*vesicant_from)};
  if (irritant_from && reached >= irritant_from->value)
    return {HarmClass::irritant, LeakFamily::none, "", std::nullopt, source_of(*irritant_from)};
  return {};
}

Ground by_rule(const SoluteHarm& rule, const std::vector<Part>& parts, Volume total) {
  AmountConcentration amount;
  MassConcentration mass;
  const Infusate* worst_part = nullptr;  // whose leak is answered: the worst of those that bring the solute
  for (const auto& part : parts) {
    if (!part.infusate) continue;
    for (const auto& solute : part.infusate->solutes) {
      if (std::find(rule.solutes.begin(), rule.solutes.end(), solute.name) == rule.solutes.end()) continue;
      const double share = part.volume / total;
      amount += amount_of(solute).value_or(AmountConcentration()) * share;
      mass += mass_of(solute).value_or(MassConcentration()) * share;
      if (!worst_part || harm_rank(part.infusate->harm) > harm_rank(worst_part->harm)) worst_part = part.infusate;
    }
  }
  Ground ground = by_strength(amount, rule.irritant_from, rule.vesicant_from);
  take_worse(by_strength(mass, rule.irritant_from_mass, rule.vesicant_from_mass), ground);
  if (ground.harm == HarmClass::harmless || !worst_part) return {};
  ground.of = rule.solutes.front();
  ground.leak_family = worst_part->leak_family;
  ground.evidence = worst_part->harm_evidence;
  return ground;
}

Ground worst_ground(const std::vector<Part>& parts, Volume total, const std::vector<SoluteHarm>& rules) {
  Ground worst;
  for (const auto& part : parts) {
    if (!part.infusate)
      take_worse(
          {HarmClass::unknown, LeakFamily::none, part.name, std::nullopt, {"unknown is not safe", Mark::practice}},
          worst);
    else if (parts.size() == 1 || !is_judged_by_solute(*part.infusate, rules))
      take_worse({part.infusate->harm, part.infusate->leak_family, part.name, part.infusate->harm_evidence,
                  part.infusate->harm_source},
                 worst);
  }
  for (const auto& rule : rules) take_worse(by_rule(rule, parts, total), worst);
  return worst;
}

Message input_of(const Part& part) {
  if (!part.infusate) return say::volume_not_listed(part.volume);
  const auto one = labelled_or_ideal(*part.infusate);
  return one ? say::volume_of_osmolarity(part.volume, *one) : say::volume_of_unknown_osmolarity(part.volume);
}

Working osmolarity_working(const std::vector<Part>& parts, const MixtureResult& result) {
  std::vector<WorkingInput> inputs;
  inputs.reserve(parts.size());
  for (const auto& part : parts) inputs.push_back({say::listed_name(part.name), input_of(part)});
  return {say::osmolarity_of_mixture(),
          say::osmolarity_of_mixture_formula(),
          std::move(inputs),
          say::quantity(result.osmolarity ? shown(*result.osmolarity) : message::Quantity{{message::Part{}}}),
          {"volumes taken as additive; label or ideal osmolarity of each part", Mark::computed}};
}

}  // namespace

int harm_rank(HarmClass harm) {
  switch (harm) {
    case HarmClass::vesicant: return 3;
    case HarmClass::unknown: return 2;
    case HarmClass::irritant: return 1;
    case HarmClass::harmless: return 0;
  }
  return 2;
}

std::optional<Osmolarity> osmolarity(const Infusate& infusate) {
  if (infusate.solutes.empty()) return infusate.kind == FluidKind::water ? std::optional(Osmolarity()) : std::nullopt;
  Osmolarity sum;
  for (const auto& solute : infusate.solutes) {
    const auto amount = amount_of(solute);
    if (!amount) return std::nullopt;
    sum += *amount / (1.0 * mole) * (solute.particles * osmole);
  }
  return sum;
}

Checked<MixtureResult> mix(const Mixture& mixture, const Formulary& formulary,
                           const std::vector<SoluteHarm>& by_solute) {
  if (auto errors = check(mixture); !errors.empty()) return refuse(std::move(errors));
  const auto parts = parts_of(mixture, formulary);
  MixtureResult out;
  for (const auto& part : parts) {
    out.total_volume += part.volume;
    if (!part.infusate) out.unknown_parts.push_back(part.name);
  }
  const auto total = out.total_volume;
  out.osmolarity_at_least = at_least<Osmolarity>(parts, total, labelled_or_ideal, out.without_osmolarity);
  out.potassium_at_least = at_least<AmountConcentration>(
      parts, total, [](const Infusate& part) { return ion_of(part, part.potassium, "potassium"); },
      out.without_potassium);
  out.sodium_at_least = at_least<AmountConcentration>(
      parts, total, [](const Infusate& part) { return ion_of(part, part.sodium, "sodium"); }, out.without_sodium);
  out.glucose_at_least = at_least<MassConcentration>(parts, total, glucose_of, out.without_glucose);
  if (out.without_osmolarity.empty()) out.osmolarity = out.osmolarity_at_least;
  if (out.without_sodium.empty()) out.sodium = out.sodium_at_least;
  if (out.without_potassium.empty()) out.potassium = out.potassium_at_least;
  if (out.without_glucose.empty()) out.glucose = out.glucose_at_least;
  out.tonicity = tonicity_of(out.osmolarity);
  const auto ground = worst_ground(parts, total, by_solute);
  out.harm = ground.harm;
  out.leak_family = ground.leak_family;
  out.harm_of = ground.of;
  out.harm_evidence = ground.evidence;
  out.harm_source = ground.source;
  out.workings = {osmolarity_working(parts, out)};
  return out;
}

Harm harm_of(const Mixture& mixture, const Formulary& formulary, const std::vector<SoluteHarm>& by_solute) {
  if (!check(mixture).empty()) return {};
  const auto parts = parts_of(mixture, formulary);
  Volume total;
  for (const auto& part : parts) total += part.volume;
  const auto ground = worst_ground(parts, total, by_solute);
  return {ground.harm, ground.leak_family};
}

}  // namespace dwell::infusate
