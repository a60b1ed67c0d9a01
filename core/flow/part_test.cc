#include "flow/part.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace dwell::flow {
namespace {

TEST(Part, PassesItsOpenFlowFromOneMetreOfSaline) {
  const DeclaredPart set{175.0 * millilitre / minute, Ratio(0.3)};
  const double metre_of_saline = 1004.6 * 9.80665;
  EXPECT_NEAR(part_loss(set, reference_fluid(), set.open_flow).value(), metre_of_saline, 1e-6);
  EXPECT_NEAR(si::Part(set, reference_fluid()).flow_at(metre_of_saline), set.open_flow.value(), 1e-15);
}

TEST(Part, OnlyTheLaminarShareFollowsTheViscosity) {
  Fluid thick = reference_fluid();
  thick.viscosity *= 3;
  const Flow flow = 100.0 * millilitre / minute;
  const auto times_as_much = [&](double share) {
    const DeclaredPart part{175.0 * millilitre / minute, Ratio(share)};
    return double(part_loss(part, thick, flow) / part_loss(part, reference_fluid(), flow));
  };
  EXPECT_NEAR(times_as_much(1), 3, 1e-12);
  EXPECT_NEAR(times_as_much(0), 1, 1e-12);
}

TEST(Part, AnOrificeWithoutPressurePassesNothing) {
  EXPECT_EQ(si::Part({1.0 * litre / minute, Ratio(0.0)}, reference_fluid()).flow_at(0), 0);
}

TEST(DeclaredFlow, WhatNoBoreGivesIsRefused) {
  EXPECT_EQ(bore_of_declared(1.0 * litre / minute, 30.0 * millimetre).error().front().path, "/declared_flow");
  EXPECT_EQ(bore_of_declared(60.0 * millilitre / minute, 1.0 * millimetre).error().front().path, "/length");
}

RC_GTEST_PROP(DeclaredFlowProperty, BoreAndFlowAreEachOthersInverse, ()) {
  const Length length = 1.0 * *rc::gen::inRange(14, 60) * millimetre;
  const Flow declared = 1.0 * *rc::gen::inRange(10, 350) * millilitre / minute;
  const auto bore = bore_of_declared(declared, length);
  RC_ASSERT(bore.has_value());
  RC_ASSERT(std::abs(double(declared_of_bore({*bore, length}) / declared) - 1) < 1e-6);
}

RC_GTEST_PROP(DeclaredFlowProperty, MoreOnThePackIsAWiderBore, ()) {
  const Length length = 1.0 * *rc::gen::inRange(14, 60) * millimetre;
  const Flow declared = 1.0 * *rc::gen::inRange(10, 340) * millilitre / minute;
  RC_ASSERT(*bore_of_declared(declared * 1.02, length) > *bore_of_declared(declared, length));
}

TEST(UsualVein, WiderForWiderCatheters) {
  for (int gauge = 27; gauge > 13; --gauge) EXPECT_LE(usual_vein(Gauge{gauge}), usual_vein(Gauge{gauge - 1})) << gauge;
  EXPECT_EQ(usual_vein(Gauge{17}), (3.2 + 4.3) / 2 * millimetre);
}

}  // namespace
}  // namespace dwell::flow
