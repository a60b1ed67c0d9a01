#pragma once
// A quantity in the unit in which the trade speaks of it, whatever its size: a dose of 1250 mg stands in mg beside a
// limit of 2 g.
#include <string_view>

#include "quantity/display.h"

namespace dwell::dosing {

/// A number that is counted in this unit; an unknown one has none.
[[nodiscard]] inline message::Quantity with_unit(message::Quantity number, std::string_view unit) {
  for (auto& part : number.parts)
    if (!part.digits.empty()) part.unit = unit;
  return number;
}

template <QuantityType Q, class Unit>
[[nodiscard]] message::Quantity shown_in(const Q& quantity, const Unit& unit, std::string_view unit_text) {
  return with_unit(shown_number(in(quantity, unit)), unit_text);
}

[[nodiscard]] inline message::Quantity in_milligrams(Mass dose) { return shown_in(dose, milligram, "mg"); }
[[nodiscard]] inline message::Quantity milligrams_per_minute(MassRate rate) {
  return shown_in(rate, milligram / minute, "mg/min");
}

}  // namespace dwell::dosing
