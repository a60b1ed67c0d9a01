// Flow, drip and fit: a faster drip against its order, a lower bag, a thicker fluid, a smaller vein or less knowledge
// never makes the answer milder, and another way of writing never changes it.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "engine/engine.h"
#include "exchange/library.h"
#include "flow/drops.h"
#include "flow/network.h"
#include "flow/open_line.h"
#include "generated.h"
#include "vessel/fit.h"

namespace dwell::flow {
namespace {

using monotone::Chance, monotone::each_case;

/// 0 nothing to say against it, 1 caution, 2 stop.
int rank(const std::vector<Finding>& findings) {
  int worst = 0;
  for (const auto& finding : findings) worst = std::max(worst, static_cast<int>(finding.severity));
  return worst;
}

// ---- the counted drip ----

DripCount any_count(Chance& chance) {
  DripCount count;
  count.drop_factor = (chance.coin() ? 20.0 : 60.0) * drop / millilitre;
  count.drop_size_tolerance = Ratio(chance.between(0.02, 0.2));
  const double ordered = chance.by_magnitude(1, 1500);  // mL/h: a newborn's to a resuscitation's
  count.ordered = ordered * millilitre / hour;
  const double times = chance.by_magnitude(0.2, 6);
  const double interval = 3600 / (ordered * times * in(count.drop_factor, drop / millilitre));
  const int taps = chance.whole(3, 40);
  for (int i = 0; i < taps; ++i)
    count.taps.push_back((i + (i > 0 ? chance.between(-0.03, 0.03) : 0)) * std::max(interval, 0.02) * second);
  return count;
}

DripEstimate estimate(const DripCount& count) {
  auto e = estimate_drip(count);
  EXPECT_TRUE(e.has_value());
  return e.value_or(DripEstimate{});
}

TEST(MonotoneDrip, AFasterDripThanOrderedIsNeverMilderAsTheOrderFalls) {
  each_case([](Chance& chance) {
    DripCount count = any_count(chance);
    const auto before = estimate(count);
    if (double(*before.excess) < 0) return chance.does_not_apply();
    count.ordered = *count.ordered * chance.between(0.3, 1);
    EXPECT_GE(rank(estimate(count).findings), rank(before.findings));
  });
}

TEST(MonotoneDrip, ASlowerDripThanOrderedIsNeverMilderAsTheOrderRises) {
  each_case([](Chance& chance) {
    DripCount count = any_count(chance);
    const auto before = estimate(count);
    if (double(*before.excess) > 0) return chance.does_not_apply();
    count.ordered = *count.ordered * chance.between(1, 3);
    EXPECT_GE(rank(estimate(count).findings), rank(before.findings));
  });
}

TEST(MonotoneDrip, LargerDropsThanOrderedForAreNeverMilder) {
  each_case([](Chance& chance) {
    DripCount count = any_count(chance);
    const auto before = estimate(count);
    if (double(*before.excess) < 0) return chance.does_not_apply();
    count.drop_factor *= chance.between(0.6, 1);
    EXPECT_GE(rank(estimate(count).findings), rank(before.findings));
  });
}

TEST(MonotoneDrip, DropsOfWhoseSizeLessIsKnownAreNeverMilder) {
  each_case([](Chance& chance) {
    DripCount count = any_count(chance);
    const auto before = estimate(count);
    count.drop_size_tolerance *= chance.between(1, 2);
    EXPECT_GE(rank(estimate(count).findings), rank(before.findings));
  });
}

TEST(MonotoneDrip, FewerEvenTapsAreNeverMilder) {
  each_case([](Chance& chance) {
    DripCount count = any_count(chance);
    for (std::size_t i = 0; i < count.taps.size(); ++i) count.taps[i] = static_cast<double>(i) * count.taps[1];
    const auto before = estimate(count);
    count.taps.resize(static_cast<std::size_t>(chance.whole(3, static_cast<int>(count.taps.size()))));
    EXPECT_GE(rank(estimate(count).findings), rank(before.findings));
  });
}

TEST(MonotoneDrip, AStricterWardIsNeverMilder) {
  each_case([](Chance& chance) {
    DripCount count = any_count(chance);
    const auto before = estimate(count);
    count.catch_up_limit *= chance.between(0.2, 1);
    EXPECT_GE(rank(estimate(count).findings), rank(before.findings));
  });
}

TEST(MonotoneDrip, WithoutAnOrderNothingIsLeftAlone) {
  each_case([](Chance& chance) {
    DripCount count = any_count(chance);
    count.ordered.reset();
    EXPECT_GE(rank(estimate(count).findings), 1);
    EXPECT_EQ(estimate(count).advice, DripAdvice::none);
  });
}

TEST(MonotoneDrip, TwiceTheOrderIsAStopAndNeverALittle) {
  each_case([](Chance& chance) {
    const auto e = estimate(any_count(chance));
    const bool twice = double(*e.excess) >= 1;
    EXPECT_EQ(rank(e.findings) == 2, twice) << double(*e.excess);
    EXPECT_EQ(e.advice_text.id() == "runs_far_too_fast", twice) << e.advice_text.id();
  });
}

TEST(MonotoneDrip, WhenTheWatchWasStartedIsNothingToIt) {
  each_case([](Chance& chance) {
    DripCount count = any_count(chance);
    const auto before = estimate(count);
    const Duration later = chance.whole(1, 600) * 1.0 * second;
    for (auto& tap : count.taps) tap += later;
    EXPECT_EQ(rank(estimate(count).findings), rank(before.findings));
    EXPECT_EQ(estimate(count).advice, before.advice);
  });
}

TEST(MonotoneDrip, AnotherUnitOfTheOrderIsTheSameOrder) {
  each_case([](Chance& chance) {
    const auto count = any_count(chance);
    json::Array taps;
    for (const auto& tap : count.taps) taps.push_back(json::encode(tap));
    json::Object input{{"taps", taps}, {"drop_factor", json::encode(count.drop_factor)}};
    const double ordered = std::round(in(*count.ordered, millilitre / hour)) + 1;
    input["ordered"] = json::Object{{"value", ordered}, {"unit", "mL/h"}};
    const auto hourly = engine::call("flow.drip", input, exchange::default_library());
    input["ordered"] = json::Object{{"value", ordered / 60}, {"unit", "mL/min"}};
    const auto by_minute = engine::call("flow.drip", input, exchange::default_library());
    ASSERT_TRUE(hourly && by_minute);
    EXPECT_EQ(hourly->at("advice"), by_minute->at("advice"));
    EXPECT_EQ(hourly->at("findings"), by_minute->at("findings"));
  });
}

// ---- the path ----

Path any_path(Chance& chance) {
  Path path;
  path.fluid = {chance.by_magnitude(0.7, 12) * millipascal_second,
                chance.between(995, 1090) * kilogram_per_cubic_metre};
  path.bag_height = chance.between(-0.3, 2) * metre;
  path.bag_pressure = (chance.coin() ? 0 : chance.between(0, 300)) * millimetre_of_mercury;
  path.venous_pressure = chance.between(0, 40) * millimetre_of_mercury;
  path.clamp = Resistance::from_value(chance.coin() ? 0 : chance.by_magnitude(1e10, 1e13));
  path.connector_k = chance.between(0, 3);
  path.catheter = {chance.between(0.35, 1.7) * millimetre, chance.between(14, 60) * millimetre};
  path.set = DeclaredPart{chance.by_magnitude(80, 700) * millilitre / minute, Ratio(chance.between(0, 1))};
  if (chance.coin()) path.vein_outflow = vein_outflow(chance.between(1, 5) * millimetre);
  return path;
}

/// Worse for the one who waits for the fluid: never faster, never a milder finding.
void never_better(const Path& before, const Path& after) {
  const auto was = solve(before), is = solve(after);
  ASSERT_TRUE(was && is);
  EXPECT_LE(is->flow.value(), was->flow.value() * (1 + 1e-9));
  EXPECT_GE(rank(is->findings), rank(was->findings));
}

TEST(MonotonePath, ALowerBag) {
  each_case([](Chance& chance) {
    Path path = any_path(chance), worse = path;
    worse.bag_height -= chance.between(0, 0.5) * metre;
    never_better(path, worse);
  });
}

TEST(MonotonePath, AFullerVein) {
  each_case([](Chance& chance) {
    Path path = any_path(chance), worse = path;
    worse.venous_pressure += chance.between(0, 40) * millimetre_of_mercury;
    never_better(path, worse);
  });
}

TEST(MonotonePath, AThickerFluid) {
  each_case([](Chance& chance) {
    Path path = any_path(chance), worse = path;
    worse.fluid.viscosity *= chance.between(1, 4);
    never_better(path, worse);
  });
}

TEST(MonotonePath, ANarrowerOrLongerCatheter) {
  each_case([](Chance& chance) {
    Path path = any_path(chance), narrower = path, longer = path;
    narrower.catheter.diameter *= chance.between(0.6, 1);
    longer.catheter.length *= chance.between(1, 2);
    never_better(path, narrower);
    never_better(path, longer);
  });
}

TEST(MonotonePath, ATighterSetClampOrConnector) {
  each_case([](Chance& chance) {
    Path path = any_path(chance), set = path, clamp = path, connector = path;
    set.set->open_flow *= chance.between(0.3, 1);
    clamp.clamp += Resistance::from_value(chance.by_magnitude(1e9, 1e13));
    connector.connector = DeclaredPart{chance.by_magnitude(50, 800) * millilitre / minute, Ratio(0.0)};
    never_better(path, set);
    never_better(path, clamp);
    never_better(path, connector);
  });
}

TEST(MonotonePath, ASmallerVein) {
  each_case([](Chance& chance) {
    Path path = any_path(chance), worse = path;
    const double width = chance.between(1, 5);
    path.vein_outflow = vein_outflow(width * millimetre);
    worse.vein_outflow = vein_outflow(width * chance.between(0.5, 1) * millimetre);
    never_better(path, worse);
  });
}

TEST(MonotonePath, LessPressureAroundTheBag) {
  each_case([](Chance& chance) {
    Path path = any_path(chance), worse = path;
    worse.bag_pressure *= chance.between(0, 1);
    never_better(path, worse);
  });
}

TEST(MonotonePath, AClampSetForOneFluidPassesLessOfAThickerOneInProportion) {
  each_case([](Chance& chance) {
    Path path = any_path(chance);
    path.bag_height = chance.between(0.6, 2) * metre;
    path.venous_pressure = 9.0 * millimetre_of_mercury;
    const Flow wanted = steady_flow(path) * chance.between(0.005, 0.02);
    const auto clamp = clamp_for(path, wanted);
    ASSERT_TRUE(clamp.has_value());
    path.clamp = *clamp;
    Path thick = path;
    const double times = chance.between(1, 4);
    thick.fluid.viscosity *= times;
    EXPECT_NEAR(double(steady_flow(path) / steady_flow(thick)) / times, 1, 0.06);
  });
}

TEST(MonotonePath, WhatANarrowingNeedsForAFlowIsNeverLooserForAThickerFluid) {
  each_case([](Chance& chance) {
    Path path = any_path(chance);
    path.bag_height = 1.0 * metre;
    const Flow wanted = chance.by_magnitude(0.5, 40) * millilitre / minute;
    Path thick = path;
    thick.fluid.viscosity *= chance.between(1, 3);
    EXPECT_GE(height_for(thick, wanted), height_for(path, wanted));
    EXPECT_TRUE(clamp_for(path, wanted) || !clamp_for(thick, wanted));
  });
}

// ---- several infusions ----

Network any_network(Chance& chance) {
  Network network;
  const int count = chance.whole(1, 3);
  for (int i = 0; i < count; ++i) {
    Branch branch;
    branch.drive = Bag{chance.between(0.2, 1.8) * metre, Pressure()};
    branch.fluid = {chance.by_magnitude(0.8, 4) * millipascal_second, 1005.0 * kilogram_per_cubic_metre};
    branch.tubing = {{3.0 * millimetre, 1.8 * metre}};
    branch.back_check_valve = chance.coin();
    branch.clamp = Resistance::from_value(chance.by_magnitude(1e9, 1e12));
    if (chance.coin()) branch.set = DeclaredPart{175.0 * millilitre / minute, Ratio(0.3)};
    network.branches.push_back(branch);
  }
  network.catheter = {chance.between(0.4, 1.5) * millimetre, 32.0 * millimetre};
  network.venous_pressure = chance.between(0, 30) * millimetre_of_mercury;
  return network;
}

TEST(MonotoneNetwork, AFullerVeinIsNeverMilder) {
  each_case([](Chance& chance) {
    Network network = any_network(chance);
    const auto before = solve_network(network);
    network.venous_pressure += chance.between(0, 60) * millimetre_of_mercury;
    const auto after = solve_network(network);
    ASSERT_TRUE(before && after);
    EXPECT_LE(after->total.value(), before->total.value() + 1e-15);
    EXPECT_GE(rank(after->findings), rank(before->findings));
  });
}

TEST(MonotoneNetwork, WithoutItsBackCheckValveABranchIsNeverMilder) {
  each_case([](Chance& chance) {
    Network network = any_network(chance);
    network.branches.front().back_check_valve = true;
    const auto before = solve_network(network);
    network.branches.front().back_check_valve = false;
    const auto after = solve_network(network);
    ASSERT_TRUE(before && after);
    EXPECT_GE(rank(after->findings), rank(before->findings));
  });
}

TEST(MonotoneNetwork, InAnyOrderItIsTheSameLine) {
  each_case([](Chance& chance) {
    Network network = any_network(chance);
    const auto before = solve_network(network);
    std::reverse(network.branches.begin(), network.branches.end());
    const auto after = solve_network(network);
    ASSERT_TRUE(before && after);
    EXPECT_NEAR(after->total.value(), before->total.value(), 1e-6 * std::abs(before->total.value()) + 1e-13);
    EXPECT_EQ(rank(after->findings), rank(before->findings));
  });
}

// ---- the line that is counted ----

struct Counted {
  OpenLine line;
  Standing standing;
  Flow ordered;
};

Counted any_counted(Chance& chance) {
  struct Size {
    int gauge;
    double bore, length;
  };
  static const std::vector<Size> sizes{{26, 0.398, 19}, {24, 0.429, 19}, {22, 0.59, 25}, {20, 0.745, 32},
                                       {18, 0.927, 38}, {16, 1.263, 45}, {14, 1.559, 45}};
  const Size& size = sizes[static_cast<std::size_t>(chance.whole(0, 6))];
  Counted c;
  c.line.catheter = by_gauge(Gauge{size.gauge}, {size.bore * millimetre, size.length * millimetre});
  c.line.vein = usual_vein(Gauge{size.gauge});
  if (chance.coin()) c.line.set = wide_set();
  c.standing.fluid = {chance.by_magnitude(0.7, 10) * millipascal_second, 1010.0 * kilogram_per_cubic_metre};
  c.standing.bag_height = chance.between(0.4, 2) * metre;
  if (chance.coin()) c.standing.cuff = chance.between(50, 300) * millimetre_of_mercury;
  c.ordered = std::min(Flow(flow_at(c.line, c.standing) * chance.by_magnitude(0.02, 4)), Flow(15.0 * litre / hour));
  return c;
}

int rank_of(const Counted& c, const std::vector<OpenCount>& counts = {}) {
  const auto answer = open_line(c.line, c.standing, counts, c.ordered);
  EXPECT_TRUE(answer.has_value());
  return answer ? rank(answer->findings) : 0;
}

TEST(MonotoneOpenLine, AHigherOrderIsNeverMilder) {
  each_case([](Chance& chance) {
    Counted c = any_counted(chance);
    const int before = rank_of(c);
    c.ordered *= chance.between(1, 4);
    EXPECT_GE(rank_of(c), before);
  });
}

TEST(MonotoneOpenLine, ALowerBagIsNeverMilderForAnOrder) {
  each_case([](Chance& chance) {
    Counted c = any_counted(chance);
    c.standing.cuff = Pressure();
    const int before = rank_of(c);
    c.standing.bag_height *= chance.between(0.3, 1);
    EXPECT_GE(rank_of(c), before);
  });
}

TEST(MonotoneOpenLine, AThickerFluidIsNeverMilderForAnOrder) {
  each_case([](Chance& chance) {
    Counted c = any_counted(chance);
    const int before = rank_of(c);
    c.standing.fluid.viscosity *= chance.between(1, 4);
    EXPECT_GE(rank_of(c), before);
  });
}

TEST(MonotoneOpenLine, ASlowerCountThanUsualIsNeverMilder) {
  each_case([](Chance& chance) {
    const Counted c = any_counted(chance);
    const double share = chance.between(0.1, 1);
    const auto count = [&](double of) {
      OpenCount counted;
      counted.standing = c.standing;
      counted.flow = flow_at(c.line, c.standing) * of;
      return std::vector<OpenCount>{counted};
    };
    EXPECT_GE(rank_of(c, count(share * chance.between(0.3, 1))), rank_of(c, count(share)));
  });
}

TEST(MonotoneOpenLine, UncountedTheSlowOnesAreHeld) {
  each_case([](Chance& chance) {
    const Counted c = any_counted(chance);
    const FlowBand band = expected(c.line, c.standing);
    EXPECT_LE(band.low.value(), 0.46 * band.middle.value());
    EXPECT_GT(band.high, band.middle);
  });
}

TEST(MonotoneOpenLine, LessKnownOfSetOrVeinNeverNarrowsTheBand) {
  each_case([](Chance& chance) {
    const Counted c = any_counted(chance);
    OpenLine less = c.line;
    less.set.low *= 0.8;
    less.set.high *= 1.25;
    less.vein_spread *= 1.2;
    less.catheter.bore_spread *= 1.5;
    for (const bool counted : {false, true}) {
      const FlowBand known = expected(c.line, c.standing, before_counting(), counted),
                     unknown = expected(less, c.standing, before_counting(), counted);
      EXPECT_GE(unknown.high, known.high * (1 - 1e-9));
      EXPECT_LE(unknown.low, known.low * (1 + 1e-9));
    }
  });
}

// ---- the catheter in the vein ----

const vessel::FitLimits limits{Ratio(0.33), Ratio(0.45), Ratio(0.5), Ratio(0.3)};

vessel::FitInput any_fit(Chance& chance) {
  return {chance.between(0.5, 2.2) * millimetre,
          chance.between(14, 60) * millimetre,
          chance.between(0.6, 8) * millimetre,
          chance.between(0.5, 15) * millimetre,
          chance.between(5, 45),
          chance.between(0, 3) * millimetre};
}

void never_milder(const vessel::FitInput& before, const vessel::FitInput& after) {
  const auto was = vessel::fit(before, limits), is = vessel::fit(after, limits);
  ASSERT_TRUE(was && is);
  EXPECT_GE(rank(is->findings), rank(was->findings));
}

TEST(MonotoneFit, AWiderCatheterOrASmallerVein) {
  each_case([](Chance& chance) {
    const auto fit = any_fit(chance);
    auto wider = fit, smaller = fit;
    wider.catheter_outer *= chance.between(1, 2);
    smaller.vein_inner *= chance.between(0.5, 1);
    never_milder(fit, wider);
    never_milder(fit, smaller);
  });
}

TEST(MonotoneFit, ADeeperVeinAFlatterEntryAShorterCatheterOrMoreOfItOutside) {
  each_case([](Chance& chance) {
    const auto fit = any_fit(chance);
    auto deeper = fit, flatter = fit, shorter = fit, outside = fit;
    deeper.depth *= chance.between(1, 2);
    flatter.angle_degrees *= chance.between(0.5, 1);
    shorter.catheter_length *= chance.between(0.5, 1);
    outside.exposed += chance.between(0, 5) * millimetre;
    never_milder(fit, deeper);
    never_milder(fit, flatter);
    never_milder(fit, shorter);
    never_milder(fit, outside);
  });
}

TEST(MonotoneFit, AFilledVeinIsAStopWhateverTheWardSays) {
  each_case([](Chance& chance) {
    auto fit = any_fit(chance);
    fit.catheter_outer = fit.vein_inner * chance.between(1, 3);
    const auto answer = vessel::fit(fit);
    ASSERT_TRUE(answer.has_value());
    EXPECT_EQ(rank(answer->findings), 2);
  });
}

TEST(MonotoneFit, InCentimetresItIsTheSameVein) {
  each_case([](Chance& chance) {
    const auto fit = any_fit(chance);
    auto input = json::encode(fit);
    const double tenths = std::round(in(fit.vein_inner, millimetre) * 10);
    input.as_object()["vein_inner"] = json::Object{{"value", tenths / 10}, {"unit", "mm"}};
    const auto millimetres = engine::call("vessel.fit", input, exchange::default_library());
    input.as_object()["vein_inner"] = json::Object{{"value", tenths / 100}, {"unit", "cm"}};
    const auto centimetres = engine::call("vessel.fit", input, exchange::default_library());
    ASSERT_TRUE(millimetres && centimetres);
    EXPECT_EQ(millimetres->at("findings"), centimetres->at("findings"));
  });
}

TEST(MonotoneTemperature, ColderFluidIsNeverFasterAndIceIsRefused) {
  const auto flows = [](double celsius) {
    return engine::call("flow.catheters",
                        json::Object{{"bag_height", "90 cm"},
                                     {"bag_pressure", "0 mm[Hg]"},
                                     {"venous_pressure", "9 mm[Hg]"},
                                     {"temperature", celsius},
                                     {"infusate", ""}},
                        exchange::default_library());
  };
  EXPECT_FALSE(flows(-10));
  EXPECT_FALSE(flows(0));
  double warmest = 0;
  for (double celsius = 1; celsius <= 42; ++celsius) {
    const auto answer = flows(celsius);
    ASSERT_TRUE(answer.has_value());
    const double flow = answer->as_array()[3].at("bedside").at("value").to_number<double>();
    EXPECT_GT(flow, warmest) << celsius;
    warmest = flow;
  }
}

}  // namespace
}  // namespace dwell::flow
