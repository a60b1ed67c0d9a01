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
/// policy's stop line, pH, length of therapy; each with its source. Several fluids in one line: call for each and take
/// the worst route.
[[nodiscard]] Checked<Suitability> suitability(const Mixture& mixture, Duration planned, const Formulary& formulary,
                                               const policy::InfusateLimits& limits);

}  // namespace dwell::infusate
