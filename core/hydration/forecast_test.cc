#include "hydration/forecast.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "exchange/library.h"

namespace dwell::hydration {
namespace {

constexpr AmountConcentration mmol_per_litre = AmountConcentration::from_value(1.0);

const policy::Hydration& ward() { return exchange::default_library().policy.hydration; }

FluidStream stream(Direction direction, double ml_per_h, double cations, double from_h = 0) {
  return {"stream", direction, ml_per_h * millilitre / hour, cations * mmol_per_litre, from_h * hour, std::nullopt};
}

ForecastInput older_woman() {
  ForecastInput in;
  in.serum_sodium = 158.0 * mmol_per_litre;
  in.weight = 47.0 * kilogram;
  in.group = BodyWaterGroup::older_woman;
  in.streams = {stream(Direction::in, 80, 77), stream(Direction::out, 40, 30)};
  return in;
}

std::vector<std::string> codes(const std::vector<Finding>& findings) {
  std::vector<std::string> names;
  for (const auto& f : findings) names.push_back(f.code);
  return names;
}

bool holds(const std::vector<std::string>& names, const char* name) {
  return std::find(names.begin(), names.end(), name) != names.end();
}

TEST(Forecast, WithoutStreamsNothingMoves) {
  auto in = older_woman();
  in.streams.clear();
  const auto f = forecast(in, ward());
  ASSERT_TRUE(f.has_value());
  EXPECT_EQ(f->hourly.size(), 49u);
  EXPECT_NEAR(f->hourly.back().sodium.value(), 158, 1e-9);
  EXPECT_TRUE(f->crossings.empty());
  EXPECT_TRUE(holds(codes(f->findings), "no_losses"));
}

TEST(Forecast, ACrossingIsFoundWhereThePlainFormCrosses) {
  auto in = older_woman();
  in.streams = {stream(Direction::in, 200, 0)};
  const auto f = forecast(in, ward());
  ASSERT_TRUE(f.has_value());
  ASSERT_GE(f->crossings.size(), 2u);
  EXPECT_EQ(f->crossings[0].code, "sodium_change_caution");
  const auto at = f->crossings[0].at;
  const Volume water = 0.45 * 47.0 * litre;
  const auto fallen = [&](Duration t) { return 158 - state_at(in, water, t).sodium_with_intercept.value(); };
  EXPECT_GT(fallen(at), 8);
  EXPECT_LE(fallen(at - 10.0 * minute), 8);
}

TEST(Forecast, WaterThatStaysIsOverload) {
  auto in = older_woman();
  in.streams = {stream(Direction::in, 125, 154)};
  const auto f = forecast(in, ward());
  const auto names = codes(f->findings);
  EXPECT_TRUE(holds(names, "overload_caution"));
  EXPECT_TRUE(holds(names, "overload_stop"));
  for (const auto& crossing : f->crossings)
    if (crossing.code == "overload_caution") {
      EXPECT_NEAR(dwell::in(crossing.at, hour), 47 * 0.05 / 0.125, 0.17);
    }
}

TEST(Forecast, BadInputIsNamedAllAtOnce) {
  auto in = older_woman();
  in.serum_sodium = 15.8 * mmol_per_litre;
  in.streams[0].flow = 80.0 * litre / hour;
  in.streams[1].until = Duration();
  EXPECT_EQ(forecast(in, ward()).error().size(), 3u);
  auto drowned = older_woman();
  drowned.streams = {stream(Direction::in, 1000, 154)};
  EXPECT_EQ(forecast(drowned, ward()).error().front().path, "/streams");
}

RC_GTEST_PROP(ForecastProperty, MoreSodiumNeverLowersIt, ()) {
  auto in = older_woman();
  in.streams[0].cations = *rc::gen::inRange(0, 500) * 1.0 * mmol_per_litre;
  in.streams[0].flow = *rc::gen::inRange(1, 200) * 1.0 * millilitre / hour;
  auto saltier = in;
  saltier.streams[0].cations += *rc::gen::inRange(1, 500) * 1.0 * mmol_per_litre;
  const auto a = forecast(in, ward()), b = forecast(saltier, ward());
  RC_PRE(a.has_value() && b.has_value());
  for (std::size_t i = 0; i < a->hourly.size(); ++i) {
    RC_ASSERT(b->hourly[i].sodium >= a->hourly[i].sodium);
    RC_ASSERT(b->hourly[i].sodium_with_intercept >= a->hourly[i].sodium_with_intercept);
  }
}

RC_GTEST_PROP(ForecastProperty, IonsAndWaterAreConserved, ()) {
  auto in = older_woman();
  const double flow_in = *rc::gen::inRange(0, 150), flow_out = *rc::gen::inRange(0, 150);
  in.streams = {stream(Direction::in, flow_in, *rc::gen::inRange(0, 300)),
                stream(Direction::out, flow_out, *rc::gen::inRange(0, 200), *rc::gen::inRange(0, 20))};
  const Volume water = 21.0 * litre;
  const Duration t = *rc::gen::inRange(0, 48) * 1.0 * hour;
  const auto p = state_at(in, water, t);
  const double ran_out = std::max(0.0, dwell::in(t, hour) - dwell::in(in.streams[1].from, hour));
  const double litres = 21 + (flow_in * dwell::in(t, hour) - flow_out * ran_out) / 1000;
  const double ions = 158 * 21 + (flow_in * dwell::in(t, hour) * in.streams[0].cations.value() -
                                  flow_out * ran_out * in.streams[1].cations.value()) /
                                     1000;
  RC_ASSERT(std::abs(dwell::in(p.body_water, litre) - litres) < 1e-9);
  RC_ASSERT(std::abs(p.sodium.value() * litres - ions) < 1e-6);
}

}  // namespace
}  // namespace dwell::hydration
