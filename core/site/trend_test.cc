#include "site/trend.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "exchange/library.h"
#include "say/site.h"

namespace dwell::site {
namespace {

using std::chrono::hours;
using std::chrono::minutes;

const Instant start = *parse_instant("2026-11-25T08:00:00Z");
const std::vector<Scale>& scales() { return exchange::default_library().policy.scales; }
constexpr Length tolerance = 1.0 * millimetre;

Look look(std::chrono::minutes after, std::optional<int> grade, std::optional<double> swelling_mm = {},
          std::optional<int> pain = {}) {
  Look made;
  made.at = start + after;
  made.grade = grade;
  made.pain = pain;
  if (swelling_mm) made.swelling = *swelling_mm * millimetre;
  return made;
}

TEST(Trend, OneLookIsNoTrend) {
  EXPECT_EQ(trend({}, scales(), tolerance).course, Course::not_known);
  const std::vector one{look(minutes{0}, 1)};
  const auto t = trend(one, scales(), tolerance);
  EXPECT_EQ(t.course, Course::not_known);
  EXPECT_EQ(t.text, say::two_looks_are_needed());
}

TEST(Trend, AGradeThatRisesIsWorse) {
  const std::vector looks{look(minutes{0}, 0), look(hours{4}, 1)};
  const auto t = trend(looks, scales(), tolerance);
  EXPECT_EQ(t.course, Course::worse);
  EXPECT_EQ(t.text, say::course_of_what(Course::worse, {say::grade_from_to(0, 1)}));
  ASSERT_FALSE(t.findings.empty());
  EXPECT_EQ(t.findings.front().code, "site_getting_worse");
}

TEST(Trend, TheSpeedOfASwellingIsItsFittedLine) {
  // 10, 16, 18 mm at 0, 60, 120 min: least squares by hand, slope 4 mm an hour, so 8 mm in 2 h.
  const std::vector looks{look(minutes{0}, {}, 10), look(hours{1}, {}, 16), look(hours{2}, {}, 18)};
  const auto t = trend(looks, scales(), tolerance);
  ASSERT_TRUE(t.swelling_growth);
  EXPECT_NEAR(in(t.swelling_growth->change, millimetre), 8, 1e-9);
  EXPECT_EQ(t.swelling_growth->over, Interval{7200});
  EXPECT_EQ(t.text, say::course_of_what(Course::worse, {say::swelling_grows(8.0 * millimetre, hours{2})}));
  // From 18 mm at 4 mm an hour to the next grade at 25 mm: 1 h 45 min.
  ASSERT_TRUE(t.swelling_growth->reaches_limit_at);
  EXPECT_NEAR(in(*t.swelling_growth->next_limit, millimetre), 25, 1e-9);
  EXPECT_EQ(*t.swelling_growth->reaches_limit_at, start + minutes{225});
}

TEST(Trend, ASwellingThatShrinksIsBetterAndReachesNothing) {
  const std::vector looks{look(minutes{0}, {}, 40), look(hours{2}, {}, 30)};
  const auto t = trend(looks, scales(), tolerance);
  EXPECT_EQ(t.course, Course::better);
  EXPECT_FALSE(t.swelling_growth->next_limit);
  EXPECT_EQ(t.text, say::course_of_what(Course::better, {say::swelling_shrinks(10.0 * millimetre, hours{2})}));
}

TEST(Trend, OnePointOfPainIsSteadyTwoAreNot) {
  const std::vector steady{look(minutes{0}, {}, {}, 3), look(hours{1}, {}, {}, 4)};
  EXPECT_EQ(trend(steady, scales(), tolerance).course, Course::steady);
  const std::vector worse{look(minutes{0}, {}, {}, 3), look(hours{1}, {}, {}, 5)};
  EXPECT_EQ(trend(worse, scales(), tolerance).course, Course::worse);
}

TEST(Trend, LooksOfThreeDaysAgoDoNotCount) {
  const std::vector looks{look(minutes{0}, 3), look(hours{72}, 1), look(hours{74}, 1)};
  EXPECT_EQ(trend(looks, scales(), tolerance).course, Course::steady);
}

TEST(Trend, WorseInOneIsWorseInAll) {
  const std::vector looks{look(minutes{0}, 2, 20, 6), look(hours{1}, 1, 30, 2)};
  EXPECT_EQ(trend(looks, scales(), tolerance).course, Course::worse);
}

RC_GTEST_PROP(TrendProperties, ALineThroughPointsOfALineIsThatLine, ()) {
  const double slope = static_cast<double>(*rc::gen::inRange(1, 200)) / 10;  // mm an hour
  const int count = *rc::gen::inRange(2, 8);
  std::vector<Look> looks;
  for (int i = 0; i < count; ++i) looks.push_back(look(hours{i}, {}, 5 + slope * i));
  const auto t = trend(looks, scales(), tolerance);
  RC_ASSERT(t.swelling_growth.has_value());
  RC_ASSERT(std::abs(in(t.swelling_growth->change, millimetre) - slope * (count - 1)) < 1e-6);
}

}  // namespace
}  // namespace dwell::site
