// The limits of an assessment on both sides: scores, measures, what a grade asks for, and how gravely each is said.
#include <gtest/gtest.h>

#include <algorithm>

#include "exchange/library.h"
#include "json/codec.h"
#include "site/grade.h"

namespace dwell::site {
namespace {

using infusate::HarmClass;

const policy::Policy& policy() { return exchange::default_library().policy; }

Signs found(std::vector<Sign> present) {
  Signs signs;
  signs.assessed = true;
  signs.present = std::move(present);
  return signs;
}

Exposure exposed_to(HarmClass harm, bool runs = true) {
  Exposure exposure;
  exposure.harm = harm;
  if (runs) exposure.flow = 100.0 * millilitre / hour;
  exposure.since_last_sound_check = Interval{7200};
  return exposure;
}

Assessment assessed(const Signs& signs, const Exposure& exposure = exposed_to(HarmClass::harmless)) {
  return *assess(signs, exposure, policy());
}

std::string told(const Assessment& assessment, std::string_view code) {
  for (const auto& finding : assessment.findings)
    if (finding.code == code) return std::string(json::name_of(finding.severity));
  return "";
}

bool refuses(const Signs& signs, const std::string& path) {
  const auto answer = assess(signs, exposed_to(HarmClass::harmless), policy());
  return !answer && std::any_of(answer.error().begin(), answer.error().end(),
                                [&](const FieldError& error) { return error.path == path; });
}

std::optional<int> grade_on(const char* scale, const Signs& signs,
                            const Exposure& exposure = exposed_to(HarmClass::harmless)) {
  for (const auto& one : policy().scales)
    if (one.name == scale) return grade(signs, one, exposure).grade;
  return std::nullopt;
}

TEST(AssessLimits, AScoreIsFromNoughtToTen) {
  for (const auto& [score, refused] : {std::pair(-1, true), {0, false}, {10, false}, {11, true}}) {
    auto signs = found({});
    signs.pain_score = score;
    EXPECT_EQ(refuses(signs, "/signs/pain_score"), refused) << score;
  }
}

TEST(AssessLimits, AMeasureIsFromNoughtToAMetreAndHasItsSign) {
  const auto with = [](Sign sign, std::optional<Length> Signs::*measure, Length length, bool ticked) {
    auto signs = found(ticked ? std::vector{sign} : std::vector<Sign>{});
    signs.*measure = length;
    return signs;
  };
  const std::tuple<Sign, std::optional<Length> Signs::*, const char*> measures[] = {
      {Sign::swelling, &Signs::swelling_extent, "/signs/swelling_extent"},
      {Sign::palpable_cord, &Signs::cord_length, "/signs/cord_length"}};
  for (const auto& [sign, measure, path] : measures) {
    EXPECT_FALSE(refuses(with(sign, measure, Length(), true), path));
    EXPECT_TRUE(refuses(with(sign, measure, -0.1 * millimetre, true), path));
    EXPECT_FALSE(refuses(with(sign, measure, 1.0 * metre, true), path));
    EXPECT_TRUE(refuses(with(sign, measure, 1.001 * metre, true), path));
    EXPECT_TRUE(refuses(with(sign, measure, 10.0 * millimetre, false), path));
  }
}

TEST(AssessLimits, WhoDidNotLookFoundNothing) {
  Signs signs;
  EXPECT_FALSE(refuses(signs, "/signs/assessed"));
  signs.present = {Sign::redness};
  EXPECT_TRUE(refuses(signs, "/signs/assessed"));
  signs.present.clear();
  signs.pain_score = 0;
  EXPECT_TRUE(refuses(signs, "/signs/assessed"));
  signs.assessed = true;
  EXPECT_FALSE(refuses(signs, "/signs/assessed"));
}

TEST(AssessLimits, PainFromOnePoint) {
  auto signs = found({Sign::redness});
  signs.pain_score = 0;
  EXPECT_EQ(grade_on("phlebitis 0 to 4", signs), 1);
  signs.pain_score = 1;
  EXPECT_EQ(grade_on("phlebitis 0 to 4", signs), 2);
  // Pain is said once, however it came.
  signs = found({Sign::pain, Sign::pain_along_path, Sign::palpable_cord});
  signs.pain_score = 3;
  const auto& first = policy().scales.front();
  EXPECT_EQ(grade(signs, first, exposed_to(HarmClass::harmless)).unexplained.size(), 3u);
  signs = found({Sign::pain_along_path, Sign::palpable_cord});
  EXPECT_EQ(grade(signs, first, exposed_to(HarmClass::harmless)).unexplained.size(), 3u);
}

TEST(AssessLimits, AnInfiltrationByItsExtent) {
  const auto at = [](Length extent) {
    auto signs = found({Sign::swelling, Sign::blanching, Sign::coolness});
    signs.swelling_extent = extent;
    return grade_on("infiltration 0 to 4", signs);
  };
  EXPECT_EQ(at(24.9 * millimetre), 1);
  EXPECT_EQ(at(*policy().scales.back().grades[2].swelling_from), 2);
  EXPECT_EQ(at(149.9 * millimetre), 2);
  EXPECT_EQ(at(*policy().scales.back().grades[3].swelling_from), 3);
  // Not measured is not small.
  EXPECT_EQ(grade_on("infiltration 0 to 4", found({Sign::swelling, Sign::blanching, Sign::coolness})), std::nullopt);
}

TEST(AssessLimits, ACordLongerThanItsLimit) {
  auto signs = found({Sign::pain, Sign::redness, Sign::streak, Sign::palpable_cord, Sign::pus});
  EXPECT_EQ(grade_on("phlebitis 0 to 4", signs), 3);
  signs.cord_length = *policy().scales.front().grades.back().cord_from;
  EXPECT_EQ(grade_on("phlebitis 0 to 4", signs), 3);
  *signs.cord_length *= 1 + 1e-9;
  EXPECT_EQ(grade_on("phlebitis 0 to 4", signs), 4);
}

TEST(AssessLimits, AsManySignsAsAGradeCounts) {
  EXPECT_EQ(grade_on("visual infusion phlebitis 0 to 5", found({Sign::redness})), 1);
  EXPECT_EQ(grade_on("visual infusion phlebitis 0 to 5", found({Sign::redness, Sign::swelling})), 2);
  EXPECT_EQ(grade_on("visual infusion phlebitis 0 to 5", found({Sign::swelling})), std::nullopt);
}

TEST(AssessLimits, AnyLeakOfWhatHarmsIsTheGravestGrade) {
  for (const auto& [harm, expected] : {std::pair(HarmClass::irritant, 4), {HarmClass::vesicant, 4}})
    EXPECT_EQ(grade_on("infiltration 0 to 4", found({Sign::leaking}), exposed_to(harm)), expected);
  EXPECT_EQ(grade_on("infiltration 0 to 4", found({Sign::leaking})), std::nullopt);
  EXPECT_EQ(grade_on("infiltration 0 to 4", found({Sign::redness}), exposed_to(HarmClass::vesicant)), 0);
}

TEST(AssessLimits, EachGradeIsOfItsOwnMeasures) {
  GradeCriteria nothing, counted, from, below, cord;
  counted.count_of = {Sign::redness};
  from.swelling_from = 1.0 * millimetre;
  below.swelling_below = 1.0 * millimetre;
  cord.cord_from = 1.0 * millimetre;
  // A grade that asks for anything is no grade of "nothing found".
  for (auto criteria : {counted, from, below, cord}) {
    criteria.count = 1;
    Scale scale;
    scale.grades = {criteria};
    EXPECT_TRUE(grade(found({}), scale, {}).unmatched);
  }
  Scale scale;
  scale.grades = {nothing};
  EXPECT_FALSE(grade(found({}), scale, {}).unmatched);
}

TEST(AssessLimits, HowGravelyItIsSaid) {
  EXPECT_TRUE(assessed(found({})).findings.empty());
  EXPECT_EQ(told(assessed(found({Sign::induration})), "unmatched_signs"), "caution");
  EXPECT_EQ(told(assessed(found({Sign::redness, Sign::warmth})), "unexplained_signs"), "caution");
  EXPECT_EQ(told(assessed(found({Sign::poor_circulation})), "limb_at_risk"), "stop");
  EXPECT_EQ(told(assessed(found({Sign::numbness})), "limb_at_risk"), "");
  EXPECT_EQ(told(assessed(found({Sign::numbness, Sign::swelling})), "limb_at_risk"), "stop");
}

TEST(AssessLimits, PainWhileSomethingHarmfulRuns) {
  const auto at = [](std::vector<Sign> signs, HarmClass harm, bool runs) {
    return told(assessed(found(std::move(signs)), exposed_to(harm, runs)), "pain_while_running");
  };
  for (const auto harm : {HarmClass::irritant, HarmClass::vesicant, HarmClass::unknown})
    EXPECT_EQ(at({Sign::pain}, harm, true), "caution");
  EXPECT_EQ(at({Sign::pain}, HarmClass::harmless, true), "");
  EXPECT_EQ(at({Sign::pain}, HarmClass::vesicant, false), "");
  EXPECT_EQ(at({Sign::redness}, HarmClass::vesicant, true), "");
  EXPECT_EQ(at({Sign::pain, Sign::swelling}, HarmClass::vesicant, true), "");
}

TEST(AssessLimits, HowMuchCanHaveLeaked) {
  auto exposure = exposed_to(HarmClass::harmless);
  EXPECT_NEAR(in(*assessed(found({Sign::swelling}), exposure).worst_leaked_volume, millilitre), 200, 1e-9);
  EXPECT_EQ(told(assessed(found({Sign::swelling}), exposure), "leaked_volume_unknown"), "");
  exposure.since_last_sound_check = Interval{0};
  ASSERT_TRUE(assessed(found({Sign::swelling}), exposure).worst_leaked_volume);
  EXPECT_EQ(assessed(found({Sign::swelling}), exposure).worst_leaked_volume->value(), 0);
  exposure.since_last_sound_check = Interval{-1};
  EXPECT_EQ(told(assessed(found({Sign::swelling}), exposure), "leaked_volume_unknown"), "information");
  exposure.since_last_sound_check.reset();
  EXPECT_EQ(told(assessed(found({Sign::swelling}), exposure), "leaked_volume_unknown"), "information");
  exposure = exposed_to(HarmClass::harmless, false);
  EXPECT_EQ(told(assessed(found({Sign::swelling}), exposure), "leaked_volume_unknown"), "information");
  EXPECT_EQ(told(assessed(found({Sign::redness}), exposure), "leaked_volume_unknown"), "");
  exposure.given_since_sound_check = 30.0 * millilitre;
  EXPECT_NEAR(in(*assessed(found({Sign::swelling}), exposure).worst_leaked_volume, millilitre), 30, 1e-9);
}

// ---- which cards ----

using Cards = std::vector<std::string>;
Cards cards(std::vector<Sign> signs, HarmClass harm) {
  return assessed(found(std::move(signs)), exposed_to(harm)).responses;
}
bool opens(const Cards& cards, const char* card) { return std::find(cards.begin(), cards.end(), card) != cards.end(); }

TEST(AssessLimits, WhatOnlyALeakDoesOpensItsCardBesideTheVeins) {
  for (const Sign sign : {Sign::leaking, Sign::tightness, Sign::blanching, Sign::coolness, Sign::blister_or_skin_loss})
    EXPECT_TRUE(opens(cards({Sign::redness, Sign::pain, sign}, HarmClass::harmless), "leak_harmless"));
  EXPECT_FALSE(opens(cards({Sign::redness, Sign::pain, Sign::swelling}, HarmClass::harmless), "leak_harmless"));
  EXPECT_TRUE(opens(cards({Sign::redness, Sign::pain, Sign::swelling}, HarmClass::irritant), "leak_irritant"));
  EXPECT_FALSE(opens(cards({Sign::redness, Sign::pain}, HarmClass::irritant), "leak_irritant"));
  EXPECT_TRUE(opens(cards({Sign::redness}, HarmClass::vesicant), "leak_vesicant_other"));
  EXPECT_FALSE(opens(cards({Sign::fever}, HarmClass::vesicant), "leak_vesicant_other"));
}

TEST(AssessLimits, NumbnessFeverAndPus) {
  EXPECT_TRUE(opens(cards({Sign::numbness}, HarmClass::harmless), "nerve_pain"));
  EXPECT_FALSE(opens(cards({Sign::numbness}, HarmClass::vesicant), "nerve_pain"));
  EXPECT_FALSE(opens(cards({Sign::numbness, Sign::swelling}, HarmClass::harmless), "nerve_pain"));
  EXPECT_FALSE(opens(cards({Sign::redness}, HarmClass::harmless), "nerve_pain"));
  EXPECT_TRUE(opens(cards({Sign::numbness, Sign::swelling}, HarmClass::harmless), "compartment"));
  EXPECT_FALSE(opens(cards({Sign::numbness}, HarmClass::harmless), "compartment"));
  EXPECT_EQ(cards({Sign::fever}, HarmClass::harmless), Cards{"fever"});
  EXPECT_TRUE(opens(cards({Sign::fever, Sign::redness}, HarmClass::harmless), "infection"));
  EXPECT_FALSE(opens(cards({Sign::fever, Sign::redness}, HarmClass::harmless), "fever"));
  EXPECT_TRUE(opens(cards({Sign::pus}, HarmClass::harmless), "infection"));
  EXPECT_FALSE(opens(cards({Sign::redness}, HarmClass::harmless), "infection"));
}

TEST(AssessLimits, EachCardOnceGravestFirst) {
  EXPECT_EQ(cards({Sign::redness, Sign::pain, Sign::pus, Sign::leaking, Sign::poor_circulation}, HarmClass::harmless),
            (Cards{"compartment", "infection", "leak_harmless", "phlebitis_remove"}));
}

}  // namespace
}  // namespace dwell::site
