#include "text/text_rule.h"

#include <algorithm>

#include "say/text.h"
#include "text/code_points.h"

namespace dwell::text {
namespace {

/// "U+202E"
std::string code_point_name(char32_t c) {
  constexpr std::string_view digits = "0123456789ABCDEF";
  std::string text;
  for (; c != 0 || text.size() < 4; c /= 16) text.insert(text.begin(), digits[c % 16]);
  return "U+" + text;
}

using Expected = Message (*)(std::int64_t place);
using Fault = Expected (*)(char32_t);

Expected fault_in_name(char32_t c) {
  if (is_control(c) || is_separator(c)) return &say::one_line;
  if (is_bidi_control(c)) return &say::no_turned_reading_order;
  return is_ignorable(c) ? &say::no_invisible_character : nullptr;
}

Expected fault_in_note(char32_t c) {
  if (c == U'\n' || c == U'\t') return nullptr;
  if (is_control(c) || is_separator(c)) return &say::no_other_controls;
  return is_bidi_control(c) ? &say::no_turned_reading_order : nullptr;
}

/// Letters, digits, marks and spaces of ASCII, as nearly every text is made of: none of them breaks a rule where it
/// stands, but for a space at an end.
bool is_plain(std::string_view text) {
  return std::all_of(text.begin(), text.end(), [](char c) { return c >= ' ' && c <= '~'; });
}

bool is_seen(char32_t c) { return !is_white_space(c) && !is_ignorable(c) && !is_control(c); }

}  // namespace

void check(const std::string& path, std::string_view text, Rule rule, FieldErrors& errors) {
  if (text.empty()) return;
  const auto refuse = [&](std::string found, Message expected) {
    errors.push_back({path, std::move(found), std::move(expected)});
  };
  const bool is_line = rule != Rule::note;
  const std::size_t longest = rule == Rule::name ? longest_name : longest_note;
  if (text.size() <= longest && is_plain(text) && !(is_line && (text.front() == ' ' || text.back() == ' '))) return;
  const auto points = code_points(text);
  if (!points) return refuse("\uFFFD", say::text_in_utf8());
  const Fault fault = is_line ? fault_in_name : fault_in_note;
  const auto wrong = std::find_if(points->begin(), points->end(), fault);
  if (wrong != points->end())
    refuse(code_point_name(*wrong), fault(*wrong)(wrong - points->begin() + 1));
  else if (is_line && std::none_of(points->begin(), points->end(), is_seen))
    refuse(code_point_name(points->front()), say::words_that_can_be_seen());
  else if (is_line && (is_white_space(points->front()) || is_white_space(points->back())))
    refuse(code_point_name(is_white_space(points->front()) ? points->front() : points->back()),
           say::no_white_space_at_ends());
  if (points->size() > longest)
    refuse(std::to_string(points->size()), say::characters_at_most(static_cast<std::int64_t>(longest)));
}

bool is_blank(std::string_view text) {
  const auto points = code_points(text);
  return points && std::none_of(points->begin(), points->end(), is_seen);
}

}  // namespace dwell::text
