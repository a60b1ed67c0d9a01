#pragma once
// JSON text in, a value out. A name that stands twice in one object is refused: which of the two was meant is not for a
// program to choose. Whoever reads the text of strangers says how much it may be.
#include <cstddef>
#include <limits>
#include <string_view>

#include "json/codec.h"

namespace dwell::json {

/// How much a text may hold at most.
struct Limits {
  std::size_t depth = 32;                                        ///< of objects and lists within each other
  std::size_t values = std::numeric_limits<std::size_t>::max();  ///< numbers, texts, lists, objects … in all
};

/// Reads JSON text; a syntax error is a field error with its position, a name that stands twice one with its path. A
/// text beyond the limits is given up where it passes them.
[[nodiscard]] Checked<Value> parse_text(std::string_view text, const Limits& limits);

}  // namespace dwell::json
