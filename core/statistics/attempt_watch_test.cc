// The score by hand, its chances by simulation. Published numbers: tests/published/practice_test.cc.
#include "statistics/attempt_watch.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>

#include "say/statistics.h"

namespace dwell::statistics {
namespace {

constexpr PracticeStandard a_standard{0.2, 0.4, 0.05, 50};

AttemptCourse course(AttemptsOf of, PracticeStandard standard = a_standard) {
  return follow_practice({standard, {std::move(of)}})->courses.front();
}

TEST(ChanceOfSign, ByHand) {
  // Up 2, down 1, limit 4: two rises in a row, or in three a rise, a fall, … 1 + 2 = 3 is not enough.
  const Ladder ladder{2, 1, 4};
  EXPECT_DOUBLE_EQ(chance_of_sign(ladder, 0.3, 1), 0);
  EXPECT_DOUBLE_EQ(chance_of_sign(ladder, 0.3, 2), 0.09);
  // In three: up up (0.09), or down up up (0.7 × 0.09).
  EXPECT_NEAR(chance_of_sign(ladder, 0.3, 3), 0.09 + 0.7 * 0.09, 1e-15);
}

TEST(MeanAttempts, ByHand) {
  // One rise is enough: the mean of a geometric time.
  EXPECT_NEAR(*mean_attempts_to_sign({5, 3, 4}, 0.25), 4, 1e-12);
  // Two rises in a row: (1 + p) / p².
  EXPECT_NEAR(*mean_attempts_to_sign({1, 5, 2}, 0.5), 6, 1e-12);
  EXPECT_FALSE(mean_attempts_to_sign({1, 1, 2}, 0));
}

/// Σ over n of P(no sign yet) is the mean: two ways that share no code.
RC_GTEST_PROP(AttemptScoreProperty, TheMeanIsTheSumOfWaiting, ()) {
  const Ladder ladder{*rc::gen::inRange(1, 8), *rc::gen::inRange(1, 8), *rc::gen::inRange(1, 25)};
  const double rises = *rc::gen::element(0.55, 0.7, 0.9);
  const auto mean = mean_attempts_to_sign(ladder, rises);
  RC_ASSERT((mean.has_value() || ladder.down > ladder.up));
  if (!mean || *mean > 30) return;  // what is left sums over some thousand attempts
  double waiting = 0;
  for (int n = 0; n < 3000; ++n) {
    const double still = 1 - chance_of_sign(ladder, rises, n);
    waiting += still;
    if (still < 1e-14) break;
  }
  RC_ASSERT(std::abs(waiting / *mean - 1) < 1e-8);
}

TEST(PracticeScores, BearNoMoreWrongSignsThanAsked) {
  for (const PracticeStandard standard :
       {a_standard, PracticeStandard{0.05, 0.1, 0.1, 200}, PracticeStandard{0.1, 0.3, 0.01, 30}}) {
    const auto scores = *practice_scores(standard);
    EXPECT_LE(scores.learning.signs_when_unacceptable, standard.false_signals);
    EXPECT_LE(scores.keeping.signs_when_acceptable, standard.false_signals);
    EXPECT_GT(scores.learning.signs_when_acceptable, scores.learning.signs_when_unacceptable);
    EXPECT_GT(scores.keeping.signs_when_unacceptable, scores.keeping.signs_when_acceptable);
    // One step lower would bear too many.
    for (const bool keeping : {false, true}) {
      auto lower = keeping ? scores.keeping.ladder : scores.learning.ladder;
      --lower.limit;
      const double rises = keeping ? standard.acceptable : 1 - standard.unacceptable;
      ASSERT_GT(lower.limit, 0);
      EXPECT_GT(chance_of_sign(lower, rises, standard.within), standard.false_signals);
    }
    EXPECT_NEAR(scores.learning.unacceptable, standard.unacceptable, 0.01 * standard.unacceptable);
  }
}

/// What the chain says, seen to happen: 40,000 people of each kind, seeds fixed, so the test never depends on chance.
TEST(PracticeScores, SimulationSeesTheSameChances) {
  const auto scores = *practice_scores(a_standard);
  std::mt19937_64 draw(20261125);
  const auto seen = [&](const Ladder& ladder, double rises) {
    constexpr int people = 40'000;
    int signs = 0;
    for (int i = 0; i < people; ++i) {
      int score = 0;
      for (int n = 0; n < a_standard.within; ++n) {
        const bool up = static_cast<double>(draw() >> 11) * 0x1p-53 < rises;
        score = up ? score + ladder.up : std::max(0, score - ladder.down);
        if (score < ladder.limit) continue;
        ++signs;
        break;
      }
    }
    return static_cast<double>(signs) / people;
  };
  constexpr double four_errors = 4 * 0.0025;
  EXPECT_NEAR(seen(scores.learning.ladder, 0.6), scores.learning.signs_when_unacceptable, four_errors);
  EXPECT_NEAR(seen(scores.learning.ladder, 0.8), scores.learning.signs_when_acceptable, four_errors);
  EXPECT_NEAR(seen(scores.keeping.ladder, 0.2), scores.keeping.signs_when_acceptable, four_errors);
  EXPECT_NEAR(seen(scores.keeping.ladder, 0.4), scores.keeping.signs_when_unacceptable, four_errors);
}

TEST(FollowPractice, ThreeAttemptsSayNothingOfAnybody) {
  for (const std::vector<int>& failed : {std::vector<int>{}, {1}, {1, 2}, {1, 2, 3}}) {
    const auto of = course({"A. Learner", 3, failed, false});
    EXPECT_FALSE(of.good_enough_from);
    EXPECT_TRUE(of.look_at.empty());
    EXPECT_EQ(of.answer, say::practice_not_shown_yet(3));
  }
}

TEST(FollowPractice, ShowsThenKeepsWatch) {
  std::vector<int> failed(12);
  std::iota(failed.begin(), failed.end(), 41);  // forty that went well, then twelve that did not
  const auto of = course({"A. Learner", 52, failed, false});
  ASSERT_TRUE(of.good_enough_from);
  EXPECT_LT(*of.good_enough_from, 40);
  ASSERT_FALSE(of.look_at.empty());
  EXPECT_GT(of.look_at.front(), 41);
  EXPECT_EQ(of.score.size(), 52u);
  EXPECT_EQ(of.answer, say::practice_to_look_at(of.look_at.back(), 52));
}

TEST(FollowPractice, OneWhoWasGoodEnoughIsOnlyWatched) {
  EXPECT_EQ(course({"B", 5, {}, true}).answer, say::practice_kept_up(5));
  EXPECT_EQ(course({"B", 0, {}, true}).answer, say::no_attempts_yet());
}

TEST(FollowPractice, EveryWrongInputIsNamed) {
  const auto refused = follow_practice({{0.2, 0.21, 0, 5}, {{"A", 3, {2, 2, 4}, false}}});
  ASSERT_FALSE(refused);
  std::vector<std::string> paths;
  for (const auto& error : refused.error()) paths.push_back(error.path);
  EXPECT_EQ(paths, (std::vector<std::string>{"/standard/unacceptable", "/standard/false_signals", "/standard/within",
                                             "/people/0/failed/1", "/people/0/failed/2"}));
  EXPECT_EQ(follow_practice({a_standard, {}}).error().front().path, "/people");
  const AttemptsOf many{"A", 60'000, {}, false};
  EXPECT_TRUE(follow_practice({a_standard, {many}}));
  EXPECT_EQ(follow_practice({a_standard, {many, many}}).error().front().path, "/people") << "an answer without end";
  EXPECT_EQ(practice_scores({std::nan(""), 0.5, 0.05, 50}).error().front().path, "/acceptable");
}

/// One failure more never brings "good enough" earlier, nor "look" later.
RC_GTEST_PROP(FollowPracticeProperty, AFailureMoreIsNeverMilder, ()) {
  constexpr int attempts = 60;
  std::vector<bool> fails(attempts);
  for (int i = 0; i < attempts; ++i) fails[static_cast<std::size_t>(i)] = *rc::gen::inRange(0, 4) == 0;
  const bool before = *rc::gen::arbitrary<bool>();
  const auto followed = [&] {
    AttemptsOf of{"A", attempts, {}, before};
    for (int i = 0; i < attempts; ++i)
      if (fails[static_cast<std::size_t>(i)]) of.failed.push_back(i + 1);
    return course(of);
  };
  const auto fewer = followed();
  fails[static_cast<std::size_t>(*rc::gen::inRange(0, attempts))] = true;
  const auto more = followed();
  if (before) {
    if (!fewer.look_at.empty()) RC_ASSERT((!more.look_at.empty() && more.look_at.front() <= fewer.look_at.front()));
  } else {
    if (more.good_enough_from) RC_ASSERT((fewer.good_enough_from && *fewer.good_enough_from <= *more.good_enough_from));
  }
}

}  // namespace
}  // namespace dwell::statistics
