// Deficit, balance, osmolality, body size and kidneys: bad input, unknowns, and laws.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "exchange/library.h"
#include "hydration/balance.h"
#include "hydration/body_size.h"
#include "hydration/deficit.h"
#include "hydration/kidney.h"
#include "hydration/osmolality.h"

namespace dwell::hydration {
namespace {

constexpr AmountConcentration mmol_per_litre = AmountConcentration::from_value(1.0);
constexpr MassConcentration milligram_per_decilitre = MassConcentration::from_value(0.01);

const policy::Hydration& ward() { return exchange::default_library().policy.hydration; }

bool told(const std::vector<Finding>& findings, const std::string& code) {
  return std::any_of(findings.begin(), findings.end(), [&](const Finding& f) { return f.code == code; });
}

std::vector<std::string> paths(const FieldErrors& errors) {
  std::vector<std::string> out;
  for (const auto& e : errors) out.push_back(e.path);
  return out;
}

TEST(Deficit, TheWorstSignDecides) {
  DeficitInput in;
  in.weight = 8.0 * kilogram;
  in.signs = {"thirst", "mottled", "dry_mouth"};
  EXPECT_EQ(deficit(in, ward())->grade, "severe");
  EXPECT_TRUE(told(deficit(in, ward())->findings, "signs_are_poor"));
}

TEST(Deficit, BadInputIsNamedAllAtOnce) {
  DeficitInput in;
  in.weight = 700.0 * kilogram;
  in.signs = {"hiccups"};
  in.over = 200.0 * hour;
  EXPECT_EQ(paths(deficit(in, ward()).error()), (std::vector<std::string>{"/weight", "/signs/0", "/over"}));
  DeficitInput neither;
  neither.weight = 8.0 * kilogram;
  EXPECT_EQ(deficit(neither, ward()).error().front().path, "/share");
}

RC_GTEST_PROP(DeficitProperty, WhatWasGivenNeverMakesItNegative, ()) {
  DeficitInput in;
  in.weight = *rc::gen::inRange(3, 100) * 1.0 * kilogram;
  in.share = Ratio(*rc::gen::inRange(1, 20) / 100.0);
  in.given = *rc::gen::inRange(0, 15000) * 1.0 * millilitre;
  const auto d = deficit(in, ward());
  RC_ASSERT(d.has_value());
  RC_ASSERT(d->remaining >= Volume());
  RC_ASSERT(d->remaining <= d->deficit_high);
}

TEST(DiarrhoeaPlan, AdultsAreRefused) {
  EXPECT_EQ(paths(diarrhoea_plan({70.0 * kilogram, 480, DiarrhoeaPlan::severe_dehydration}).error()),
            (std::vector<std::string>{"/weight", "/age_months"}));
}

BalanceInput day(std::vector<FluidEntry> entries) {
  BalanceInput in;
  in.from = Instant(std::chrono::days(20'000));
  in.until = in.from + std::chrono::hours(24);
  in.entries = std::move(entries);
  return in;
}

TEST(Balance, IceCountsHalfAndWhatLiesOutsideIsTold) {
  const Instant start(std::chrono::days(20'000));
  auto in = day({{start, FluidWay::ice, 200.0 * millilitre},
                 {start + std::chrono::hours(23), FluidWay::urine, 300.0 * millilitre},
                 {start + std::chrono::hours(24), FluidWay::drink, 100.0 * millilitre},
                 {start - std::chrono::hours(1), FluidWay::drink, 100.0 * millilitre}});
  in.weight = 50.0 * kilogram;
  const auto b = balance(in, ward());
  ASSERT_TRUE(b.has_value());
  EXPECT_NEAR(dwell::in(b->balance, millilitre), -200, 1e-9);
  EXPECT_TRUE(told(b->findings, "left_out"));
  EXPECT_TRUE(told(b->findings, "little_urine"));  // 0.25 mL/kg/h
  ASSERT_EQ(b->hourly.size(), 24u);
  EXPECT_NEAR(dwell::in(b->hourly.front(), millilitre), 100, 1e-9);
  EXPECT_NEAR(dwell::in(b->hourly.back(), millilitre), -200, 1e-9);
}

TEST(Balance, WithoutAWeightTheGainIsUnknown) {
  const auto b = balance(day({}), ward());
  EXPECT_FALSE(b->gained_share);
  EXPECT_TRUE(told(b->findings, "no_weight"));
}

TEST(Balance, BadInputIsNamedAllAtOnce) {
  auto in = day({{Instant(std::chrono::days(20'000)), FluidWay::drink, -5.0 * millilitre}});
  in.until = in.from;
  in.weight = 0.01 * kilogram;
  EXPECT_EQ(paths(balance(in, ward()).error()), (std::vector<std::string>{"/until", "/entries/0/volume", "/weight"}));
}

RC_GTEST_PROP(BalanceProperty, TheLastHourIsTheBalance, ()) {
  std::vector<FluidEntry> entries;
  const Instant start(std::chrono::days(20'000));
  const int count = *rc::gen::inRange(0, 30);
  for (int i = 0; i < count; ++i)
    entries.push_back({start + std::chrono::minutes(*rc::gen::inRange(0, 1440)),
                       static_cast<FluidWay>(*rc::gen::inRange(0, 12)), *rc::gen::inRange(0, 900) * 1.0 * millilitre});
  const auto b = balance(day(entries), ward());
  RC_ASSERT(b.has_value());
  RC_ASSERT(std::abs((b->hourly.back() - b->balance).value()) < 1e-12);
  RC_ASSERT(std::abs((b->in - b->out - b->balance).value()) < 1e-12);
}

TEST(Osmolality, BadInputIsNamedAllAtOnce) {
  EXPECT_EQ(osmolality({14.0 * mmol_per_litre, 40.0 * mmol_per_litre, {}, {}, 30.0 * milliosmole_per_litre}, ward())
                .error()
                .size(),
            5u);
}

TEST(BodySize, AShortPersonHasNoIdealWeight) {
  const auto size = body_size({140.0 * centimetre, 60.0 * kilogram, FormulaSex::female, 15});
  EXPECT_FALSE(size->ideal_weight);
  EXPECT_FALSE(size->body_water);  // Watson's form is for adults
  EXPECT_TRUE(told(size->findings, "short_for_ideal_weight"));
  EXPECT_EQ(body_size({1.70 * metre, 700.0 * kilogram, FormulaSex::male, 200}).error().size(), 2u);
}

RC_GTEST_PROP(BodySizeProperty, GrowsWithHeightAndWeight, ()) {
  const Length height = *rc::gen::inRange(60, 200) * 1.0 * centimetre;
  const BodyWeight weight = *rc::gen::inRange(5, 200) * 1.0 * kilogram;
  RC_ASSERT(body_surface_mosteller(height + centimetre, weight) > body_surface_mosteller(height, weight));
  RC_ASSERT(body_surface_du_bois(height, weight + kilogram) > body_surface_du_bois(height, weight));
}

TEST(Kidney, BothUnitsGiveTheSame) {
  KidneyInput in{65, 70.0 * kilogram, FormulaSex::male, 1.4 * milligram_per_decilitre, {}};
  const auto by_mass = kidney(in);
  in.creatinine.reset();
  in.creatinine_by_amount = AmountConcentration::from_value(0.12376);
  EXPECT_NEAR(double(kidney(in)->clearance / by_mass->clearance), 1, 1e-9);
}

TEST(Kidney, BadInputIsNamedAllAtOnce) {
  EXPECT_EQ(paths(kidney({12, 5.0 * kilogram, FormulaSex::male, {}, {}}).error()),
            (std::vector<std::string>{"/age_years", "/weight", "/creatinine"}));
  KidneyInput slip{65, 70.0 * kilogram, FormulaSex::male, {}, AmountConcentration::from_value(124)};
  EXPECT_EQ(kidney(slip).error().front().path, "/creatinine_by_amount");
}

RC_GTEST_PROP(KidneyProperty, MoreCreatinineNeverRaisesEither, ()) {
  const int age = *rc::gen::inRange(18, 100);
  const auto sex = *rc::gen::element(FormulaSex::female, FormulaSex::male);
  const auto low = *rc::gen::inRange(1, 250) * 0.1 * milligram_per_decilitre;
  const auto high = low + 0.1 * milligram_per_decilitre;
  RC_ASSERT(glomerular_filtration(age, high, sex) <= glomerular_filtration(age, low, sex));
  RC_ASSERT(creatinine_clearance(age, 70.0 * kilogram, high, sex) <=
            creatinine_clearance(age, 70.0 * kilogram, low, sex));
}

}  // namespace
}  // namespace dwell::hydration
