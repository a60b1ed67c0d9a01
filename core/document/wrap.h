#pragma once
#include <cstddef>
#include <string>
#include <string_view>

namespace dwell::document {

/// Breaks a line at spaces so that no part is wider than `columns` characters; the parts after the first are indented.
/// A word that is wider by itself stays whole: a drug or a dose is never cut.
[[nodiscard]] std::string wrap(std::string_view line, std::size_t columns, std::string_view indent);

}  // namespace dwell::document
