#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "flow/path.h"

namespace dwell::flow {
namespace {

/// A line as met on a ward: 24 to 14 gauge, 0.2 to 2 m, cuff or none, clamp or none.
Path any_line() {
  const auto between = [](int low, int high) { return static_cast<double>(*rc::gen::inRange(low, high + 1)); };
  Path path;
  path.fluid = {between(70, 400) / 100.0 * millipascal_second, between(990, 1080) * 1.0 * kilogram_per_cubic_metre};
  path.bag_height = between(20, 200) * centimetre;
  path.bag_pressure = between(0, 300) * millimetre_of_mercury;
  path.venous_pressure = between(0, 12) * millimetre_of_mercury;
  path.tubing = {{between(25, 40) / 10.0 * millimetre, between(100, 250) * centimetre}};
  path.clamp = Resistance::from_value(between(0, 1000) * 1e9);
  path.catheter = {between(40, 170) / 100.0 * millimetre, between(14, 50) * millimetre};
  return path;
}

RC_GTEST_PROP(PathProperty, ResidualIsSmall, ()) { RC_ASSERT(solve(any_line())->relative_residual < 1e-9); }

RC_GTEST_PROP(PathProperty, WiderIsFaster, ()) {
  Path narrow = any_line(), wide = narrow;
  wide.catheter.diameter *= 1.1;
  RC_ASSERT(steady_flow(wide) > steady_flow(narrow));
}

RC_GTEST_PROP(PathProperty, LongerIsSlower, ()) {
  Path brief = any_line(), longer = brief;
  longer.catheter.length *= 1.2;
  RC_ASSERT(steady_flow(longer) < steady_flow(brief));
}

RC_GTEST_PROP(PathProperty, HigherIsFasterAndThickerIsSlower, ()) {
  Path low = any_line(), high = low, thick = low;
  high.bag_height += 10.0 * centimetre;
  thick.fluid.viscosity *= 1.3;
  RC_ASSERT(steady_flow(high) > steady_flow(low));
  RC_ASSERT(steady_flow(thick) < steady_flow(low));
}

RC_GTEST_PROP(PathProperty, TheClampForAFlowGivesThatFlow, ()) {
  Path path = any_line();
  path.clamp = Resistance();
  const Flow wanted = steady_flow(path) * (*rc::gen::inRange(1, 99) / 100.0);
  const auto clamp = clamp_for(path, wanted);
  RC_ASSERT(clamp.has_value());
  path.clamp = *clamp;
  RC_ASSERT(std::abs(double(steady_flow(path) / wanted) - 1) < 1e-8);
}

RC_GTEST_PROP(PathProperty, HeightAndCuffForAFlowGiveThatFlow, ()) {
  Path path = any_line();
  path.bag_pressure = Pressure();
  const Flow wanted = (1.0 + *rc::gen::inRange(0, 100)) * millilitre / minute;
  Path raised = path, cuffed = path;
  raised.bag_height = height_for(path, wanted);
  RC_ASSERT(std::abs(double(steady_flow(raised) / wanted) - 1) < 1e-8);
  if (const auto cuff = cuff_for(path, wanted)) {
    cuffed.bag_pressure = *cuff;
    RC_ASSERT(std::abs(double(steady_flow(cuffed) / wanted) - 1) < 1e-8);
  } else {
    RC_ASSERT(steady_flow(path) >= wanted);
  }
}

RC_GTEST_PROP(LossProperty, MoreFlowAlwaysLosesMore, ()) {
  // Through the step from laminar to turbulent too, in tubing and in the catheter.
  const Path line = any_line();
  const Flow flow = static_cast<double>(*rc::gen::inRange(1, 200000)) * millilitre / hour;
  RC_ASSERT(catheter_loss(line.catheter, line.fluid, flow * 1.01) > catheter_loss(line.catheter, line.fluid, flow));
  RC_ASSERT(tubing_loss(line.tubing[0], line.fluid, flow * 1.01) > tubing_loss(line.tubing[0], line.fluid, flow));
}

RC_GTEST_PROP(FluidProperty, BloodThickensWithCellsAndCold, ()) {
  const Ratio cells(*rc::gen::inRange(0, 75) / 100.0);
  const Temperature warm{static_cast<double>(*rc::gen::inRange(5, 40))};
  RC_ASSERT(blood(cells + Ratio(0.01), warm).viscosity > blood(cells, warm).viscosity);
  RC_ASSERT(blood(cells, Temperature{warm.celsius - 1}).viscosity > blood(cells, warm).viscosity);
  const Fluid saline = aqueous(1.02, 1004.6 * kilogram_per_cubic_metre, warm);
  const Fluid mixed = joined(saline, Ratio(0.5), blood(cells, warm));
  RC_ASSERT(mixed.viscosity >= std::min(saline.viscosity, blood(cells, warm).viscosity));
  RC_ASSERT(mixed.viscosity <= std::max(saline.viscosity, blood(cells, warm).viscosity));
}

RC_GTEST_PROP(PathProperty, WhatAClampPassesFollowsTheViscosity, ()) {
  // Nearly all of the loss lies in the clamp: twice as thick, half the flow. (A clamp that cost the same for every
  // fluid let blood through as fast as saline.)
  Path thin = any_line();
  thin.clamp = Resistance::from_value(*rc::gen::inRange(2, 50) * 1e13);
  Path thick = thin;
  thick.fluid.viscosity *= 2;
  RC_ASSERT(std::abs(double(steady_flow(thin) / steady_flow(thick)) - 2) < 0.05);
}

RC_GTEST_PROP(PathProperty, ATighterSetConnectorOrVeinIsSlower, ()) {
  Path path = any_line();
  path.set = DeclaredPart{1.0 * *rc::gen::inRange(50, 600) * millilitre / minute, Ratio(0.3)};
  path.connector = DeclaredPart{1.0 * *rc::gen::inRange(50, 600) * millilitre / minute, Ratio(0.0)};
  path.vein_outflow = vein_outflow(2.0 * millimetre);
  const Flow flow = steady_flow(path);
  Path tight_set = path, tight_connector = path, small_vein = path;
  tight_set.set->open_flow *= 0.9;
  tight_connector.connector->open_flow *= 0.9;
  small_vein.vein_outflow = vein_outflow(1.8 * millimetre);
  RC_ASSERT(steady_flow(tight_set) < flow);
  RC_ASSERT(steady_flow(tight_connector) < flow);
  RC_ASSERT(steady_flow(small_vein) < flow);
  RC_ASSERT(solve(path)->relative_residual < 1e-9);
}

TEST(PathSolve, AHeadThatCarriesNothingIsAStop) {
  Path path;
  path.fluid = {1.0 * millipascal_second, 1000.0 * kilogram_per_cubic_metre};
  path.bag_height = -10.0 * centimetre;
  path.catheter = {0.6 * millimetre, 25.0 * millimetre};
  ASSERT_EQ(solve(path)->findings.size(), 1u);
  EXPECT_EQ(solve(path)->findings.front().code, "bag_below_tip");
  EXPECT_EQ(solve(path)->findings.front().severity, Severity::stop);
  path.bag_height = 5.0 * centimetre;
  path.venous_pressure = 10.0 * millimetre_of_mercury;
  ASSERT_EQ(solve(path)->findings.size(), 1u);
  EXPECT_EQ(solve(path)->findings.front().code, "no_head");
  path.bag_height = 90.0 * centimetre;
  EXPECT_TRUE(solve(path)->findings.empty());
}

TEST(PathSolve, NoHeadNoFlow) {
  Path path;
  path.fluid = {1.0 * millipascal_second, 1000.0 * kilogram_per_cubic_metre};
  path.bag_height = 5.0 * centimetre;
  path.venous_pressure = 10.0 * millimetre_of_mercury;
  path.catheter = {0.6 * millimetre, 25.0 * millimetre};
  EXPECT_EQ(steady_flow(path), Flow());
  EXPECT_FALSE(clamp_for(path, 10.0 * millilitre / hour));
}

TEST(PathSolve, EveryWrongFieldIsNamed) {
  Path path;  // all zero
  path.tubing = {{20.0 * millimetre, 1.0 * metre}};
  const auto refused = solve(path);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().size(), 5u);  // viscosity, density, both of the catheter, the tubing's bore
  EXPECT_EQ(refused.error().back().path, "/tubing/0/diameter");
}

}  // namespace
}  // namespace dwell::flow
