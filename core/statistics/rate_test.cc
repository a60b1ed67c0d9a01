// The edges of rates and shares. Published tables: tests/published/poisson_test.cc.
#include "statistics/rate.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <boost/math/distributions/poisson.hpp>
#include <cmath>

namespace dwell::statistics {
namespace {

TEST(Rate, CountsInThousandsOfCatheterDays) {
  const auto r = *rate_per_thousand_days(3, 36.0 * hour, 0.95);
  EXPECT_DOUBLE_EQ(r.catheter_days, 1.5);
  EXPECT_DOUBLE_EQ(r.rate, 2000);
}

TEST(Rate, NoFailureStillHasAnUpperLimit) {
  const auto r = *rate_per_thousand_days(0, 100.0 * day, 0.95);
  EXPECT_EQ(r.rate, 0);
  EXPECT_EQ(r.low, 0);
  EXPECT_NEAR(r.high, 36.8887945411, 1e-9);  // −ln 0.025 for 100 days
}

TEST(Rate, EveryWrongInputIsNamed) {
  const auto refused = rate_per_thousand_days(-1, Duration(), 0);
  ASSERT_FALSE(refused);
  ASSERT_EQ(refused.error().size(), 3u);
  EXPECT_EQ(refused.error()[0].path, "/events");
  EXPECT_EQ(refused.error()[1].path, "/dwell");
  EXPECT_EQ(refused.error()[2].path, "/confidence");
}

/// The definition itself: at the lower limit, x or more happen with α/2; at the upper, x or fewer.
RC_GTEST_PROP(RateProperty, EachLimitLeavesHalfOfAlpha, ()) {
  const int x = *rc::gen::inRange(1, 400);
  const double confidence = *rc::gen::element(0.8, 0.9, 0.95, 0.99);
  const auto r = *rate_per_thousand_days(x, 1000.0 * day, confidence);
  using boost::math::poisson, boost::math::cdf, boost::math::complement;
  RC_ASSERT(std::abs(cdf(complement(poisson(r.low), x - 1)) - (1 - confidence) / 2) < 1e-9);
  RC_ASSERT(std::abs(cdf(poisson(r.high), x) - (1 - confidence) / 2) < 1e-9);
}

TEST(Share, NoneAndAllStayInside) {
  const auto none = *wilson_share(0, 20, 0.95), all = *wilson_share(20, 20, 0.95);
  EXPECT_NEAR(none.low, 0, 1e-15);
  EXPECT_GT(none.high, 0.1);
  EXPECT_NEAR(all.low, 1 - none.high, 1e-12);
  EXPECT_EQ(all.high, 1);
}

TEST(Share, EveryWrongInputIsNamed) {
  EXPECT_EQ(wilson_share(1, 0, 2).error().size(), 3u);
  EXPECT_EQ(wilson_share(5, 4, 0.95).error().front().path, "/events");
}

/// Wilson's limits are the shares that the score test would just not reject.
RC_GTEST_PROP(ShareProperty, TheLimitsSolveTheScoreEquation, ()) {
  const int n = *rc::gen::inRange(1, 500), x = *rc::gen::inRange(0, n + 1);
  const auto share = *wilson_share(x, n, 0.95);
  constexpr double z = 1.959963984540054;
  for (const double p : {share.low, share.high})
    if (p > 1e-9 && p < 1 - 1e-9)
      RC_ASSERT(std::abs(std::abs(share.share - p) / std::sqrt(p * (1 - p) / n) - z) < 1e-6);
}

}  // namespace
}  // namespace dwell::statistics
