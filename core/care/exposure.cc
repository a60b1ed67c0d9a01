#include "care/exposure.h"
#include "quantity/difference.h"

#include <algorithm>

namespace dwell::care {

site::Exposure exposure_of(const line::State& state, const infusate::Formulary& formulary, Instant now) {
  site::Exposure exposure;
  exposure.harm = infusate::HarmClass::harmless;
  for (const auto& ran : state.ran_since_sound_check) {
    const auto mixture = infusate::mix(ran, formulary);
    const auto harm = mixture ? mixture->harm : infusate::HarmClass::unknown;
    if (infusate::harm_rank(harm) < infusate::harm_rank(exposure.harm)) continue;
    exposure.harm = harm;
    exposure.leak_family = mixture ? mixture->leak_family : infusate::LeakFamily::none;
  }
  if (state.running) exposure.flow = state.running->flow;
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
