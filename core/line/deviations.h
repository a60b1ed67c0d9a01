#pragma once
// Where a fact departs from the ward's policy. It is kept, marked, and its reason stands beside it; nothing is refused.
#include "line/state.h"

namespace dwell::line {

/// Adds to state.deviations what `event`, already folded into `state`, departs from.
void mark_deviations(const Event& event, State& state, const policy::Policy& policy);

}  // namespace dwell::line
