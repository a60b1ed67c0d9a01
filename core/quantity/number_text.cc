#include "quantity/number_text.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>

#include "say/quantity.h"

namespace dwell {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// Spaces that hold a number together: narrow no-break, no-break, thin.
constexpr std::array<std::string_view, 3> group_spaces{thousands_space, "\u00a0", "\u2009"};
constexpr std::string_view minus_sign = "\u2212";

/// The text of a number taken apart: sign, digits with one character for each separator (',' '.' or '_' for a space
/// that holds), exponent.
struct Spelling {
  std::string sign, digits, exponent;
  std::size_t length = 0;
};

Spelling spelling_of(std::string_view text) {
  Spelling found;
  std::size_t at = 0;
  if (text.starts_with('-') || text.starts_with('+')) found.sign = text.substr(at++, 1);
  if (text.starts_with(minus_sign)) found.sign = "-", at = minus_sign.size();
  while (at < text.size()) {
    const auto rest = text.substr(at);
    const auto* space = std::find_if(group_spaces.begin(), group_spaces.end(), [&](std::string_view s) {
      return rest.starts_with(s) && rest.size() > s.size() && is_digit(rest[s.size()]);
    });
    if (is_digit(rest.front()) || rest.front() == '.' || rest.front() == ',')
      found.digits += rest.front(), ++at;
    else if (space != group_spaces.end() && !found.digits.empty())
      found.digits += '_', at += space->size();
    else
      break;
  }
  const auto rest = text.substr(at);
  if (!found.digits.empty() && (rest.starts_with('e') || rest.starts_with('E'))) {
    std::size_t end = rest.size() > 1 && (rest[1] == '-' || rest[1] == '+') ? 2 : 1;
    const std::size_t digits_from = end;
    while (end < rest.size() && is_digit(rest[end])) ++end;
    if (end > digits_from) found.exponent = rest.substr(0, end), at += end;
  }
  found.length = at;
  return found;
}

/// "1,000,000": one to three digits that do not begin with 0, then groups of exactly three.
bool well_formed_groups(std::string_view text, char separator) {
  const auto first = text.find(separator);
  if (first == std::string_view::npos || first < 1 || first > 3 || text.front() == '0') return false;
  for (std::size_t at = first; at < text.size(); at += 4) {
    if (text[at] != separator || at + 4 > text.size()) return false;
    if (!std::all_of(text.begin() + static_cast<std::ptrdiff_t>(at) + 1,
                     text.begin() + static_cast<std::ptrdiff_t>(at) + 4, is_digit))
      return false;
  }
  return std::all_of(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(first), is_digit);
}

std::string without(std::string text, char c) {
  std::erase(text, c);
  return text;
}

/// A way of writing decimals that no other convention reads as thousands: no zeros at the end, and never exactly three.
std::string certain_decimals(std::string text) {
  if (const auto point = text.find('.'); point != std::string::npos) {
    text.erase(text.find_last_not_of('0') + 1);
    if (text.size() == point + 1) text.pop_back();
    if (well_formed_groups(text, '.')) text += '0';
  }
  return text;
}

/// What a number with separators means by itself, or nothing when it means more than one thing or none.
std::optional<std::string> certain(const std::string& digits, DecimalSign sign) {
  const auto commas = std::count(digits.begin(), digits.end(), ',');
  const auto points = std::count(digits.begin(), digits.end(), '.');
  const bool spaces = digits.find('_') != std::string::npos;
  const auto point = std::min(digits.find('.'), digits.size());
  const std::string whole = digits.substr(0, point);
  if (points > 1 || digits.find(',', point) != std::string::npos || digits.find('_', point) != std::string::npos)
    return std::nullopt;
  if (commas == 0 && !spaces) return well_formed_groups(digits, '.') ? std::nullopt : std::optional(digits);
  if (spaces) return well_formed_groups(whole, '_') ? std::optional(without(digits, '_')) : std::nullopt;
  if (!well_formed_groups(whole, ',')) return std::nullopt;
  if (commas == 1 && points == 0 && sign != DecimalSign::point) return std::nullopt;
  return without(digits, ',');
}

/// All that a doubtful number could mean, two things at most, written so that it can be typed in again.
std::vector<std::string> meanings(const std::string& digits) {
  std::vector<std::string> all;
  const auto add = [&](std::string text) {
    if (text.empty() || text.front() == '.') text.insert(0, "0");
    const bool reads = number_from(text).has_value() && text.find_first_not_of("0123456789.") == std::string::npos;
    if (reads && std::find(all.begin(), all.end(), text) == all.end()) all.push_back(text);
  };
  const auto decimal = digits.find_last_of(",.");
  if (decimal != std::string::npos) {
    std::string before = digits.substr(0, decimal), after = digits.substr(decimal + 1);
    const bool once = before.find(digits[decimal]) == std::string::npos;
    for (const char c : {',', '.', '_'}) before = without(before, c);
    if (once && !after.empty() && after.find('_') == std::string::npos) add(certain_decimals(before + "." + after));
  }
  std::string none = digits;
  const bool leading_zero = none.starts_with('0');
  const bool both = none.find(',') != std::string::npos && none.find('.') != std::string::npos;
  for (const char c : {',', '.', '_'}) none = without(none, c);
  if (!leading_zero && !both) add(none);
  return all;
}

}  // namespace

std::optional<double> number_from(std::string_view text) {
  // strtod also knows "inf", "nan" and hexadecimal; none of them is a number that a person writes here. No part of
  // Dwell sets a locale, so the point is always a point.
  if (text.empty() || text.find_first_not_of("0123456789.eE+-") != std::string_view::npos) return std::nullopt;
  const std::string copy(text);
  char* end = nullptr;
  const double value = std::strtod(copy.c_str(), &end);
  if (end != copy.c_str() + copy.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

std::string_view trimmed(std::string_view text) {
  const auto space_at = [&](auto fits) -> std::size_t {
    if (fits(std::string_view(" "))) return 1;
    const auto* space = std::find_if(group_spaces.begin(), group_spaces.end(), fits);
    return space == group_spaces.end() ? 0 : space->size();
  };
  while (const auto size = space_at([&](std::string_view s) { return text.starts_with(s); })) text.remove_prefix(size);
  while (const auto size = space_at([&](std::string_view s) { return text.ends_with(s); })) text.remove_suffix(size);
  return text;
}

Checked<LeadingNumber> leading_number(std::string_view text, DecimalSign sign) {
  const Spelling spelling = spelling_of(text);
  if (spelling.digits.find_first_of("0123456789") == std::string::npos)
    return refuse("", std::string(text), say::a_number());
  // With an exponent it was a program that wrote it, and its point is a point.
  const auto meant = spelling.exponent.empty() ? certain(spelling.digits, sign) : std::optional(spelling.digits);
  const auto value = meant ? number_from(spelling.sign + *meant + spelling.exponent) : std::nullopt;
  if (value) return LeadingNumber{*value, spelling.length};
  const auto all = meanings(spelling.digits);
  if (all.empty()) return refuse("", std::string(text), say::a_number_with_a_point());
  const auto typed = [&](const std::string& meaning) {
    return spelling.sign + meaning + std::string(text.substr(spelling.length));
  };
  return refuse("", std::string(text),
                all.size() > 1 ? say::which_is_meant(typed(all.front()), typed(all.back()))
                               : say::is_that_meant(typed(all.front())));
}

}  // namespace dwell
