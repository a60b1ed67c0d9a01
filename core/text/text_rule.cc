#include "text/text_rule.h"

#include <algorithm>

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

using Fault = const char* (*)(char32_t);

const char* fault_in_name(char32_t c) {
  if (is_control(c) || is_separator(c)) return "one line, without line breaks, tabs or other controls";
  if (is_bidi_control(c)) return "no character that turns the reading order";
  return is_ignorable(c) ? "no invisible character" : nullptr;
}

const char* fault_in_note(char32_t c) {
  if (c == U'\n' || c == U'\t') return nullptr;
  if (is_control(c) || is_separator(c)) return "line breaks as \\n, tabs, and no other controls";
  return is_bidi_control(c) ? "no character that turns the reading order" : nullptr;
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
  const auto refuse = [&](std::string found, std::string expected) {
    errors.push_back({path, std::move(found), std::move(expected)});
  };
  const bool is_line = rule != Rule::note;
  const std::size_t longest = rule == Rule::name ? longest_name : longest_note;
  if (text.size() <= longest && is_plain(text) && !(is_line && (text.front() == ' ' || text.back() == ' '))) return;
  const auto points = code_points(text);
  if (!points) return refuse("bytes that are not UTF-8", "text in UTF-8");
  const Fault fault = is_line ? fault_in_name : fault_in_note;
  const auto wrong = std::find_if(points->begin(), points->end(), fault);
  if (wrong != points->end())
    refuse(code_point_name(*wrong) + " as character " + std::to_string(wrong - points->begin() + 1), fault(*wrong));
  else if (is_line && std::none_of(points->begin(), points->end(), is_seen))
    refuse("only white space", "words that can be seen, or nothing");
  else if (is_line && (is_white_space(points->front()) || is_white_space(points->back())))
    refuse("white space at an end", "no white space before or after it");
  if (points->size() > longest)
    refuse(std::to_string(points->size()) + " characters",
           rule == Rule::name ? "at most 200 characters" : "at most 4\u202f000 characters");
}

bool is_blank(std::string_view text) {
  const auto points = code_points(text);
  return points && std::none_of(points->begin(), points->end(), is_seen);
}

}  // namespace dwell::text
