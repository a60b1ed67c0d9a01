#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>

#include "exchange/library.h"
#include "say/common.h"
#include "say/site.h"
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

Exposure running(HarmClass harm) {
  Exposure e;
  e.harm = harm;
  e.flow = 100.0 * millilitre / hour;
  e.since_last_sound_check = Interval{7200};
  return e;
}

TEST(Assess, NotAssessedIsNotZero) {
  const auto a = *assess(Signs{}, running(HarmClass::harmless), policy());
  for (const auto& g : a.grades) EXPECT_FALSE(g.grade);
  EXPECT_FALSE(a.card);
}

TEST(Assess, NothingFoundIsZeroOnEveryScale) {
  const auto a = *assess(found({}), running(HarmClass::harmless), policy());
  for (const auto& g : a.grades) EXPECT_EQ(g.grade, 0);
  EXPECT_FALSE(a.ask || a.removal_advised);
}

TEST(Assess, APainScoreIsPainWhetherTickedOrNot) {
  auto signs = found({Sign::redness});
  signs.pain_score = 3;
  EXPECT_EQ(assess(signs, running(HarmClass::harmless), policy())->grades.front().grade, 2);
}

TEST(Assess, UnmatchedSignsAreAskedAboutNeverRoundedDown) {
  const auto a = *assess(found({Sign::induration}), running(HarmClass::harmless), policy());
  EXPECT_TRUE(a.ask);
  EXPECT_TRUE(a.grades.front().unmatched);
  EXPECT_FALSE(a.findings.empty());
}

TEST(Assess, TheGraverCardIsOpened) {
  // Phlebitis and a leak of a vesicant together: the leak first.
  const auto a = *assess(found({Sign::redness, Sign::pain, Sign::swelling}), running(HarmClass::vesicant), policy());
  EXPECT_EQ(a.response, "leak_vesicant_other");
  EXPECT_NEAR(in(*a.worst_leaked_volume, millilitre), 200, 1e-9);
}

TEST(Assess, AnUnknownFluidThatLeaksIsTreatedAsHarmful) {
  EXPECT_EQ(assess(found({Sign::swelling}), running(HarmClass::unknown), policy())->response, "leak_unknown");
}

TEST(Assess, AVesicantLeakForbidsTheRemovalThatPhlebitisWouldAdvise) {
  const auto signs = found({Sign::redness, Sign::pain, Sign::swelling});
  EXPECT_FALSE(assess(signs, running(HarmClass::vesicant), policy())->removal_advised);
  EXPECT_FALSE(assess(signs, running(HarmClass::unknown), policy())->removal_advised);
  EXPECT_TRUE(assess(signs, running(HarmClass::harmless), policy())->removal_advised);
}

TEST(Assess, EachFamilyOfVesicantHasItsCard) {
  using infusate::LeakFamily;
  const std::pair<LeakFamily, const char*> cards[]{{LeakFamily::vasopressor, "leak_vesicant_vasopressor"},
                                                   {LeakFamily::hyperosmolar, "leak_vesicant_hyperosmolar"},
                                                   {LeakFamily::calcium, "leak_vesicant_hyperosmolar"},
                                                   {LeakFamily::contrast, "leak_vesicant_hyperosmolar"},
                                                   {LeakFamily::alkaline_warm, "leak_vesicant_alkaline_warm"},
                                                   {LeakFamily::alkaline_cold, "leak_vesicant_alkaline_cold"},
                                                   {LeakFamily::acidic, "leak_vesicant_acidic"},
                                                   {LeakFamily::other, "leak_vesicant_other"},
                                                   {LeakFamily::none, "leak_vesicant_other"}};
  for (const auto& [family, name] : cards) {
    auto exposure = running(HarmClass::vesicant);
    exposure.leak_family = family;
    const auto a = *assess(found({Sign::swelling}), exposure, policy());
    EXPECT_EQ(a.response, name);
    ASSERT_TRUE(a.card);
    EXPECT_TRUE(a.card->stop_infusion && !a.card->remove_advised) << name;
  }
}

TEST(Assess, SignsBetweenTwoGradesAreAskedAbout) {
  // Redness with a cord but without pain: grade 1 by the letter, and the cord is a sign of grade 3.
  const auto a = *assess(found({Sign::redness, Sign::palpable_cord}), running(HarmClass::harmless), policy());
  EXPECT_EQ(a.grades.front().grade, 1);
  EXPECT_TRUE(a.ask);
  EXPECT_EQ(a.findings.front().code, "unexplained_signs");
  // Warmth belongs to no grade: told, but nothing to choose between.
  EXPECT_FALSE(assess(found({Sign::redness, Sign::pain, Sign::warmth}), running(HarmClass::harmless), policy())->ask);
}

