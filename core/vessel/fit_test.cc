#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <numbers>

#include "vessel/fit.h"

namespace dwell::vessel {
namespace {

TEST(Fit, AboveOneIsReturnedNotClipped) {
  EXPECT_NEAR(double(catheter_to_vein_ratio(2.1 * millimetre, 1.5 * millimetre)), 1.4, 1e-12);
  EXPECT_EQ(double(annular_flow_share(Ratio(1.4))), 0);
}

TEST(Fit, RefusesEveryImpossibleField) {
  const auto refused =
      fit({0.0 * millimetre, 500.0 * millimetre, 2.0 * millimetre, -1.0 * millimetre, 0, 0.0 * millimetre});
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().size(), 4u);
}

FitInput usual() {
  return {1.1 * millimetre, 32.0 * millimetre, 3.0 * millimetre, 3.0 * millimetre, 20, 1.0 * millimetre};
}

std::string first_code(const Fit& f) { return f.findings.empty() ? "" : f.findings.front().code; }

TEST(Fit, AFilledVeinIsAStop) {
  auto input = usual();
  EXPECT_EQ(first_code(*fit(input)), "");
  input.catheter_outer = input.vein_inner;
  ASSERT_EQ(first_code(*fit(input)), "filled_vein");
  EXPECT_EQ(fit(input)->findings.front().severity, Severity::stop);
}

TEST(Fit, ACatheterThatDoesNotReachTheVeinIsAStop) {
  auto input = usual();
  input.depth = 20.0 * millimetre;
  EXPECT_EQ(first_code(*fit(input)), "not_in_vein");
}

TEST(Fit, TheWardsLimitsOnBothSides) {
  const FitLimits limits{Ratio(0.33), Ratio(0.45), Ratio(0.5), Ratio(0.3)};
  auto input = usual();
  const auto with_ratio = [&](double ratio) {
    input.catheter_outer = ratio * input.vein_inner;
    return first_code(*fit(input, limits));
  };
  EXPECT_EQ(with_ratio(0.33), "");
  EXPECT_EQ(with_ratio(0.331), "vein_share_high");
  EXPECT_EQ(with_ratio(0.45), "vein_share_high");
  EXPECT_EQ(with_ratio(0.451), "vein_share");
  input.catheter_outer = 0.2 * input.vein_inner;
  const auto with_share = [&](double share) {
    input.depth = (input.catheter_length * (1 - share) - input.exposed) * std::sin(20 * std::numbers::pi / 180);
    return first_code(*fit(input, limits));
  };
  EXPECT_EQ(with_share(0.501), "");
  EXPECT_EQ(with_share(0.499), "short_in_vein");
  EXPECT_EQ(with_share(0.301), "short_in_vein");
  EXPECT_EQ(with_share(0.299), "share_in_vein");
}

RC_GTEST_PROP(FitProperty, FullerVeinLessFlow, ()) {
  const double k = *rc::gen::inRange(1, 98) / 100.0;
  RC_ASSERT(annular_flow_share(Ratio(k)) > annular_flow_share(Ratio(k + 0.01)));
}

RC_GTEST_PROP(FitProperty, TheLengthForAShareGivesThatShare, ()) {
  const double share = *rc::gen::inRange(1, 95) / 100.0;
  const Length depth = 1.0 * *rc::gen::inRange(0, 20) * millimetre;
  const double angle = *rc::gen::inRange(5, 60);
  const Length exposed = 1.0 * millimetre;
  const Length length = length_for_share(Ratio(share), depth, angle, exposed);
  RC_ASSERT(std::abs(double(share_in_vein(length, depth, angle, exposed)) - share) < 1e-9);
}

}  // namespace
}  // namespace dwell::vessel
