// Potassium of a day: what no rate and no strength shows.
#include <gtest/gtest.h>

#include "dosing/test_order.h"
#include "quantity/display.h"
#include "say/dosing.h"

namespace dwell::dosing::test {
namespace {

constexpr const char* with_potassium = "sodium chloride 0.9 % with potassium chloride 40 mmol/L";

/// So many litres of 40 mmol/L, all of it in a day, into an adult of 64 kg.
OrderCheckInput day_of(double litres) {
  auto in = order_of(with_potassium, litres * litre, litres / 24 * litre / hour, Birth::adult, 64);
  return in;
}

const Finding* found(const OrderCheck& check, std::string_view code) {
  for (const auto& finding : check.findings)
    if (finding.code == code) return &finding;
  return nullptr;
}

TEST(PotassiumOfADay, AnOrderThatSumsToMoreThanTheLimitIsFound) {
  EXPECT_EQ(told(day_of(5), "potassium_day"), "") << "200 mmol";
  EXPECT_EQ(told(day_of(5 * beyond), "potassium_day"), "caution");
  EXPECT_EQ(told(day_of(5 * beyond), "potassium_rate"), "") << "8.3 mmol/h: no rate shows it";
  auto held = limits();
  held.potassium_day_stop->value = 240.0 * millimole;
  EXPECT_EQ(told(checked(day_of(6), held), "potassium_day"), "caution");
  EXPECT_EQ(told(checked(day_of(6 * beyond), held), "potassium_day"), "stop");
}

TEST(PotassiumOfADay, SaysHowMuchAndWhoseLimit) {
  const auto check = checked(day_of(6));
  const auto* finding = found(check, "potassium_day");
  ASSERT_TRUE(finding);
  EXPECT_EQ(finding->text, say::potassium_day_caution(240.0 * millimole, 200.0 * millimole));
  EXPECT_EQ(finding->source, source_of(*limits().potassium_day_caution));
}

TEST(PotassiumOfADay, WhatRunsLongerCountsByTheDayAndWhatIsSmallerOnce) {
  auto in = day_of(6);
  in.order.mixture.volume = 9.0 * litre;  // at the same rate, for a day and a half
  EXPECT_EQ(told(in, "potassium_day"), "caution");
  in.order.mixture.volume = 1.0 * litre;  // 40 mmol in 4 h, and no more is ordered
  EXPECT_EQ(told(in, "potassium_day"), "");
}

TEST(PotassiumOfADay, WhatRunsBesideItCounts) {
  auto in = day_of(3);  // 120 mmol
  Companion beside{{with_potassium, 1.0 * litre, {}}, 2.0 / 24 * litre / hour, std::nullopt, false};
  in.beside = {beside};  // and 80
  EXPECT_EQ(told(in, "potassium_day_together"), "");
  in.beside = {beside,
               {{"sodium chloride 0.9 % with potassium chloride 20 mmol/L", 1.0 * litre, {}},
                1.0 * millilitre / hour,
                std::nullopt,
                false}};
  EXPECT_EQ(told(in, "potassium_day"), "");
  EXPECT_EQ(told(in, "potassium_day_together"), "caution");
  // Doses, whether or not the ordered one waits meanwhile: 10 mmol each 2 h.
  in.beside = {{{with_potassium, 250.0 * millilitre, {}}, 100.0 * millilitre / hour, 2.0 * hour, true}};
  EXPECT_EQ(told(in, "potassium_day_together"), "caution");
  in.beside.front().every = 6.0 * hour;
  EXPECT_EQ(told(in, "potassium_day_together"), "");
}

TEST(PotassiumOfADay, WhatIsNotKnownIsMissing) {
  auto in = day_of(3);
  in.beside = {{{with_potassium, 1.0 * litre, {}}, std::nullopt, std::nullopt, true}};
  EXPECT_EQ(state(checked(in), OrderLook::potassium_together), verdict::LookState::could_not_look);
  auto none = limits();
  none.potassium_day_caution.reset();
  EXPECT_EQ(state(checked(day_of(3), none), OrderLook::potassium), verdict::LookState::could_not_look);
  EXPECT_EQ(state(checked(order_of(saline, 1.0 * litre, 100.0 * millilitre / hour, Birth::adult, 64), none),
                  OrderLook::potassium),
            verdict::LookState::does_not_apply)
      << "where there is none, no limit is missed";
}

}  // namespace
}  // namespace dwell::dosing::test
