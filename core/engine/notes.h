#pragma once
// What a reader needs to trust a function: its formula, its symbols with units, what it refuses, and whose figure it
// is. Kept apart from the functions so that the browser's engine does not carry it; docs/engine is written from here.
#include <span>
#include <string_view>

namespace dwell::engine {

struct Note {
  std::string_view name;     ///< of the function
  std::string_view formula;  ///< as a textbook writes it, or the rule in words
  std::string_view symbols;  ///< with units
  std::string_view refuses;  ///< ranges and contradictions; every refusal names its field
  std::string_view source;   ///< in words, with anchors of docs/sources.md as (#anchor)
};

/// One for each function, by name.
[[nodiscard]] std::span<const Note> notes();
[[nodiscard]] const Note* find_note(std::string_view name);

}  // namespace dwell::engine
