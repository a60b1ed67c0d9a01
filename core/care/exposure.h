#pragma once
// What a line exposes its site to at a moment: the harm class and the rate of what runs, and how long it is since the
// site was last seen sound. The grade's response and the worst leaked volume follow from it.
#include "infusate/infusate.h"
#include "line/state.h"
#include "site/grade.h"

namespace dwell::care {

/// Nothing running: harmless. A mixture that the formulary does not know: unknown. Since the last sound check, or since
/// placement when there was none.
[[nodiscard]] site::Exposure exposure_of(const line::State& state, const infusate::Formulary& formulary, Instant now);

}  // namespace dwell::care
