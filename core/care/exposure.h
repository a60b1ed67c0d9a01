#pragma once
// What a line exposes its site to at a moment: the harm class and the rate of what runs, and how long it is since the
// site was last seen sound. The grade's response and the worst leaked volume follow from it.
#include <span>

#include "infusate/infusate.h"
#include "line/state.h"
#include "site/grade.h"

namespace dwell::care {

/// The harm class is the worst of all that ran since the site was last seen sound, also of what was pushed and of what
/// has ended: a leak of an hour ago is still under the skin. A mixture that the formulary does not know: unknown. The
/// volume is what was given since then, rate by rate, with flushes. Since the last sound check, or since placement when
/// there was none.
[[nodiscard]] site::Exposure exposure_of(const line::State& state, const infusate::Formulary& formulary,
                                         const std::vector<infusate::SoluteHarm>& by_solute, Instant now);

/// The harm class and leak family alone, of what ran.
[[nodiscard]] site::Exposure exposure_to(std::span<const infusate::Mixture> ran, const infusate::Formulary& formulary,
                                         const std::vector<infusate::SoluteHarm>& by_solute);

}  // namespace dwell::care