TEST(Assess, SwellingAloneIsALeakAllTheSame) {
  EXPECT_EQ(assess(found({Sign::swelling}), running(HarmClass::harmless), policy())->response, "leak_harmless");
  EXPECT_EQ(assess(found({Sign::coolness}), running(HarmClass::vesicant), policy())->response, "leak_vesicant_other");
  // The rate is not known: what runs may still harm.
  Exposure unknown;
  EXPECT_EQ(assess(found({Sign::swelling}), unknown, policy())->response, "leak_unknown");
}

bool says(const Assessment& a, std::string_view code) {
  return std::any_of(a.findings.begin(), a.findings.end(), [&](const Finding& f) { return f.code == code; });
}

TEST(Assess, AnUnboundedLeakIsUnknownNeverZero) {
  auto exposure = running(HarmClass::harmless);
  exposure.since_last_sound_check = Interval{-60};
  auto a = *assess(found({Sign::swelling}), exposure, policy());
  EXPECT_FALSE(a.worst_leaked_volume);
  EXPECT_TRUE(says(a, "leaked_volume_unknown"));
  exposure.since_last_sound_check.reset();
  EXPECT_FALSE(assess(found({Sign::swelling}), exposure, policy())->worst_leaked_volume);
}

TEST(Assess, TheWorkingOfTheLeakedVolumeCanBeRedone) {
  const auto a = *assess(found({Sign::leaking}), running(HarmClass::irritant), policy());
  ASSERT_EQ(a.workings.size(), 1u);
  EXPECT_EQ(a.workings[0].inputs,
            (std::vector<WorkingInput>{{say::rate_that_ran(), say::quantity(shown(Flow(100.0 * millilitre / hour)))},
                                       {say::time_since_sound(), say::quantity(shown(Interval{7200}))}}));
  EXPECT_EQ(a.workings[0].result, say::volume_up_to(200.0 * millilitre));
}

TEST(Assess, PainWhileAVesicantRunsAndALimbAtRiskAreToldOf) {
  EXPECT_TRUE(says(*assess(found({Sign::pain}), running(HarmClass::vesicant), policy()), "pain_while_running"));
  EXPECT_FALSE(says(*assess(found({Sign::pain}), running(HarmClass::harmless), policy()), "pain_while_running"));
  EXPECT_TRUE(
      says(*assess(found({Sign::swelling, Sign::numbness}), running(HarmClass::harmless), policy()), "limb_at_risk"));
}

TEST(Assess, APainScoreIsAnAssessment) {
  Signs signs;
  signs.pain_score = 5;
  const auto refused = assess(signs, running(HarmClass::harmless), policy());
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().path, "/signs/assessed");
}

TEST(AnswersLeak, AsTheCardSaysElseAsItIsOpened) {
  policy::Policy old;
  old.responses["leak_unknown"];
  old.responses["leak_vesicant_acidic"];
  old.responses["phlebitis_watch"];
  old.responses["leak_harmless"].leak = false;
  old.responses["the ward's own"].leak = true;
  EXPECT_TRUE(answers_leak("leak_unknown", old));
  EXPECT_TRUE(answers_leak("leak_vesicant_acidic", old));
  EXPECT_FALSE(answers_leak("phlebitis_watch", old));
  EXPECT_FALSE(answers_leak("leak_harmless", old));
  EXPECT_TRUE(answers_leak("the ward's own", old));
  EXPECT_TRUE(answers_leak("nobody knows it", old));
}

TEST(Assess, BadInputIsNamed) {
  auto signs = found({});
  signs.pain_score = 11;
  signs.swelling_extent = 2.0 * metre;
  const auto refused = assess(signs, running(HarmClass::harmless), policy());
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().size(), 3u);
}

// More phlebitis signs never lower a phlebitis grade, and never turn a grade into nothing.
RC_GTEST_PROP(GradeProperty, MoreSignsNeverLowerTheGrade, ()) {
  const std::vector<Sign> order{Sign::redness, Sign::pain, Sign::streak, Sign::palpable_cord, Sign::pus};
  const auto fewer = static_cast<std::size_t>(*rc::gen::inRange(0, 5));
  const std::vector<Sign> some(order.begin(), order.begin() + static_cast<std::ptrdiff_t>(fewer));
  const std::vector<Sign> more(order.begin(), order.begin() + static_cast<std::ptrdiff_t>(fewer + 1));
  const auto& scale = policy().scales.front();
  const auto a = grade(found(some), scale, running(HarmClass::harmless));
  const auto b = grade(found(more), scale, running(HarmClass::harmless));
  RC_ASSERT((a.grade && b.grade && *b.grade >= *a.grade));
}

}  // namespace
}  // namespace dwell::site
