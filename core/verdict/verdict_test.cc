#include "verdict/verdict.h"

#include <gtest/gtest.h>

#include "say/growth.h"

namespace dwell::verdict {
namespace {

enum class Two { first, second };
BOOST_DESCRIBE_ENUM(Two, first, second)

const Source ours{"common practice, no source", Mark::practice};

template <class First, class Second>
Answer answer(First first, Second second) {
  return take_all<Two>([&](auto which, Look& look) {
    if constexpr (which() == Two::first)
      first(look);
    else
      second(look);
  });
}

const auto nothing_found = [](Look&) {};
const auto not_here = [](Look& look) { look.does_not_apply(); };
const auto blind = [](Look& look) { look.lacks(say::weight_name()); };
auto of_severity(Severity severity) {
  return [severity](Look& look) { look.say(severity, "it", say::weigh_again(), ours); };
}

TEST(Verdict, PassesOnlyWhenEveryLookThatAppliesHasLooked) {
  EXPECT_EQ(answer(nothing_found, nothing_found).verdict, Verdict::pass);
  EXPECT_EQ(answer(nothing_found, not_here).verdict, Verdict::pass);
  EXPECT_EQ(answer(nothing_found, blind).verdict, Verdict::not_fully_checked);
  EXPECT_EQ(answer(not_here, not_here).verdict, Verdict::not_fully_checked);
  EXPECT_EQ(answer(nothing_found, of_severity(Severity::information)).verdict, Verdict::pass);
}

TEST(Verdict, WhatWasFoundStandsBesideWhatCouldNotBeLookedAt) {
  EXPECT_EQ(answer(of_severity(Severity::caution), blind).verdict, Verdict::not_fully_checked);
  EXPECT_EQ(answer(of_severity(Severity::stop), blind).verdict, Verdict::stop);
  EXPECT_EQ(answer(of_severity(Severity::caution), nothing_found).verdict, Verdict::caution);
}

TEST(Verdict, EachLookReportsItsStateItsWorstAndWhatItLacks) {
  const auto both = answer(
      [](Look& look) {
        look.say(Severity::caution, "a", say::weigh_again(), ours);
        look.say(Severity::stop, "b", say::weigh_again(), ours);
        look.lacks(say::age_name());
      },
      not_here);
  ASSERT_EQ(both.looks.size(), 2u);
  EXPECT_EQ(both.looks[0], (LookReport{"first", LookState::could_not_look, Severity::stop, {say::age_name()}}));
  EXPECT_EQ(both.looks[1].state, LookState::does_not_apply);
  EXPECT_EQ(both.findings.size(), 2u);
}

TEST(Verdict, ALookThatLacksSomethingCannotSayThatItDoesNotApply) {
  const auto answered = answer(nothing_found, [](Look& look) {
    look.lacks(say::age_name());
    look.does_not_apply();
  });
  EXPECT_EQ(answered.looks[1].state, LookState::could_not_look);
}

TEST(Verdict, WhatTwoRulesOfALookLackIsSaidOnce) {
  const auto answered = answer(nothing_found, [](Look& look) {
    look.lacks(say::age_name());
    look.lacks(say::weight_name());
    look.lacks(say::age_name());
  });
  EXPECT_EQ(answered.looks[1].missing, (std::vector<Message>{say::age_name(), say::weight_name()}));
}

TEST(Verdict, AnswersAreTakenOverWhole) {
  Composition all;
  all.add(answer(nothing_found, blind));
  all.add(answer(of_severity(Severity::caution), nothing_found));
  const auto joined = std::move(all).answer();
  EXPECT_EQ(joined.looks.size(), 4u);
  EXPECT_EQ(joined.verdict, Verdict::not_fully_checked);
}

TEST(Verdict, AnAnswerThatNobodyMadeIsNoGoodNews) { EXPECT_TRUE(holds_back(Answer{}.verdict)); }

}  // namespace
}  // namespace dwell::verdict
