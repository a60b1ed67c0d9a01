#pragma once
// Which characters break a line, hide, or turn the reading order. The ranges are Unicode's own, so that the browser's
// engine needs no library of Unicode; tests/peers holds them against one over every code point.
// Source: docs/sources.md#unicode
#include <optional>
#include <string_view>
#include <vector>

namespace dwell::text {

/// General category Cc: end of line, tab, NUL and the like.
[[nodiscard]] bool is_control(char32_t c);
/// U+2028 and U+2029, which end a line or a paragraph without being controls.
[[nodiscard]] bool is_separator(char32_t c);
/// Bidi_Control: what makes a text read in another order than it is written.
[[nodiscard]] bool is_bidi_control(char32_t c);
/// Default_Ignorable_Code_Point: shown as nothing, zero-width characters among them.
[[nodiscard]] bool is_ignorable(char32_t c);
/// White_Space.
[[nodiscard]] bool is_white_space(char32_t c);

/// The code points of UTF-8 text; nothing when it is not UTF-8.
[[nodiscard]] std::optional<std::vector<char32_t>> code_points(std::string_view utf8);

}  // namespace dwell::text
