// What hides in an order: behind what it is said to be for, behind a heavy body, behind a strength that a vein bears.
#include <gtest/gtest.h>

#include "dosing/test_order.h"
#include "quantity/display.h"
#include "say/dosing.h"

namespace dwell::dosing::test {
namespace {

constexpr const char* dextrose = "dextrose 5 %";

TEST(Disguise, AFluidCalledAMedicineIsStillAFluid) {
  const auto to_child = [](infusate::Mixture mixture, Purpose purpose) {
    return with(order_of(std::move(mixture), 64.0 * millilitre / hour, Birth::child, 16), purpose);
  };
  EXPECT_EQ(told(to_child({dextrose, 500.0 * millilitre, {}}, Purpose::medicine), "hypotonic_for_child"), "caution");
  EXPECT_EQ(told(to_child({dextrose, 500.0 * millilitre, {}}, Purpose::contrast), "hypotonic_for_child"), "caution");
  EXPECT_EQ(told(to_child({dextrose, 500.0 * millilitre, {}}, Purpose::blood), "hypotonic_for_child"), "caution");
  EXPECT_EQ(told(to_child({dextrose, 500.0 * millilitre, {{"something new", 1.0 * millilitre}}}, Purpose::medicine),
                 "hypotonic_for_child"),
            "")
      << "its sodium is not known";
  EXPECT_TRUE(lacks(to_child({dextrose, 500.0 * millilitre, {{"something new", 1.0 * millilitre}}}, Purpose::medicine),
                    OrderLook::maintenance_fluid, say::sodium_of("something new")));
  EXPECT_EQ(state(checked(to_child({dextrose, 100.0 * millilitre, {{"vancomycin 5 mg/mL", 10.0 * millilitre}}},
                                   Purpose::medicine)),
                  OrderLook::maintenance_fluid),
            verdict::LookState::does_not_apply)
      << "what a dose is made up in";
  EXPECT_TRUE(
      lacks(to_child({dextrose, 500.0 * millilitre, {{"vancomycin 5 mg/mL", 10.0 * millilitre}}}, Purpose::medicine),
            OrderLook::maintenance_fluid, say::sodium_of("vancomycin 5 mg/mL")));
}

/// A dose that is made up in dextrose, with no sodium in it.
OrderCheck dose_in_dextrose(Volume volume, Flow flow, const char* born, double kilograms,
                            std::vector<Companion> beside = {}, const policy::OrderLimits& held = limits(),
                            const char* base = dextrose) {
  auto entry = medicine();
  entry.sodium = AmountConcentration();
  entry.glucose = MassConcentration();
  auto in = order_of(infusate::Mixture{base, volume * 0.75, {{name, volume * 0.25}}}, flow, born, kilograms);
  in.beside = std::move(beside);
  return checked(with(in, Purpose::medicine), held, list_of(entry));
}

constexpr Volume little = 124.8 * millilitre;  // a tenth of the 1,248 mL that 16 kg need by 4, 2 and 1 mL/kg/h
constexpr Flow slow = 5.2 * millilitre / hour, fast = 64.0 * millilitre / hour;

TEST(Disguise, ADoseInALargeBagIsAFluidLikeAnyOther) {
  const auto told_of = [](Volume volume, Flow flow) {
    return told(dose_in_dextrose(volume, flow, Birth::child, 16), "hypotonic_for_child");
  };
  EXPECT_EQ(told_of(little, fast), "");
  EXPECT_EQ(told_of(little * beyond, fast), "caution");
  EXPECT_EQ(told_of(1.0 * litre, slow), "");
  EXPECT_EQ(told_of(1.0 * litre, slow * beyond), "caution") << "by its rate it is as much in a day";
  EXPECT_EQ(state(dose_in_dextrose(little, fast, Birth::child, 16), OrderLook::maintenance_fluid),
            verdict::LookState::does_not_apply);
  EXPECT_EQ(told(dose_in_dextrose(300.0 * millilitre, fast, Birth::adult, 64), "hypotonic_for_child"), "");
}

TEST(Disguise, ANewbornsDoseByItsOwnNeedAndOfUnknownAgeByTheLesser) {
  const auto in_saline = [](Volume volume, const char* born) {
    return dose_in_dextrose(volume, fast, born, 4, {}, limits(), saline);
  };
  EXPECT_EQ(told(in_saline(72.0 * millilitre, Birth::newborn), "no_glucose_for_newborn"), "");
  EXPECT_EQ(told(in_saline(72.0 * beyond * millilitre, Birth::newborn), "no_glucose_for_newborn"), "caution");
  EXPECT_FALSE(lacks_anything(in_saline(38.4 * millilitre, Birth::unknown), OrderLook::maintenance_fluid));
  EXPECT_TRUE(lacks(in_saline(38.4 * beyond * millilitre, Birth::unknown), OrderLook::maintenance_fluid,
                    say::the_birth_date()));
}

TEST(Disguise, ADoseCountsWithItsRepeatsAndItsKind) {
  const auto beside = [](const char* base, std::optional<Flow> flow, std::optional<Duration> every) {
    const Companion one{{base, little * 0.5, {}}, flow, every, false};
    return dose_in_dextrose(little * 0.5, fast, Birth::child, 16, {one});
  };
  EXPECT_EQ(told(beside(dextrose, {}, 24.0 * hour), "hypotonic_for_child"), "");
  EXPECT_EQ(told(beside(dextrose, {}, 23.9 * hour), "hypotonic_for_child"), "caution");
  EXPECT_EQ(told(beside(dextrose, slow * 0.5, {}), "hypotonic_for_child"), "");
  EXPECT_EQ(told(beside(dextrose, slow * 0.5 * beyond, {}), "hypotonic_for_child"), "caution");
  EXPECT_EQ(told(beside(saline, fast, {}), "hypotonic_for_child"), "") << "lowers no sodium";
  EXPECT_EQ(told(beside("red cells", fast, {}), "hypotonic_for_child"), "") << "keeps nobody";
  EXPECT_TRUE(lacks(beside(dextrose, {}, {}), OrderLook::maintenance_fluid, say::rate_of(dextrose)));
  const Companion sugar{{dextrose, 1.0 * litre, {}}, fast, {}, false}, none{{saline, 1.0 * litre, {}}, fast, {}, false};
  const auto to_newborn = [](const Companion& one) {
    return told(dose_in_dextrose(10.0 * millilitre, fast, Birth::newborn, 4, {one}, limits(), saline),
                "no_glucose_for_newborn");
  };
  // Of unknown age either may be wanted.
  const auto of_unknown_age = [](const char* base, Duration every) {
    const Companion one{{base, 19.2 * millilitre, {}}, {}, every, false};
    return lacks_anything(dose_in_dextrose(19.2 * millilitre, fast, Birth::unknown, 4, {one}, limits(), saline),
                          OrderLook::maintenance_fluid);
  };
  for (const char* base : {dextrose, saline}) {
    EXPECT_FALSE(of_unknown_age(base, 24.0 * hour)) << base;
    EXPECT_TRUE(of_unknown_age(base, 23.9 * hour)) << base;
  }
  EXPECT_EQ(to_newborn(sugar), "");
  EXPECT_EQ(to_newborn(none), "caution");
}

TEST(Disguise, WhatIsNotKnownOfADoseIsAskedWhereItMatters) {
  auto none = limits();
  none.child->dose_fluid_most.reset();
  EXPECT_TRUE(lacks(dose_in_dextrose(little, fast, Birth::child, 16, {}, none), OrderLook::maintenance_fluid,
                    say::dose_fluid_of_policy()));
  EXPECT_TRUE(lacks(dose_in_dextrose(little, fast, Birth::child, 0), OrderLook::maintenance_fluid, say::the_weight()));
  EXPECT_FALSE(lacks_anything(dose_in_dextrose(little, fast, Birth::adult, 0), OrderLook::maintenance_fluid));
  const auto in_saline = [](Volume of_saline) {
    return with(order_of({saline, of_saline, {{"vancomycin 5 mg/mL", 100.0 * millilitre}}}, fast, Birth::child, 16),
                Purpose::medicine);
  };
  EXPECT_FALSE(lacks_anything(in_saline(900.0 * millilitre), OrderLook::maintenance_fluid))
      << "the saline alone holds enough sodium for all of it";
  EXPECT_TRUE(lacks(in_saline(400.0 * millilitre), OrderLook::maintenance_fluid, say::sodium_of("vancomycin 5 mg/mL")));
}

TEST(Disguise, BloodAndContrastKeepNobody) {
  const auto made_up = [](const char* what, Volume of_dextrose, Purpose purpose) {
    return state(
        checked(with(order_of({what, 300.0 * millilitre, {{dextrose, of_dextrose}}}, fast, Birth::child, 16), purpose)),
        OrderLook::maintenance_fluid);
  };
  for (const auto& [what, purpose] :
       {std::pair("contrast, non-ionic iodinated", Purpose::contrast), std::pair("red cells", Purpose::blood)}) {
    EXPECT_EQ(made_up(what, little, purpose), verdict::LookState::does_not_apply) << what;
    EXPECT_EQ(made_up(what, little * beyond, purpose), verdict::LookState::could_not_look) << what;
  }
}

TEST(Disguise, TheDayCountsWhatIsNoBloodAndNoContrast) {
  const auto of = [](const char* base, Purpose purpose) {
    return checked(with(order_of(base, 3.0 * litre, 120.0 * millilitre / hour, Birth::adult, 64), purpose));
  };
  EXPECT_EQ(told(of(saline, Purpose::blood), "day_volume"), "caution");
  EXPECT_EQ(told(of(saline, Purpose::contrast), "day_volume"), "caution");
  EXPECT_EQ(state(of("red cells", Purpose::blood), OrderLook::day_volume), verdict::LookState::does_not_apply);
  EXPECT_EQ(state(of("contrast, non-ionic iodinated", Purpose::contrast), OrderLook::day_volume),
            verdict::LookState::does_not_apply);
}

TEST(Disguise, AHeavyBodyTakesNoFasterRateForIt) {
  const auto at = [](double millilitres_per_hour, double kilograms) {
    return checked(order_of(dextrose, 1.0 * litre, millilitres_per_hour * millilitre / hour, Birth::adult, kilograms));
  };
  EXPECT_EQ(told(at(200, 100), "rate_for_weight"), "");
  EXPECT_EQ(told(at(201, 100), "rate_for_weight"), "caution");
  EXPECT_EQ(told(at(200, 250), "rate_for_weight"), "");
  EXPECT_EQ(told(at(201, 250), "rate_for_weight"), "caution");
  EXPECT_EQ(told(at(3001, 250), "rate_for_weight_stop"), "stop");
  for (const auto& finding : at(400, 250).findings)
    if (finding.code == "rate_for_weight") {
      EXPECT_EQ(finding.text,
                say::rate_for_heavy(400.0 * millilitre / hour, 200.0 * millilitre / hour, 100.0 * kilogram));
    }
}

TEST(Disguise, SodiumThatAVeinBears) {
  const AmountConcentration most = limits().sodium_most->value;
  const auto at = [&](AmountConcentration sodium) {
    auto fluid = exchange::default_library().infusates.at(saline);
    fluid.sodium = sodium;
    return checked(order_of(saline, 1.0 * litre, 80.0 * millilitre / hour, Birth::adult, 64), limits(), list_of(fluid));
  };
  EXPECT_EQ(told(at(most), "sodium_strong"), "");
  EXPECT_EQ(told(at(most * beyond), "sodium_strong"), "caution");
  const infusate::Mixture made_up{saline, 900.0 * millilitre, {{"sodium chloride 5 %", 100.0 * millilitre}}};
  const auto in = order_of(made_up, 80.0 * millilitre / hour, Birth::adult, 64);
  EXPECT_EQ(told(in, "sodium_strong"), "caution") << "no osmolarity stops it";
  auto none = limits();
  none.sodium_most.reset();
  EXPECT_EQ(state(checked(in, none), OrderLook::sodium), verdict::LookState::could_not_look);
}

TEST(Disguise, AChildsVeinIsKeptOpenByLess) {
  const auto at = [](double millilitres_per_hour, const char* born, double kilograms) {
    return with(order_of("dextrose 5 % with sodium chloride 0.9 %", 250.0 * millilitre,
                         millilitres_per_hour * millilitre / hour, born, kilograms),
                Purpose::keep_open);
  };
  EXPECT_EQ(told(at(16, Birth::child, 16), "keep_open_flow_for_weight"), "");
  EXPECT_EQ(told(at(16 * beyond, Birth::child, 16), "keep_open_flow_for_weight"), "caution");
  EXPECT_EQ(told(at(20, Birth::infant, 6), "keep_open_flow_for_weight"), "caution");
  EXPECT_EQ(told(at(40, Birth::adult, 32), "keep_open_flow_for_weight"), "");
  EXPECT_TRUE(lacks(at(40, Birth::unknown, 32), OrderLook::flow, say::the_birth_date()));
  EXPECT_TRUE(lacks(at(10, Birth::child, 0), OrderLook::flow, say::the_weight()));
}

}  // namespace
}  // namespace dwell::dosing::test
