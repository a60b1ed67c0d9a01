#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "flow/drops.h"
#include "quantity/shown_in.h"
#include "say/flow.h"

namespace dwell::flow {
namespace {

DripCount steady(double drops_per_minute, int taps, std::optional<double> ordered_mL_per_h = std::nullopt) {
  DripCount count;
  for (int i = 0; i < taps; ++i) count.taps.push_back(i * 60.0 / drops_per_minute * second);
  count.drop_factor = 20.0 * drop / millilitre;
  count.drop_size_tolerance = Ratio(0.1);
  if (ordered_mL_per_h) count.ordered = *ordered_mL_per_h * millilitre / hour;
  return count;
}

TEST(Drip, TwentyPercentFastSaysSlowerByEight) {
  const auto e = *estimate_drip(steady(50, 31, 125));
  EXPECT_NEAR(in(e.flow, millilitre / hour), 150, 1e-6);
  EXPECT_NEAR(double(*e.excess), 0.2, 1e-9);
  EXPECT_EQ(e.advice, DripAdvice::slower);
  EXPECT_EQ(e.change_drops_per_minute, -8);
  EXPECT_EQ(e.advice_text, say::runs_fast_close_a_little(Ratio(0.2), say::drops_slower(8, shown_number(42))));
}

TEST(Drip, WithinDropSizeIsLeftAlone) { EXPECT_EQ(estimate_drip(steady(44, 31, 125))->advice, DripAdvice::hold); }

TEST(Drip, SlowSaysFaster) { EXPECT_EQ(estimate_drip(steady(30, 31, 125))->advice, DripAdvice::faster); }

TEST(Drip, AChangeOfLessThanADropIsSaidInSeconds) {
  // 5 mL/h by a 20-drop set is a drop every 36 s; counted every 28.6 s.
  const auto e = *estimate_drip(steady(2.1, 31, 5));
  EXPECT_EQ(e.advice, DripAdvice::slower);
  EXPECT_EQ(e.advice_text, say::runs_fast_close(*e.excess, say::one_drop_every(shown(36.0 * second),
                                                                               shown_in(28.6 * second, second, "s"))));
}

TEST(Drip, FourTimesTheOrderIsNoSmallMatter) {
  const auto e = *estimate_drip(steady(167, 31, 125));
  EXPECT_EQ(e.advice, DripAdvice::slower);
  EXPECT_EQ(e.advice_text, say::runs_far_too_fast(shown_number(4), shown_number(42)));
  ASSERT_EQ(e.findings.size(), 1u);
  EXPECT_EQ(e.findings[0].severity, Severity::stop);
  // Twice is the limit, on both sides of it.
  EXPECT_EQ(estimate_drip(steady(125.0 * 2 * 20 / 60, 31, 125))->findings[0].code, "far_too_fast");
  EXPECT_EQ(estimate_drip(steady(125.0 * 1.99 * 20 / 60, 31, 125))->findings[0].code, "too_fast");
}

TEST(Drip, UnevenTapsDoNotHideTwiceTheOrder) {
  auto count = steady(167, 31, 125);
  count.taps.erase(count.taps.begin() + 7);
  const auto e = *estimate_drip(count);
  EXPECT_FALSE(e.missed_taps.empty());
  ASSERT_FALSE(e.findings.empty());
  EXPECT_EQ(e.findings[0].code, "far_too_fast");
}

TEST(Drip, BeyondTheCatchUpLimitTheClampIsNotClosedALittle) {
  const auto within = *estimate_drip(steady(125.0 * 1.25 * 20 / 60, 61, 125));
  EXPECT_EQ(within.advice_text.id(), "runs_fast_close_a_little");
  const auto beyond = *estimate_drip(steady(125.0 * 1.26 * 20 / 60, 61, 125));
  EXPECT_EQ(beyond.advice_text.id(), "runs_fast_close");
  EXPECT_EQ(beyond.findings[0].code, "too_fast");
}

TEST(Drip, AtHalfTheOrderTheSiteComesBeforeTheClamp) {
  const auto e = *estimate_drip(steady(20, 31, 125));
  EXPECT_EQ(e.advice, DripAdvice::faster);
  EXPECT_EQ(e.advice_text.id(), "runs_slow_look_first");
  EXPECT_EQ(e.findings[0].code, "far_too_slow");
  EXPECT_EQ(estimate_drip(steady(30, 31, 125))->findings[0].code, "slow");
}

TEST(Drip, WithoutAnOrderNothingIsLeftAlone) {
  const auto e = *estimate_drip(steady(167, 31));
  EXPECT_EQ(e.advice, DripAdvice::none);
  EXPECT_EQ(e.findings[0].code, "no_order");
}

TEST(Drip, DropsOfAnySizeAreNotCalledRight) {
  // 15 % fast with drops known to 30 %: it may run half as fast again as ordered.
  auto count = steady(48, 61, 125);
  count.drop_size_tolerance = Ratio(0.3);
  EXPECT_EQ(estimate_drip(count)->advice, DripAdvice::count_longer);
}

TEST(Drip, AMissedTapIsNoticed) {
  auto count = steady(42, 20, 125);
  count.taps.erase(count.taps.begin() + 7);
  const auto e = *estimate_drip(count);
  EXPECT_EQ(e.missed_taps, std::vector<int>{6});
  EXPECT_EQ(e.advice, DripAdvice::count_longer);
}

TEST(Drip, BadInputIsNamed) {
  auto count = steady(42, 2);
  count.drop_factor = 1.0 * drop / millilitre;
  const auto refused = estimate_drip(count);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error()[0].path, "/taps");
  EXPECT_EQ(refused.error()[1].path, "/drop_factor");
  count = steady(42, 5);
  count.taps[3] = count.taps[2];
  EXPECT_EQ(estimate_drip(count).error().front().path, "/taps/3");
}

TEST(CountingTime, TwentyDropsForFivePercentByTheWatch) {
  const auto c = *counting_time({40.0 * drop / minute, Ratio(0.05), 0.1 * second});
  EXPECT_EQ(c.drops_in_window, 20);
  EXPECT_NEAR(c.window.value(), 30, 1e-9);
  // 1.96 * sqrt 2 * 0.1 s / 0.05 = 5.54 s: four intervals of 1.5 s.
  EXPECT_EQ(c.taps, 5);
  EXPECT_NEAR(c.tapping.value(), 6, 1e-9);
}

TEST(CountingTime, BadInputIsNamed) {
  const auto refused = counting_time({DropRate(), Ratio(0.9), Duration()});
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().size(), 3u);
}

RC_GTEST_PROP(DripProperty, TheIntervalHoldsTheEstimate, ()) {
  const auto e = *estimate_drip(steady(*rc::gen::inRange(5, 200), *rc::gen::inRange(3, 60)));
  RC_ASSERT((e.flow_low < e.flow && e.flow < e.flow_high));
  RC_ASSERT((e.drop_rate_low <= e.drop_rate && e.drop_rate <= e.drop_rate_high));
  RC_ASSERT(double((e.flow_high - e.flow) / e.flow) >= 0.1 - 1e-12);
}

}  // namespace
}  // namespace dwell::flow
