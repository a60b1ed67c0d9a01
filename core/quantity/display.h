#pragma once
// Numbers as a clinician must read them: 0.5 never .5, 5 never 5.0, thousands parted by a narrow space that does not
// break (a comma is a decimal sign in half the world), a space before the unit, no unit that can be misread, and never
// "0" for what is not 0. Rounding is half up, as drip-rate tables round (62.5 drops/min is 63).
// Source: docs/sources.md#safe-display
#include <cstdint>
#include <string>
#include <string_view>

#include "message/message.h"
#include "quantity/quantity.h"
#include "quantity/time.h"
#include "quantity/unit_names.h"

namespace dwell {

/// Half up to a number of decimals, ignoring binary noise: 62.5 -> 63, 1.005 to two decimals -> 1.01, -2.5 -> -2.
[[nodiscard]] double round_half_up(double value, int decimals = 0);
/// As round_half_up, but never above the value: a rounded rate must not cross a maximum.
[[nodiscard]] double round_down(double value, int decimals = 0);

/// A plain number for people, at most three significant digits below 1000 and whole from there: "0.5", "41.7",
/// "1 027".
[[nodiscard]] std::string show_number(double value);
/// With a largest number of decimals (at most two from 1 on: "1.125" could be thousands), or as many more as it takes
/// to show what would else be 0; trailing zeros never shown.
[[nodiscard]] std::string show_number(double value, int decimals);

/// In the unit that fits its size at the bedside: "125 mL/h", "1 000 mL", "40 mcg", "7 h 43 min" for durations, "39 %"
/// for ratios.
[[nodiscard]] std::string show_quantity(QuantityKind kind, double si);

/// The same as an argument of a message: rounded, in its unit, to be written out in the reader's language.
[[nodiscard]] message::Quantity shown_quantity(QuantityKind kind, double si);
[[nodiscard]] message::Quantity shown_number(double value);
[[nodiscard]] message::Quantity shown_number(double value, int decimals);
[[nodiscard]] message::Count shown_count(std::int64_t count);

template <QuantityType Q>
[[nodiscard]] message::Quantity shown(Q quantity) {
  return shown_quantity(KindOf<Q>::value, quantity.value());
}
[[nodiscard]] inline message::Quantity shown(Interval interval) { return {parts_of(interval)}; }

template <QuantityType Q>
[[nodiscard]] std::string show(Q quantity) {
  return show_quantity(KindOf<Q>::value, quantity.value());
}
/// In a chosen unit: show_in(flow, millilitre / minute, "mL/min").
template <QuantityType Q, class Unit>
[[nodiscard]] std::string show_in(const Q& quantity, const Unit& unit, std::string_view unit_text) {
  return show_number(in(quantity, unit)) + " " + std::string(unit_text);
}
[[nodiscard]] std::string show(Gauge gauge);
[[nodiscard]] std::string show(Temperature temperature);

}  // namespace dwell
