#pragma once
// May this run into a small vein, for this long? Policy decides; unknown refers to pharmacy.
#include "infusate/infusate.h"
#include "policy/policy.h"

namespace dwell::infusate {

enum class Route { short_peripheral, longer_peripheral, refer_for_central, ask_pharmacy };
BOOST_DESCRIBE_ENUM(Route, short_peripheral, longer_peripheral, refer_for_central, ask_pharmacy)

struct Suitability {
  Route route = Route::ask_pharmacy;
  std::vector<Finding> findings;
  MixtureResult mixture;
};
BOOST_DESCRIBE_STRUCT(Suitability, (), (route, findings, mixture))

/// Verdict for a planned duration of therapy (> 0, up to 365 days). Vesicant (continuous), osmolarity above the
/// policy's stop line, pH, length of therapy; each with its source.
[[nodiscard]] Checked<Suitability> suitability(const Mixture& mixture, Duration planned, const Formulary& formulary,
                                               const policy::InfusateLimits& limits);

/// All that will run through one line: the worst member decides.
struct LineTherapy {
  std::vector<Mixture> mixtures;
  Duration planned;
};
BOOST_DESCRIBE_STRUCT(LineTherapy, (), (mixtures, planned))

struct LineSuitability {
  Route route = Route::ask_pharmacy;
  HarmClass harm = HarmClass::unknown;
  std::string decided_by;  ///< base of the mixture with the worst route
  std::vector<Suitability> each;
  std::vector<Finding> findings;
};
BOOST_DESCRIBE_STRUCT(LineSuitability, (), (route, harm, decided_by, each, findings))

/// Errors: no mixture, and what `suitability` refuses, under /mixtures/N. Whether they may meet in one line is not
/// decided: with more than one that is said.
[[nodiscard]] Checked<LineSuitability> line_suitability(const LineTherapy& therapy, const Formulary& formulary,
                                                        const policy::InfusateLimits& limits);

}  // namespace dwell::infusate
