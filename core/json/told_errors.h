#pragma once
// How many wrong fields are told at once. Nobody reads the ten-thousandth, and a text made to be wrong everywhere must
// not cost more than one that is right: the first are named, the rest is counted.
#include <charconv>
#include <cstddef>

#include "quantity/checked.h"
#include "say/json.h"

namespace dwell::json {

inline constexpr std::size_t most_told_errors = 50;

/// Adds what `make` gives, or counts it in the last line when enough are named.
template <class Make>
void add_error(FieldErrors& errors, const Make& make) {
  if (errors.size() < most_told_errors) return errors.push_back(make());
  if (errors.size() == most_told_errors) errors.push_back({"", "0", say::the_same_care_for_more()});
  std::size_t more = 0;
  std::string& found = errors.back().found;
  std::from_chars(found.data(), found.data() + found.size(), more);
  found = std::to_string(more + 1);
}

/// The errors that are told of these; what was counted before stays counted.
[[nodiscard]] inline FieldErrors told(const FieldErrors& errors) {
  if (errors.size() <= most_told_errors + 1) return errors;
  FieldErrors first;
  for (const auto& error : errors) add_error(first, [&] { return error; });
  return first;
}

}  // namespace dwell::json
