#include "flow/open_line.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>

namespace dwell::flow {
namespace {

OpenLine line_of(int gauge, double bore, double length) {
  OpenLine line;
  line.catheter = by_gauge(Gauge{gauge}, {bore * millimetre, length * millimetre});
  line.vein = usual_vein(Gauge{gauge});
  return line;
}

OpenLine twenty() { return line_of(20, 0.745, 32); }

Standing at_height(double metres) {
  Standing standing;
  standing.fluid = reference_fluid();
  standing.bag_height = metres * metre;
  return standing;
}

OpenCount counted(double height, double mL_per_min) { return {at_height(height), mL_per_min * millilitre / minute}; }

bool has(const OpenLineAnswer& answer, const std::string& code) {
  return std::any_of(answer.findings.begin(), answer.findings.end(), [&](const Finding& f) { return f.code == code; });
}

double width(const FlowBand& band) { return double(band.high / band.middle); }

TEST(OpenLine, UncountedInAVeinTheLowEndIsThatOfTheSlowestPublished) {
  const auto answer = *open_line(twenty(), at_height(0.9), {});
  EXPECT_LE(double(answer.before.low / answer.before.middle), 0.46);
  EXPECT_TRUE(has(answer, "can_be_half"));
  auto bench = twenty();
  bench.in_vein = false;
  EXPECT_GT(double(expected(bench, at_height(0.9)).low / expected(bench, at_height(0.9)).middle), 0.7);
}

TEST(OpenLine, ACountNarrowsTheBandAsSpecified) {
  // 20 gauge counted at 0.9 m; with the reading, without the spread between rigs: 0.5 m 17 -> 9 %, 1.4 m 12 -> 7 %.
  auto line = twenty();
  line.rig_spread = 0;
  const auto spread = [&](double height, const Belief& belief) {
    const FlowBand band = expected(line, at_height(height), belief, true);
    return std::hypot(std::log(double(band.high / band.low)) / 2 / 1.645, 0.05);
  };
  const double usual = in(flow_at(line, at_height(0.9)), millilitre / minute);
  const Belief after = after_counting(line, {counted(0.9, usual)});
  EXPECT_NEAR(spread(0.5, before_counting()), 0.17, 0.01);
  EXPECT_NEAR(spread(0.5, after), 0.09, 0.015);  // near standstill the true flow, not the slope
  EXPECT_NEAR(spread(1.4, before_counting()), 0.12, 0.01);
  EXPECT_NEAR(spread(1.4, after), 0.07, 0.01);
}

TEST(OpenLine, ACountOfWhatWasExpectedMovesNothing) {
  const auto line = twenty();
  const Flow usual = flow_at(line, at_height(0.9));
  const Belief after = after_counting(line, {{at_height(0.9), usual}});
  for (const double x : after.middle) EXPECT_NEAR(x, 0, 1e-6);
}

TEST(OpenLine, ASetThatSeemsTooTightIsNotTheSet) {
  const auto wide = line_of(16, 1.263, 45);
  const auto slow = *open_line(wide, at_height(0.9), {counted(0.9, 40)});
  ASSERT_TRUE(slow.set_flow_implied.has_value());
  EXPECT_LT(*slow.set_flow_implied, 100.0 * millilitre / minute);
  EXPECT_TRUE(has(slow, "too_tight"));
  EXPECT_TRUE(has(slow, "slow_was_published"));
  const auto usual = *open_line(wide, at_height(0.9), {counted(0.9, 100)});
  EXPECT_FALSE(has(usual, "too_tight"));
}

TEST(OpenLine, ASetOfAStandardFlowIsFoundFromItsCount) {
  auto tight = line_of(14, 1.559, 45);
  tight.set.part.open_flow = 120.0 * millilitre / minute;
  const Flow seen = flow_at(tight, at_height(0.9));
  const auto line = line_of(14, 1.559, 45);
  EXPECT_NEAR(in(*set_flow_implied(line, {at_height(0.9), seen}), millilitre / minute), 120, 0.01);
}

TEST(OpenLine, FasterThanTheCatheterIsSaid) {
  const auto fast = *open_line(twenty(), at_height(0.9), {counted(0.9, 120)});
  EXPECT_TRUE(has(fast, "faster_than_possible"));
  EXPECT_FALSE(fast.set_flow_implied.has_value());
  EXPECT_FALSE(has(*open_line(twenty(), at_height(0.9), {counted(0.9, 48)}), "faster_than_possible"));
}

TEST(OpenLine, TwoHeightsTellPressureFromNarrowness) {
  // The line that is really there has a tourniquet on: 35 mmHg behind the tip.
  auto held = twenty();
  held.venous_pressure = 35.0 * millimetre_of_mercury;
  const auto seen = [](const OpenLine& line, double height) {
    return OpenCount{at_height(height), flow_at(line, at_height(height))};
  };
  const auto by_pressure = *open_line(twenty(), at_height(0.9), {seen(held, 0.9), seen(held, 1.5)});
  EXPECT_TRUE(has(by_pressure, "held_by_pressure"));
  // And one that is as slow at 0.9 m because its set is narrow.
  auto narrow = twenty();
  const Flow wanted = flow_at(held, at_height(0.9));
  double low = 20, high = 175;
  for (int i = 0; i < 50; ++i) {
    narrow.set.part.open_flow = (low + high) / 2 * millilitre / minute;
    (flow_at(narrow, at_height(0.9)) < wanted ? low : high) = (low + high) / 2;
  }
  const auto by_set = *open_line(twenty(), at_height(0.9), {seen(narrow, 0.9), seen(narrow, 1.5)});
  EXPECT_FALSE(has(by_set, "held_by_pressure"));
  EXPECT_TRUE(has(by_set, "held_by_narrowness"));
  EXPECT_TRUE(has(*open_line(twenty(), at_height(0.9), {seen(held, 0.9), seen(held, 0.95)}), "heads_alike"));
  const auto usual = *open_line(twenty(), at_height(0.9), {seen(twenty(), 0.9), seen(twenty(), 1.5)});
  EXPECT_TRUE(usual.findings.empty());
}

TEST(OpenLine, DropsOfUnknownSizeTellLessThanAMeasuredVolume) {
  auto by_drops = counted(0.9, 40);
  by_drops.drop_size_tolerance = Ratio(0.1);
  const auto line = twenty();
  EXPECT_GT(width(expected(line, at_height(0.9), after_counting(line, {by_drops}), true)),
            width(expected(line, at_height(0.9), after_counting(line, {counted(0.9, 40)}), true)));
}

TEST(OpenLine, ABagBelowTheVeinIsAStopAndNoCount) {
  const auto low = *open_line(twenty(), at_height(-0.1), {});
  EXPECT_EQ(low.before.middle, Flow());
  ASSERT_EQ(low.findings.size(), 1u);
  EXPECT_EQ(low.findings.front().severity, Severity::stop);
  const auto refused = open_line(twenty(), at_height(0.9), {counted(0.05, 10)});
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().path, "/counts/0/bag_height");
}

TEST(OpenLine, AnOrderOutOfReachIsAStop) {
  EXPECT_TRUE(has(*open_line(twenty(), at_height(0.9), {counted(0.9, 20)}, 5.0 * litre / hour), "order_out_of_reach"));
  EXPECT_FALSE(
      has(*open_line(twenty(), at_height(0.9), {counted(0.9, 40)}, 125.0 * millilitre / hour), "order_hardly_reached"));
}

TEST(OpenLine, EveryWrongFieldIsNamed) {
  auto wrong = counted(0.9, 0);
  wrong.error = 2;
  auto standing = at_height(9);
  const auto refused = open_line(twenty(), standing, {wrong});
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().size(), 3u);
}

