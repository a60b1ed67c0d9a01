#pragma once
// What a person may write. One rule for names and one for notes, wherever text comes in: entries, policies, practice
// runs, files. A name is one line of what can be seen; a note may have several lines. So nobody's words can begin a
// line that reads as the document's own, turn its reading order, or pass for a name that they are not.
//
// Composed form (NFC) needs Unicode's tables, which the browser's engine does not carry: exchange/text asks for it
// where the record takes an entry in.
#include <string>
#include <string_view>
#include <tuple>
#include <type_traits>

#include "quantity/checked.h"

namespace dwell::text {

enum class Rule {
  name,  ///< one line; nothing invisible; no white space at its ends, or alone; at most 200 characters
  note   ///< lines end with \n; tabs; no other control, nothing that turns the reading order; at most 4,000 characters
};

inline constexpr std::size_t longest_name = 200, longest_note = 4000;

/// Adds an error for each way in which `text` breaks the rule; empty text breaks none. What was found is named by its
/// code point and place, never repeated.
void check(const std::string& path, std::string_view text, Rule rule, FieldErrors& errors);

/// Nothing that could be seen: empty, or only white space and invisible characters. Text that is not UTF-8 is not
/// blank.
[[nodiscard]] bool is_blank(std::string_view text);

/// The rule of a described member. A type names its one-line members beside its description, as
///   constexpr auto names_in(const Place*) { return std::tuple(&Place::unit, &Place::bed); }
/// and every other text is a note.
template <class T, class Pointer>
[[nodiscard]] constexpr Rule rule_of(Pointer member) {
  if constexpr (requires { names_in(static_cast<const T*>(nullptr)); }) {
    const auto is_same = [&](auto name) {
      if constexpr (std::is_same_v<decltype(name), Pointer>)
        return name == member;
      else
        return false;
    };
    if (std::apply([&](auto... names) { return (is_same(names) || ...); }, names_in(static_cast<const T*>(nullptr))))
      return Rule::name;
  }
  return Rule::note;
}

}  // namespace dwell::text
