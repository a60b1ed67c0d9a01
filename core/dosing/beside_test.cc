// Several fluids into one vein: what each may do alone, together they may not.
#include <gtest/gtest.h>

#include <algorithm>

#include "dosing/order.h"
#include "exchange/library.h"

namespace dwell::dosing {
namespace {

constexpr const char* saline = "sodium chloride 0.9 %";
constexpr const char* with_potassium = "sodium chloride 0.9 % with potassium chloride 40 mmol/L";

/// 70 kg, and a bag of a litre in so many hours.
OrderCheckInput order_of(const char* base, double hours) {
  OrderCheckInput in;
  in.order.mixture = {base, 1.0 * litre, {}};
  in.order.duration = hours * hour;
  in.order.purpose = Purpose::other;
  in.patient.birth_date = *parse_date("1986-03-03");
  in.patient.weight = 70.0 * kilogram;
  in.patient.allergies_known = true;
  in.patient.heart_or_kidney_failure = false;
  in.now = *parse_instant("2026-11-25T12:00:00Z");
  return in;
}

Companion running(const char* base, std::optional<double> millilitres_per_hour) {
  Companion companion{{base, 1.0 * litre, {}}, std::nullopt, std::nullopt, false};
  if (millilitres_per_hour) companion.flow = *millilitres_per_hour * millilitre / hour;
  return companion;
}

OrderCheck checked(const OrderCheckInput& in) {
  const auto& library = exchange::default_library();
  return *check_order(in, library.infusates, library.policy);
}

const verdict::LookReport& report(const OrderCheck& check, std::string_view name) {
  return *std::find_if(check.looks.begin(), check.looks.end(), [&](const auto& look) { return look.look == name; });
}

bool told(const OrderCheck& check, std::string_view code, Severity severity) {
  return std::any_of(check.findings.begin(), check.findings.end(),
                     [&](const Finding& f) { return f.code == code && f.severity == severity; });
}

TEST(Beside, AloneNothingIsSummed) {
  const auto check = checked(order_of(saline, 10));
  EXPECT_EQ(check.verdict, Verdict::pass);
  for (const char* look : {"meeting", "flow_together", "day_together", "potassium_together", "glucose_together"})
    EXPECT_EQ(report(check, look).state, verdict::LookState::does_not_apply) << look;
}

TEST(Beside, PotassiumOfBothCounts) {
  auto in = order_of(with_potassium, 8);  // 5 mmol/h
  EXPECT_FALSE(told(checked(in), "potassium_rate", Severity::caution));
  in.beside = {running(with_potassium, 126)};  // and 5.04
  EXPECT_TRUE(told(checked(in), "potassium_rate_together", Severity::caution));
  in.beside = {running(with_potassium, 376)};  // 20.04 in all
  EXPECT_TRUE(told(checked(in), "potassium_rate_together", Severity::stop));
  in.beside.front().waits = true;  // one at a time
  EXPECT_FALSE(told(checked(in), "potassium_rate_together", Severity::stop));
}

TEST(Beside, AChildsCeilingHoldsForAllThatRuns) {
  auto in = order_of(saline, 20);  // 50 mL/h
  in.patient.birth_date = *parse_date("2017-03-03");
  in.patient.weight = 30.0 * kilogram;
  in.beside = {running(saline, 50)};
  EXPECT_FALSE(told(checked(in), "child_ceiling_together", Severity::caution)) << "at the ceiling of 100 mL/h";
  in.beside = {running(saline, 51)};
  EXPECT_FALSE(told(checked(in), "child_ceiling", Severity::caution)) << "the order alone is below it";
  EXPECT_TRUE(told(checked(in), "child_ceiling_together", Severity::caution));
  in.beside.front().waits = true;
  EXPECT_FALSE(told(checked(in), "child_ceiling_together", Severity::caution)) << "one at a time";
  in.beside.front().waits = false;
  in.patient.birth_date.reset();
  EXPECT_EQ(report(checked(in), "flow_together").state, verdict::LookState::could_not_look) << "perhaps a child";
}

TEST(Beside, TheRateForAFailingHeartIsThatOfAll) {
  auto in = order_of(saline, 10);  // 100 mL/h
  in.patient.heart_or_kidney_failure = true;
  in.beside = {running(saline, 24)};
  EXPECT_FALSE(told(checked(in), "rate_for_age_together", Severity::caution));
  in.beside = {running(saline, 25)};
  EXPECT_FALSE(told(checked(in), "rate_for_age", Severity::caution));
  EXPECT_TRUE(told(checked(in), "rate_for_age_together", Severity::caution));
}

TEST(Beside, GlucoseAndFlowOfBothCount) {
  auto in = order_of("dextrose 5 %", 3);       // 333 mL/h, 3.97 mg/kg/min
  in.beside = {running("dextrose 5 %", 100)};  // 5.16 in all: the caution is at 5
  EXPECT_TRUE(told(checked(in), "glucose_rate_together", Severity::caution));
  in = order_of(saline, 2);  // 500 mL/h
  in.beside = {running(saline, 500)};
  EXPECT_TRUE(told(checked(in), "highest_flow_together", Severity::stop));
  in.beside = {running(saline, 499)};
  EXPECT_FALSE(told(checked(in), "highest_flow_together", Severity::stop));
}

TEST(Beside, TheDayCountsWhatGoesOnAndWhatComesByDoses) {
  auto in = order_of(saline, 10);  // 1 L of at most 2.1 L
  in.beside = {running(saline, 40)};
  EXPECT_FALSE(told(checked(in), "day_volume_together", Severity::caution));
  in.beside = {running(saline, 50)};
  EXPECT_TRUE(told(checked(in), "day_volume_together", Severity::caution));
  Companion doses{{saline, 100.0 * millilitre, {}}, 200.0 * millilitre / hour, 6.0 * hour, true};
  in.beside = {doses};  // 0.4 L
  EXPECT_FALSE(told(checked(in), "day_volume_together", Severity::caution));
  in.beside.front().every = 2.0 * hour;  // 1.2 L
  EXPECT_TRUE(told(checked(in), "day_volume_together", Severity::caution));
}

TEST(Beside, WhatIsUnknownIsMissing) {
  auto in = order_of(saline, 10);
  in.beside = {running(saline, std::nullopt)};
  auto check = checked(in);
  EXPECT_EQ(check.verdict, Verdict::not_fully_checked);
  for (const char* look : {"flow_together", "day_together", "potassium_together", "glucose_together"})
    EXPECT_EQ(report(check, look).state, verdict::LookState::could_not_look) << look;
  in.beside = {running("moonshine", 10)};
  check = checked(in);
  EXPECT_EQ(report(check, "potassium_together").state, verdict::LookState::could_not_look);
  EXPECT_EQ(report(check, "meeting").state, verdict::LookState::could_not_look);
}

TEST(Beside, SomeNeverMeet) {
  auto in = order_of("sodium bicarbonate 1.4 %", 10);
  in.beside = {running("lactated Ringer's", 50)};
  EXPECT_TRUE(told(checked(in), "never_together", Severity::stop));
  // Whichever of the two runs first.
  in = order_of("lactated Ringer's", 10);
  in.beside = {running("sodium bicarbonate 1.4 %", 50)};
  EXPECT_TRUE(told(checked(in), "never_together", Severity::stop));
  in.beside = {running("red cells", 50)};
  EXPECT_EQ(checked(in).verdict, Verdict::stop);
  in = order_of(saline, 10);
  in.beside = {running("red cells", 50)};
  EXPECT_FALSE(told(checked(in), "blood_alone", Severity::stop));
  in.beside = {running("vancomycin 5 mg/mL", 50)};
  EXPECT_EQ(report(checked(in), "meeting").state, verdict::LookState::could_not_look);
}

TEST(Beside, WhatCannotRunIsRefusedByItsPlace) {
  auto in = order_of(saline, 10);
  in.beside = {running(saline, 0), running(saline, 10)};
  in.beside[1].every = 1.0 * second;
  in.beside[1].mixture.volume = Volume();
  const auto& library = exchange::default_library();
  const auto refused = check_order(in, library.infusates, library.policy);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error()[0].path, "/beside/0/flow");
  EXPECT_EQ(refused.error()[1].path, "/beside/1/every");
  EXPECT_EQ(refused.error()[2].path, "/beside/1/mixture/volume");
}

}  // namespace
}  // namespace dwell::dosing
