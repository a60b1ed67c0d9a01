#pragma once
// A language as tools/messages makes it of text/LANGUAGE.toml.
#include <array>
#include <span>
#include <string_view>

namespace dwell::said {

struct Pair {
  std::string_view key, text;
};

struct Language {
  std::string_view key;            ///< "es"; "en-XA" is the pseudo-language, English in longer letters
  std::span<const Pair> patterns;  ///< of each message, by its id, in order
  std::span<const Pair> units;     ///< those that are not written as the engine writes them
  std::array<std::string_view, 12> months;
  std::string_view day, day_of_year, moment, list, sentences, unknown;
};

[[nodiscard]] std::span<const Language> languages();

}  // namespace dwell::said
