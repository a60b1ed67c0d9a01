#include "infusate/list.h"

#include <algorithm>

#include "say/infusate.h"
#include "say/wording.h"

namespace dwell::infusate {
namespace {

std::vector<Message> not_known(const Infusate& infusate, const std::optional<Osmolarity>& known_osmolarity) {
  std::vector<Message> lacking;
  const bool medicine = infusate.kind == FluidKind::medicine;
  if (!known_osmolarity) lacking.push_back(say::osmolarity_name());
  if (infusate.harm == HarmClass::unknown) lacking.push_back(say::leak_name());
  if (!infusate.sodium) lacking.push_back(say::sodium_name());
  if (!infusate.potassium) lacking.push_back(say::potassium_name());
  if (!infusate.ph_low || !infusate.ph_high) lacking.push_back(say::ph_name());
  if (medicine && !infusate.giving) lacking.push_back(say::giving_name());
  if (!infusate.relative_viscosity) lacking.push_back(say::viscosity_of_fluid());
  return lacking;
}

Listed listed(const Infusate& infusate) {
  Listed out;
  out.name = infusate.name;
  out.synonyms = infusate.synonyms;
  out.kind = infusate.kind;
  out.harm = infusate.harm;
  out.harm_evidence = infusate.harm_evidence;
  out.leak_family = infusate.leak_family;
  out.harm_source = infusate.harm_source;
  out.osmolarity = infusate.labelled_osmolarity ? infusate.labelled_osmolarity : osmolarity(infusate);
  out.sodium = infusate.sodium;
  out.potassium = infusate.potassium;
  out.ph_low = infusate.ph_low;
  out.ph_high = infusate.ph_high;
  out.giving = infusate.giving;
  out.must_be_diluted = infusate.must_be_diluted;
  out.central_only = infusate.central_only;
  out.not_known = not_known(infusate, out.osmolarity);
  out.note = infusate.note;
  out.source = infusate.source;
  out.title = infusate.title;
  return out;
}

/// The beginning of a name, as long as the one asked for: people leave the strength out.
std::string_view beginning(std::string_view name, std::string_view wanted) {
  const auto words = static_cast<std::size_t>(std::count(wanted.begin(), wanted.end(), ' '));
  std::size_t end = name.find(' ');
  for (std::size_t i = 0; i < words && end != std::string_view::npos; ++i) end = name.find(' ', end + 1);
  return name.substr(0, end);
}

/// Half a letter for what is left out, so that the same beginning comes before a like one, and the whole before both.
int distance(const std::string& wanted, std::string_view name) {
  const std::string plain = plain_name(name);
  const int whole = 2 * letters_apart(wanted, plain);
  const auto start = beginning(plain, wanted);
  return start.size() == plain.size() ? whole : std::min(whole, 2 * letters_apart(wanted, start) + 1);
}

std::vector<std::string> nearest(const std::string& name, const Formulary& formulary) {
  constexpr std::size_t most = 5, longest = 200;
  const std::string wanted = plain_name(std::string_view(name).substr(0, longest));
  if (wanted.empty()) return {};
  std::vector<std::pair<int, std::string>> by_distance;
  for (const auto& [key, infusate] : formulary) {
    int best = distance(wanted, key);
    for (const auto& other : infusate.synonyms) best = std::min(best, distance(wanted, other));
    // Beyond half of the letters it is another word.
    if (best <= static_cast<int>(wanted.size())) by_distance.emplace_back(best, key);
  }
  std::sort(by_distance.begin(), by_distance.end());
  std::vector<std::string> names;
  for (std::size_t i = 0; i < std::min(most, by_distance.size()); ++i) names.push_back(by_distance[i].second);
  return names;
}

}  // namespace

int letters_apart(std::string_view a, std::string_view b) {
  std::vector<int> before(b.size() + 1), last(b.size() + 1), now(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) last[j] = static_cast<int>(j);
  for (std::size_t i = 1; i <= a.size(); ++i) {
    now[0] = static_cast<int>(i);
    for (std::size_t j = 1; j <= b.size(); ++j) {
      now[j] = std::min({last[j] + 1, now[j - 1] + 1, last[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1)});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) now[j] = std::min(now[j], before[j - 2] + 1);
    }
    before.swap(last);
    last.swap(now);
  }
  return last[b.size()];
}

InfusateList list(const ListQuery& query, const Formulary& formulary) {
  InfusateList out;
  if (!query.name) {
    for (const auto& [key, infusate] : formulary) out.entries.push_back(listed(infusate));
  } else if (const auto* meant = find(formulary, *query.name)) {
    out.entries.push_back(listed(*meant));
  } else {
    out.nearest = nearest(*query.name, formulary);
  }
  return out;
}

std::vector<Finding> notes_of(const std::vector<Part>& parts) {
  std::vector<Finding> findings;
  for (const auto& part : parts)
    if (part.infusate && !part.infusate->note.empty())
      findings.push_back({Severity::information, "infusate_note",
                          say::named_text(title_of(*part.infusate), part.infusate->note), part.infusate->source});
  return findings;
}

}  // namespace dwell::infusate
