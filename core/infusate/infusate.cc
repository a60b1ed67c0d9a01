#include "infusate/infusate.h"

#include <algorithm>

#include "quantity/display.h"

namespace dwell::infusate {
namespace {

std::optional<AmountConcentration> amount_of(const Solute& solute) {
  if (solute.amount_concentration) return solute.amount_concentration;
  if (solute.mass_concentration && solute.molar_mass) return *solute.mass_concentration / *solute.molar_mass;
  return std::nullopt;
}

FieldErrors check(const Mixture& mixture) {
  FieldErrors errors;
  constexpr Volume most = 10.0 * litre;
  if (!(mixture.volume > Volume() && mixture.volume <= most))
    errors.push_back({"/volume", show(mixture.volume), "above 0 and at most 10 L"});
  constexpr std::size_t most_additives = 50;
  if (mixture.additives.size() > most_additives)
    errors.push_back({"/additives", std::to_string(mixture.additives.size()), "at most 50 additives"});
  for (std::size_t i = 0; i < std::min(mixture.additives.size(), most_additives); ++i)
    if (!(mixture.additives[i].volume > Volume() && mixture.additives[i].volume <= most))
      errors.push_back({"/additives/" + std::to_string(i) + "/volume", show(mixture.additives[i].volume),
                        "above 0 and at most 10 L"});
  return errors;
}

Tonicity tonicity_of(std::optional<Osmolarity> osmolarity) {
  if (!osmolarity) return Tonicity::unknown;
  // Plasma 275 to 295; bags from 240 to 340 are called isotonic in the trade (common practice, no source).
  if (*osmolarity < 240.0 * milliosmole_per_litre) return Tonicity::hypotonic;
  return *osmolarity > 340.0 * milliosmole_per_litre ? Tonicity::hypertonic : Tonicity::isotonic;
}

/// Adds up one member after another; a member without a figure makes the sum unknown.
class Sum {
 public:
  void add(const Infusate& part, Volume volume) {
    result_.total_volume += volume;
    const auto one = part.labelled_osmolarity ? part.labelled_osmolarity : osmolarity(part);
    if (one && osmoles_) *osmoles_ += *one * volume;
    if (!one) osmoles_.reset();
    add_ion(part.sodium, volume, sodium_);
    add_ion(part.potassium, volume, potassium_);
    if (harm_rank(part.harm) > harm_rank(result_.harm)) {
      result_.harm = part.harm;
      result_.leak_family = part.leak_family;
    }
    inputs_.push_back({part.name, show(volume) + " of " + (one ? show(*one) : "unknown osmolarity")});
  }
  void add_unknown(const std::string& name, Volume volume) {
    result_.total_volume += volume;
    result_.unknown_parts.push_back(name);
    osmoles_.reset();
    sodium_.reset();
    potassium_.reset();
    if (harm_rank(HarmClass::unknown) > harm_rank(result_.harm)) {
      result_.harm = HarmClass::unknown;
      result_.leak_family = LeakFamily::none;
    }
    inputs_.push_back({name, show(volume) + ", not on the ward's list"});
  }
  void start() { result_.harm = HarmClass::harmless; }
  MixtureResult finish() {
    if (osmoles_) result_.osmolarity = *osmoles_ / result_.total_volume;
    if (sodium_) result_.sodium = *sodium_ / result_.total_volume;
    if (potassium_) result_.potassium = *potassium_ / result_.total_volume;
    result_.tonicity = tonicity_of(result_.osmolarity);
    result_.workings = {{"osmolarity of the mixture",
                         "Σ (volume × osmolarity) / Σ volume",
                         inputs_,
                         result_.osmolarity ? show(*result_.osmolarity) : "unknown",
                         {"volumes taken as additive; label or ideal osmolarity of each part", Mark::computed}}};
    return std::move(result_);
  }

 private:
  static void add_ion(std::optional<AmountConcentration> ion, Volume volume, std::optional<Amount>& sum) {
    if (!ion)
      sum.reset();
    else if (sum)
      *sum += *ion * volume;
  }

  MixtureResult result_;
  std::optional<Osmoles> osmoles_ = Osmoles();
  std::optional<Amount> sodium_ = Amount(), potassium_ = Amount();
  std::vector<WorkingInput> inputs_;
};

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

Checked<MixtureResult> mix(const Mixture& mixture, const Formulary& formulary) {
  if (auto errors = check(mixture); !errors.empty()) return refuse(std::move(errors));
  Sum sum;
  sum.start();
  const auto add = [&](const std::string& name, Volume volume) {
    const auto found = formulary.find(name);
    if (found == formulary.end())
      sum.add_unknown(name, volume);
    else
      sum.add(found->second, volume);
  };
  add(mixture.base, mixture.volume);
  for (const auto& additive : mixture.additives) add(additive.name, additive.volume);
  return sum.finish();
}

}  // namespace dwell::infusate
