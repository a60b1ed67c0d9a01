// Which entry is meant by a name as somebody wrote it.
#include <algorithm>
#include <cctype>

#include "infusate/infusate.h"

namespace dwell::infusate {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// Spaces that keep a number beside its unit stand for the plain one, and so does an apostrophe as it is set in print.
std::string with_plain_signs(std::string_view name) {
  std::string out;
  for (std::size_t i = 0; i < name.size(); ++i) {
    if (name.substr(i).starts_with("\u00A0")) {
      out += ' ';
      i += 1;
    } else if (name.substr(i).starts_with("\u202F")) {
      out += ' ';
      i += 2;
    } else if (name.substr(i).starts_with("\u2019")) {
      out += '\'';
      i += 2;
    } else {
      out += name[i];
    }
  }
  return out;
}

}  // namespace

std::string plain_name(std::string_view name) {
  std::string out;
  bool space = false;
  for (const char raw : with_plain_signs(name)) {
    if (raw == ' ' || raw == '\t' || raw == '\n' || raw == '\r') {
      space = !out.empty();
      continue;
    }
    const char c = raw >= 'A' && raw <= 'Z' ? static_cast<char>(raw - 'A' + 'a') : raw;
    // "0.9 %" and "0.9%", "5 mg/mL" and "5mg/mL": a unit needs no space.
    const bool unit_follows = !out.empty() && is_digit(out.back()) && (c == '%' || (c >= 'a' && c <= 'z'));
    if (space && !unit_follows) out += ' ';
    out += c;
    space = false;
  }
  return out;
}

bool same_name(std::string_view a, std::string_view b) { return plain_name(a) == plain_name(b); }

const Infusate* find(const Formulary& formulary, std::string_view name) {
  if (const auto exact = formulary.find(std::string(name)); exact != formulary.end()) return &exact->second;
  const auto wanted = plain_name(name);
  if (wanted.empty()) return nullptr;
  const auto is_meant = [&](const std::pair<const std::string, Infusate>& entry) {
    return plain_name(entry.first) == wanted ||
           std::any_of(entry.second.synonyms.begin(), entry.second.synonyms.end(),
                       [&](const std::string& other) { return plain_name(other) == wanted; });
  };
  const auto first = std::find_if(formulary.begin(), formulary.end(), is_meant);
  if (first == formulary.end() || std::find_if(std::next(first), formulary.end(), is_meant) != formulary.end())
    return nullptr;
  return &first->second;
}

std::vector<Part> parts_of(const Mixture& mixture, const Formulary& formulary) {
  std::vector<Part> parts;
  const auto add = [&](const std::string& written, Volume volume) {
    const auto* infusate = find(formulary, written);
    // One not on the list is known by its name as written; two spellings of it are still one.
    const auto known = std::find_if(parts.begin(), parts.end(), [&](const Part& part) {
      return infusate ? part.infusate == infusate : !part.infusate && same_name(part.name, written);
    });
    if (known == parts.end())
      parts.push_back({infusate ? infusate->name : written, volume, infusate});
    else
      known->volume += volume;
  };
  add(mixture.base, mixture.volume);
  for (const auto& additive : mixture.additives) add(additive.name, additive.volume);
  std::sort(parts.begin(), parts.end(), [](const Part& a, const Part& b) {
    return std::pair(plain_name(a.name), a.volume) < std::pair(plain_name(b.name), b.volume);
  });
  return parts;
}

}  // namespace dwell::infusate
