// Difficult veins: item tables as published, and how the odds ratios go together with the points.
#include <gtest/gtest.h>

#include "access/difficulty.h"
#include "access/region_rules.h"
#include "exchange/library.h"
#include "exchange/said/said.h"

namespace dwell::access {
namespace {

const policy::Access& ward() { return exchange::default_library().policy.access; }

struct Child {
  const char *seen, *felt, *age, *premature;
  int points;
  bool call;
};
class PublishedChildDifficulty : public testing::TestWithParam<Child> {};

// Yen et al. 2008; table as the British Journal of Nursing 2020;29(2) prints it (read). From 4 points half or more of
// the first attempts failed.
TEST_P(PublishedChildDifficulty, Points) {
  const auto& c = GetParam();
  const auto found =
      difficulty({"child difficult access, four items",
                  {{"vein_seen", c.seen}, {"vein_felt", c.felt}, {"age", c.age}, {"premature", c.premature}}},
                 ward());
  ASSERT_TRUE(found.has_value());
  EXPECT_EQ(found->points_least, c.points);
  EXPECT_EQ(found->points_most, c.points);
  EXPECT_EQ(found->call_for_help, c.call);
  EXPECT_EQ(found->success.has_value(), c.call);
}
INSTANTIATE_TEST_SUITE_P(Yen, PublishedChildDifficulty,
                         testing::Values(Child{"yes", "yes", "from_3_years", "no", 0, false},
                                         Child{"no", "yes", "from_3_years", "no", 2, false},
                                         Child{"yes", "no", "from_1_to_2_years", "no", 3, false},
                                         Child{"no", "no", "from_3_years", "no", 4, true},
                                         Child{"yes", "yes", "from_1_to_2_years", "yes", 4, true},
                                         Child{"no", "no", "below_1_year", "yes", 10, true}));

TEST(PublishedChildDifficulty, ThreeItemsAreTheFourWithoutPrematurity) {
  // Riker et al. 2011 (abstract, read).
  const auto found = difficulty(
      {"child difficult access, three items", {{"vein_seen", "no"}, {"vein_felt", "no"}, {"age", "below_1_year"}}},
      ward());
  EXPECT_EQ(found->points_most, 7);
}

struct Adult {
  int yes;
  const char* band;
  bool call;
};
class PublishedAdultDifficulty : public testing::TestWithParam<Adult> {};

// van Loon et al. 2019: five items (read), groups 0–1, 2–3, 4–5 (value from memory).
TEST_P(PublishedAdultDifficulty, Bands) {
  const std::array<std::array<const char*, 3>, 5> items{{{"hard_before", "no", "yes"},
                                                         {"hard_expected", "no", "yes"},
                                                         {"vein_felt", "yes", "no"},
                                                         {"vein_seen", "yes", "no"},
                                                         {"vein_width", "yes", "no"}}};
  DifficultyInput in{"adult difficult access, five items", {}};
  for (int i = 0; i < 5; ++i) in.answers[items[std::size_t(i)][0]] = items[std::size_t(i)][i < GetParam().yes ? 2 : 1];
  const auto found = difficulty(in, ward());
  ASSERT_TRUE(found.has_value());
  EXPECT_EQ(found->points_least, GetParam().yes);
  EXPECT_EQ(said::in_english(found->band), GetParam().band);
  EXPECT_EQ(found->call_for_help, GetParam().call);
  EXPECT_FALSE(found->success);  // no share was found in print: none is shown
}
INSTANTIATE_TEST_SUITE_P(VanLoon2019, PublishedAdultDifficulty,
                         testing::Values(Adult{0, "low", false}, Adult{1, "low", false}, Adult{2, "moderate", false},
                                         Adult{3, "moderate", false}, Adult{4, "high", true}, Adult{5, "high", true}));

TEST(PublishedAdultDifficulty, OddsRatiosOf2016AreShown) {
  // van Loon et al. 2016 (abstract, read).
  const auto& scales = ward().difficulty;
  const auto scale = std::find_if(scales.begin(), scales.end(), [](const auto& s) { return s.version == "2016"; });
  ASSERT_NE(scale, scales.end());
  const std::map<std::string, std::string> odds{{"vein_felt", "4.94"},
                                                {"vein_seen", "3.63"},
                                                {"hard_before", "3.86"},
                                                {"unplanned", "4.86"},
                                                {"vein_width", "3.37"}};
  for (const auto& item : scale->items) EXPECT_NE(item.evidence.find(odds.at(item.name)), std::string::npos);
}

TEST(PublishedRegions, LegAndScalp) {
  // CDC 2011 (read): upper limb in adults; arm, leg or scalp in the newborn and young infant.
  const auto severity = [](Region region, line::AgeBand band) {
    const auto found = check_region({Side::left, region, ""}, band);
    return found.empty() ? std::optional<Severity>() : found.front().severity;
  };
  EXPECT_EQ(severity(Region::leg, line::AgeBand::adult), Severity::caution);
  EXPECT_EQ(severity(Region::scalp, line::AgeBand::adult), Severity::stop);
  EXPECT_EQ(severity(Region::scalp, line::AgeBand::infant), std::nullopt);
  EXPECT_EQ(severity(Region::leg, line::AgeBand::infant), std::nullopt);
  EXPECT_EQ(severity(Region::forearm_middle, line::AgeBand::older_adult), std::nullopt);
}

TEST(PublishedRegions, FailingKidneysKeepTheirVeins) {
  // AVA/ASDIN (secondary): below 60; KDOQI 2006 (read): the back of the hand.
  const auto codes = [](double filtration, Region region) {
    std::vector<std::string> names;
    const auto found =
        vein_saving({{Side::left, region, ""}, Flow(filtration * millilitre / minute), Side::right, false}, ward());
    for (const auto& f : found->findings) names.push_back(f.code);
    return names;
  };
  EXPECT_EQ(codes(59, Region::forearm_middle), (std::vector<std::string>{"vein_saving", "vein_saving_hand"}));
  EXPECT_EQ(codes(59, Region::hand_back), (std::vector<std::string>{"vein_saving"}));
  EXPECT_TRUE(codes(60, Region::forearm_middle).empty());
  // KDOQI 2006, guideline 1.2, stages 4 and 5 (second-hand): below 30 no vein of forearm or upper arm.
  for (const Region region : {Region::forearm_lower, Region::forearm_middle, Region::antecubital, Region::upper_arm})
    EXPECT_EQ(codes(29, region), (std::vector<std::string>{"vein_saving", "vein_saving_arm", "vein_saving_hand"}));
  EXPECT_EQ(codes(30, Region::forearm_middle), (std::vector<std::string>{"vein_saving", "vein_saving_hand"}));
  EXPECT_EQ(codes(29, Region::hand_back), (std::vector<std::string>{"vein_saving"}));
}

}  // namespace
}  // namespace dwell::access
