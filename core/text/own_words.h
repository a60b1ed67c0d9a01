#pragma once
// How a person's words are shown within a document's own: on one line, between quotation marks that nothing within them
// can close. So no words can begin a line of the document, or go on as if the document said them.
#include <string>
#include <string_view>

namespace dwell::text {

/// The marks between which own words stand; in a document's own words they stand for nothing else.
inline constexpr std::string_view opening = "\u201C", closing = "\u201D";

/// On one line: a line break becomes a visible mark, a tab a space, any other control or turner of the reading order
/// the replacement character.
[[nodiscard]] std::string one_line(std::string_view text);
/// On one line and without the marks, which become single ones: for names, and for what stands between the marks.
[[nodiscard]] std::string unmarked(std::string_view text);
/// Own words between the marks; nothing for none.
[[nodiscard]] std::string quoted(std::string_view text);
/// Puts "AUTHOR wrote: " before all that stands between the marks.
[[nodiscard]] std::string attributed(std::string_view line, std::string_view author);

}  // namespace dwell::text
