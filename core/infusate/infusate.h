#pragma once
// What runs into the vein: its composition, how hard it pulls on the vessel wall (osmolarity), and what happens to
// tissue if it leaves the vessel (harm class). An infusate that we do not know stays unknown; it is never taken as
// safe.
#include <boost/describe.hpp>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <tuple>
#include <vector>

#include "quantity/figure.h"
#include "quantity/quantity.h"
#include "quantity/time.h"

namespace dwell::infusate {

enum class HarmClass { harmless, irritant, vesicant, unknown };
BOOST_DESCRIBE_ENUM(HarmClass, harmless, irritant, vesicant, unknown)

/// Which is worse, 0 best: vesicant, unknown, irritant, harmless. Unknown is worse than all but a vesicant.
[[nodiscard]] int harm_rank(HarmClass harm);

/// How well it is established that this harms tissue.
enum class HarmEvidence { many_reports, fewer_reports, by_property };
BOOST_DESCRIBE_ENUM(HarmEvidence, many_reports, fewer_reports, by_property)

/// How strong and how fast a medicine may be given into a vein; whatever is absent is not known here.
struct GivingLimit {
  std::optional<MassConcentration> highest_concentration;
  std::optional<MassConcentration> highest_concentration_restricted;  ///< fluid-restricted, by order
  std::optional<PushSpeed> highest_rate;
  std::optional<PushSpeed> highest_rate_frail;  ///< older, or with heart disease
  std::optional<PushSpeed> highest_rate_child;  ///< below 16 years
  std::optional<MassRatePerMass> highest_rate_per_kilogram;
  std::optional<UnitRate> highest_unit_rate;  ///< of what is counted in biological units
  std::optional<Mass> highest_dose;           ///< in one container
  std::optional<Duration> shortest;           ///< whatever the dose
  std::optional<int> youngest_years;          ///< never to anybody younger
  Wording note;
  Source source;
  friend bool operator==(const GivingLimit&, const GivingLimit&) = default;
};
BOOST_DESCRIBE_STRUCT(GivingLimit, (),
                      (highest_concentration, highest_concentration_restricted, highest_rate, highest_rate_frail,
                       highest_rate_child, highest_rate_per_kilogram, highest_unit_rate, highest_dose, shortest,
                       youngest_years, note, source))

/// What it must not meet. A partner that is not named is not known to be safe.
struct Mixing {
  std::vector<std::string> never_with;  ///< solutes and entries, in one bag or one line: "calcium", "lactated Ringer's"
  std::vector<std::string> only_in;     ///< entries that it may be made up in; empty: not known
  Source source;
  friend bool operator==(const Mixing&, const Mixing&) = default;
};
BOOST_DESCRIBE_STRUCT(Mixing, (), (never_with, only_in, source))

/// Families whose leak is answered alike (warm or cold, whom to call).
enum class LeakFamily {
  none,
  vasopressor,
  hyperosmolar,
  calcium,
  alkaline_warm,
  alkaline_cold,
  acidic,
  contrast,
  other
};
BOOST_DESCRIBE_ENUM(LeakFamily, none, vasopressor, hyperosmolar, calcium, alkaline_warm, alkaline_cold, acidic,
                    contrast, other)

enum class FluidKind { crystalloid, dextrose, colloid, blood, lipid, medicine, water };
BOOST_DESCRIBE_ENUM(FluidKind, crystalloid, dextrose, colloid, blood, lipid, medicine, water)

enum class Tonicity { hypotonic, isotonic, hypertonic, unknown };
BOOST_DESCRIBE_ENUM(Tonicity, hypotonic, isotonic, hypertonic, unknown)

/// One solute with what it becomes in water: particles per formula unit, molar mass of the labelled form.
struct Solute {
  std::string name;                                         ///< "sodium chloride", "dextrose monohydrate"
  std::optional<MassConcentration> mass_concentration;      ///< either this with molar_mass …
  std::optional<AmountConcentration> amount_concentration;  ///< … or this
  std::optional<MolarMass> molar_mass;
  double particles = 1;
  friend bool operator==(const Solute&, const Solute&) = default;
};
BOOST_DESCRIBE_STRUCT(Solute, (), (name, mass_concentration, amount_concentration, molar_mass, particles))

/// An entry of data/infusates.toml. What is absent is unknown, and a look that needs it says that it could not look:
/// write potassium or glucose as 0 where that is known (a medicine made up in saline has none).
struct Infusate {
  std::string name;  ///< generic: "sodium chloride 0.9 %"
  /// Other names of exactly this, strength included: "normal saline". No two entries may share one.
  std::vector<std::string> synonyms;
  /// What an allergy to this may be charted as, beside its names: "penicillin", "beta-lactam", "egg".
  std::vector<std::string> allergy_classes;
  FluidKind kind = FluidKind::crystalloid;
  std::vector<Solute> solutes;
  std::optional<Osmolarity> labelled_osmolarity;
  std::optional<AmountConcentration> sodium;
  std::optional<AmountConcentration> potassium;
  std::optional<MassConcentration> glucose;  ///< as its label counts it; absent: what the solutes say, if there are any
  std::optional<double> ph_low;
  std::optional<double> ph_high;
  HarmClass harm = HarmClass::unknown;
  std::optional<HarmEvidence> harm_evidence;
  LeakFamily leak_family = LeakFamily::none;
  std::optional<GivingLimit> giving;
  std::optional<double> relative_viscosity;  ///< to water at the same temperature
  std::optional<Density> density;            ///< at 20 degrees Celsius
  bool must_be_diluted = false;
  std::optional<bool> central_only;                ///< true: never by a peripheral vein, whatever the dose
  std::optional<MassConcentration> strength;       ///< of the medicine, where giving limits need it
  std::optional<UnitConcentration> unit_strength;  ///< of a medicine that is counted in biological units
  std::optional<Mixing> mixing;
  std::optional<bool> pump_only;  ///< true: never by drops
  Source source;
  Source harm_source;
  Wording note;
  std::optional<Wording> title{};  ///< what it is called where it is shown; absent: its name
  friend bool operator==(const Infusate&, const Infusate&) = default;
};
BOOST_DESCRIBE_STRUCT(Infusate, (),
                      (name, synonyms, allergy_classes, kind, solutes, labelled_osmolarity, sodium, potassium, glucose,
                       ph_low, ph_high, harm, harm_evidence, leak_family, giving, relative_viscosity, density,
                       must_be_diluted, central_only, strength, unit_strength, mixing, pump_only, source, harm_source,
                       note, title))

/// What it is called where it is shown. Without a title it is its name, which is English.
[[nodiscard]] inline Wording title_of(const Infusate& infusate) {
  return infusate.title.value_or(Wording(infusate.name));
}

using Formulary = std::map<std::string, Infusate>;  ///< by generic name

/// The entry that is meant: case, spaces and "0.9%" for "0.9 %" do not matter, and a synonym is as good as the name.
/// Null when there is none, or when two are meant alike: then nobody knows which.
[[nodiscard]] const Infusate* find(const Formulary& formulary, std::string_view name);
/// Two names that `find` would take for one.
[[nodiscard]] bool same_name(std::string_view a, std::string_view b);
/// A name as `find` compares it: lower case, single spaces, "0.9%" and "0.9 %" alike.
[[nodiscard]] std::string plain_name(std::string_view name);

/// From which strength in the bag, as it reaches the vein, a solute harms tissue. All of its names in all parts of a
/// mixture count together, so that what is made at the bedside is judged as the same premixed bag is.
struct SoluteHarm {
  std::vector<std::string> solutes;  ///< names as the infusates use them: "potassium chloride", "potassium"
  std::optional<Figure<AmountConcentration>> irritant_from, vesicant_from;          ///< either these …
  std::optional<Figure<MassConcentration>> irritant_from_mass, vesicant_from_mass;  ///< … or these
  friend bool operator==(const SoluteHarm&, const SoluteHarm&) = default;
};
BOOST_DESCRIBE_STRUCT(SoluteHarm, (), (solutes, irritant_from, vesicant_from, irritant_from_mass, vesicant_from_mass))

/// What is in the bag: a base fluid and what was added to it.
struct Additive {
  std::string name;  ///< an entry of the formulary (a concentrate)
  Volume volume;
  friend bool operator==(const Additive&, const Additive&) = default;
};
BOOST_DESCRIBE_STRUCT(Additive, (), (name, volume))
constexpr auto names_in(const Additive*) { return std::tuple(&Additive::name); }

struct Mixture {
  std::string base;
  Volume volume;  ///< of the base alone
  std::vector<Additive> additives;
  friend bool operator==(const Mixture&, const Mixture&) = default;
};
BOOST_DESCRIBE_STRUCT(Mixture, (), (base, volume, additives))
constexpr auto names_in(const Mixture*) { return std::tuple(&Mixture::base); }

/// Ideal osmolarity from composition:  Σ  concentration / molar mass × particles.  Nothing when a solute lacks data.
/// "Ideal": dissociation taken as complete, as labels do (0.9 % saline 308 although plasma sees about 286).
/// Source: sources.md#osmolarity
[[nodiscard]] std::optional<Osmolarity> osmolarity(const Infusate& infusate);

struct MixtureResult {
  Volume total_volume;
  std::optional<Osmolarity> osmolarity;  ///< absent when any part is unknown
  std::optional<AmountConcentration> sodium;
  std::optional<AmountConcentration> potassium;
  std::optional<MassConcentration> glucose;
  Osmolarity osmolarity_at_least;  ///< by the parts that are known, in the whole volume
  AmountConcentration sodium_at_least, potassium_at_least;
  MassConcentration glucose_at_least;
  std::vector<std::string> without_osmolarity, without_sodium, without_potassium, without_glucose;  ///< parts
  Tonicity tonicity = Tonicity::unknown;
  HarmClass harm = HarmClass::unknown;  ///< as it reaches the vein
  LeakFamily leak_family = LeakFamily::none;
  std::string harm_of;  ///< the part or the solute that decides the class; empty: harmless
  std::optional<HarmEvidence> harm_evidence;
  Source harm_source;
  std::vector<std::string> unknown_parts;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(MixtureResult, (),
                      (total_volume, osmolarity, sodium, potassium, glucose, osmolarity_at_least, sodium_at_least,
                       potassium_at_least, glucose_at_least, without_osmolarity, without_sodium, without_potassium,
                       without_glucose, tonicity, harm, leak_family, harm_of, harm_evidence, harm_source, unknown_parts,
                       workings))

/// The parts of a mixture under the names that the formulary gives them, each once, in the order of these names: which
/// part is called the base, how a name is written and in what order they stand changes nothing.
struct Part {
  std::string name;
  Volume volume;
  const Infusate* infusate = nullptr;  ///< null: not on the ward's list
};
[[nodiscard]] std::vector<Part> parts_of(const Mixture& mixture, const Formulary& formulary);

/// Osmolarity of an admixture:  Σ (volume × osmolarity) / Σ volume  (volumes taken as additive). Names that the
/// formulary lacks are listed in unknown_parts and make the whole unknown; they are not an error. The class of harm
/// follows the strength in the whole for solutes that `by_solute` knows; any other part keeps its own at any dilution.
/// Errors: volumes must be > 0 and <= 10 L.
[[nodiscard]] Checked<MixtureResult> mix(const Mixture& mixture, const Formulary& formulary,
                                         const std::vector<SoluteHarm>& by_solute = {});

}  // namespace dwell::infusate
