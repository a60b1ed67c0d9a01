#include "statistics/comparison.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

namespace dwell::statistics {
namespace {

Counted any_count(int least_events = 0) {
  const int of = *rc::gen::inRange(1, 60);
  return {*rc::gen::inRange(least_events, of + 1), of};
}

RC_GTEST_PROP(ComparisonProperty, TheOtherWayRoundIsTheOtherSign, ()) {
  const auto a = any_count(), b = any_count();
  for (const auto kind : {DifferenceKind::newcombe, DifferenceKind::miettinen_nurminen}) {
    const auto one = *share_difference(a, b, kind, 0.95), other = *share_difference(b, a, kind, 0.95);
    RC_ASSERT((std::abs(*one.low + *other.high) < 1e-6 && std::abs(*one.high + *other.low) < 1e-6));
    RC_ASSERT((*one.low <= *one.value + 1e-9 && *one.value <= *one.high + 1e-9));
    RC_ASSERT((*one.low >= -1 && *one.high <= 1));
  }
}

RC_GTEST_PROP(ComparisonProperty, TheRatioTheOtherWayRoundIsItsInverse, ()) {
  const auto a = any_count(1), b = any_count(1);
  const auto one = *share_ratio(a, b, 0.95), other = *share_ratio(b, a, 0.95);
  RC_ASSERT(std::abs(*one.low * *other.high - 1) < 1e-6);
  RC_ASSERT((*one.low <= *one.value * (1 + 1e-9) && *one.value <= *one.high * (1 + 1e-9)));
}

/// Mid-p lies within the exact limits.
RC_GTEST_PROP(ComparisonProperty, MidPIsNarrower, ()) {
  const auto a = any_count();
  const auto exact = *share_interval(a, Tail::exact, 0.95), mid = *share_interval(a, Tail::mid_p, 0.95);
  RC_ASSERT((*exact.low <= *mid.low + 1e-12 && *mid.high <= *exact.high + 1e-12));
  const Exposed seen{a.events, 100.0 * day};
  const auto rate = *rate_interval(seen, Tail::exact, 0.95), mid_rate = *rate_interval(seen, Tail::mid_p, 0.95);
  RC_ASSERT((*rate.low <= *mid_rate.low + 1e-12 && *mid_rate.high <= *rate.high + 1e-12));
}

TEST(Comparison, NothingSeenHasNoRatio) {
  const auto none = *share_ratio({0, 10}, {0, 12}, 0.95);
  EXPECT_FALSE(none.value || none.low || none.high);
  const auto endless = *rate_ratio({3, 10.0 * day}, {0, 12.0 * day}, Tail::exact, 0.95);
  EXPECT_FALSE(endless.value);
  EXPECT_FALSE(endless.high);
  EXPECT_GT(*endless.low, 0);
}

TEST(Comparison, EveryFaultIsNamed) {
  const auto refused = share_difference({5, 4}, {1, 0}, DifferenceKind::newcombe, 1.5);
  ASSERT_FALSE(refused);
  ASSERT_EQ(refused.error().size(), 3u);
  EXPECT_EQ(refused.error()[0].path, "/one/events");
  EXPECT_EQ(refused.error()[1].path, "/other/of");
  EXPECT_EQ(refused.error()[2].path, "/confidence");
  EXPECT_FALSE(ratio_to_expected(3, 0, Tail::exact, 0.95));
}

}  // namespace
}  // namespace dwell::statistics
