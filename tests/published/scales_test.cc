// Each grade of each scale in force, against the published criteria.
// phlebitis 0 to 4: INS 2011 p. S47 as an infusion nursing page quotes it (secondary).
// visual infusion phlebitis 0 to 5: score card of Andrew Jackson as two retrieved copies print it (read).
// infiltration 0 to 4: INS, withdrawn 2011; criteria from memory; grade 4 for any irritant or vesicant (read).
#include <gtest/gtest.h>

#include "exchange/library.h"
#include "site/grade.h"

namespace dwell::site {
namespace {

using enum Sign;
using infusate::HarmClass;

struct ScaleCase {
  const char* name;
  const char* scale;
  std::vector<Sign> signs;
  double swelling_mm, cord_mm;
  HarmClass running;
  int grade;  ///< −1: unmatched
};

std::ostream& operator<<(std::ostream& out, const ScaleCase& c) { return out << c.name; }

class PublishedScales : public testing::TestWithParam<ScaleCase> {};

TEST_P(PublishedScales, GradeFollowsTheSigns) {
  const auto& c = GetParam();
  Signs signs;
  signs.assessed = true;
  signs.present = c.signs;
  if (c.swelling_mm > 0) signs.swelling_extent = c.swelling_mm * millimetre;
  if (c.cord_mm > 0) signs.cord_length = c.cord_mm * millimetre;
  Exposure exposure;
  exposure.harm = c.running;
  for (const auto& scale : exchange::default_library().policy.scales) {
    if (scale.name != c.scale) continue;
    const auto found = grade(signs, scale, exposure);
    if (c.grade < 0)
      EXPECT_TRUE(found.unmatched && !found.grade);
    else
      EXPECT_EQ(found.grade, c.grade) << found.meaning.id();
    return;
  }
  FAIL() << "no such scale in the policy";
}

constexpr auto P = "phlebitis 0 to 4", V = "visual infusion phlebitis 0 to 5", I = "infiltration 0 to 4";
constexpr auto safe = HarmClass::harmless, vesicant = HarmClass::vesicant, irritant = HarmClass::irritant;

INSTANTIATE_TEST_SUITE_P(
    Phlebitis, PublishedScales,
    testing::Values(ScaleCase{"nothing", P, {}, 0, 0, safe, 0}, ScaleCase{"redness", P, {redness}, 0, 0, safe, 1},
                    ScaleCase{"redness and pain", P, {redness, pain}, 0, 0, safe, 2},
                    ScaleCase{"pain and swelling", P, {pain, swelling}, 0, 0, safe, 2},
                    ScaleCase{"pain, redness, swelling", P, {pain, redness, swelling}, 0, 0, safe, 2},
                    ScaleCase{"with streak and cord", P, {pain, redness, streak, palpable_cord}, 0, 0, safe, 3},
                    ScaleCase{
                        "cord 2 cm and pus stays 3", P, {pain, redness, streak, palpable_cord, pus}, 0, 20, safe, 3},
                    ScaleCase{"cord 3 cm and pus", P, {pain, redness, streak, palpable_cord, pus}, 0, 30, safe, 4},
                    ScaleCase{"pain alone fits no grade", P, {pain}, 0, 0, safe, -1},
                    ScaleCase{"swelling alone fits no grade", P, {swelling}, 0, 0, safe, -1}));

INSTANTIATE_TEST_SUITE_P(
    Visual, PublishedScales,
    testing::Values(ScaleCase{"healthy", V, {}, 0, 0, safe, 0}, ScaleCase{"slight pain", V, {pain}, 0, 0, safe, 1},
                    ScaleCase{"slight redness", V, {redness}, 0, 0, safe, 1},
                    ScaleCase{"two of three: pain, redness", V, {pain, redness}, 0, 0, safe, 2},
                    ScaleCase{"two of three: pain, swelling", V, {pain, swelling}, 0, 0, safe, 2},
                    ScaleCase{"two of three: redness, swelling", V, {redness, swelling}, 0, 0, safe, 2},
                    ScaleCase{"path, redness, induration", V, {pain_along_path, redness, induration}, 0, 0, safe, 3},
                    ScaleCase{"and cord", V, {pain_along_path, redness, induration, palpable_cord}, 0, 0, safe, 4},
                    ScaleCase{
                        "and fever", V, {pain_along_path, redness, induration, palpable_cord, fever}, 0, 0, safe, 5},
                    ScaleCase{"swelling alone matches no row", V, {swelling}, 0, 0, safe, -1},
                    ScaleCase{"induration alone matches no row", V, {induration}, 0, 0, safe, -1},
                    ScaleCase{"fever alone matches no row", V, {fever}, 0, 0, safe, -1}));

INSTANTIATE_TEST_SUITE_P(
    Infiltration, PublishedScales,
    testing::Values(ScaleCase{"none", I, {}, 0, 0, safe, 0},
                    ScaleCase{"2 cm", I, {swelling, blanching, coolness}, 20, 0, safe, 1},
                    ScaleCase{"2.5 cm", I, {swelling, blanching, coolness}, 25, 0, safe, 2},
                    ScaleCase{"10 cm", I, {swelling, blanching, coolness, pain}, 100, 0, safe, 2},
                    ScaleCase{"16 cm", I, {swelling, blanching, coolness, numbness}, 160, 0, safe, 3},
                    ScaleCase{"tight, leaking, bruised",
                              I,
                              {swelling, blanching, coolness, tightness, leaking, bruising},
                              200,
                              0,
                              safe,
                              4},
                    ScaleCase{"any amount of a vesicant", I, {swelling}, 5, 0, vesicant, 4},
                    ScaleCase{"any amount of an irritant", I, {leaking}, 0, 0, irritant, 4},
                    ScaleCase{"not measured fits no grade", I, {swelling, blanching, coolness}, 0, 0, safe, -1}));

TEST(PublishedResponses, RednessAndPainAreGradeTwoOnBothScales) {
  // INS 2011, p. S47 (secondary): pain with redness and/or swelling is 2. Score card (read): two of the signs is 2.
  Signs signs;
  signs.assessed = true;
  signs.present = {redness, pain};
  Exposure exposure;
  exposure.harm = safe;
  exposure.flow = 125.0 * millilitre / hour;
  const auto a = assess(signs, exposure, exchange::default_library().policy);
  ASSERT_TRUE(a.has_value());
  for (const auto& g : a->grades) EXPECT_EQ(g.grade, g.subject == ScaleSubject::phlebitis ? 2 : 0) << g.scale;
  EXPECT_TRUE(a->removal_advised);
  EXPECT_FALSE(a->ask);
}

TEST(PublishedResponses, VisualScoreTwoIsResite) {
  // The card's removal threshold is 2 (read); any sign of phlebitis by CDC 2011 (secondary).
  Signs signs;
  signs.assessed = true;
  signs.present = {redness, pain};
  signs.pain_score = 4;
  Exposure exposure;
  exposure.harm = safe;
  const auto a = assess(signs, exposure, exchange::default_library().policy);
  ASSERT_TRUE(a.has_value());
  EXPECT_TRUE(a->removal_advised);
  EXPECT_EQ(a->response, "phlebitis_remove");
}

TEST(PublishedResponses, LeakOfAVasopressorLeavesTheCatheterIn) {
  // Anaesthesia reference on extravasation (read): leave the catheter, disconnect; children's guideline (read): do not
  // flush.
  Signs signs;
  signs.assessed = true;
  signs.present = {swelling, blanching};
  Exposure exposure;
  exposure.harm = vesicant;
  exposure.leak_family = infusate::LeakFamily::vasopressor;
  exposure.flow = 15.0 * millilitre / hour;
  exposure.since_last_sound_check = Interval{3600};
  const auto a = assess(signs, exposure, exchange::default_library().policy);
  ASSERT_TRUE(a.has_value());
  EXPECT_EQ(a->response, "leak_vesicant_vasopressor");
  EXPECT_FALSE(a->card->remove_advised);
  // Upper bound: rate × time since the site was last seen sound (common practice).
  EXPECT_NEAR(in(*a->worst_leaked_volume, millilitre), 15, 1e-9);
}

}  // namespace
}  // namespace dwell::site
