#pragma once
// May this run into a small vein, for this long? Policy decides; unknown refers to pharmacy.
#include "infusate/infusate.h"
#include "policy/policy.h"
#include "verdict/verdict.h"

namespace dwell::infusate {

/// From best to worst; of several the worst counts.
enum class Route { short_peripheral, longer_peripheral, refer_for_central, ask_pharmacy, not_as_it_stands };
BOOST_DESCRIBE_ENUM(Route, short_peripheral, longer_peripheral, refer_for_central, ask_pharmacy, not_as_it_stands)

/// What is looked at in a mixture before it may run by a peripheral vein.
enum class SuitabilityLook { known, osmolarity, dilution, harm, ph, route, time, notes, compatibility };
BOOST_DESCRIBE_ENUM(SuitabilityLook, known, osmolarity, dilution, harm, ph, route, time, notes, compatibility)

/// How long it is to run.
struct Use {
  Duration planned;                 ///< of the therapy: > 0, up to 365 days
  std::optional<Duration> one_run;  ///< one container or dose; absent: it runs all the time
  bool planned_is_known = true;     ///< false: `planned` is the least it can be
};

struct Suitability {
  Route route = Route::ask_pharmacy;
  verdict::Verdict verdict = verdict::Verdict::not_fully_checked;
  std::vector<verdict::LookReport> looks;
  std::vector<Finding> findings;
  MixtureResult mixture;
};
BOOST_DESCRIBE_STRUCT(Suitability, (), (route, verdict, looks, findings, mixture))

/// Osmolarity too high or too low, concentrates, class of harm as it reaches the vein (continuous, as a dose whose
/// speed is limited, or contrast), pH of medicines, length of therapy; each with its source. A mixture with an unknown
/// part is held against what is known of it: that is the least it can be.
[[nodiscard]] Checked<Suitability> suitability(const Mixture& mixture, const Use& use, const Formulary& formulary,
                                               const policy::Policy& policy);

/// Whether every solute of it is one of those that may share a bag; plain water may, what has no solutes listed may
/// not.
[[nodiscard]] bool mixes_freely(const Infusate& infusate, const policy::InfusateLimits& limits);

/// A part beside one that its own entry forbids it: a stop, whoever else says that they may. `in_one_bag`: what it may
/// be made up in counts too. Returns whether anything was said.
bool forbid_meeting(const Part& one, const Part& other, bool in_one_bag, verdict::Look& look);

/// All that will run through one line: the worst member decides.
struct LineTherapy {
  std::vector<Mixture> mixtures;
  Duration planned;
};
BOOST_DESCRIBE_STRUCT(LineTherapy, (), (mixtures, planned))

struct LineSuitability {
  Route route = Route::ask_pharmacy;
  verdict::Verdict verdict = verdict::Verdict::not_fully_checked;
  HarmClass harm = HarmClass::unknown;
  std::string decided_by;  ///< base of the mixture with the worst route
  std::vector<Suitability> each;
  std::vector<Finding> findings;
};
BOOST_DESCRIBE_STRUCT(LineSuitability, (), (route, verdict, harm, decided_by, each, findings))

/// Errors: no mixture, and what `suitability` refuses, under /mixtures/N. Whether they may meet in one line is not
/// decided: with more than one that is said, and the verdict is no better than not fully checked.
[[nodiscard]] Checked<LineSuitability> line_suitability(const LineTherapy& therapy, const Formulary& formulary,
                                                        const policy::Policy& policy);

}  // namespace dwell::infusate
