// The limits of a trend on both sides: what counts as a change, which looks count, and how soon a limit is reached.
#include <gtest/gtest.h>

#include "json/codec.h"
#include "say/site.h"
#include "site/trend.h"

namespace dwell::site {
namespace {

using std::chrono::hours;
using std::chrono::minutes;

const Instant start = *parse_instant("2026-11-25T08:00:00Z");
// A power of two, so that lengths stand exactly at their limit.
constexpr Length tolerance = Length::from_value(1.0 / 1024);

struct Found {
  std::chrono::milliseconds after;
  std::optional<double> swelling;  ///< in tolerances
  std::optional<int> pain = {};
  std::optional<int> grade = {};
  std::optional<double> cord = {};
};

/// Limits of swelling at 16, 32 and 64 tolerances.
std::vector<Scale> scales() {
  Scale scale;
  GradeCriteria middle, low, high;
  middle.swelling_from = 32.0 * tolerance;
  low.swelling_below = 16.0 * tolerance;
  high.swelling_from = 64.0 * tolerance;
  scale.grades = {middle, low, high};
  return {scale};
}

Trend trend_of(std::initializer_list<Found> found) {
  std::vector<Look> looks;
  for (const auto& one : found) {
    Look look;
    look.at = start + one.after;
    look.grade = one.grade;
    look.pain = one.pain;
    if (one.swelling) look.swelling = *one.swelling * tolerance;
    if (one.cord) look.cord = *one.cord * tolerance;
    looks.push_back(look);
  }
  return trend(looks, scales(), tolerance);
}

TEST(TrendLimits, WithinTheToleranceALengthIsSteady) {
  EXPECT_EQ(trend_of({{minutes{0}, 8}, {hours{1}, 9}}).swelling, Course::steady);
  EXPECT_EQ(trend_of({{minutes{0}, 8}, {hours{1}, 9.001}}).swelling, Course::worse);
  EXPECT_EQ(trend_of({{minutes{0}, 9}, {hours{1}, 8}}).swelling, Course::steady);
  EXPECT_EQ(trend_of({{minutes{0}, 9}, {hours{1}, 7.999}}).swelling, Course::better);
  EXPECT_EQ(trend_of({{minutes{0}, {}, {}, {}, 8}, {hours{1}, {}, {}, {}, 9}}).cord, Course::steady);
  EXPECT_EQ(trend_of({{minutes{0}, {}, {}, {}, 8}, {hours{1}, {}, {}, {}, 9.001}}).cord, Course::worse);
  // What is steady has no words.
  EXPECT_EQ(trend_of({{minutes{0}, 8}, {hours{1}, 9}}).text, say::course(Course::steady));
  EXPECT_TRUE(trend_of({{minutes{0}, 8}, {hours{1}, 9}}).workings.empty());
}

TEST(TrendLimits, AGradeAndTwoPointsOfPain) {
  EXPECT_EQ(trend_of({{minutes{0}, {}, 3, 1}, {hours{1}, {}, 4, 1}}).course, Course::steady);
  EXPECT_EQ(trend_of({{minutes{0}, {}, 3, 1}, {hours{1}, {}, 5, 1}}).text,
            say::course_of_what(Course::worse, {say::pain_from_to(3, 5)}));
  EXPECT_EQ(trend_of({{minutes{0}, {}, 5, 1}, {hours{1}, {}, 4, 1}}).pain, Course::steady);
  EXPECT_EQ(trend_of({{minutes{0}, {}, 5, 1}, {hours{1}, {}, 3, 1}}).text,
            say::course_of_what(Course::better, {say::pain_from_to(5, 3)}));
  EXPECT_EQ(trend_of({{minutes{0}, {}, 3, 2}, {hours{1}, {}, 4, 1}}).text,
            say::course_of_what(Course::better, {say::grade_from_to(2, 1)}));
  EXPECT_EQ(trend_of({{minutes{0}, {}, 3, 1}, {hours{1}, {}, 5, 2}}).text,
            say::course_of_what(Course::worse, {say::grade_from_to(1, 2), say::pain_from_to(3, 5)}));
}

TEST(TrendLimits, HowGravelyItIsSaid) {
  const auto worse = trend_of({{minutes{0}, 8}, {hours{1}, 12}});
  ASSERT_EQ(worse.findings.size(), 2u);
  EXPECT_EQ(worse.findings[0].code, "site_getting_worse");
  EXPECT_EQ(worse.findings[0].severity, Severity::caution);
  EXPECT_EQ(worse.findings[1].code, "swelling_reaches_next_grade");
  EXPECT_EQ(worse.findings[1].severity, Severity::caution);
  EXPECT_TRUE(trend_of({{minutes{0}, 8}, {hours{1}, 4}}).findings.empty());
}

TEST(TrendLimits, ADayCounts) {
  EXPECT_EQ(trend_of({{minutes{0}, {}, {}, 1}, {hours{24}, {}, {}, 2}}).course, Course::worse);
  EXPECT_EQ(trend_of({{minutes{0}, {}, {}, 1}, {hours{24} + std::chrono::milliseconds{1}, {}, {}, 2}}).course,
            Course::not_known);
}

TEST(TrendLimits, TheNextLimitIsTheNearestAboveTheLastLook) {
  const auto next = [](double from, double to) {
    const auto growth = trend_of({{minutes{0}, from}, {hours{1}, to}}).swelling_growth;
    return growth && growth->next_limit ? in(*growth->next_limit, tolerance) : 0;
  };
  EXPECT_EQ(next(8, 12), 16);
  EXPECT_EQ(next(8, 16), 32);
  EXPECT_EQ(next(8, 17), 32);
  EXPECT_EQ(next(8, 63), 64);
  EXPECT_EQ(next(8, 64), 0);
  EXPECT_EQ(next(12, 12), 0);
  EXPECT_EQ(next(12, 8), 0);
}

TEST(TrendLimits, ALimitIsTalkedOfADayAhead) {
  // 8 in an hour, 8 to go: an hour more.
  const auto soon = trend_of({{minutes{0}, 0}, {hours{1}, 8}});
  ASSERT_TRUE(soon.swelling_growth->reaches_limit_at);
  EXPECT_EQ(*soon.swelling_growth->reaches_limit_at, start + hours{2});
  // 4 in 12 h, 8 to go: exactly a day.
  const auto at = trend_of({{minutes{0}, 4}, {hours{12}, 8}});
  ASSERT_TRUE(at.swelling_growth->reaches_limit_at);
  EXPECT_EQ(*at.swelling_growth->reaches_limit_at, start + hours{36});
  const auto later = trend_of({{minutes{0}, 4}, {hours{12} + minutes{1}, 8}});
  EXPECT_FALSE(later.swelling_growth->reaches_limit_at);
  EXPECT_EQ(later.findings.size(), 1u);
}

TEST(TrendLimits, TwoMeasuresAtDifferentTimesMakeALine) {
  EXPECT_FALSE(trend_of({{minutes{0}, 8, 1}, {hours{1}, {}, 1}}).swelling_growth);
  EXPECT_FALSE(trend_of({{minutes{0}, 8}, {minutes{0}, 16}}).swelling_growth);
  EXPECT_TRUE(trend_of({{minutes{0}, 8}, {minutes{1}, 16}}).swelling_growth);
}

TEST(TrendLimits, TheWorkingNamesEveryLookThatMeasured) {
  const auto grows = trend_of({{minutes{0}, 8}, {minutes{30}, {}, 1}, {hours{1}, 16}});
  ASSERT_EQ(grows.workings.size(), 1u);
  ASSERT_EQ(grows.workings[0].inputs.size(), 2u);
  EXPECT_EQ(grows.workings[0].inputs[0].name, say::look_after(1, minutes{0}));
  EXPECT_EQ(grows.workings[0].inputs[1].name, say::look_after(2, hours{1}));
  EXPECT_EQ(grows.workings[0].result, say::length_in_time(7.8125 * millimetre, hours{1}));
  EXPECT_EQ(trend_of({{minutes{0}, 16}, {hours{1}, 8}}).workings[0].result,
            say::length_less_in_time(7.8125 * millimetre, hours{1}));
}

}  // namespace
}  // namespace dwell::site
