#include "care/exposure.h"

namespace dwell::care {

site::Exposure exposure_of(const line::State& state, const infusate::Formulary& formulary, Instant now) {
  site::Exposure exposure;
  if (!state.running) {
    exposure.harm = infusate::HarmClass::harmless;
  } else {
    exposure.flow = state.running->flow;
    if (const auto mixture = infusate::mix(state.running->mixture, formulary)) {
      exposure.harm = mixture->harm;
      exposure.leak_family = mixture->leak_family;
    }
  }
  if (state.last_sound_check_at)
    exposure.since_last_sound_check = between(*state.last_sound_check_at, now);
  else if (state.placement)
    exposure.since_last_sound_check = between(state.placement->at, now);
  return exposure;
}

}  // namespace dwell::care
