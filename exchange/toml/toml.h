#pragma once
// TOML text to the codec's JSON values, remembering where each value stood, so that a wrong figure in the policy is
// refused with its line and column.
#include <map>
#include <string>
#include <string_view>

#include "json/codec.h"

namespace dwell::toml_text {

struct Location {
  std::size_t line = 0, column = 0;
};

struct Document {
  json::Value value;
  std::map<std::string, Location> locations;  ///< by JSON pointer
  std::string file;
};

/// Errors: TOML syntax, with line and column. Local dates become "2026-11-25"; offset date-times ISO text.
[[nodiscard]] Checked<Document> parse(std::string_view text, const std::string& file);

/// Puts "file, line 12, column 3" before what was found, for every error whose path (or its nearest parent) is known.
[[nodiscard]] FieldErrors located(FieldErrors errors, const Document& document);

/// Parses and decodes in one go.
template <class T>
[[nodiscard]] Checked<T> read(std::string_view text, const std::string& file) {
  return parse(text, file).and_then([](const Document& document) {
    return json::decode<T>(document.value).map_error([&](FieldErrors e) { return located(std::move(e), document); });
  });
}

}  // namespace dwell::toml_text
