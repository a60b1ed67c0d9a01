#include "accounts/person.h"

#include <algorithm>
#include <cctype>

#include "text/code_points.h"
#include "text/text_rule.h"

namespace dwell::accounts {
namespace {

constexpr std::size_t most_name = 80, most_initials = 4, least_sign_in = 2, most_sign_in = 40, most_wards = 50;

std::size_t length(std::string_view text) {
  const auto points = text::code_points(text);
  return points ? points->size() : 0;
}

bool is_name(const std::string& text, std::size_t most) {
  return !text.empty() && length(text) > 0 && length(text) <= most && text.front() != ' ' && text.back() != ' ' &&
         std::none_of(text.begin(), text.end(), [](unsigned char c) { return std::iscntrl(c) != 0; });
}

}  // namespace

std::string normal_sign_in(std::string_view typed) {
  std::string out;
  for (const char c : typed)
    if (c != ' ' && c != '\t') out += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return out;
}

FieldErrors check(const Person& person) {
  FieldErrors wrong;
  const auto& sign_in = person.sign_in;
  const bool letters = std::all_of(sign_in.begin(), sign_in.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '.' || c == '_' || c == '-';
  });
  if (!letters || sign_in.size() < least_sign_in || sign_in.size() > most_sign_in)
    wrong.push_back({"/sign_in", sign_in, in_english_only("2 to 40 of a to z, 0 to 9 and . _ -")});
  if (!is_name(person.name, most_name))
    wrong.push_back({"/name", person.name, in_english_only("a name of at most 80 letters, without blanks around it")});
  if (!is_name(person.initials, most_initials))
    wrong.push_back({"/initials", person.initials, in_english_only("1 to 4 letters")});
  if (person.wards.size() > most_wards)
    wrong.push_back({"/wards", std::to_string(person.wards.size()), in_english_only("at most 50 wards")});
  for (const auto& ward : person.wards)
    if (!is_name(ward, most_name))
      wrong.push_back({"/wards", ward, in_english_only("the name of a ward, without blanks around it")});
  if (is_clinical(person.role) && person.wards.empty())
    wrong.push_back({"/wards", "", in_english_only("at least one ward for who looks after patients")});
  return wrong;
}

}  // namespace dwell::accounts
