#pragma once
#include <cstddef>
#include <string>
#include <string_view>

namespace dwell::documents {

/// Begins what goes on of somebody's own words, so that nobody takes it for a line of the document.
inline constexpr std::string_view fence = "| ";

/// Breaks a line at spaces so that no part is wider than `columns` characters; the parts after the first are indented,
/// or begin with the fence where they begin between the marks of own words (text/own_words.h). A word that is wider by
/// itself stays whole: a drug or a dose is never cut.
[[nodiscard]] std::string wrap(std::string_view line, std::size_t columns, std::string_view indent);

}  // namespace dwell::documents
