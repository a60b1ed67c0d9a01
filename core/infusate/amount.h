#pragma once
// How much of a solute there is, by moles.
#include <optional>

#include "infusate/infusate.h"

namespace dwell::infusate {

/// As given, or by mass and molar mass; nothing when neither says it.
[[nodiscard]] std::optional<AmountConcentration> amount_of(const Solute& solute);

}  // namespace dwell::infusate
