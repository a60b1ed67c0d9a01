#include "flow/network.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "flow/path.h"

namespace dwell::flow {
namespace {

const Fluid saline{1.02 * millipascal_second, 1004.6 * kilogram_per_cubic_metre};

Branch bag(double height_cm, bool valve = false) {
  Branch branch;
  branch.drive = Bag{height_cm * centimetre, Pressure()};
  branch.fluid = saline;
  branch.tubing = {{3.0 * millimetre, 1.5 * metre}};
  branch.back_check_valve = valve;
  return branch;
}

Network into_22_gauge(std::vector<Branch> branches) {
  Network network;
  network.branches = std::move(branches);
  network.tubing = {{2.5 * millimetre, 20.0 * centimetre}};
  network.catheter = {0.6 * millimetre, 25.0 * millimetre};
  network.venous_pressure = 10.0 * millimetre_of_mercury;
  return network;
}

bool told(const NetworkSolution& s, const std::string& code) {
  return std::any_of(s.findings.begin(), s.findings.end(), [&](const Finding& f) { return f.code == code; });
}

double between(int low, int high) { return static_cast<double>(*rc::gen::inRange(low, high + 1)); }

/// One to three bags and perhaps a pump, as they may hang on a ward.
Network any_network() {
  std::vector<Branch> branches;
  const int bags = *rc::gen::inRange(1, 4);
  for (int i = 0; i < bags; ++i) {
    branches.push_back(bag(between(10, 200), *rc::gen::arbitrary<bool>()));
    branches.back().clamp = Resistance::from_value(between(0, 500) * 1e9);
    branches.back().fluid.viscosity *= between(1, 5);
  }
  if (*rc::gen::arbitrary<bool>()) {
    branches.push_back(bag(0));
    branches.back().drive = Pump{between(1, 3000) * millilitre / hour, std::nullopt};
  }
  Network network = into_22_gauge(std::move(branches));
  network.catheter.diameter = between(36, 155) / 100 * millimetre;
  return network;
}

RC_GTEST_PROP(NetworkProperty, PressuresBalanceAndFlowsAddUp, ()) {
  const Network network = any_network();
  const Settled s = settle(network);
  RC_ASSERT(s.relative_residual < 1e-9);
  Flow sum;
  for (std::size_t i = 0; i < network.branches.size(); ++i) sum += s.branches[i];
  RC_ASSERT(std::abs((sum - s.total).value()) <= 1e-12 * (1e-9 + std::abs(s.total.value())));
}

RC_GTEST_PROP(NetworkProperty, AlongsideAnotherNoBagRunsFasterThanAlone, ()) {
  const Network both = into_22_gauge({bag(between(40, 200), true), bag(between(40, 200), true)});
  const Settled together = settle(both);
  for (std::size_t i = 0; i < 2; ++i)
    RC_ASSERT(together.branches[i] <= settle(into_22_gauge({both.branches[i]})).total * (1 + 1e-9));
}

RC_GTEST_PROP(NetworkProperty, HigherRunsFaster, ()) {
  Network low = any_network(), high = low;
  std::get<Bag>(high.branches[0].drive).height += 10.0 * centimetre;
  RC_ASSERT(settle(high).branches[0] >= settle(low).branches[0]);
}

RC_GTEST_PROP(NetworkProperty, OneBagIsTheSingleLine, ()) {
  Network network = into_22_gauge({bag(between(40, 200))});
  network.branches[0].clamp = Resistance::from_value(between(0, 1000) * 1e9);
  if (between(0, 1) > 0)
    network.branches[0].set = DeclaredPart{between(80, 600) * 1.0 * millilitre / minute, Ratio(0.3)};
  network.connector = DeclaredPart{between(80, 600) * 1.0 * millilitre / minute, Ratio(0.0)};
  network.vein_outflow = vein_outflow(2.0 * millimetre);
  Path path;
  path.fluid = saline;
  path.bag_height = std::get<Bag>(network.branches[0].drive).height;
  path.venous_pressure = network.venous_pressure;
  path.tubing = {network.branches[0].tubing[0], network.tubing[0]};
  path.clamp = network.branches[0].clamp;
  path.catheter = network.catheter;
  path.set = network.branches[0].set;
  path.connector = network.connector;
  path.vein_outflow = network.vein_outflow;
  RC_ASSERT(std::abs(double(settle(network).total / steady_flow(path)) - 1) < 1e-8);
}

TEST(Network, WithoutAValveTheHigherBagAlsoFeedsTheLower) {
  const Settled together = settle(into_22_gauge({bag(42), bag(40)}));
  EXPECT_LT(together.branches[1], settle(into_22_gauge({bag(40)})).total);
  EXPECT_GT(settle(into_22_gauge({bag(180), bag(40)})).branches[0], settle(into_22_gauge({bag(180)})).total);
}

TEST(Network, TheLowerBagRunsBackWithoutAValve) {
  const auto s = *solve_network(into_22_gauge({bag(40), bag(180)}));
  EXPECT_LT(s.branches[0].flow, Flow());
  EXPECT_TRUE(told(s, "runs_back"));
  EXPECT_GT(s.total, Flow());
}

TEST(Network, AValveHoldsTheLowerBagUntilTheOtherIsEmpty) {
  const auto s = *solve_network(into_22_gauge({bag(40, true), bag(180)}));
  EXPECT_EQ(s.branches[0].flow, Flow());
  EXPECT_TRUE(told(s, "stands_still"));
  EXPECT_FALSE(told(s, "runs_back"));
}

TEST(Network, APumpKeepsItsRateAndSlowsTheBag) {
  Branch pumped = bag(0);
  pumped.drive = Pump{600.0 * millilitre / hour, 40.0 * millimetre_of_mercury};
  const Flow alone = settle(into_22_gauge({bag(100)})).total;
  const auto s = *solve_network(into_22_gauge({bag(100), pumped}));
  EXPECT_NEAR(in(s.branches[1].flow, millilitre / hour), 600, 1e-9);
  EXPECT_LT(s.branches[0].flow, alone);
  EXPECT_GT(s.total, alone);
  EXPECT_TRUE(told(s, "pump_alarm"));  // the bag alone already holds the junction near 70 mmHg
}

TEST(Network, BloodRunsBackWhenEveryBagHangsTooLow) {
  const auto s = *solve_network(into_22_gauge({bag(5)}));
  EXPECT_LT(s.total, Flow());
  EXPECT_TRUE(told(s, "blood_runs_back"));
}

TEST(Network, BehindValvesABagTooLowIsAStopAndNotAWait) {
  const auto s = *solve_network(into_22_gauge({bag(5, true)}));
  EXPECT_EQ(s.total, Flow());
  EXPECT_TRUE(told(s, "no_head"));
}

TEST(Network, WhichBagIsNamedFirstIsNothingToBloodThatRunsBack) {
  Network one = into_22_gauge({bag(5), bag(2)});
  one.branches[1].fluid.viscosity *= 3;
  Network other = one;
  std::swap(other.branches[0], other.branches[1]);
  EXPECT_LT(settle(one).total, Flow());
  EXPECT_NEAR(double(settle(one).total / settle(other).total), 1, 1e-9);
}

TEST(Network, EveryWrongFieldIsNamed) {
  Network network = into_22_gauge({bag(500), bag(100)});
  network.branches[1].drive = Pump{Flow(), Pressure()};
  network.branches[1].fluid.viscosity = Viscosity();
  network.connector_k = -1;
  const auto refused = solve_network(network);
  ASSERT_FALSE(refused);
  std::vector<std::string> paths;
  for (const auto& error : refused.error()) paths.push_back(error.path);
  EXPECT_EQ(paths,
            (std::vector<std::string>{"/branches/0/drive/height", "/branches/1/fluid/viscosity",
                                      "/branches/1/drive/flow", "/branches/1/drive/alarm_pressure", "/connector_k"}));
  EXPECT_FALSE(solve_network(Network{}));
}

}  // namespace
}  // namespace dwell::flow
