#pragma once
// Where a fact departs from the ward's policy. It is kept, marked, and its reason stands beside it; nothing is refused.
#include "line/state.h"

namespace dwell::line {

/// Adds to state.deviations what `event`, already folded into `state`, departs from. `own_attempts` are those of the
/// clinician who made this attempt, when it is one.
void mark_deviations(const Event& event, State& state, const policy::Policy& policy, int own_attempts);

}  // namespace dwell::line
