#pragma once
// Decimal text to a number, whatever the machine's locale. (std::from_chars for double is missing from the standard
// library of the WebAssembly build.)
#include <optional>
#include <string_view>

namespace dwell {

/// The number that the whole text spells, or nothing: no leading or trailing text, no "inf", no "nan".
[[nodiscard]] std::optional<double> number_from(std::string_view text);

}  // namespace dwell
