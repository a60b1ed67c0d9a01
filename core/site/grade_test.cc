#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "exchange/library.h"
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
  RC_ASSERT(a.grade && b.grade && *b.grade >= *a.grade);
}

}  // namespace
}  // namespace dwell::site
