// The limits of what is in the bag on both sides: potassium, glucose, sodium for a child, blood, and how long it hangs.
#include <gtest/gtest.h>

#include "dosing/test_order.h"

namespace dwell::dosing {
namespace {

using namespace test;

// Powers of two: what is multiplied by one and divided by another stays exactly at its limit.
constexpr Volume bag = Volume::from_value(1.0 / 8192);                              // 122 mL
constexpr AmountConcentration strength = AmountConcentration::from_value(32);       // 32 mmol/L
constexpr MassConcentration glucose_strength = MassConcentration::from_value(128);  // 12.8 %

/// One fluid of the ward's list whose label says what the test wants.
OrderCheck with_label(const infusate::Infusate& fluid, const OrderCheckInput& in,
                      const policy::OrderLimits& held = limits()) {
  auto infusates = exchange::default_library().infusates;
  infusates[fluid.name] = fluid;
  return checked(in, held, infusates);
}

infusate::Infusate fluid_with(const std::string& name) {
  auto fluid = exchange::default_library().infusates.at(saline);
  fluid.name = name;
  fluid.synonyms.clear();
  return fluid;
}

OrderCheck with_potassium(AmountConcentration strength, Flow flow, const char* born, double kilograms,
                          const policy::OrderLimits& held = limits()) {
  auto fluid = fluid_with("a fluid with potassium");
  fluid.potassium = strength;
  return with_label(fluid, order_of("a fluid with potassium", bag, flow, born, kilograms), held);
}

TEST(OrderSoluteLimits, PotassiumByStrength) {
  const auto at = [](AmountConcentration strength, const char* born) {
    return with_potassium(strength, 1.0 * millilitre / hour, born, 16);
  };
  const AmountConcentration caution = limits().potassium_concentration_caution.value;
  const AmountConcentration stop = limits().potassium_concentration_stop.value;
  const AmountConcentration of_child = limits().child->potassium_concentration_stop.value;
  ASSERT_LT(of_child, stop);
  const char* code = "potassium_concentration";
  EXPECT_EQ(told(at(caution * hair, Birth::adult), code), "");
  EXPECT_EQ(told(at(caution * beyond, Birth::adult), code), "caution");
  EXPECT_EQ(told(at(stop * hair, Birth::adult), code), "caution");
  EXPECT_EQ(told(at(stop * beyond, Birth::adult), code), "stop");
  EXPECT_EQ(told(at(of_child * hair, Birth::child), code), "caution");
  EXPECT_EQ(told(at(of_child * beyond, Birth::child), code), "stop");
  // Whose age is not known is held to the mildest limit, and asked.
  EXPECT_FALSE(lacks(at(of_child * hair, Birth::unknown), OrderLook::potassium, say::the_birth_date()));
  EXPECT_TRUE(lacks(at(of_child * beyond, Birth::unknown), OrderLook::potassium, say::the_birth_date()));
  EXPECT_EQ(told(at(of_child * beyond, Birth::unknown), code), "caution");
  EXPECT_FALSE(lacks(at(of_child * beyond, Birth::adult), OrderLook::potassium, say::the_birth_date()));
  EXPECT_FALSE(lacks(at(of_child * beyond, Birth::child), OrderLook::potassium, say::the_birth_date()));
  EXPECT_TRUE(lacks(at(stop * hair, Birth::unknown), OrderLook::potassium, say::the_birth_date()));
  EXPECT_FALSE(lacks(at(stop * beyond, Birth::unknown), OrderLook::potassium, say::the_birth_date()));
}

TEST(OrderSoluteLimits, AChildsStrengthNeverExceedsAnAdults) {
  auto held = limits();
  held.child->potassium_concentration_stop.value = held.potassium_concentration_stop.value * 2.0;
  const auto at = [&](AmountConcentration strength) {
    return with_potassium(strength, 1.0 * millilitre / hour, Birth::child, 16, held);
  };
  EXPECT_EQ(told(at(held.potassium_concentration_stop.value * beyond), "potassium_concentration"), "stop");
}

TEST(OrderSoluteLimits, PotassiumByTheHour) {
  const auto at = [](AmountRate rate) { return with_potassium(strength, rate / strength, Birth::adult, 64); };
  const AmountRate caution = limits().potassium_rate_caution.value, stop = limits().potassium_rate_stop.value;
  EXPECT_EQ(told(at(caution * hair), "potassium_rate"), "");
  EXPECT_EQ(told(at(caution * beyond), "potassium_rate"), "caution");
  EXPECT_EQ(told(at(stop * hair), "potassium_rate"), "caution");
  EXPECT_EQ(told(at(stop * beyond), "potassium_rate"), "stop");
  EXPECT_NEAR(in(*at(stop).potassium_rate, millimole / hour), 20, 1e-9);
  EXPECT_FALSE(with_potassium(AmountConcentration(), 1.0 * litre / hour, Birth::adult, 64).potassium_rate);
}

TEST(OrderSoluteLimits, PotassiumForTheBodyOfAChild) {
  const auto at = [](AmountRatePerMass rate, const char* born) {
    return with_potassium(strength, rate * (4.0 * kilogram) / strength, born, 4);
  };
  const char* code = "potassium_rate_for_weight";
  const auto caution = limits().child->potassium_rate_caution.value, stop = limits().child->potassium_rate_stop.value;
  for (const char* born : {Birth::newborn, Birth::infant, Birth::child}) {
    EXPECT_EQ(told(at(caution * hair, born), code), "") << born;
    EXPECT_EQ(told(at(caution * beyond, born), code), "caution") << born;
    EXPECT_EQ(told(at(stop * hair, born), code), "caution") << born;
    EXPECT_EQ(told(at(stop * beyond, born), code), "stop") << born;
  }
  EXPECT_EQ(told(at(stop * beyond, Birth::adult), code), "");
  EXPECT_EQ(told(at(stop * beyond, Birth::unknown), code), "");
  EXPECT_TRUE(lacks(at(caution * beyond, Birth::unknown), OrderLook::potassium, say::the_birth_date()));
  EXPECT_FALSE(lacks(at(caution, Birth::unknown), OrderLook::potassium, say::the_birth_date()));
}

TEST(OrderSoluteLimits, PotassiumOfWhomTooLittleIsKnown) {
  const AmountConcentration little = 0.02 * millimole / millilitre;
  const Flow slow = 1.0 * millilitre / hour;
  EXPECT_TRUE(lacks(with_potassium(little, slow, Birth::child, 0), OrderLook::potassium, say::the_weight()));
  EXPECT_FALSE(lacks(with_potassium(little, slow, Birth::adult, 0), OrderLook::potassium, say::the_weight()));
  auto held = limits();
  held.child.reset();
  EXPECT_TRUE(lacks(with_potassium(little, slow, Birth::child, 16, held), OrderLook::potassium,
                    say::potassium_by_weight_of_policy()));
  EXPECT_FALSE(lacks(with_potassium(little, slow, Birth::adult, 16, held), OrderLook::potassium,
                     say::potassium_by_weight_of_policy()));
  EXPECT_EQ(state(checked(order_of(saline, 100.0 * millilitre, slow, Birth::adult, 64)), OrderLook::potassium),
            verdict::LookState::does_not_apply);
  const auto unknown =
      order_of({saline, 100.0 * millilitre, {{"something new", 10.0 * millilitre}}}, slow, Birth::adult, 64);
  EXPECT_TRUE(lacks(unknown, OrderLook::potassium, say::potassium_of("something new")));
}

OrderCheck with_glucose(MassRatePerMass rate, const char* born, double kilograms, Purpose purpose = Purpose::other) {
  auto fluid = fluid_with("a fluid with glucose");
  fluid.glucose = glucose_strength;
  const Flow flow = rate * (kilograms * kilogram) / *fluid.glucose;
  return with_label(fluid, with(order_of("a fluid with glucose", bag, flow, born, kilograms), purpose));
}

TEST(OrderSoluteLimits, GlucoseByWeightAndAge) {
  const std::pair<const char*, line::AgeBand> ages[] = {{Birth::newborn, line::AgeBand::neonate},
                                                        {Birth::infant, line::AgeBand::infant},
                                                        {Birth::child, line::AgeBand::child},
                                                        {Birth::adult, line::AgeBand::adult},
                                                        {Birth::older, line::AgeBand::older_adult}};
  for (const auto& [born, band] : ages) {
    const auto& of_age = limits().by_age.at(band);
    EXPECT_EQ(told(with_glucose(of_age.glucose_caution.value * hair, born, 4), "glucose_rate"), "") << born;
    EXPECT_EQ(told(with_glucose(of_age.glucose_caution.value * beyond, born, 4), "glucose_rate"), "caution") << born;
    EXPECT_EQ(told(with_glucose(of_age.glucose_stop.value * hair, born, 4), "glucose_rate"), "caution") << born;
    EXPECT_EQ(told(with_glucose(of_age.glucose_stop.value * beyond, born, 4), "glucose_rate"), "stop") << born;
    EXPECT_EQ(told(with_glucose(of_age.glucose_stop.value * beyond, born, 4, Purpose::resuscitation), "glucose_rate"),
              "caution")
        << born;
  }
  const auto rate = with_glucose(limits().by_age.at(line::AgeBand::adult).glucose_stop.value, Birth::adult, 64);
  EXPECT_NEAR(in(*rate.glucose_rate, milligram / minute), 13.0 * 64, 1e-6);
}

TEST(OrderSoluteLimits, GlucoseOfWhomTheAgeIsNotKnown) {
  // The mildest caution is 8, the strictest 5; the mildest stop 13, the strictest 10 (mg/kg/min).
  const auto at = [](double rate) { return with_glucose(rate * milligram / kilogram / minute, Birth::unknown, 64); };
  EXPECT_FALSE(lacks(at(4.9), OrderLook::glucose, say::the_birth_date()));
  EXPECT_TRUE(lacks(at(5.1), OrderLook::glucose, say::the_birth_date()));
  EXPECT_EQ(told(at(5.1), "glucose_rate"), "");
  EXPECT_FALSE(lacks(at(8.1), OrderLook::glucose, say::the_birth_date()));
  EXPECT_EQ(told(at(8.1), "glucose_rate"), "caution");
  EXPECT_TRUE(lacks(at(10.1), OrderLook::glucose, say::the_birth_date()));
  EXPECT_EQ(told(at(10.1), "glucose_rate"), "caution");
  EXPECT_EQ(told(at(13.1), "glucose_rate"), "stop");
  EXPECT_FALSE(lacks(at(13.1), OrderLook::glucose, say::the_birth_date()));
}

TEST(OrderSoluteLimits, WhoseGlucoseIsNotKnown) {
  const auto of = [](const char* name, const char* born) {
    return checked(
        order_of({saline, 100.0 * millilitre, {{name, 10.0 * millilitre}}}, 10.0 * millilitre / hour, born, 16));
  };
  // A listed medicine is made up in something: that matters to a child.
  EXPECT_TRUE(lacks(of("vancomycin 5 mg/mL", Birth::child), OrderLook::glucose, say::glucose_of("vancomycin 5 mg/mL")));
  EXPECT_FALSE(lacks_anything(of("vancomycin 5 mg/mL", Birth::adult), OrderLook::glucose));
  EXPECT_TRUE(lacks(of("something new", Birth::adult), OrderLook::glucose, say::glucose_of("something new")));
  const auto plain = checked(order_of(saline, 100.0 * millilitre, 10.0 * millilitre / hour, Birth::adult, 16));
  EXPECT_EQ(state(plain, OrderLook::glucose), verdict::LookState::does_not_apply);
  EXPECT_TRUE(lacks(order_of("dextrose 5 %", 100.0 * millilitre, 10.0 * millilitre / hour, Birth::adult, 0),
                    OrderLook::glucose, say::the_weight()));
}

TEST(OrderSoluteLimits, AFluidOfWhichTheGlucoseIsNotKnownMattersToAnAdult) {
  auto fluid = fluid_with("a fluid of which little is known");
  fluid.kind = infusate::FluidKind::colloid;
  fluid.solutes.clear();
  fluid.glucose.reset();
  const auto in = order_of(fluid.name.c_str(), 100.0 * millilitre, 10.0 * millilitre / hour, Birth::adult, 64);
  EXPECT_TRUE(lacks(with_label(fluid, in), OrderLook::glucose, say::glucose_of(fluid.name)));
  fluid.glucose = MassConcentration();
  EXPECT_FALSE(lacks_anything(with_label(fluid, in), OrderLook::glucose));
}

TEST(OrderSoluteLimits, MaintenanceOfAChildFromItsSodium) {
  auto fluid = fluid_with("a fluid with sodium");
  const auto at = [&](AmountConcentration sodium, const char* born, Purpose purpose = Purpose::maintenance) {
    fluid.sodium = sodium;
    return with_label(
        fluid, with(order_of("a fluid with sodium", 100.0 * millilitre, 10.0 * millilitre / hour, born, 16), purpose));
  };
  const AmountConcentration least = limits().child->isotonic_sodium_least.value;
  EXPECT_EQ(told(at(least, Birth::child), "hypotonic_for_child"), "");
  EXPECT_EQ(told(at(least * within, Birth::child), "hypotonic_for_child"), "caution");
  EXPECT_FALSE(lacks_anything(at(least * within, Birth::child), OrderLook::maintenance_fluid));
  EXPECT_TRUE(lacks(at(least * within, Birth::unknown), OrderLook::maintenance_fluid, say::the_birth_date()));
  // It holds no glucose, and who has no birth date may be a newborn.
  EXPECT_TRUE(lacks(at(least, Birth::unknown), OrderLook::maintenance_fluid, say::the_birth_date()));
  EXPECT_EQ(told(at(least * within, Birth::unknown), "hypotonic_for_child"), "");
  const auto with_sugar = order_of("dextrose 5 % with sodium chloride 0.9 %", 100.0 * millilitre,
                                   10.0 * millilitre / hour, Birth::unknown, 16);
  EXPECT_FALSE(lacks_anything(with_sugar, OrderLook::maintenance_fluid)) << "it holds what any age wants";
  for (const auto purpose : {Purpose::maintenance, Purpose::rehydration, Purpose::keep_open, Purpose::other})
    EXPECT_EQ(told(at(least * within, Birth::child, purpose), "hypotonic_for_child"), "caution");
  EXPECT_EQ(state(at(least * within, Birth::child, Purpose::resuscitation), OrderLook::maintenance_fluid),
            verdict::LookState::does_not_apply);
  EXPECT_EQ(told(at(least * within, Birth::newborn), "hypotonic_for_child"), "")
      << "a newborn's fluid has a rule of its own";
  // 18 today, and 18 tomorrow.
  EXPECT_EQ(state(at(least * within, "2008-11-25"), OrderLook::maintenance_fluid), verdict::LookState::does_not_apply);
  EXPECT_EQ(told(at(least * within, "2008-11-26"), "hypotonic_for_child"), "caution");
  fluid.sodium.reset();
  fluid.solutes.clear();
  const auto unknown = order_of("a fluid with sodium", 100.0 * millilitre, 10.0 * millilitre / hour, Birth::child, 16);
  EXPECT_TRUE(lacks(with_label(fluid, unknown), OrderLook::maintenance_fluid, say::sodium_of(fluid.name)));
}

TEST(OrderSoluteLimits, WithoutTheWardsRuleForChildrenItIsSaidUntilEighteen) {
  auto held = limits();
  held.child.reset();
  const auto at = [&](const char* born) {
    return checked(order_of(saline, 100.0 * millilitre, 10.0 * millilitre / hour, born, 64), held);
  };
  EXPECT_TRUE(lacks(at("2008-11-26"), OrderLook::maintenance_fluid, say::child_maintenance_of_policy()));
  EXPECT_FALSE(lacks_anything(at("2008-11-25"), OrderLook::maintenance_fluid));
  EXPECT_TRUE(lacks(at(Birth::unknown), OrderLook::maintenance_fluid, say::child_maintenance_of_policy()));
}

// ---- blood, and what hangs too long ----

OrderCheckInput hanging(const char* base, Duration over, const char* born = Birth::adult, double kilograms = 64) {
  auto in = order_of(base, 128.0 * millilitre, Flow(), born, kilograms);
  in.order.flow.reset();
  in.order.duration = over;
  return in;
}

TEST(OrderSoluteLimits, HowLongItHangs) {
  const auto bag = to_duration(limits().bag_hang.value), lipid = to_duration(limits().lipid_hang.value);
  const auto blood = to_duration(limits().blood_hang.value);
  EXPECT_EQ(told(hanging(saline, bag * hair), "bag_hang"), "");
  EXPECT_EQ(told(hanging(saline, bag * beyond), "bag_hang"), "caution");
  EXPECT_EQ(told(hanging("lipid emulsion 20 %", lipid * hair), "bag_hang"), "");
  EXPECT_EQ(told(hanging("lipid emulsion 20 %", lipid * beyond), "bag_hang"), "caution");
  EXPECT_EQ(told(hanging("red cells", blood * hair), "blood_hang"), "");
  EXPECT_EQ(told(hanging("red cells", blood * beyond), "blood_hang"), "stop");
  EXPECT_EQ(state(checked(hanging("red cells", blood)), OrderLook::hanging), verdict::LookState::does_not_apply);
  EXPECT_EQ(state(checked(with(hanging(saline, blood), Purpose::blood)), OrderLook::hanging),
            verdict::LookState::does_not_apply);
  auto unknown = hanging(saline, lipid * hair);
  unknown.order.mixture.additives = {{"something new", 10.0 * millilitre}};
  EXPECT_FALSE(lacks(unknown, OrderLook::hanging, say::whether_lipid("something new")));
  unknown.order.duration = lipid * beyond;
  EXPECT_TRUE(lacks(unknown, OrderLook::hanging, say::whether_lipid("something new")));
}

TEST(OrderSoluteLimits, OnlyPlainSalineGoesWithBlood) {
  auto saline_of = fluid_with("a saline");
  const auto with_it = [&] {
    auto in = with(hanging("red cells", 3.0 * hour), Purpose::blood);
    in.order.mixture.additives = {{saline_of.name, 10.0 * millilitre}};
    return told(with_label(saline_of, in), "blood_alone");
  };
  EXPECT_EQ(with_it(), "");
  for (const double sodium : {139.0, 161.0}) {
    saline_of.sodium = sodium * millimole / litre;
    EXPECT_EQ(with_it(), "stop") << sodium;
  }
  for (const double sodium : {141.0, 159.0}) {
    saline_of.sodium = sodium * millimole / litre;
    EXPECT_EQ(with_it(), "") << sodium;
  }
  saline_of.solutes.front().name = "sodium bicarbonate";
  EXPECT_EQ(with_it(), "stop");
  saline_of = fluid_with("a saline");
  saline_of.solutes.push_back(saline_of.solutes.front());
  EXPECT_EQ(with_it(), "stop");
  saline_of = fluid_with("a saline");
  saline_of.sodium.reset();
  EXPECT_EQ(with_it(), "stop");
}

TEST(OrderSoluteLimits, OrderedAsBloodWithoutBlood) {
  const auto check = checked(with(hanging(saline, 1.0 * hour), Purpose::blood));
  EXPECT_EQ(told(check, "no_blood_in_it"), "caution");
  EXPECT_EQ(told(check, "blood_alone"), "");
  EXPECT_EQ(told(with(hanging("red cells", 1.0 * hour), Purpose::blood), "no_blood_in_it"), "");
  EXPECT_EQ(state(checked(hanging(saline, 1.0 * hour)), OrderLook::transfusion), verdict::LookState::does_not_apply);
  auto unknown = hanging(saline, 1.0 * hour);
  unknown.order.mixture.additives = {{"something new", 10.0 * millilitre}};
  EXPECT_TRUE(lacks(unknown, OrderLook::transfusion, say::whether_blood("something new")));
}

TEST(OrderSoluteLimits, BloodIntoAChild) {
  const FlowPerMass most = limits().child->blood_flow_most.value;
  const auto at = [&](FlowPerMass rate, const char* born, Purpose purpose = Purpose::blood) {
    return checked(with(order_of("red cells", 64.0 * millilitre, rate * (16.0 * kilogram), born, 16), purpose));
  };
  const char* code = "blood_rate_for_weight";
  for (const char* born : {Birth::newborn, Birth::infant, Birth::child}) {
    EXPECT_EQ(told(at(most * hair, born), code), "") << born;
    EXPECT_EQ(told(at(most * beyond, born), code), "caution") << born;
  }
  EXPECT_EQ(told(at(most * beyond, Birth::adult), code), "");
  EXPECT_EQ(told(at(most * beyond, Birth::child, Purpose::resuscitation), code), "");
  EXPECT_TRUE(lacks(at(most * beyond, Birth::unknown), OrderLook::transfusion, say::the_birth_date()));
  EXPECT_FALSE(lacks(at(most * hair, Birth::unknown), OrderLook::transfusion, say::the_birth_date()));
  EXPECT_FALSE(lacks_anything(at(most * beyond, Birth::adult), OrderLook::transfusion));
  EXPECT_TRUE(
      lacks(with(order_of("red cells", 64.0 * millilitre, 10.0 * millilitre / hour, Birth::child, 0), Purpose::blood),
            OrderLook::transfusion, say::the_weight()));
  auto held = limits();
  held.child.reset();
  EXPECT_TRUE(lacks(checked(with(order_of("red cells", 64.0 * millilitre, 10.0 * millilitre / hour, Birth::child, 16),
                                 Purpose::blood),
                            held),
                    OrderLook::transfusion, say::child_blood_rate_of_policy()));
}

TEST(OrderSoluteLimits, WhatALabelSaysOfAFluidHasNoMeaningInBlood) {
  const auto check = checked(with(hanging("red cells", 3.0 * hour, Birth::child, 16), Purpose::other));
  EXPECT_EQ(state(check, OrderLook::potassium), verdict::LookState::does_not_apply);
  EXPECT_EQ(state(check, OrderLook::glucose), verdict::LookState::does_not_apply);
  EXPECT_EQ(state(check, OrderLook::maintenance_fluid), verdict::LookState::does_not_apply);
}

}  // namespace
}  // namespace dwell::dosing
