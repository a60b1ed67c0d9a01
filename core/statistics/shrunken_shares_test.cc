// That chance ranks nobody. Published numbers: tests/published/practice_test.cc; the integral against R: tests/peers.
#include "statistics/shrunken_shares.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

namespace dwell::statistics {
namespace {

ShrunkenShares drawn(std::vector<NamedCount> people) { return *shrunken_shares({std::move(people), 0.95}); }

TEST(ShrunkenShares, ThreeAttemptsRankNobody) {
  // Even where the others differ as much as they can.
  const auto all = drawn({{"A", 0, 80}, {"B", 80, 80}, {"C", 0, 80}, {"D", 3, 3}, {"E", 0, 3}, {"F", 0, 0}});
  for (int i = 3; i < 6; ++i) EXPECT_EQ(all.people[static_cast<std::size_t>(i)].standing, Standing::too_few_to_tell);
  EXPECT_EQ(all.people[0].standing, Standing::lower);
  EXPECT_EQ(all.people[1].standing, Standing::higher);
}

TEST(ShrunkenShares, FewAttemptsAreDrawnFurther) {
  const auto all = drawn({{"A", 20, 100}, {"B", 25, 100}, {"C", 18, 90}, {"D", 22, 95}, {"E", 2, 3}});
  const auto& few = all.people.back();
  EXPECT_LT(few.share, 0.35);
  EXPECT_GT(few.share, all.share);
  EXPECT_GT(few.high - few.low, all.people[0].high - all.people[0].low);
}

// Where people differ as much as they can, a person's density has no bound at 0 and at 1.
TEST(ShrunkenShares, TheFarthestApartHaveIntervals) {
  for (const int n : {1, 5, 80, 5000}) {
    const auto all = drawn({{"A", 0, n}, {"B", n, n}, {"C", 0, n}, {"D", n, n}, {"E", 0, 0}});
    for (const auto& one : all.people) {
      EXPECT_GE(one.low, 0) << one.name << " of " << n;
      EXPECT_LT(one.low, one.high) << one.name << " of " << n;
      EXPECT_LE(one.high, 1) << one.name << " of " << n;
      EXPECT_TRUE(one.low <= one.share && one.share <= one.high) << one.name << " of " << n;
    }
  }
}

TEST(ShrunkenShares, EqualCountsHaveEqualAnswersAndKeepTheirOrder) {
  const auto all = drawn({{"Z", 5, 30}, {"A", 9, 30}, {"M", 5, 30}});
  EXPECT_EQ(all.people[0].name, "Z");
  EXPECT_EQ(all.people[1].name, "A");
  EXPECT_EQ(all.people[0].share, all.people[2].share);
  EXPECT_EQ(all.people[0].low, all.people[2].low);
}

TEST(ShrunkenShares, WhereNobodyDiffersBeyondChanceThereIsNoLikeliestSpread) {
  EXPECT_FALSE(drawn({{"A", 10, 50}, {"B", 10, 50}, {"C", 10, 50}}).likeliest);
  EXPECT_FALSE(drawn({{"A", 0, 50}, {"B", 0, 50}}).likeliest);
  EXPECT_TRUE(drawn({{"A", 2, 50}, {"B", 20, 50}, {"C", 40, 50}}).likeliest);
}

/// Ten wards of twelve who are all alike: told apart no more often than the confidence leaves room for. Seed fixed.
TEST(ShrunkenShares, AlikePeopleAreSeldomToldApart) {
  std::mt19937_64 draw(7);
  int told = 0, people = 0;
  for (int ward = 0; ward < 10; ++ward) {
    std::vector<NamedCount> counts;
    for (int i = 0; i < 12; ++i) {
      NamedCount one{"N" + std::to_string(i), 0, 10 + 10 * (i % 6)};
      for (int n = 0; n < one.of; ++n) one.events += static_cast<double>(draw() >> 11) * 0x1p-53 < 0.25 ? 1 : 0;
      counts.push_back(one);
    }
    for (const auto& one : drawn(counts).people) {
      ++people;
      told += one.standing == Standing::higher || one.standing == Standing::lower ? 1 : 0;
    }
  }
  EXPECT_LE(told, people * 0.03);
}

/// Wards drawn from the model itself: the intervals hold the true share about as often as they say. Seed fixed.
TEST(ShrunkenShares, IntervalsHoldWhatTheySay) {
  std::mt19937_64 draw(11);
  std::gamma_distribution<double> failing(4, 1), going_well(12, 1);
  int held = 0, people = 0;
  for (int ward = 0; ward < 10; ++ward) {
    std::vector<NamedCount> counts;
    std::vector<double> truth;
    for (int i = 0; i < 12; ++i) {
      const double a = failing(draw), b = going_well(draw);
      truth.push_back(a / (a + b));
      NamedCount one{"N" + std::to_string(i), 0, 3 + 8 * (i % 5)};
      for (int n = 0; n < one.of; ++n) one.events += static_cast<double>(draw() >> 11) * 0x1p-53 < truth.back() ? 1 : 0;
      counts.push_back(one);
    }
    const auto all = drawn(counts);
    for (std::size_t i = 0; i < truth.size(); ++i) {
      ++people;
      held += all.people[i].low <= truth[i] && truth[i] <= all.people[i].high ? 1 : 0;
    }
  }
  EXPECT_NEAR(static_cast<double>(held) / people, 0.95, 0.06);
}

TEST(ShrunkenShares, EveryWrongInputIsNamed) {
  const auto refused = shrunken_shares({{{"A", -1, 3}, {"B", 4, 3}, {"C", 0, -1}}, 1});
  ASSERT_FALSE(refused);
  ASSERT_EQ(refused.error().size(), 4u);
  EXPECT_EQ(refused.error()[0].path, "/people/0/events");
  EXPECT_EQ(refused.error()[1].path, "/people/1/events");
  EXPECT_EQ(refused.error()[2].path, "/people/2/of");
  EXPECT_EQ(refused.error()[3].path, "/confidence");
  EXPECT_EQ(shrunken_shares({{{"A", 1, 3}}, 0.95}).error().front().path, "/people");
  EXPECT_EQ(shrunken_shares({{{"A", 0, 0}, {"B", 0, 0}}, 0.95}).error().front().path, "/people");
}

/// Numbers within bounds, whatever the counts; and the share lies between one's own and that of all.
TEST(ShrunkenShares, AnswersWithNumbersInOrder) {
  std::mt19937_64 draw(13);
  for (int round = 0; round < 12; ++round) {
    std::vector<NamedCount> people;
    for (int i = 0; i < 3; ++i) {
      const int sizes[] = {0, 1, 3, 12, 40, 3000}, of = sizes[draw() % 6];
      people.push_back({"N", static_cast<int>(draw() % static_cast<std::uint64_t>(of + 1)), of});
    }
    people.front().of += 1;
    const auto all = drawn(people);
    EXPECT_TRUE(all.share > 0 && all.share < 1 && all.difference > 0 && all.difference < 1);
    for (const auto& one : all.people) {
      EXPECT_TRUE(one.low >= 0 && one.low < one.share && one.share < one.high && one.high <= 1);
      EXPECT_TRUE(one.chance_higher >= 0 && one.chance_higher <= 1);
    }
  }
}

}  // namespace
}  // namespace dwell::statistics
