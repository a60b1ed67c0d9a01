// What a ward learns of its lines: more failures never look better, and no order of the rows changes an answer.
#include "generated.h"
#include "statistics/log_rank.h"
#include "statistics/rate.h"

namespace dwell::statistics {
namespace {

using monotone::Chance;
using monotone::each_case;

constexpr double hair = 1e-9;

TEST(MonotoneRate, MoreFailuresOrFewerDaysAreNeverALowerRate) {
  each_case([](Chance& chance) {
    const int events = chance.whole(0, 200);
    const double days = chance.by_magnitude(1, 10000);
    const auto before = rate_per_thousand_days(events, days * day, 0.95);
    const auto after = rate_per_thousand_days(events + chance.whole(0, 50), days * chance.between(0.2, 1) * day, 0.95);
    ASSERT_TRUE(before && after);
    EXPECT_GE(after->rate, before->rate - hair);
    EXPECT_GE(after->low, before->low - hair);
    EXPECT_GE(after->high, before->high - hair);
  });
}

TEST(MonotoneRate, MoreConfidenceIsNeverNarrower) {
  each_case([](Chance& chance) {
    const int events = chance.whole(0, 200);
    const auto dwell = chance.by_magnitude(1, 10000) * day;
    const double confidence = chance.between(0.5, 0.98);
    const auto narrow = rate_per_thousand_days(events, dwell, confidence);
    const auto wide = rate_per_thousand_days(events, dwell, chance.between(confidence, 0.99));
    ASSERT_TRUE(narrow && wide);
    EXPECT_LE(wide->low, narrow->low + hair);
    EXPECT_GE(wide->high, narrow->high - hair);
    EXPECT_LE(narrow->low, narrow->rate + hair);
    EXPECT_GE(narrow->high, narrow->rate - hair);
  });
}

TEST(MonotoneShare, MoreFirstSticksAreNeverALowerShare) {
  each_case([](Chance& chance) {
    const int of = chance.whole(1, 500), events = chance.whole(0, of), more = chance.whole(events, of);
    const auto before = wilson_share(events, of, 0.95), after = wilson_share(more, of, 0.95);
    ASSERT_TRUE(before && after);
    EXPECT_GE(after->share, before->share);
    EXPECT_GE(after->low, before->low - hair);
    EXPECT_GE(after->high, before->high - hair);
  });
}

std::vector<Observation> any_lines(Chance& chance, int most = 40) {
  std::vector<Observation> lines;
  for (int i = chance.whole(2, most); i > 0; --i) lines.push_back({chance.whole(1, 200), chance.coin()});
  return lines;
}

double survival_at(const SurvivalCurve& curve, int time) {
  double last = 1;
  for (const auto& point : curve.points)
    if (point.time <= time) last = point.survival;
  return last;
}

TEST(MonotoneSurvival, AFailureMoreNeverLiftsTheCurve) {
  each_case([](Chance& chance) {
    auto lines = any_lines(chance);
    const auto before = kaplan_meier(lines, 0.95, LimitKind::log);
    lines[static_cast<std::size_t>(chance.whole(0, static_cast<int>(lines.size()) - 1))].event = true;
    const auto after = kaplan_meier(lines, 0.95, LimitKind::log);
    ASSERT_TRUE(before && after);
    for (int time = 1; time <= 200; time += 7)
      EXPECT_LE(survival_at(*after, time), survival_at(*before, time) + hair) << time;
  });
}

TEST(MonotoneSurvival, TheOrderOfTheLinesChangesNothing) {
  each_case([](Chance& chance) {
    const auto lines = any_lines(chance);
    const auto one = kaplan_meier(lines, 0.95, LimitKind::log);
    const auto other = kaplan_meier(chance.shuffled(lines), 0.95, LimitKind::log);
    ASSERT_TRUE(one && other);
    ASSERT_EQ(one->points.size(), other->points.size());
    for (std::size_t i = 0; i < one->points.size(); ++i)
      EXPECT_NEAR(one->points[i].survival, other->points[i].survival, hair);
    EXPECT_EQ(one->median, other->median);
  });
}

TEST(MonotoneLogRank, TheOrderOfTheGroupsChangesNothing) {
  each_case([](Chance& chance) {
    std::vector<std::vector<Observation>> groups;
    for (int i = chance.whole(2, 4); i > 0; --i) groups.push_back(any_lines(chance, 15));
    const auto one = log_rank(groups), other = log_rank(chance.shuffled(groups));
    ASSERT_EQ(one.has_value(), other.has_value());
    if (!one) return chance.does_not_apply();
    EXPECT_NEAR(one->chi_square, other->chi_square, 1e-6 * (1 + one->chi_square));
    EXPECT_EQ(one->degrees_of_freedom, other->degrees_of_freedom);
  });
}

}  // namespace
}  // namespace dwell::statistics
