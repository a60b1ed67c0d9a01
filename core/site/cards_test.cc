// Which card opens: signs × what ran. The worst explanation that fits the signs leads, and while tissue may be
// destroyed no card that takes the catheter out may win.
#include <gtest/gtest.h>

#include <algorithm>

#include "exchange/library.h"
#include "site/cards.h"

namespace dwell::site {
namespace {

using infusate::HarmClass;
using infusate::LeakFamily;
using Cards = std::vector<std::string>;

Exposure runs(HarmClass harm, LeakFamily family = LeakFamily::none) {
  Exposure e;
  e.harm = harm;
  e.leak_family = family;
  e.flow = 100.0 * millilitre / hour;
  return e;
}
const Exposure saline = runs(HarmClass::harmless);
const Exposure vasopressor = runs(HarmClass::vesicant, LeakFamily::vasopressor);
const Exposure unknown = runs(HarmClass::unknown);

Exposure locked(Exposure e) {
  e.flow.reset();
  return e;
}

Assessment assessed(std::vector<Sign> present, const Exposure& exposure, std::optional<int> pain = {}) {
  Signs signs;
  signs.assessed = true;
  signs.present = std::move(present);
  signs.pain_score = pain;
  return *assess(signs, exposure, exchange::default_library().policy);
}

TEST(Cards, AVasopressorWithPainAndRednessIsALeakUntilSomebodyHasJudged) {  // D1
  const auto a = assessed({Sign::pain, Sign::redness}, vasopressor, 6);
  EXPECT_EQ(a.responses, Cards{"leak_vesicant_vasopressor"});
  EXPECT_FALSE(a.removal_advised);
}

TEST(Cards, AVesicantWithAnInflamedVeinToo) {  // D1b
  const auto a = assessed({Sign::pain_along_path, Sign::redness, Sign::induration}, runs(HarmClass::vesicant));
  EXPECT_EQ(a.response, "leak_vesicant_other");
  EXPECT_FALSE(a.removal_advised);
}

TEST(Cards, AVasopressorWithNumbnessKeepsTheCatheterForItsAntidote) {  // D2
  for (const auto& signs : {std::vector{Sign::numbness}, std::vector{Sign::numbness, Sign::pain}}) {
    const auto a = assessed(signs, vasopressor);
    EXPECT_EQ(a.response, "leak_vesicant_vasopressor");
    EXPECT_FALSE(a.removal_advised);
  }
  EXPECT_EQ(assessed({Sign::numbness}, saline).response, "nerve_pain");
}

TEST(Cards, ALimbAtRiskOpensTheCompartmentCardAboveEveryOther) {  // D3, D4, D5
  for (const auto& exposure : {saline, vasopressor, unknown, runs(HarmClass::irritant), locked(saline)})
    for (const auto& signs : {std::vector{Sign::swelling, Sign::tightness, Sign::poor_circulation, Sign::numbness},
                              std::vector{Sign::numbness, Sign::poor_circulation},
                              std::vector{Sign::numbness, Sign::swelling}, std::vector{Sign::poor_circulation}}) {
      const auto a = assessed(signs, exposure);
      EXPECT_EQ(a.response, "compartment");
      EXPECT_FALSE(a.removal_advised);
    }
  EXPECT_EQ(assessed({Sign::poor_circulation}, vasopressor).responses,
            (Cards{"compartment", "leak_vesicant_vasopressor"}))
      << "both are to be answered";
  EXPECT_EQ(assessed({Sign::discolouration}, vasopressor).response, "leak_vesicant_vasopressor");
}

TEST(Cards, PainAloneWhileAVesicantRunsIsNotWatched) {  // D6
  EXPECT_EQ(assessed({Sign::pain}, runs(HarmClass::vesicant), 6).responses, Cards{"leak_vesicant_other"});
  EXPECT_EQ(assessed({Sign::pain}, unknown, 1).responses, Cards{"leak_unknown"});
  EXPECT_EQ(assessed({}, unknown, 1).responses, Cards{"leak_unknown"}) << "a score is pain whether ticked or not";
  EXPECT_EQ(assessed({Sign::pain}, saline, 6).response, "phlebitis_watch");
}

TEST(Cards, FeverAloneTakesNoLineOut) {  // D7
  for (const auto& exposure : {saline, vasopressor}) {
    const auto a = assessed({Sign::fever}, exposure);
    EXPECT_EQ(a.response, "fever");
    EXPECT_FALSE(a.removal_advised);
  }
  EXPECT_EQ(assessed({Sign::pus, Sign::fever}, saline).response, "infection");
  const auto a = assessed({Sign::pus}, vasopressor);
  EXPECT_EQ(a.responses, (Cards{"leak_vesicant_vasopressor", "infection"}));
  EXPECT_FALSE(a.removal_advised);
}

TEST(Cards, ALockedLineThatSwellsLeaksOrBlistersHasLeaked) {  // D8
  for (const Sign sign : {Sign::swelling, Sign::leaking, Sign::blister_or_skin_loss})
    EXPECT_EQ(assessed({sign}, locked(saline)).response, "leak_harmless");
}

TEST(Cards, CoolPaleTightAndRedOverSalineIsALeakAndStops) {
  const auto a = assessed({Sign::coolness, Sign::blanching, Sign::tightness, Sign::redness}, saline);
  EXPECT_EQ(a.response, "leak_harmless");
  EXPECT_TRUE(a.card->stop_infusion);
}

TEST(Cards, SwellingThatTheVeinExplainsStaysTheVeins) {
  EXPECT_EQ(assessed({Sign::pain, Sign::redness, Sign::swelling}, saline).responses, Cards{"phlebitis_remove"});
}

TEST(Cards, WhereTissueMayBeDestroyedNoCardThatRemovesLeadsWhateverTheSigns) {
  constexpr unsigned signs = 19;
  for (unsigned a = 0; a < signs; ++a)
    for (unsigned b = a; b < signs; ++b)
      for (const auto& exposure : {vasopressor, unknown, locked(unknown)}) {
        const auto found = assessed({static_cast<Sign>(a), static_cast<Sign>(b)}, exposure);
        ASSERT_TRUE(found.card);
        EXPECT_FALSE(found.removal_advised || found.card->remove_advised) << *found.response;
      }
}

// A ward's clocks ask for the cards alone.
TEST(Cards, AloneAreThoseOfTheAssessment) {
  const auto& policy = exchange::default_library().policy;
  constexpr unsigned signs = 19;
  for (unsigned a = 0; a < signs; ++a)
    for (unsigned b = a; b < signs; ++b)
      for (auto exposure : {saline, runs(HarmClass::irritant), vasopressor, unknown})
        for (const auto region : {access::Region::forearm_middle, access::Region::hand_back, access::Region::scalp}) {
          exposure.region = region;
          Signs seen;
          seen.assessed = true;
          seen.present = {static_cast<Sign>(a), static_cast<Sign>(b)};
          EXPECT_EQ(*cards(seen, exposure, policy), assess(seen, exposure, policy)->responses) << a << " " << b;
        }
  EXPECT_EQ(*cards({}, vasopressor, policy), Cards());
  Signs impossible;
  impossible.assessed = true;
  impossible.pain_score = 11;
  EXPECT_EQ(cards(impossible, saline, policy).error().front().path, "/signs/pain_score");
}

TEST(Cards, EveryCardThatAnAssessmentOpensIsInTheStandardPolicy) {
  const auto& responses = exchange::default_library().policy.responses;
  for (const char* name : {"compartment", "fever", "infection", "leak_harmless", "leak_irritant", "leak_unknown",
                           "leak_vesicant_other", "nerve_pain", "phlebitis_watch"})
    EXPECT_TRUE(responses.contains(name)) << name;
  for (const auto& [name, card] : responses)
    if (name.starts_with("leak_")) {
      ASSERT_TRUE(card.answering && card.answering->acts && card.answering->follow_up) << name;
    }
}

}  // namespace
}  // namespace dwell::site
