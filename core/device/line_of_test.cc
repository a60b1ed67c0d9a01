#include "device/line_of.h"

#include <gtest/gtest.h>

#include "exchange/library.h"

namespace dwell::device {
namespace {

const policy::Gravity& gravity() { return exchange::default_library().policy.gravity; }

Catheter twenty() {
  for (const auto& catheter : exchange::default_library().catheters)
    if (catheter.id == "20 gauge 32 mm") return catheter;
  return {};
}

/// As near as reading "175 mL/min" comes to the same figure in the code.
void expect_alike(const flow::UsualSet& said, const flow::UsualSet& usual) {
  EXPECT_NEAR(double(said.part.open_flow / usual.part.open_flow), 1, 1e-12);
  EXPECT_NEAR(double(said.part.laminar_share / usual.part.laminar_share), 1, 1e-12);
  EXPECT_NEAR(double(said.low / usual.low), 1, 1e-12);
  EXPECT_NEAR(double(said.high / usual.high), 1, 1e-12);
}

TEST(LineOf, TheBuiltInPolicySaysWhatIsUsual) {
  expect_alike(set_of(gravity(), SetKind::ward), flow::ward_set());
  expect_alike(set_of(gravity(), SetKind::wide), flow::wide_set());
  const auto line = open_line_of(twenty(), gravity());
  const flow::OpenLine usual;
  EXPECT_NEAR(double(line.venous_pressure / usual.venous_pressure), 1, 1e-12);
  EXPECT_NEAR(double(line.venous_spread / usual.venous_spread), 1, 1e-12);
  EXPECT_NEAR(double(line.sleeve_shift / usual.sleeve_shift), 1, 1e-12);
  EXPECT_NEAR(double(line.sleeve_spread / usual.sleeve_spread), 1, 1e-12);
  EXPECT_NEAR(line.rig_spread, usual.rig_spread, 1e-12);
}

TEST(LineOf, APolicyWithoutSetsIsReckonedWithTheUsualOnes) {
  policy::Gravity older = gravity();
  older.ward_set.reset();
  older.wide_set.reset();
  EXPECT_EQ(set_of(older, SetKind::ward), flow::ward_set());
  EXPECT_EQ(set_of(older, SetKind::wide), flow::wide_set());
}

TEST(LineOf, AWardThatFilledACupKeepsTheSpreadAboutItsOwnFlow) {
  policy::Gravity measured = gravity();
  measured.ward_set = policy::GivingSet{};
  measured.ward_set->open_flow = {140.0 * millilitre / minute, "a cup, 30 s", Mark::practice};
  const auto set = set_of(measured, SetKind::ward);
  EXPECT_NEAR(in(set.part.open_flow, millilitre / minute), 140, 1e-9);
  EXPECT_NEAR(in(set.low, millilitre / minute), 80, 1e-9);
  EXPECT_NEAR(in(set.high, millilitre / minute), 240, 1e-9);
}

TEST(LineOf, TheFlowOnThePackCountsBeforeTheBore) {
  Catheter catheter = twenty();
  const auto by_gauge = usual_catheter(catheter);
  catheter.declared_flow = 54.0 * millilitre / minute;
  const auto by_pack = usual_catheter(catheter);
  EXPECT_NEAR(in(by_pack.bore.diameter, millimetre), 0.717, 0.001);
  EXPECT_LT(by_pack.bore_spread, by_gauge.bore_spread);
}

TEST(LineOf, AnEntryThatCannotBeIsNamed) {
  EXPECT_TRUE(check_catheter("", twenty()).empty());
  Catheter wrong = twenty();
  wrong.outer = wrong.bore;
  wrong.declared_flow = 600.0 * millilitre / minute;
  const auto errors = check_catheter("/catheter/3", wrong);
  ASSERT_EQ(errors.size(), 2u);
  EXPECT_EQ(errors[0].path, "/catheter/3/outer");
  EXPECT_EQ(errors[1].path, "/catheter/3/declared_flow");
}

}  // namespace
}  // namespace dwell::device
