#include "accounts/person.h"

#include <algorithm>
#include <cctype>

#include "say/accounts.h"
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
    wrong.push_back({"/sign_in", sign_in, say::sign_in_characters(least_sign_in, most_sign_in)});
  if (!is_name(person.name, most_name)) wrong.push_back({"/name", person.name, say::a_name_of_at_most(most_name)});
  if (!is_name(person.initials, most_initials))
    wrong.push_back({"/initials", person.initials, say::initials_of_letters(most_initials)});
  if (person.wards.size() > most_wards)
    wrong.push_back({"/wards", std::to_string(person.wards.size()), say::wards_at_most(most_wards)});
  for (const auto& ward : person.wards)
    if (!is_name(ward, most_name)) wrong.push_back({"/wards", ward, say::name_of_a_ward()});
  if (is_clinical(person.role) && person.wards.empty()) wrong.push_back({"/wards", "", say::a_ward_for_clinicians()});
  return wrong;
}

}  // namespace dwell::accounts
