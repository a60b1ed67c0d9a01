// The sums of giving, redone by hand, and the limits of a transfusion and a second infusion on both sides.
#include <gtest/gtest.h>

#include <algorithm>

#include "dosing/order.h"
#include "dosing/rate.h"
#include "dosing/secondary.h"
#include "dosing/transfusion.h"
#include "exchange/library.h"
#include "json/codec.h"
#include "say/common.h"
#include "say/dosing.h"

namespace dwell::dosing {
namespace {

constexpr double hair = 1 + 1e-9, beyond = 1 + 1e-6;
const Instant noon = *parse_instant("2026-11-25T12:00:00Z");
constexpr std::chrono::milliseconds moment{1};

const policy::OrderLimits& limits() { return exchange::default_library().policy.order; }

std::string told(const std::vector<Finding>& findings, std::string_view code) {
  for (const auto& finding : findings)
    if (finding.code == code) return std::string(json::name_of(finding.severity));
  return "";
}

bool lacks(const std::vector<verdict::LookReport>& looks, const Message& what) {
  return std::any_of(looks.begin(), looks.end(), [&](const verdict::LookReport& report) {
    return std::find(report.missing.begin(), report.missing.end(), what) != report.missing.end();
  });
}

Message quantity(std::string digits, std::string unit) {
  return say::quantity({{message::Part{std::move(digits), std::move(unit)}}});
}

// ---- one dose in every unit: each is 3 mL/h of a strength of 1 in a millilitre, in a person of 50 kg ----

TEST(GivingLimits, EveryDoseUnitThereAndBack) {
  const std::pair<DoseUnit, double> doses[] = {{DoseUnit::nanograms_per_kg_min, 1000},
                                               {DoseUnit::mcg_per_kg_min, 1},
                                               {DoseUnit::mcg_per_kg_h, 60},
                                               {DoseUnit::mcg_per_min, 50},
                                               {DoseUnit::mcg_per_h, 3000},
                                               {DoseUnit::mg_per_kg_min, 0.001},
                                               {DoseUnit::mg_per_kg_h, 0.06},
                                               {DoseUnit::mg_per_min, 0.05},
                                               {DoseUnit::mg_per_h, 3},
                                               {DoseUnit::g_per_h, 0.003},
                                               {DoseUnit::milliunits_per_min, 50},
                                               {DoseUnit::units_per_kg_h, 0.06},
                                               {DoseUnit::units_per_kg_min, 0.001},
                                               {DoseUnit::units_per_min, 0.05},
                                               {DoseUnit::units_per_h, 3},
                                               {DoseUnit::mmol_per_h, 3},
                                               {DoseUnit::mmol_per_kg_h, 0.06}};
  for (const auto& [unit, dose] : doses) {
    const std::string name(json::name_of(unit));
    DoseInput in;
    in.dose_unit = unit;
    in.dose = dose;
    in.weight = 50.0 * kilogram;
    in.bag.volume = 50.0 * millilitre;
    if (name.find("unit") != std::string::npos)
      in.bag.units = 50.0 * biological_unit;
    else if (name.find("mmol") != std::string::npos)
      in.bag.amount = 50.0 * millimole;
    else
      in.bag.mass = 50.0 * milligram;
    in.drop_factor = 60.0 * drop / millilitre;
    const auto there = dose_rate(in);
    ASSERT_TRUE(there) << name;
    EXPECT_NEAR(dwell::in(there->flow, millilitre / hour), 3, 1e-9) << name;
    EXPECT_EQ(there->flow_text, quantity("3", "mL/h")) << name;
    EXPECT_EQ(there->drops_per_minute, 3) << name;
    in.dose.reset();
    in.flow = 3.0 * millilitre / hour;
    EXPECT_NEAR(dose_rate(in)->dose / dose, 1, 1e-9) << name;
    in.weight.reset();
    EXPECT_EQ(dose_rate(in).has_value(), name.find("_kg_") == std::string::npos) << name;
  }
}

TEST(GivingLimits, AWeakStrengthIsSaidInMicrograms) {
  const auto strength = [](double milligrams) {
    DoseInput in;
    in.dose = 1;
    in.dose_unit = DoseUnit::mcg_per_h;
    in.bag.mass = milligrams * milligram;
    in.bag.volume = 1.0 * millilitre;
    return dose_rate(in)->concentration_text;
  };
  EXPECT_EQ(strength(0.09), quantity("90", "mcg/mL"));
  EXPECT_EQ(strength(0.11), quantity("0.11", "mg/mL"));
}

// ---- the rate ----

TEST(GivingLimits, ARateIsSaidAsTheTradeRounds) {
  const auto text = [](double mL_per_h) {
    return rate({1.0 * litre, std::nullopt, mL_per_h * millilitre / hour, std::nullopt, std::nullopt})->rate_text;
  };
  EXPECT_EQ(text(9.4), quantity("9.4", "mL/h"));
  EXPECT_EQ(text(10), quantity("10", "mL/h"));
  EXPECT_EQ(text(10.4), quantity("10", "mL/h"));
}

TEST(GivingLimits, DropsAMinuteAndInAQuarterOfIt) {
  // 1 L in 8 h with 20 drops/mL: 41.67 drops a minute, 10.4 in 15 s.
  const auto r = *rate({1.0 * litre, 8.0 * hour, std::nullopt, 20.0 * drop / millilitre, noon});
  EXPECT_EQ(r.drops_per_minute, 42);
  EXPECT_EQ(r.drops_per_15_seconds, 10);
  EXPECT_EQ(r.ends_at, noon + std::chrono::hours{8});
  // 96 drops a minute: 24 in 15 s.
  const auto even = *rate({96.0 * millilitre, 1.0 * hour, std::nullopt, 60.0 * drop / millilitre, std::nullopt});
  EXPECT_EQ(even.drops_per_15_seconds, 24);
  EXPECT_NEAR(in(flow_of_drops(*even.drop_rate, 60.0 * drop / millilitre), millilitre / hour), 96, 1e-9);
  const auto volume = *rate({std::nullopt, 2.0 * hour, 50.0 * millilitre / hour, std::nullopt, std::nullopt});
  EXPECT_NEAR(in(volume.volume, millilitre), 100, 1e-9);
}

// ---- a second infusion ----

SecondaryPlan beside(SecondaryMode mode, bool gravity, double second_volume, double second_flow) {
  SecondaryInput in;
  in.primary_left = 500.0 * millilitre;
  in.primary_flow = 125.0 * millilitre / hour;
  in.secondary_volume = second_volume * millilitre;
  in.secondary_flow = second_flow * millilitre / hour;
  in.mode = mode;
  in.gravity = gravity;
  in.start = noon;
  return *secondary_plan(in);
}

TEST(GivingLimits, TheSecondInfusionAndTheFirst) {
  const auto waits = beside(SecondaryMode::primary_waits, false, 100, 200);
  EXPECT_NEAR(in(waits.all_done_after, hour), 4.5, 1e-9);
  EXPECT_NEAR(in(waits.fastest_together, millilitre / hour), 200, 1e-9);
  EXPECT_EQ(waits.secondary_ends, noon + std::chrono::minutes{30});
  EXPECT_NEAR(in(beside(SecondaryMode::primary_waits, false, 100, 50).fastest_together, millilitre / hour), 125, 1e-9);
  // Together the longer of the two decides, whichever it is.
  EXPECT_NEAR(in(beside(SecondaryMode::together, false, 100, 20).all_done_after, hour), 5, 1e-9);
  EXPECT_NEAR(in(beside(SecondaryMode::together, false, 100, 50).all_done_after, hour), 4, 1e-9);
  EXPECT_EQ(beside(SecondaryMode::together, false, 100, 20).primary_ends, noon + std::chrono::hours{4});
}

TEST(GivingLimits, WhatIsSaidOfASecondInfusion) {
  const auto code = [](SecondaryMode mode, bool gravity, const char* code) {
    return told(beside(mode, gravity, 100, 200).findings, code);
  };
  EXPECT_EQ(code(SecondaryMode::primary_waits, true, "hang_higher"), "caution");
  EXPECT_EQ(code(SecondaryMode::primary_waits, false, "hang_higher"), "");
  EXPECT_EQ(code(SecondaryMode::together, true, "hang_higher"), "");
  EXPECT_EQ(code(SecondaryMode::primary_waits, false, "count_at_change"), "information");
  EXPECT_EQ(code(SecondaryMode::together, false, "count_at_change"), "");
  EXPECT_EQ(code(SecondaryMode::together, false, "compatibility"), "caution");
}

// ---- a transfusion ----

TransfusionInput unit_of(double mL, Duration over) {
  TransfusionInput in;
  in.volume = mL * millilitre;
  in.over = over;
  return in;
}
TransfusionPlan planned(const TransfusionInput& in) { return *transfusion_plan(in, limits()); }

TEST(GivingLimits, ATransfusionRedoneByHand) {
  // 50 mL/h for 15 min is 12.5 mL; 287.5 mL in 2 h 45 min is 104.5 mL/h.
  auto in = unit_of(300, 3.0 * hour);
  in.drop_factor = 20.0 * drop / millilitre;
  in.weight = 50.0 * kilogram;
  in.start = noon;
  in.left_storage = noon;
  const auto plan = planned(in);
  EXPECT_NEAR(dwell::in(plan.first_volume, millilitre), 12.5, 1e-9);
  EXPECT_NEAR(dwell::in(plan.then_for, minute), 165, 1e-9);
  EXPECT_NEAR(dwell::in(plan.then_flow, millilitre / hour), 287.5 / 2.75, 1e-9);
  EXPECT_EQ(plan.first_drops_per_minute, 17);
  EXPECT_EQ(plan.then_drops_per_minute, 35);
  EXPECT_NEAR(dwell::in(*plan.flow_per_mass, millilitre / kilogram / hour), 287.5 / 2.75 / 50, 1e-9);
  EXPECT_EQ(plan.ends_at, noon + std::chrono::hours{3});
  EXPECT_EQ(plan.finish_by, noon + std::chrono::hours{4});
  ASSERT_EQ(plan.observations.size(), 3u);
  EXPECT_EQ(plan.observations[0].at, noon);
  EXPECT_EQ(plan.observations[2].at, noon + std::chrono::hours{3});
  EXPECT_EQ(told(plan.findings, "watch_for_overload"), "information");
}

TEST(GivingLimits, AUnitMayBeOutAsLongAsThePolicySays) {
  const Duration longest = to_duration(limits().blood_hang.value);
  EXPECT_EQ(told(planned(unit_of(300, longest * hair)).findings, "blood_hang"), "caution");
  EXPECT_EQ(told(planned(unit_of(300, longest * beyond)).findings, "blood_hang"), "stop");
  auto in = unit_of(300, longest);
  in.left_storage = in.start = noon;
  EXPECT_EQ(told(planned(in).findings, "blood_hang"), "");
  in.left_storage = noon - moment;
  EXPECT_EQ(told(planned(in).findings, "blood_hang"), "stop");
  in.left_storage = noon - limits().blood_hang.value + moment;
  EXPECT_EQ(told(planned(in).findings, "blood_out_of_time"), "");
  in.left_storage = noon - limits().blood_hang.value;
  EXPECT_EQ(told(planned(in).findings, "blood_out_of_time"), "stop");
}

TEST(GivingLimits, AUnitIsStartedSoon) {
  auto in = unit_of(300, 2.0 * hour);
  in.start = noon;
  const auto at = [&](std::chrono::milliseconds out) {
    in.left_storage = noon - out;
    return told(planned(in).findings, "blood_start");
  };
  EXPECT_EQ(at(std::chrono::minutes{30}), "");
  EXPECT_EQ(at(std::chrono::minutes{30} + moment), "caution");
  in.start.reset();
  EXPECT_TRUE(lacks(planned(in).looks, say::when_it_starts()));
  in.left_storage.reset();
  EXPECT_TRUE(lacks(planned(in).looks, say::when_unit_left_storage()));
  auto held = limits();
  held.blood_start_within.reset();
  EXPECT_TRUE(lacks(transfusion_plan(in, held)->looks, say::blood_start_of_policy()));
}

/// A first flow below the second, of `rate` for each kilogram.
TransfusionPlan at_rate(FlowPerMass rate, std::optional<line::AgeBand> band,
                        const policy::OrderLimits& held = limits()) {
  TransfusionInput in;
  in.over = 4096.0 * second;  // a power of two, so that the rate stays exactly at its limit
  in.first_period = Duration();
  in.first_flow = 1.0 * millilitre / hour;
  in.weight = 16.0 * kilogram;
  in.volume = rate * *in.weight * in.over;
  in.age_band = band;
  return *transfusion_plan(in, held);
}

TEST(GivingLimits, BloodByWeightAndAge) {
  using line::AgeBand;
  const FlowPerMass of_child = limits().child->blood_flow_most.value, of_adult = limits().caution_flow_per_mass.value;
  const char* code = "blood_rate_for_weight";
  for (const auto band : {AgeBand::neonate, AgeBand::infant, AgeBand::child}) {
    EXPECT_EQ(told(at_rate(of_child * hair, band).findings, code), "");
    EXPECT_EQ(told(at_rate(of_child * beyond, band).findings, code), "caution");
  }
  for (const auto band : {AgeBand::adult, AgeBand::older_adult, AgeBand::unknown}) {
    EXPECT_EQ(told(at_rate(of_adult * hair, band).findings, code), "");
    EXPECT_EQ(told(at_rate(of_adult * beyond, band).findings, code), "caution");
  }
  EXPECT_TRUE(lacks(at_rate(of_adult * beyond, AgeBand::unknown).looks, say::the_age()));
  EXPECT_FALSE(lacks(at_rate(of_adult, AgeBand::unknown).looks, say::the_age()));
  EXPECT_FALSE(lacks(at_rate(of_adult * beyond, AgeBand::adult).looks, say::the_age()));
  const char* stop = "rate_for_weight_stop";
  for (const auto& [band, of_age] : limits().by_age) {
    EXPECT_EQ(told(at_rate(of_age.flow_stop.value * hair, band).findings, stop), "");
    EXPECT_EQ(told(at_rate(of_age.flow_stop.value * beyond, band).findings, stop), "stop");
  }
  // Whose age is not known is stopped at what no age takes.
  EXPECT_EQ(
      told(at_rate(limits().by_age.at(AgeBand::neonate).flow_stop.value * beyond, AgeBand::unknown).findings, stop),
      "");
  EXPECT_EQ(told(at_rate(limits().by_age.at(AgeBand::adult).flow_stop.value * beyond, AgeBand::unknown).findings, stop),
            "stop");
  auto held = limits();
  held.child.reset();
  EXPECT_TRUE(lacks(at_rate(of_adult, AgeBand::adult, held).looks, say::child_blood_rate_of_policy()));
}

TEST(GivingLimits, TheFasterOfTheTwoPartsCounts) {
  // 500 mL/h for the first 15 min into 64 kg is faster than what follows.
  TransfusionInput in = unit_of(200, 3.0 * hour);
  in.first_flow = 500.0 * millilitre / hour;
  in.weight = 64.0 * kilogram;
  in.age_band = line::AgeBand::adult;
  EXPECT_EQ(told(planned(in).findings, "blood_rate_for_weight"), "caution");
  in.first_flow = 50.0 * millilitre / hour;
  EXPECT_EQ(told(planned(in).findings, "blood_rate_for_weight"), "");
}

TEST(GivingLimits, TheBirthDateOutweighsWhatWasSaid) {
  TransfusionInput in = unit_of(100, 3.0 * hour);
  in.weight = 16.0 * kilogram;
  in.age_band = line::AgeBand::adult;
  EXPECT_EQ(told(planned(in).findings, "blood_rate_for_weight"), "caution");
  growth::Person person;
  person.birth_date = *parse_date("2022-11-25");
  person.today = *parse_date("2026-11-25");
  in.person = person;
  EXPECT_EQ(told(planned(in).findings, "blood_rate_for_weight"), "");
  in.person->birth_date.reset();
  EXPECT_EQ(told(planned(in).findings, "blood_rate_for_weight"), "caution");
}

// ---- two entries of one order ----

TEST(GivingLimits, APartThatIsWrittenTwiceIsOnePart) {
  Order once, twice;
  once.mixture = {"sodium chloride 0.9 %", 1.0 * litre, {}};
  twice.mixture = {"sodium chloride 0.9 %", 400.0 * millilitre, {{"sodium chloride 0.9%", 600.0 * millilitre}}};
  const auto& list = exchange::default_library().infusates;
  EXPECT_TRUE(compare_orders(once, twice, list).empty());
  once.flow = twice.flow = Flow();
  EXPECT_TRUE(compare_orders(once, twice, list).empty());
  twice.flow.reset();
  EXPECT_EQ(compare_orders(once, twice, list).size(), 1u);
}

}  // namespace
}  // namespace dwell::dosing
