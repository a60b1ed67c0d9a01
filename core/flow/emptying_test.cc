#include "flow/emptying.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace dwell::flow {
namespace {

EmptyingInput hanging(double height_cm, double column_cm) {
  EmptyingInput in;
  in.path.fluid = {1.02 * millipascal_second, 1004.6 * kilogram_per_cubic_metre};
  in.path.bag_height = height_cm * centimetre;
  in.path.venous_pressure = 10.0 * millimetre_of_mercury;
  in.path.tubing = {{3.0 * millimetre, 1.8 * metre}};
  in.path.catheter = {0.75 * millimetre, 32.0 * millimetre};
  in.volume = 1.0 * litre;
  in.column = column_cm * centimetre;
  return in;
}

TEST(Emptying, AtConstantHeadItIsVolumeOverFlow) {
  const auto e = *emptying(hanging(91, 0));
  EXPECT_NEAR(double(*e.empty_after / (1.0 * litre / e.at_start)), 1, 1e-9);
  EXPECT_EQ(e.at_start, e.at_end);
}

TEST(Emptying, ATallDropOfAClampedLineHasTheLogarithm) {
  // A clamp so tight that flow is proportional to head: dV/dt = -k h with h falling linearly, so
  // t = (V0 / (Q0 - Q1)) ln(Q0 / Q1).
  EmptyingInput in = hanging(91, 25);
  in.path.clamp = Resistance::from_value(5e11);
  const auto e = *emptying(in);
  const double expected = 1e-3 / (e.at_start - e.at_end).value() * std::log(double(e.at_start / e.at_end));
  EXPECT_NEAR(e.empty_after->value() / expected, 1, 1e-3);
}

TEST(Emptying, ABagThatHangsTooLowStopsAndSaysHowMuchIsLeft) {
  const auto e = *emptying(hanging(25, 25));
  ASSERT_TRUE(e.stops_with);
  EXPECT_FALSE(e.empty_after);
  // 10 mmHg is 13.5 cm of saline: the surface may fall 11.5 of its 25 cm, which leaves 54 %.
  EXPECT_NEAR(in(*e.stops_with, millilitre), 541, 3);
  EXPECT_EQ(e.findings.front().code, "stops_early");
}

TEST(Emptying, ALineThatDoesNotRunSaysSo) {
  const auto e = *emptying(hanging(5, 20));
  EXPECT_EQ(e.findings.front().severity, Severity::stop);
  EXPECT_EQ(*e.stops_with, 1.0 * litre);
}

RC_GTEST_PROP(EmptyingProperty, AFallingHeadIsNeverQuickerAndVolumeFalls, ()) {
  const auto height = static_cast<double>(*rc::gen::inRange(60, 200));
  const auto column = static_cast<double>(*rc::gen::inRange(1, 35));
  const auto falling = *emptying(hanging(height, column)), level = *emptying(hanging(height, 0));
  RC_ASSERT(*falling.empty_after > *level.empty_after);
  for (std::size_t i = 1; i < falling.course.size(); ++i) {
    RC_ASSERT(falling.course[i].left < falling.course[i - 1].left);
    RC_ASSERT(falling.course[i].after > falling.course[i - 1].after);
    RC_ASSERT(falling.course[i].flow < falling.course[i - 1].flow);
  }
}

TEST(Emptying, BadInputIsNamed) {
  EmptyingInput in = hanging(91, 90);
  in.volume = Volume();
  in.path.catheter.length = Length();
  const auto refused = emptying(in);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().size(), 3u);
  EXPECT_EQ(refused.error().front().path, "/path/catheter/length");
}

}  // namespace
}  // namespace dwell::flow
