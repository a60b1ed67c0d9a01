// The list of fluids, the response cards and the limits of policy, read together: where one of them says what another
// denies, a nurse is told both. The rules come from the texts that the entries name (reference on extravasation: what
// harms tissue, read in a copy; labels: how strong a medicine may be given); that worse never comes out milder is our
// own. Each rule is tried on a library with one planted contradiction: a rule that sees nothing is no rule.
#include <gtest/gtest.h>

#include <algorithm>
#include <cctype>
#include <functional>
#include <set>

#include "exchange/library.h"
#include "json/codec.h"
#include "site/grade.h"

namespace dwell {
namespace {

using engine::Library;
using infusate::HarmClass;
using infusate::Infusate;
using infusate::LeakFamily;

std::string lower(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(), [](unsigned char c) { return std::tolower(c); });
  return text;
}

bool holds_word(const std::string& text, const std::string& word) {
  for (auto at = text.find(word); at != std::string::npos; at = text.find(word, at + 1)) {
    const bool begins = at == 0 || !std::isalpha(static_cast<unsigned char>(text[at - 1]));
    const auto end = at + word.size();
    if (begins && (end == text.size() || !std::isalpha(static_cast<unsigned char>(text[end])))) return true;
  }
  return false;
}

std::string words_of(const policy::ResponseCard& card) {
  std::string text = card.title.known_as();
  for (const auto& step : card.steps) text += "\n" + step.text.known_as();
  return lower(text);
}

/// "gentamicin" of "gentamicin 1 mg/mL".
std::string first_word(const std::string& name) { return lower(name.substr(0, name.find_first_of(" ,"))); }

/// The card that the engine opens when this leaks.
std::string card_of(const Infusate& infusate, const policy::Policy& policy) {
  site::Signs signs;
  signs.assessed = true;
  signs.present = {site::Sign::swelling};
  site::Exposure exposure;
  exposure.harm = infusate.harm;
  exposure.leak_family = infusate.leak_family;
  exposure.flow = 50.0 * millilitre / hour;
  return site::assess(signs, exposure, policy)->response.value_or("");
}

using Faults = std::vector<std::string>;

/// Named on the card of a vesicant: then a vesicant in the list, and of that card.
void cards_and_list(const Library& library, Faults& faults) {
  for (const auto& [card_name, card] : library.policy.responses) {
    if (!card_name.starts_with("leak_vesicant_")) continue;
    const std::string words = words_of(card);
    std::set<std::string> named;
    for (const auto& [name, unused] : library.infusates)
      if (holds_word(words, first_word(name))) named.insert(first_word(name));
    for (const auto& word : named) {
      bool medicine_elsewhere = false, any_here = false;
      for (const auto& [name, infusate] : library.infusates) {
        if (first_word(name) != word) continue;
        const bool here = infusate.harm == HarmClass::vesicant && card_of(infusate, library.policy) == card_name;
        any_here = any_here || here;
        if (!here && infusate.kind == infusate::FluidKind::medicine && infusate.harm == HarmClass::harmless)
          medicine_elsewhere = true;
      }
      if (!any_here || medicine_elsewhere)
        faults.push_back(card_name + " names " + word + ", which the list takes for something else");
    }
  }
}

void cards_that_vesicants_open(const Library& library, Faults& faults) {
  for (const auto& [name, infusate] : library.infusates) {
    const auto card = library.policy.responses.find(card_of(infusate, library.policy));
    if (card == library.policy.responses.end()) {
      faults.push_back(name + " leaks, and no card opens");
    } else if (infusate.harm == HarmClass::vesicant || infusate.harm == HarmClass::unknown) {
      if (card->second.remove_advised) faults.push_back(name + ": its card takes the antidote's way out");
      if (words_of(card->second).find("do not flush") == std::string::npos)
        faults.push_back(name + ": its card lets it be flushed");
    }
  }
}

void class_and_family(const std::string& name, const Infusate& one, Faults& faults) {
  const bool harmless = one.harm == HarmClass::harmless;
  if (harmless != (one.leak_family == LeakFamily::none)) faults.push_back(name + ": harmless and leak family disagree");
  if (!harmless && one.harm != HarmClass::unknown && !one.harm_evidence)
    faults.push_back(name + ": says that it harms, and not how well that is known");
  if (one.leak_family == LeakFamily::vasopressor && one.harm != HarmClass::vesicant)
    faults.push_back(name + ": a vasopressor that is no vesicant");
  if (one.leak_family == LeakFamily::acidic && one.ph_low && *one.ph_low > 7)
    faults.push_back(name + ": acidic by family, alkaline by pH");
  if ((one.leak_family == LeakFamily::alkaline_cold || one.leak_family == LeakFamily::alkaline_warm) && one.ph_high &&
      *one.ph_high < 7)
    faults.push_back(name + ": alkaline by family, acid by pH");
}

void class_and_limits(const std::string& name, const Infusate& one, const policy::InfusateLimits& limits,
                      Faults& faults) {
  const auto osmolarity = one.labelled_osmolarity ? one.labelled_osmolarity : infusate::osmolarity(one);
  if (osmolarity && *osmolarity > limits.highest_osmolarity.value && one.harm != HarmClass::vesicant)
    faults.push_back(name + ": above the highest osmolarity of policy, and no vesicant");
  if (osmolarity && *osmolarity >= limits.caution_osmolarity.value && one.harm == HarmClass::harmless)
    faults.push_back(name + ": policy cautions its osmolarity, the list calls it harmless");
  const bool acid = one.ph_high && *one.ph_high < limits.lowest_ph.value;
  const bool alkaline = one.ph_low && *one.ph_low > limits.highest_ph.value;
  if ((acid || alkaline) && one.harm == HarmClass::harmless)
    faults.push_back(name + ": policy cautions its pH, the list calls it harmless");
}

/// As an entry and as the same strength made at the bedside.
void class_by_solute(const std::string& name, const Library& library, Faults& faults) {
  const auto mixed =
      infusate::mix({name, 100.0 * millilitre, {}}, library.infusates, library.policy.infusate.harm_by_solute);
  const auto& one = library.infusates.at(name);
  if (!mixed || one.solutes.empty() || one.kind == infusate::FluidKind::medicine) return;
  if (infusate::harm_rank(mixed->harm) != infusate::harm_rank(one.harm))
    faults.push_back(name + ": the list says " + std::string(json::name_of(one.harm)) + ", its strength by policy " +
                     std::string(json::name_of(mixed->harm)));
}

/// Of one solute alone, the stronger is never the milder.
void stronger_is_no_milder(const infusate::Formulary& formulary, Faults& faults) {
  for (const auto& [weak_name, weak] : formulary)
    for (const auto& [strong_name, strong] : formulary) {
      if (weak.solutes.size() != 1 || strong.solutes.size() != 1 ||
          weak.solutes.front().name != strong.solutes.front().name)
        continue;
      const auto low = infusate::osmolarity(weak), high = infusate::osmolarity(strong);
      if (low && high && *low < *high && infusate::harm_rank(weak.harm) > infusate::harm_rank(strong.harm))
        faults.push_back(strong_name + " is stronger than " + weak_name + " and called milder");
    }
}

void strength_and_giving(const std::string& name, const Infusate& one, Faults& faults) {
  if (!one.giving) return;
  const auto& limit = *one.giving;
  if (one.strength && limit.highest_concentration && *one.strength > *limit.highest_concentration &&
      !one.must_be_diluted)
    faults.push_back(name + ": stronger than it may be given, and need not be diluted");
  if (limit.highest_concentration && limit.highest_concentration_restricted &&
      *limit.highest_concentration > *limit.highest_concentration_restricted)
    faults.push_back(name + ": the restricted limit is the lower one");
  for (const auto& milder : {limit.highest_rate_frail, limit.highest_rate_child})
    if (milder && limit.highest_rate && *milder > *limit.highest_rate)
      faults.push_back(name + ": the frail or the young get it faster");
}

/// What water does in a tube is not what syrup does: the figure of dilute saline belongs to dilute solutions.
void viscosity(const std::string& name, const Infusate& one, Faults& faults) {
  if (!one.relative_viscosity) return;
  const auto osmolarity = one.labelled_osmolarity ? one.labelled_osmolarity : infusate::osmolarity(one);
  const bool strong = osmolarity && *osmolarity > 450.0 * milliosmole_per_litre;
  const bool sugar = one.kind == infusate::FluidKind::dextrose;
  if (*one.relative_viscosity < 1.05 && (strong || sugar)) faults.push_back(name + ": runs like saline, and is none");
}

void names_are_one_each(const infusate::Formulary& formulary, Faults& faults) {
  for (const auto& [name, one] : formulary) {
    if (name != one.name) faults.push_back(name + ": called " + one.name + " inside");
    std::vector<std::string> all = one.synonyms;
    all.push_back(name);
    for (const auto& each : all)
      if (infusate::find(formulary, each) != &one) faults.push_back(each + " means more than one entry");
  }
}

/// Second-hand is never read: what a text says of where it was read must fit its mark.
void marks(const json::Value& value, const std::string& path, Faults& faults) {
  if (const auto* object = value.if_object()) {
    if (const auto* mark = object->if_contains("mark"); mark && mark->is_string() && mark->as_string() == "read")
      for (const char* name : {"source", "text"})
        if (const auto* text = object->if_contains(name); text && text->is_string())
          for (const char* second_hand :
               {"second-hand", "in a copy", "read in copies", "retrieved copies", "answer page", "forum", "as reported",
                "from memory", "reports it", "as quoted", "quotes it", "prints it", "not read"})
            if (std::string(text->as_string()).find(second_hand) != std::string::npos)
              faults.push_back(path + ": marked as read, and says " + second_hand);
    for (const auto& member : *object) marks(member.value(), path + "/" + std::string(member.key()), faults);
  } else if (value.is_array()) {
    std::size_t i = 0;
    for (const auto& item : value.as_array()) marks(item, path + "/" + std::to_string(i++), faults);
  }
}

Faults contradictions(const Library& library) {
  Faults faults;
  cards_and_list(library, faults);
  cards_that_vesicants_open(library, faults);
  for (const auto& [name, one] : library.infusates) {
    class_and_family(name, one, faults);
    class_and_limits(name, one, library.policy.infusate, faults);
    class_by_solute(name, library, faults);
    strength_and_giving(name, one, faults);
    viscosity(name, one, faults);
  }
  stronger_is_no_milder(library.infusates, faults);
  names_are_one_each(library.infusates, faults);
  marks(json::encode(library.policy), "policy", faults);
  marks(json::encode(library.infusates), "infusates", faults);
  marks(json::encode(library.catheters), "catheters", faults);
  return faults;
}

TEST(Agreement, ListCardsAndLimitsAgree) {
  const auto faults = contradictions(exchange::default_library());
  for (const auto& fault : faults) ADD_FAILURE() << fault;
}

// As the list stood before: each of these was so.
TEST(Agreement, AContradictionIsFound) {
  struct Planted {
    const char* says;
    std::function<void(Library&)> plant;
  };
  const auto at = [](const char* name, auto change) {
    return [name, change](Library& library) { change(library.infusates.at(name)); };
  };
  const auto harmless = [](Infusate& one) {
    one.harm = HarmClass::harmless;
    one.leak_family = LeakFamily::none;
    one.harm_evidence.reset();
  };
  const Planted all[]{
      {"names gentamicin", at("gentamicin 1 mg/mL", harmless)},
      {"names metronidazole", at("metronidazole 5 mg/mL", harmless)},
      {"names aciclovir", at("aciclovir 5 mg/mL", [](Infusate& one) { one.leak_family = LeakFamily::acidic; })},
      {"runs like saline", at("dextrose 12.5 %", [](Infusate& one) { one.relative_viscosity = 1.02; })},
      {"runs like saline", at("contrast, non-ionic iodinated", [](Infusate& one) { one.relative_viscosity = 1.02; })},
      {"runs like saline", at("mannitol 25 %", [](Infusate& one) { one.relative_viscosity = 1.02; })},
      {"runs like saline", at("magnesium sulfate 50 %", [](Infusate& one) { one.relative_viscosity = 1.02; })},
      {"its strength by policy", at("sodium bicarbonate 8.4 %", [](Infusate& one) { one.harm = HarmClass::irritant; })},
      {"is stronger than", at("mannitol 15 %", [](Infusate& one) { one.harm = HarmClass::irritant; })},
      {"no vesicant", at("magnesium sulfate 50 %", [](Infusate& one) { one.harm = HarmClass::irritant; })},
      {"need not be diluted", at("promethazine 25 mg/mL", [](Infusate& one) { one.must_be_diluted = false; })},
      {"policy cautions its pH", at("ondansetron 0.16 mg/mL", harmless)},
      {"not how well", at("vancomycin 5 mg/mL", [](Infusate& one) { one.harm_evidence.reset(); })},
      {"means more than one", at("dextrose 10 %", [](Infusate& one) { one.synonyms.push_back("Glucose 5%"); })},
      {"get it faster",
       at("phenytoin 10 mg/mL",
          [](Infusate& one) { one.giving->highest_rate_frail = one.giving->highest_rate.value() * 2.0; })},
      {"takes the antidote's way out",
       [](Library& library) { library.policy.responses.at("leak_vesicant_acidic").remove_advised = true; }},
      {"lets it be flushed",
       [](Library& library) {
         auto& steps = library.policy.responses.at("leak_vesicant_vasopressor").steps;
         std::erase_if(steps,
                       [](const auto& step) { return step.text.known_as().find("Do not flush") != std::string::npos; });
       }},
      {"no card opens", [](Library& library) { library.policy.responses.erase("leak_vesicant_other"); }},
      {"marked as read, and says in a copy",
       [](Library& library) { library.infusates.at("gentamicin 1 mg/mL").harm_source.mark = Mark::read; }},
  };
  for (const auto& one : all) {
    Library library = exchange::default_library();
    one.plant(library);
    const auto faults = contradictions(library);
    EXPECT_TRUE(std::any_of(faults.begin(), faults.end(), [&](const std::string& fault) {
      return fault.find(one.says) != std::string::npos;
    })) << one.says;
  }
}

}  // namespace
}  // namespace dwell
