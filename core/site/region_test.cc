// Which card opens where: the rules by region of the standard policy, beside those that hold anywhere.
#include <gtest/gtest.h>

#include <algorithm>

#include "exchange/library.h"
#include "site/grade.h"

namespace dwell::site {
namespace {

using access::Region;
using infusate::HarmClass;

std::vector<std::string> cards(std::vector<Sign> present, std::optional<Region> region,
                               HarmClass harm = HarmClass::harmless, line::AgeBand age = line::AgeBand::adult) {
  Exposure exposure;
  exposure.harm = harm;
  exposure.region = region;
  exposure.age = age;
  Signs signs;
  signs.assessed = true;
  signs.present = std::move(present);
  return assess(signs, exposure, exchange::default_library().policy)->responses;
}

bool opens(const std::vector<std::string>& cards, const char* card) {
  return std::find(cards.begin(), cards.end(), card) != cards.end();
}

TEST(RegionRules, ATightSwellingOfHandWristOrFootIsACompartment) {
  const std::vector tight{Sign::swelling, Sign::tightness};
  for (const auto region : {Region::hand_back, Region::wrist_back, Region::wrist_palmar, Region::foot}) {
    EXPECT_EQ(cards(tight, region).front(), "compartment");
    EXPECT_TRUE(opens(cards(tight, region), "leak_harmless")) << "and a leak as anywhere";
    EXPECT_FALSE(opens(cards({Sign::swelling}, region), "compartment"));
  }
  EXPECT_FALSE(opens(cards(tight, Region::upper_arm), "compartment"));
  EXPECT_FALSE(opens(cards(tight, std::nullopt), "compartment"));
}

TEST(RegionRules, AForearmWhereWhatRanDestroysTissue) {
  const std::vector signs{Sign::swelling, Sign::tightness, Sign::coolness};
  for (const auto harm : {HarmClass::vesicant, HarmClass::unknown})
    EXPECT_EQ(cards(signs, Region::forearm_middle, harm).front(), "compartment");
  EXPECT_FALSE(opens(cards(signs, Region::forearm_middle, HarmClass::harmless), "compartment"));
}

TEST(RegionRules, AScalpOfANewbornIsAnsweredWithCare) {
  const std::vector pale{Sign::blanching};
  for (const auto age : {line::AgeBand::neonate, line::AgeBand::infant, line::AgeBand::unknown})
    EXPECT_TRUE(opens(cards(pale, Region::scalp, HarmClass::harmless, age), "leak_unknown"));
  EXPECT_FALSE(opens(cards(pale, Region::scalp, HarmClass::harmless, line::AgeBand::child), "leak_unknown"));
}

TEST(RegionRules, BesideAnArteryOrANerve) {
  for (const auto region : {Region::antecubital, Region::wrist_palmar}) {
    EXPECT_TRUE(opens(cards({Sign::pain, Sign::blanching}, region), "arterial_entry"));
    // While tissue may be destroyed the nerve's card is not opened anywhere else: its leak's stands for it.
    const auto numb = cards({Sign::numbness}, region, HarmClass::vesicant);
    EXPECT_TRUE(opens(numb, "nerve_pain"));
    EXPECT_EQ(numb.front(), "leak_vesicant_other") << "which leads all the same";
  }
  EXPECT_FALSE(opens(cards({Sign::pain, Sign::blanching}, Region::forearm_upper), "arterial_entry"));
  EXPECT_FALSE(opens(cards({Sign::numbness}, Region::forearm_upper, HarmClass::vesicant), "nerve_pain"));
}

/// A card, or one that answers it too: of the leaks' cards the gravest stands for the others, and nothing that they ask
/// for is lost.
bool stands_for(const std::string& card, const std::string& other) {
  if (card == other) return true;
  const auto& answering = exchange::default_library().policy.responses.at(card).answering;
  if (!answering || !answering->also_answers) return false;
  const auto& milder = *answering->also_answers;
  return std::find(milder.begin(), milder.end(), other) != milder.end();
}

// A region adds cards and takes none away, and never makes a milder one lead.
TEST(RegionRules, ARegionNeverMakesItMilder) {
  constexpr int signs = 19;
  for (const auto harm : {HarmClass::harmless, HarmClass::irritant, HarmClass::vesicant, HarmClass::unknown})
    for (int a = 0; a < signs; ++a)
      for (int b = a; b < signs; ++b) {
        const std::vector present{static_cast<Sign>(a), static_cast<Sign>(b)};
        const auto anywhere = cards(present, std::nullopt, harm, line::AgeBand::unknown);
        for (const auto region : {Region::hand_back, Region::wrist_palmar, Region::antecubital, Region::forearm_lower,
                                  Region::foot, Region::scalp}) {
          const auto here = cards(present, region, harm, line::AgeBand::unknown);
          for (const auto& card : anywhere)
            EXPECT_TRUE(std::any_of(here.begin(), here.end(), [&](const auto& one) { return stands_for(one, card); }))
                << card;
          if (anywhere.empty()) continue;
          EXPECT_TRUE(here.front() == anywhere.front() || !stands_for(anywhere.front(), here.front()))
              << here.front() << " leads over " << anywhere.front();
        }
      }
}

}  // namespace
}  // namespace dwell::site
