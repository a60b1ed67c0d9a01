// Is the patient allergic to any of it? What is charted is words, so words are compared; what an entry does not say
// about its classes cannot be, and is said each time.
#include <algorithm>

#include "dosing/order_looks.h"
#include "say/dosing.h"

namespace dwell::dosing {
namespace {

using infusate::FluidKind;
using infusate::Part;
using verdict::Look;

const Source charted{"the allergies as charted", Mark::practice};

/// Words that name a form, not a substance.
constexpr const char* forms[] = {"the",      "for",         "all",      "any",   "red",      "fat",
                                 "mcg",      "mmol",        "with",     "and",   "solution", "injection",
                                 "infusion", "concentrate", "emulsion", "water", "allergy",  "reaction",
                                 "from",     "after",       "unknown",  "units"};

/// "egg", "soy" and "PCN" tell as much as a longer word.
constexpr std::size_t shortest_word = 3;

bool is_letter(char c) { return (c >= 'a' && c <= 'z') || static_cast<unsigned char>(c) >= 0x80; }

std::vector<std::string> words_of(const std::string& text) {
  std::vector<std::string> words;
  std::string word;
  const auto take = [&] {
    const bool form = std::find(std::begin(forms), std::end(forms), word) != std::end(forms);
    if (word.size() >= shortest_word && !form) words.push_back(word);
    word.clear();
  };
  for (const char c : infusate::plain_name(text)) {
    if (is_letter(c))
      word += c;
    else
      take();
  }
  take();
  return words;
}

/// What a substance is bound to tells nothing beside its own name: "heparin sodium" is no allergy to salt.
bool is_salt(const std::string& word) {
  static constexpr const char* salts[] = {"sodium",        "potassium", "calcium",   "magnesium", "chloride",
                                          "sulfate",       "sulphate",  "phosphate", "acetate",   "lactate",
                                          "hydrochloride", "gluconate", "succinate", "citrate"};
  return std::find(std::begin(salts), std::end(salts), word) != std::end(salts);
}

/// The words of an allergy that tell what it is of; all of them when there is nothing but salts.
std::vector<std::string> telling_words(const std::string& allergy) {
  auto words = words_of(allergy);
  if (!std::all_of(words.begin(), words.end(), is_salt)) std::erase_if(words, is_salt);
  return words;
}

enum class Likeness { none, alike, same };

/// "penicillin" and "penicilina" begin alike for six letters: another language, a plural, a slip.
Likeness likeness(const std::string& a, const std::string& b) {
  if (a == b) return Likeness::same;
  constexpr std::size_t telling = 6;
  return a.size() >= telling && b.size() >= telling && a.compare(0, telling, b, 0, telling) == 0 ? Likeness::alike
                                                                                                 : Likeness::none;
}

Likeness likeness_of(const std::vector<std::string>& allergy, const std::string& name) {
  Likeness best = Likeness::none;
  for (const auto& mine : words_of(name))
    for (const auto& theirs : allergy) best = std::max(best, likeness(mine, theirs));
  return best;
}

Likeness likeness_of(const std::vector<std::string>& allergy, const Part& part) {
  Likeness best = likeness_of(allergy, part.name);
  if (!part.infusate) return best;
  for (const auto& name : part.infusate->synonyms) best = std::max(best, likeness_of(allergy, name));
  for (const auto& name : part.infusate->allergy_classes) best = std::max(best, likeness_of(allergy, name));
  return best;
}

/// Whether anything on the ward's list goes by these words: then it is known what it is, and that it is not in here.
bool is_known(const std::vector<std::string>& allergy, const infusate::Formulary& formulary) {
  return std::any_of(formulary.begin(), formulary.end(), [&](const auto& entry) {
    return likeness_of(allergy, Part{entry.second.name, {}, &entry.second}) != Likeness::none;
  });
}

/// Salts, sugar and water are their names; of anything else the classes must be known.
bool is_its_name(const Part& part) {
  if (!part.infusate) return false;
  const auto kind = part.infusate->kind;
  return kind == FluidKind::crystalloid || kind == FluidKind::dextrose || kind == FluidKind::water;
}

bool can_be_compared(const Part& part) {
  return is_its_name(part) || (part.infusate && !part.infusate->allergy_classes.empty());
}

}  // namespace

void look_at_allergies_of(const line::Patient& patient, const std::vector<Part>& parts,
                          const infusate::Formulary& formulary, Look& look) {
  if (!patient.allergies_known) look.lacks(say::allergies_not_asked());
  for (const auto& allergy : patient.allergies) {
    const auto words = telling_words(allergy);
    bool found = false;
    for (const auto& part : parts) {
      const auto like = likeness_of(words, part);
      found = found || like != Likeness::none;
      if (like == Likeness::same)
        look.say(Severity::stop, "allergy", say::allergic(allergy, part.name), charted);
      else if (like == Likeness::alike)
        look.say(Severity::stop, "allergy", say::allergic_perhaps(allergy, part.name), charted);
    }
    // A short form or a brand that nobody here knows may stand for any medicine.
    if (!found && !std::all_of(parts.begin(), parts.end(), is_its_name) && !is_known(words, formulary))
      look.lacks(say::what_allergy_means(allergy));
  }
  if (patient.allergies.empty()) return;
  for (const auto& part : parts)
    if (!can_be_compared(part)) look.lacks(say::families_of(part.name));
}

void look_at_allergies(const OrderCase& order, Look& look) {
  look_at_allergies_of(order.input.patient, order.parts, order.formulary, look);
}

}  // namespace dwell::dosing
