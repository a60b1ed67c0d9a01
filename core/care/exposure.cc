#include "care/exposure.h"

#include <algorithm>

#include "infusate/harm.h"
#include "quantity/difference.h"

namespace dwell::care {
namespace {

/// Of two that harm alike, whose leak is answered first: a vasopressor's has the shortest time.
int family_rank(infusate::LeakFamily family) {
  using enum infusate::LeakFamily;
  switch (family) {
    case none: return 0;
    case other: return 1;
    case acidic: return 2;
    case alkaline_cold: return 3;
    case alkaline_warm: return 4;
    case contrast:
    case calcium:
    case hyperosmolar: return 5;
    case vasopressor: return 6;
  }
  return 0;
}

}  // namespace

site::Exposure exposure_to(std::span<const infusate::Mixture> ran, const infusate::Formulary& formulary,
                           const std::vector<infusate::SoluteHarm>& by_solute) {
  site::Exposure exposure;
  exposure.harm = infusate::HarmClass::harmless;
  for (const auto& each : ran) {
    const auto [harm, family] = infusate::harm_of(each, formulary, by_solute);
    const int worse = infusate::harm_rank(harm) - infusate::harm_rank(exposure.harm);
    if (worse < 0 || (worse == 0 && family_rank(family) <= family_rank(exposure.leak_family))) continue;
    exposure.harm = harm;
    exposure.leak_family = family;
  }
  return exposure;
}

site::Exposure exposure_of(const line::State& state, const infusate::Formulary& formulary,
                           const std::vector<infusate::SoluteHarm>& by_solute, Instant now) {
  site::Exposure exposure = exposure_to(state.ran_since_sound_check, formulary, by_solute);
  if (state.running) exposure.flow = state.running->flow;
  if (state.placement) exposure.region = state.placement->placed.site.region;
  exposure.age = line::age_band(state.patient, utc_date(now));
  if (state.last_sound_check_at)
    exposure.since_last_sound_check = between(*state.last_sound_check_at, now);
  else if (state.placement)
    exposure.since_last_sound_check = between(state.placement->at, now);
  if (state.placement) {
    Volume given = state.given_in_all;
    if (state.running) given += line::running_state(*state.running, now).given;
    exposure.given_since_sound_check = std::max(Volume(), difference(given, state.given_until_sound_check));
  }
  return exposure;
}

}  // namespace dwell::care
