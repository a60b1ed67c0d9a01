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
      << "what a medicine is made up in";
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
