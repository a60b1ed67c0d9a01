// Every limit of rate and volume on both sides: what stands at it passes, a hair above it is told, and how gravely. The
// figures come from the ward's policy.
#include <gtest/gtest.h>

#include "dosing/test_order.h"

namespace dwell::dosing {
namespace {

using namespace test;

constexpr const char* sugar = "dextrose 10 %";
constexpr const char* contrast = "contrast, non-ionic iodinated";

// ---- the rate ----

TEST(OrderLimits, TheHighestFlowIsASlipOfThePen) {
  const Flow most = limits().highest_flow.value;
  const auto at = [](Flow flow) { return order_of(saline, 1.0 * litre, flow, Birth::adult, 64); };
  EXPECT_EQ(told(at(most * hair), "highest_flow"), "");
  EXPECT_EQ(told(at(most * beyond), "highest_flow"), "stop");
  EXPECT_EQ(told(with(at(most * beyond), Purpose::resuscitation), "highest_flow"), "caution");
  EXPECT_EQ(told(with(at(most * beyond), Purpose::contrast), "highest_flow"), "stop");
}

TEST(OrderLimits, ContrastIsPushedByTheScanner) {
  auto in = order_of(contrast, 100.0 * millilitre, 4.0 * millilitre / second, Birth::adult, 64);
  EXPECT_EQ(told(in, "highest_flow"), "stop");
  in.order.purpose = Purpose::contrast;
  EXPECT_EQ(told(in, "highest_flow"), "");
  EXPECT_EQ(told(in, "contrast_flow"), "caution");
  EXPECT_EQ(told(in, "rate_for_weight_stop"), "");
  in.order.mixture.additives = {{saline, 50.0 * millilitre}};
  EXPECT_EQ(told(in, "contrast_flow"), "caution");
}

TEST(OrderLimits, AnOlderHeartIsWatchedFromItsRateAndAge) {
  const Flow from = limits().caution_flow_older.value;
  const auto at = [](Flow flow, const char* born) { return order_of(saline, 1.0 * litre, flow, born, 64); };
  EXPECT_EQ(told(at(from, "1951-11-25"), "rate_for_age"), "caution");  // 75 today
  EXPECT_EQ(told(at(from * within, "1951-11-25"), "rate_for_age"), "");
  EXPECT_EQ(told(at(from * beyond, "1951-11-26"), "rate_for_age"), "");  // 74
  EXPECT_EQ(text_of(checked(at(from, "1951-11-25")), "rate_for_age"), say::rate_at_age(from, 75));
  auto failing = at(from, "1951-11-26");
  failing.patient.heart_or_kidney_failure = true;
  EXPECT_EQ(told(failing, "rate_for_age"), "caution");
  EXPECT_EQ(text_of(checked(failing), "rate_for_age"), say::rate_with_failure(from));
  failing.patient.birth_date.reset();
  EXPECT_EQ(told(failing, "rate_for_age"), "caution");
  EXPECT_EQ(told(with(failing, Purpose::resuscitation), "rate_for_age"), "");
  failing.patient.birth_date = *parse_date(Birth::child);
  EXPECT_EQ(told(failing, "rate_for_age"), "");
  // A hair below the limit, which is the limit.
  auto held = limits();
  const Flow flow = 100.0 * millilitre / hour;
  held.caution_flow_older.value = flow * hair;
  EXPECT_EQ(told(checked(at(flow, "1951-11-25"), held), "rate_for_age"), "caution");
}

TEST(OrderLimits, WhoMayBeOlderIsNotTakenForYoung) {
  const Flow from = limits().caution_flow_older.value;
  auto in = order_of(saline, 1.0 * litre, from, Birth::unknown, 64);
  EXPECT_TRUE(lacks(in, OrderLook::flow, say::the_birth_date()));
  EXPECT_TRUE(lacks(in, OrderLook::flow, say::whether_heart_or_kidneys_fail()));
  in.patient.birth_date = *parse_date(Birth::adult);
  EXPECT_FALSE(lacks_anything(in, OrderLook::flow));
  in.patient.heart_or_kidney_failure.reset();
  EXPECT_TRUE(lacks(in, OrderLook::flow, say::whether_heart_or_kidneys_fail()));
  EXPECT_FALSE(lacks(in, OrderLook::flow, say::the_birth_date()));
  in.order.flow = from * within;
  EXPECT_FALSE(lacks_anything(in, OrderLook::flow));
}

TEST(OrderLimits, AChildHasAUsualCeiling) {
  const Flow most = limits().child_ceiling.value;
  const auto at = [](Flow flow, const char* born) { return order_of(saline, 1.0 * litre, flow, born, 16); };
  EXPECT_EQ(told(at(most * hair, Birth::child), "child_ceiling"), "");
  EXPECT_EQ(told(at(most * beyond, Birth::child), "child_ceiling"), "caution");
  EXPECT_EQ(told(at(most * beyond, Birth::infant), "child_ceiling"), "caution");
  EXPECT_EQ(told(at(most * beyond, Birth::newborn), "child_ceiling"), "caution");
  EXPECT_EQ(told(at(most * beyond, Birth::adult), "child_ceiling"), "");
  EXPECT_FALSE(lacks(at(most * beyond, Birth::adult), OrderLook::flow, say::the_birth_date()));
  EXPECT_EQ(told(at(most * beyond, Birth::unknown), "child_ceiling"), "");
  EXPECT_TRUE(lacks(at(most * beyond, Birth::unknown), OrderLook::flow, say::the_birth_date()));
  EXPECT_FALSE(lacks(at(most * hair, Birth::unknown), OrderLook::flow, say::the_birth_date()));
}

// ---- the rate for the weight ----

TEST(OrderLimits, EachAgeHasItsRateByWeight) {
  const std::pair<const char*, line::AgeBand> ages[] = {{Birth::newborn, line::AgeBand::neonate},
                                                        {Birth::infant, line::AgeBand::infant},
                                                        {Birth::child, line::AgeBand::child},
                                                        {Birth::adult, line::AgeBand::adult},
                                                        {Birth::older, line::AgeBand::older_adult}};
  const BodyWeight weight = 4.0 * kilogram;
  for (const auto& age : ages) {
    const char* const born = age.first;
    const auto& of_age = limits().by_age.at(age.second);
    const FlowPerMass stop = of_age.flow_stop.value;
    const FlowPerMass caution = of_age.flow_caution ? of_age.flow_caution->value : limits().caution_flow_per_mass.value;
    const auto at = [&](FlowPerMass rate) {
      return checked(order_of(saline, 500.0 * millilitre, rate * weight, born, 4));
    };
    EXPECT_EQ(told(at(caution * hair), "rate_for_weight"), "") << born;
    EXPECT_EQ(told(at(caution * beyond), "rate_for_weight"), "caution") << born;
    EXPECT_EQ(told(at(stop * hair), "rate_for_weight_stop"), "") << born;
    EXPECT_EQ(told(at(stop * hair), "rate_for_weight"), "caution") << born;
    EXPECT_EQ(told(at(stop * beyond), "rate_for_weight_stop"), "stop") << born;
    EXPECT_EQ(told(at(stop * beyond), "rate_for_weight"), "") << born;
    const auto resuscitated =
        checked(with(order_of(saline, 500.0 * millilitre, stop * beyond * weight, born, 4), Purpose::resuscitation));
    EXPECT_EQ(told(resuscitated, "rate_for_weight_stop"), "caution") << born;
    const auto cautious =
        checked(with(order_of(saline, 500.0 * millilitre, stop * weight, born, 4), Purpose::resuscitation));
    EXPECT_EQ(told(cautious, "rate_for_weight"), "") << born;
    EXPECT_DOUBLE_EQ(at(stop).flow_per_mass->value(), stop.value());
  }
}

TEST(OrderLimits, AShortDoseIsNoRateByWeight) {
  const Volume short_dose = limits().sustained_from->value * (64.0 * kilogram);
  const auto at = [](Volume volume, double mL_per_kg_h) {
    return order_of(saline, volume, mL_per_kg_h * 64 * millilitre / hour, Birth::adult, 64);
  };
  EXPECT_EQ(told(at(short_dose * hair, 3), "rate_for_weight"), "");
  EXPECT_EQ(told(at(short_dose * beyond, 3), "rate_for_weight"), "caution");
  EXPECT_EQ(told(at(short_dose * hair, 31), "rate_for_weight_stop"), "caution");
  EXPECT_EQ(told(at(short_dose * beyond, 31), "rate_for_weight_stop"), "stop");
}

TEST(OrderLimits, WhoseAgeIsNotKnownIsHeldToTheMildestAndAsked) {
  const BodyWeight weight = 64.0 * kilogram;
  const auto at = [&](double mL_per_kg_h, Volume volume) {
    return checked(order_of(saline, volume, mL_per_kg_h * weight.value() * millilitre / hour, Birth::unknown, 64));
  };
  const Volume long_one = 1.0 * litre, short_one = 100.0 * millilitre;
  EXPECT_FALSE(lacks(at(1.9, long_one), OrderLook::flow_for_body, say::the_birth_date()));
  EXPECT_TRUE(lacks(at(2.1, long_one), OrderLook::flow_for_body, say::the_birth_date()));
  EXPECT_EQ(told(at(2.1, long_one), "rate_for_weight"), "");
  EXPECT_FALSE(lacks(at(2.1, short_one), OrderLook::flow_for_body, say::the_birth_date()));
  EXPECT_EQ(told(at(7.6, long_one), "rate_for_weight"), "caution");
  EXPECT_FALSE(lacks(at(7.6, long_one), OrderLook::flow_for_body, say::the_birth_date()));
  EXPECT_EQ(told(at(15.1, long_one), "rate_for_weight_stop"), "");
  EXPECT_TRUE(lacks(at(15.1, long_one), OrderLook::flow_for_body, say::the_birth_date()));
  EXPECT_TRUE(lacks(at(15.1, short_one), OrderLook::flow_for_body, say::the_birth_date()));
  EXPECT_EQ(told(at(30.1, long_one), "rate_for_weight_stop"), "stop");
  EXPECT_FALSE(lacks(at(30.1, long_one), OrderLook::flow_for_body, say::the_birth_date()));
}

TEST(OrderLimits, WithoutALimitOfThisAgeNobodyLooked) {
  auto held = limits();
  held.sustained_from.reset();
  const auto in = order_of(saline, 500.0 * millilitre, 50.0 * millilitre / hour, Birth::adult, 64);
  EXPECT_TRUE(lacks(checked(in, held), OrderLook::flow_for_body, say::rate_by_weight_of_policy()));
  held = limits();
  held.by_age.erase(line::AgeBand::adult);
  EXPECT_TRUE(lacks(checked(in, held), OrderLook::flow_for_body, say::rate_by_weight_of_policy()));
  const auto sweet = order_of(sugar, 500.0 * millilitre, 50.0 * millilitre / hour, Birth::adult, 64);
  EXPECT_TRUE(lacks(checked(sweet, held), OrderLook::glucose, say::glucose_of_policy()));
  EXPECT_FALSE(lacks_anything(checked(in), OrderLook::flow_for_body));
}

// ---- the volume beside a day's need ----

TEST(OrderLimits, ADaysVolume) {
  // An adult: 25 to 30 mL/kg; older or frail 20 to 25. A child of 16 kg by 4-2-1: 52 mL/h. A newborn: 180 mL/kg.
  const auto at = [](double mL, const char* born, double kilograms) {
    return checked(order_of(saline, mL * millilitre, mL / 24 * millilitre / hour, born, kilograms));
  };
  EXPECT_EQ(told(at(1920, Birth::adult, 64), "day_volume"), "information");
  EXPECT_EQ(told(at(1920.01, Birth::adult, 64), "day_volume"), "caution");
  EXPECT_EQ(told(at(1600, "1946-03-03", 64), "day_volume"), "information");
  EXPECT_EQ(told(at(1600.01, "1946-03-03", 64), "day_volume"), "caution");
  EXPECT_EQ(told(at(1248, Birth::child, 16), "day_volume"), "information");
  EXPECT_EQ(told(at(1248.01, Birth::child, 16), "day_volume"), "caution");
  EXPECT_EQ(told(at(720, Birth::newborn, 4), "day_volume"), "information");
  EXPECT_EQ(told(at(720.01, Birth::newborn, 4), "day_volume"), "caution");
  EXPECT_EQ(text_of(at(1900, Birth::adult, 64), "day_volume"),
            say::day_volume_beside(1900.0 * millilitre,
                                   say::low_to_high(shown(1600.0 * millilitre), shown(1920.0 * millilitre))));
  EXPECT_EQ(text_of(at(720, Birth::newborn, 4), "day_volume"),
            say::day_volume_beside(720.0 * millilitre, say::quantity(shown(720.0 * millilitre))));
}

TEST(OrderLimits, ADaysVolumeIsWhatRunsInADay) {
  // 3 L at 60 mL/h: 1.44 L in the first day.
  const auto slow = order_of(saline, 3.0 * litre, 60.0 * millilitre / hour, Birth::adult, 64);
  EXPECT_EQ(told(slow, "day_volume"), "information");
  const auto fast = order_of(saline, 1.0 * litre, 500.0 * millilitre / hour, Birth::adult, 64);
  EXPECT_EQ(told(fast, "day_volume"), "information");
}

TEST(OrderLimits, ADayOfWhomNobodyKnowsTheHeart) {
  auto in = order_of(saline, 1700.0 * millilitre, 70.0 * millilitre / hour, Birth::adult, 64);
  in.patient.heart_or_kidney_failure.reset();
  EXPECT_TRUE(lacks(in, OrderLook::day_volume, say::whether_heart_or_kidneys_fail()));
  EXPECT_EQ(told(in, "day_volume"), "");
  in.order.mixture.volume = 1599.0 * millilitre;  // 25 mL/kg, of whom the heart fails
  EXPECT_FALSE(lacks_anything(in, OrderLook::day_volume));
  EXPECT_EQ(told(in, "day_volume"), "information");
  in.order.mixture.volume = 1700.0 * millilitre;
  in.patient.birth_date.reset();
  EXPECT_TRUE(lacks(in, OrderLook::day_volume, say::the_birth_date()));
}

TEST(OrderLimits, WhatCountsForTheDay) {
  const auto of = [](Purpose purpose) {
    return checked(with(order_of(saline, 3.0 * litre, 120.0 * millilitre / hour, Birth::adult, 64), purpose));
  };
  for (const auto purpose :
       {Purpose::maintenance, Purpose::rehydration, Purpose::medicine, Purpose::keep_open, Purpose::other})
    EXPECT_EQ(told(of(purpose), "day_volume"), "caution") << json::name_of(purpose);
  EXPECT_EQ(state(of(Purpose::resuscitation), OrderLook::day_volume), verdict::LookState::does_not_apply);
  // A medicine's fluid within the day needs no word.
  const auto small = order_of({saline, 100.0 * millilitre, {{"vancomycin 5 mg/mL", 1.0 * millilitre}}},
                              50.0 * millilitre / hour, Birth::adult, 64);
  EXPECT_EQ(told(with(small, Purpose::medicine), "day_volume"), "");
}

TEST(OrderLimits, AHeavyChildNeedsNoMoreThanTheRuleGivesAtItsEnd) {
  // 4-2-1 at 100 kg: 140 mL/h.
  const auto at = [](double mL, double kilograms) {
    return told(order_of(saline, mL * millilitre, mL / 24 * millilitre / hour, "2012-01-01", kilograms), "day_volume");
  };
  for (const double kilograms : {100.0, 130.0}) {
    EXPECT_EQ(at(3360, kilograms), "information");
    EXPECT_EQ(at(3361, kilograms), "caution");
  }
}

TEST(OrderLimits, WithoutANewbornsNeedNobodyLooked) {
  auto held = limits();
  held.child.reset();
  const auto in = order_of(saline, 100.0 * millilitre, 10.0 * millilitre / hour, Birth::newborn, 4);
  EXPECT_TRUE(lacks(checked(in, held), OrderLook::day_volume, say::days_need()));
}

}  // namespace
}  // namespace dwell::dosing