OpenLine any_line() {
  static const std::vector<OpenLine> all{line_of(24, 0.429, 19), line_of(22, 0.59, 25),  twenty(),
                                         line_of(18, 0.927, 38), line_of(16, 1.263, 45), line_of(14, 1.559, 45)};
  return *rc::gen::elementOf(all);
}

RC_GTEST_PROP(OpenLineProperty, TheMiddleLiesInTheBandAndACountNeverWidensIt, ()) {
  const auto line = any_line();
  const auto standing = at_height(*rc::gen::inRange(40, 200) / 100.0);
  const FlowBand before = expected(line, standing, before_counting(), true);
  RC_ASSERT((before.low < before.middle && before.middle < before.high));
  const Flow seen = before.middle * (*rc::gen::inRange(60, 150) / 100.0);
  const Belief after = after_counting(line, {{standing, seen}});
  for (std::size_t i = 0; i < unknowns; ++i) RC_ASSERT(after.covariance[i][i] <= 1 + 1e-9);
  const FlowBand now = expected(line, standing, after, true);
  // What is left of the surprise is the reading's: the belief comes to within a few percent of the count.
  RC_ASSERT(std::abs(std::log(double(now.middle / seen))) <= std::abs(std::log(double(before.middle / seen))) + 1e-9);
  RC_ASSERT((now.low < seen * 1.3 && now.high > seen / 1.3));
}

RC_GTEST_PROP(OpenLineProperty, MoreCountedIsMoreBelieved, ()) {
  const auto line = any_line();
  const auto standing = at_height(*rc::gen::inRange(60, 200) / 100.0);
  const Flow seen = flow_at(line, standing) * (*rc::gen::inRange(50, 130) / 100.0);
  const auto believed = [&](Flow flow) {
    return expected(line, standing, after_counting(line, {{standing, flow}}), true).middle;
  };
  RC_ASSERT(believed(seen * 1.05) > believed(seen));
  const auto implied = set_flow_implied(line, {standing, seen});
  const auto more = set_flow_implied(line, {standing, seen * 1.05});
  if (more) RC_ASSERT(*more > *implied);
}

}  // namespace
}  // namespace dwell::flow
