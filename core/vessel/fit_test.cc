#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

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
