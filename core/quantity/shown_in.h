#pragma once
// A quantity as a message's argument, in a unit that was chosen instead of the one that fits its size.
#include <string_view>

#include "quantity/display.h"

namespace dwell {

/// shown_in(flow, millilitre / minute, "mL/min")
template <QuantityType Q, class Unit>
[[nodiscard]] message::Quantity shown_in(const Q& quantity, const Unit& unit, std::string_view unit_text) {
  message::Quantity out = shown_number(in(quantity, unit));
  if (!out.parts.front().digits.empty()) out.parts.front().unit = unit_text;
  return out;
}

}  // namespace dwell
