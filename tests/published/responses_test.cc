// What the first response must and must not say, by the texts that the policy cites. The words are ours; what they
// amount to is theirs.
//   [anaesthesia] an anaesthesia reference on extravasation (read)
//   [children]    a children's hospital guideline on peripheral extravasation (read)
//   [letter]      a pharmacists' letter, October 2015 (read)
//   [clinical]    a clinical reference on extravasation, as retrieved (read)
//   [journal]     a journal's table on grades of extravasation and what follows them (read)
//   [chemo]       a chemotherapy guideline: items to record (read)
//   [ESUR]        European urogenital radiology society 2022: surgeon by signs, not by volume (read)
//   [teaching]    a teaching page on complications of IV lines (read)
//   [emergency]   two retrieved pages on air in the vein (read)
//   [Open RN]     open nursing textbook, checklist for discontinuing (read)
//   [CCJM]        Cleve Clin J Med 2023;90:292, table of antidotes (read)
//   [memory]      value from memory
#include <gtest/gtest.h>

#include <algorithm>
#include <cctype>
#include <set>

#include "exchange/library.h"

namespace dwell::policy {
namespace {

const Policy& standard() { return exchange::default_library().policy; }

std::string lower(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(), [](unsigned char c) { return std::tolower(c); });
  return text;
}

std::string words_of(const ResponseCard& card) {
  std::string text = card.title.known_as() + "\n" + card.call.known_as();
  for (const auto& step : card.steps) text += "\n" + step.text.known_as();
  for (const auto& caution : card.cautions) text += "\n" + caution.known_as();
  return lower(text);
}

struct Said {
  const char* card;
  const char* says;  ///< in lower case
  const char* source;
};
std::ostream& operator<<(std::ostream& out, const Said& s) { return out << s.card << ": " << s.says; }

class ResponseSays : public testing::TestWithParam<Said> {};
TEST_P(ResponseSays, WhatItsSourceSays) {
  const auto& [card, says, source] = GetParam();
  EXPECT_NE(words_of(standard().responses.at(card)).find(says), std::string::npos) << source;
}

INSTANTIATE_TEST_SUITE_P(
    Leaks, ResponseSays,
    testing::Values(
        Said{"leak_harmless", "do not flush", "[children]"}, Said{"leak_harmless", "raise", "[letter]"},
        Said{"leak_harmless", "rings, watch, band off", "common practice, no source"},
        Said{"leak_harmless", "not higher", "orthopaedics journal 2014 (read)"},
        Said{"leak_harmless", "only line for a life-supporting drug", "common practice, no source"},
        Said{"leak_irritant", "never tight", "common practice, no source"},
        Said{"leak_harmless", "other arm, or well above", "common practice, no source"},
        Said{"leak_irritant", "do not flush", "[children]"}, Said{"leak_irritant", "draw back", "[anaesthesia]"},
        Said{"leak_irritant", "hourly for 24 h", "[journal]"},
        Said{"leak_vesicant_vasopressor", "leave the catheter in", "[anaesthesia]"},
        Said{"leak_vesicant_vasopressor", "do not flush", "[children]"},
        Said{"leak_vesicant_vasopressor", "draw back", "[anaesthesia]"},
        Said{"leak_vesicant_vasopressor", "warm pack on the skin, never tight, never cold",
             "[anaesthesia], never cold from memory"},
        Said{"leak_vesicant_vasopressor", "get other access now; the drug goes on there as ordered",
             "[anaesthesia]; no nurse restarts without an order"},
        Said{"leak_vesicant_vasopressor", "phentolamine, within about 12 h", "[CCJM] 12 to 13 h (read)"},
        Said{"leak_vesicant_hyperosmolar", "hyaluronidase, best within 1 h", "[CCJM] within 1 hour (read)"},
        Said{"leak_vesicant_vasopressor", "hourly looks for 24 h", "[journal]"},
        Said{"leak_vesicant_vasopressor", "drug, strength, volume, site, size, signs", "[chemo]"},
        Said{"leak_vesicant_hyperosmolar", "warm if hyaluronidase is ordered, else cold", "[clinical]"},
        Said{"leak_vesicant_hyperosmolar", "by signs, not by volume", "[ESUR]"},
        Said{"leak_vesicant_alkaline_warm", "warm, dry pack", "[clinical]"},
        Said{"leak_vesicant_alkaline_warm", "purple", "[clinical]"},
        Said{"leak_vesicant_alkaline_cold", "cold, dry pack", "[clinical]"},
        Said{"leak_vesicant_alkaline_cold", "no antidote is established", "[clinical]"},
        Said{"leak_vesicant_acidic", "amiodarone, promethazine either", "[clinical]"},
        Said{"leak_vesicant_acidic", "gentamicin, metronidazole, nicardipine cold", "[clinical]"},
        Said{"leak_vesicant_acidic", "vancomycin warm if hyaluronidase is ordered, else cold", "[clinical]"},
        Said{"leak_vesicant_other", "ask pharmacy", "[clinical]"},
        Said{"leak_unknown", "find out what ran", "common practice, no source"},
        Said{"leak_unknown", "draw back", "[anaesthesia]"}, Said{"leak_unknown", "no pressure", "weak"},
        Said{"leak_unknown", "raise the arm", "[letter]"}, Said{"leak_unknown", "incident report", "[chemo]"}));

INSTANTIATE_TEST_SUITE_P(
    Others, ResponseSays,
    testing::Values(Said{"nerve_pain", "take the catheter out at once; do not probe", "[teaching]"},
                    Said{"nerve_pain", "24 to 96 h", "[memory]"},
                    Said{"arterial_entry", "until 5 min after the bleeding has stopped",
                         "paramedic medical direction 2021 (secondary)"},
                    Said{"arterial_entry", "tourniquet off", "common practice, no source"},
                    Said{"arterial_entry", "a drug went in: stop, leave the catheter", "study cards (weak)"},
                    Said{"allergic_reaction", "adrenaline (epinephrine) into the thigh muscle at once",
                         "World Allergy Organization (secondary)"},
                    Said{"allergic_reaction", "not up, not walking", "World Allergy Organization (secondary)"},
                    Said{"occlusion", "look at the site first", "common practice, no source"},
                    Said{"dislodgement", "leave what is in, do not flush", "common practice, no source"},
                    Said{"compartment", "do not raise", "orthopaedics journal 2014 (read)"},
                    Said{"transfusion_reaction", "keep bag and set", "transfusion service (secondary)"},
                    Said{"needlestick", "report at once", "[memory]"},
                    Said{"haematoma", "tourniquet off, remove, press, raise", "nursing study pages (weak)"},
                    Said{"occlusion", "clamps, kinks, position, connections", "[teaching]"},
                    Said{"occlusion", "never force", "[memory]"}, Said{"occlusion", "not declotted", "[memory]"},
                    Said{"dislodgement", "never push it back", "[memory]"},
                    Said{"infection", "cultures by order", "[memory]"},
                    Said{"air_embolism", "left side, head down", "[emergency]"},
                    Said{"air_embolism", "clamp nearest the patient", "[emergency]"},
                    Said{"air_embolism", "oxygen", "[emergency]"}, Said{"air_embolism", "stay", "[emergency]"},
                    Said{"catheter_fragment", "tourniquet high on the limb, the pulse still felt", "[memory]"},
                    Said{"catheter_fragment", "x-ray on order", "[memory]"},
                    Said{"catheter_fragment", "keep every piece", "[Open RN]"},
                    Said{"compartment", "height of the heart", "[memory]"},
                    Said{"compartment", "surgical emergency", "emergency medicine textbook page (read)"},
                    Said{"allergic_reaction", "new set and plain fluid as ordered", "forum (weak)"},
                    Said{"overload", "sit the patient up", "[memory]"},
                    Said{"pressure_injury", "does it pale", "common practice, no source"}));

struct Done {
  const char* card;
  bool stops, removes;
  const char* source;
};
std::ostream& operator<<(std::ostream& out, const Done& d) { return out << d.card; }

class ResponseDoes : public testing::TestWithParam<Done> {};
TEST_P(ResponseDoes, StopsAndRemovesAsItsSourceHasIt) {
  const auto& [name, stops, removes, source] = GetParam();
  const auto& card = standard().responses.at(name);
  EXPECT_EQ(card.stop_infusion, stops) << source;
  EXPECT_EQ(card.remove_advised, removes) << source;
  EXPECT_FALSE(card.call.empty()) << "whom to call";
  EXPECT_FALSE(card.cautions.empty());
}

// A vesicant's catheter stays until it is decided whether an antidote goes through it [anaesthesia]; the others come
// out. A phlebitis of grade 1 is watched on the score card, and removed by CDC's wording: the card says both.
INSTANTIATE_TEST_SUITE_P(
    Cards, ResponseDoes,
    testing::Values(Done{"phlebitis_remove", true, true, "score card: resite from 2 (read)"},
                    Done{"phlebitis_treat", true, true, "score card: resite from 2 (read)"},
                    Done{"leak_harmless", true, true, "[memory]"}, Done{"leak_irritant", true, true, "[memory]"},
                    Done{"leak_vesicant_vasopressor", true, false, "[anaesthesia]"},
                    Done{"leak_vesicant_hyperosmolar", true, false, "[anaesthesia]"},
                    Done{"leak_vesicant_alkaline_warm", true, false, "[anaesthesia]"},
                    Done{"leak_vesicant_alkaline_cold", true, false, "[anaesthesia]"},
                    Done{"leak_vesicant_acidic", true, false, "[anaesthesia]"},
                    Done{"leak_vesicant_other", true, false, "[anaesthesia]"},
                    Done{"leak_unknown", true, false, "unknown is not harmless"},
                    Done{"nerve_pain", true, true, "[teaching]"}, Done{"haematoma", true, true, "[memory]"},
                    Done{"dislodgement", true, false, "a vesicant's catheter stays"},
                    Done{"arterial_entry", true, false, "a drug in the artery: the catheter stays"},
                    Done{"compartment", true, false, "an antidote may have to go through it"},
                    Done{"infection", true, true, "CDC 2011 (secondary)"}, Done{"occlusion", true, false, "[memory]"},
                    Done{"air_embolism", true, false, "[emergency]"},
                    Done{"catheter_fragment", true, false, "[memory]"}));

// Emergency, of each where it is said: a vasopressor's leak (antidote within 12 to 13 h, the sooner the better) and a
// strong solution's (ideally within 1 h): Cleve Clin J Med 2023;90:292 (read); grade 4 of CTCAE v5.0, infusion site
// extravasation, asks for urgent intervention (read); other vesicants, and what nobody knows, are held to the same. A
// drug in an artery: Sen 2005, Mayo Clin Proc 80:783 (not read). The limb: emergency medicine textbook page (read).
TEST(PublishedResponses, WhatCostsTissueWhileNobodyActsIsAnEmergency) {
  const std::set<std::string> emergencies{"leak_vesicant_vasopressor",
                                          "leak_vesicant_hyperosmolar",
                                          "leak_vesicant_alkaline_warm",
                                          "leak_vesicant_alkaline_cold",
                                          "leak_vesicant_acidic",
                                          "leak_vesicant_other",
                                          "leak_unknown",
                                          "arterial_entry",
                                          "compartment",
                                          "allergic_reaction",
                                          "transfusion_reaction",
                                          "bleeding",
                                          "air_embolism",
                                          "catheter_fragment"};
  for (const auto& [name, card] : standard().responses) {
    EXPECT_EQ(card.emergency.value_or(false), emergencies.contains(name)) << name;
    // Each can be answered only by a person who was called, by name.
    if (card.emergency != true || !card.answering || !card.answering->acts) continue;
    EXPECT_TRUE(std::any_of(card.answering->acts->begin(), card.answering->acts->end(), [](const auto& act) {
      return act.name == "called";
    })) << name;
  }
}

// [anaesthesia], [children]: no card for a leak lets anybody flush, press or rub.
TEST(PublishedResponses, NoLeakIsFlushedPressedOrRubbed) {
  int leaks = 0;
  for (const auto& [name, card] : standard().responses) {
    if (!card.leak.value_or(false)) continue;
    leaks += 1;
    const auto words = words_of(card);
    EXPECT_NE(words.find("do not flush"), std::string::npos) << name;
    EXPECT_NE(words.find("no pressure"), std::string::npos) << name;
    // "Compress" beside "no pressure" reads as an order to squeeze.
    EXPECT_EQ(words.find("compress"), std::string::npos) << name;
  }
  EXPECT_EQ(leaks, 9);
}

// Reference 5: doses of antidotes are published, and are never for computing an order: no card names one.
TEST(PublishedResponses, NoCardGivesADoseOfAnAntidote) {
  for (const auto& [name, card] : standard().responses) {
    const auto words = words_of(card);
    for (const char* dose : {" mg", " units", "mg/m2"}) EXPECT_EQ(words.find(dose), std::string::npos) << name << dose;
  }
}

}  // namespace
}  // namespace dwell::policy
