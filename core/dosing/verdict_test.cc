// What once passed and must not: each order here was told "no objection" because nobody had looked.
#include <gtest/gtest.h>

#include <algorithm>

#include "dosing/order.h"
#include "dosing/push.h"
#include "dosing/rate.h"
#include "dosing/transfusion.h"
#include "exchange/library.h"
#include "json/codec.h"
#include "say/dosing.h"
#include "say/infusate.h"
#include "say/wording.h"

namespace dwell::dosing {
namespace {

using verdict::LookState;

const Instant noon = *parse_instant("2026-11-25T12:00:00Z");

/// Known in everything: an adult of 70 kg without allergies, whose heart and kidneys work.
OrderCheckInput adult(infusate::Mixture mixture, Duration duration) {
  OrderCheckInput in;
  in.order.mixture = std::move(mixture);
  in.order.duration = duration;
  in.order.purpose = Purpose::other;
  in.patient.birth_date = *parse_date("1986-03-03");
  in.patient.weight = 70.0 * kilogram;
  in.patient.allergies_known = true;
  in.patient.heart_or_kidney_failure = false;
  in.now = noon;
  return in;
}

OrderCheckInput child(infusate::Mixture mixture, Duration duration, const char* born, double kilograms) {
  auto in = adult(std::move(mixture), duration);
  in.patient.birth_date = *parse_date(born);
  in.patient.weight = kilograms * kilogram;
  return in;
}

OrderCheck checked(const OrderCheckInput& in) {
  const auto& library = exchange::default_library();
  return *check_order(in, library.infusates, library.policy);
}

bool told(const std::vector<Finding>& findings, std::string_view code, Severity severity) {
  return std::any_of(findings.begin(), findings.end(),
                     [&](const Finding& f) { return f.code == code && f.severity == severity; });
}
bool stops_for(const OrderCheckInput& in, std::string_view code) {
  const auto check = checked(in);
  return check.verdict == Verdict::stop && told(check.findings, code, Severity::stop);
}
const verdict::LookReport& report(const std::vector<verdict::LookReport>& looks, std::string_view name) {
  return *std::find_if(looks.begin(), looks.end(), [&](const auto& look) { return look.look == name; });
}

constexpr const char* saline = "sodium chloride 0.9 %";
constexpr const char* concentrate = "potassium chloride 2 mmol/mL concentrate";

TEST(OrderVerdict, PassesOnlyWhatWasLookedAtWhole) {
  const auto check = checked(adult({saline, 1.0 * litre, {}}, 10.0 * hour));
  EXPECT_EQ(check.verdict, Verdict::pass);
  EXPECT_GE(check.looks.size(), 20u);
  for (const auto& look : check.looks) EXPECT_NE(look.state, LookState::could_not_look) << look.look;
}

TEST(OrderVerdict, WhatPassedBecauseNobodyLooked) {
  EXPECT_TRUE(stops_for(adult({"sodium chloride 3 %", 1.0 * litre, {}}, 8.0 * hour), "osmolarity"));
  EXPECT_TRUE(stops_for(adult({"dextrose 50 %", 500.0 * millilitre, {}}, 8.0 * hour), "osmolarity"));
  EXPECT_TRUE(stops_for(adult({"norepinephrine 16 mcg/mL", 250.0 * millilitre, {}}, 1.0 * hour), "vesicant"));
  EXPECT_TRUE(stops_for(adult({"calcium chloride 10 %", 10.0 * millilitre, {}}, 1.0 * minute), "osmolarity"));
  EXPECT_TRUE(stops_for(adult({"water for injection", 1.0 * litre, {}}, 8.0 * hour), "haemolysis"));
  EXPECT_TRUE(stops_for(adult({"sodium chloride 0.22 %", 1.0 * litre, {}}, 8.0 * hour), "haemolysis"));
}

TEST(OrderVerdict, AnUnknownPartDoesNotHideThePotassiumOfTheOthers) {
  const infusate::Mixture mixture{
      saline, 500.0 * millilitre, {{concentrate, 20.0 * millilitre}, {"something new", 10.0 * millilitre}}};
  EXPECT_TRUE(stops_for(adult(mixture, 30.0 * minute), "potassium_rate"));
  EXPECT_EQ(report(checked(adult(mixture, 30.0 * minute)).looks, "potassium").state, LookState::could_not_look);
}

TEST(OrderVerdict, ANewbornIsHeldToItsWeight) {
  EXPECT_TRUE(stops_for(child({saline, 90.0 * millilitre, {}}, 1.0 * hour, "2026-11-15", 0.8), "rate_for_weight_stop"));
  // 4 mmol/h into 3 kg.
  const infusate::Mixture mixture{saline, 96.0 * millilitre, {{concentrate, 2.0 * millilitre}}};
  EXPECT_TRUE(stops_for(child(mixture, 1.0 * hour, "2026-11-15", 3.0), "potassium_rate_for_weight"));
  // Dextrose 10 % at 15 mL/h into 1.5 kg: 16.7 mg/kg/min.
  EXPECT_TRUE(
      stops_for(child({"dextrose 10 %", 60.0 * millilitre, {}}, 4.0 * hour, "2026-11-15", 1.5), "glucose_rate"));
  const auto within = checked(child({"dextrose 10 %", 60.0 * millilitre, {}}, 10.0 * hour, "2026-11-15", 1.5));
  EXPECT_FALSE(told(within.findings, "glucose_rate", Severity::stop));
}

TEST(OrderVerdict, LimitsByWeightHoldAtTheirEdge) {
  // 0.5 mmol/kg/h into 10 kg: 100 mL with 20 mmol/L, 2 mmol in 24 min is 5 mmol/h.
  auto in = child({"sodium chloride 0.9 % with potassium chloride 20 mmol/L", 100.0 * millilitre, {}}, 24.0 * minute,
                  "2025-01-01", 10.0);
  EXPECT_FALSE(told(checked(in).findings, "potassium_rate_for_weight", Severity::stop));
  EXPECT_TRUE(told(checked(in).findings, "potassium_rate_for_weight", Severity::caution));
  in.order.duration = 23.9 * minute;
  EXPECT_TRUE(told(checked(in).findings, "potassium_rate_for_weight", Severity::stop));
  in.order.duration = 60.0 * minute;  // 0.2 mmol/kg/h
  EXPECT_FALSE(told(checked(in).findings, "potassium_rate_for_weight", Severity::caution));
  in.order.duration = 59.0 * minute;
  EXPECT_TRUE(told(checked(in).findings, "potassium_rate_for_weight", Severity::caution));
}

TEST(OrderVerdict, AChildsPotassiumMayBeLessStrong) {
  const infusate::Mixture mixture{saline, 965.0 * millilitre, {{concentrate, 35.0 * millilitre}}};  // 70 mmol/L
  EXPECT_TRUE(stops_for(child(mixture, 24.0 * hour, "2021-01-01", 20.0), "potassium_concentration"));
  EXPECT_FALSE(told(checked(adult(mixture, 24.0 * hour)).findings, "potassium_concentration", Severity::stop));
  EXPECT_TRUE(told(checked(adult(mixture, 24.0 * hour)).findings, "potassium_concentration", Severity::caution));
}

TEST(OrderVerdict, AllergiesAreComparedWithEachPart) {
  auto in = adult({saline, 100.0 * millilitre, {{"vancomycin 5 mg/mL", 100.0 * millilitre}}}, 2.0 * hour);
  in.patient.allergies = {"Vancomycin (rash)"};
  EXPECT_TRUE(stops_for(in, "allergy"));
  in.patient.allergies = {"vancomicina"};
  EXPECT_TRUE(stops_for(in, "allergy"));
  in.patient.allergies = {"penicillin"};
  EXPECT_FALSE(told(checked(in).findings, "allergy", Severity::stop));
}

TEST(OrderVerdict, TheSaltOfAnAllergenIsNoAllergyToSalt) {
  auto in = adult({saline, 1.0 * litre, {}}, 10.0 * hour);
  in.patient.allergies = {"heparin sodium"};
  EXPECT_FALSE(told(checked(in).findings, "allergy", Severity::stop));
  in.patient.allergies = {"sodium chloride"};
  EXPECT_TRUE(stops_for(in, "allergy"));
}

TEST(OrderVerdict, WhenAllergiesCannotBeComparedItIsSaid) {
  auto in = adult({saline, 1.0 * litre, {}}, 10.0 * hour);
  in.patient.allergies = {"penicillin"};
  EXPECT_EQ(checked(in).verdict, Verdict::pass);
  in.patient.allergies_known = false;
  EXPECT_EQ(checked(in).verdict, Verdict::not_fully_checked);
  in.patient.allergies_known = true;
  in.order.mixture.additives = {{"something new", 10.0 * millilitre}};
  EXPECT_EQ(report(checked(in).looks, "allergy").state, LookState::could_not_look);
  // An unknown name is compared all the same.
  in.patient.allergies = {"ceftriaxone (anaphylaxis)"};
  in.order.mixture = {"Ceftriaxone 1 g", 100.0 * millilitre, {}};
  EXPECT_TRUE(stops_for(in, "allergy"));
}

TEST(OrderVerdict, AClassThatTheEntryKnowsIsCompared) {
  auto library = exchange::default_library();
  auto& drug = library.infusates.at("flucloxacillin 20 mg/mL");
  drug.allergy_classes = {"penicillin", "beta-lactam"};
  auto in = adult({"flucloxacillin 20 mg/mL", 50.0 * millilitre, {}}, 1.0 * hour);
  in.patient.allergies = {"Penicillin: anaphylaxis"};
  const auto check = *check_order(in, library.infusates, library.policy);
  EXPECT_TRUE(told(check.findings, "allergy", Severity::stop));
  EXPECT_EQ(report(check.looks, "allergy").state, LookState::looked);
  drug.allergy_classes.clear();
  EXPECT_EQ(report(check_order(in, library.infusates, library.policy)->looks, "allergy").state,
            LookState::could_not_look);
}

// AAP 2018 (Pediatrics 142:e20183083, read): isotonic maintenance from 28 days to 18 years.
TEST(OrderVerdict, MaintenanceOfAChildIsIsotonic) {
  auto in = child({"sodium chloride 0.45 %", 500.0 * millilitre, {}}, 24.0 * hour, "2022-06-01", 16.0);
  in.order.purpose = Purpose::maintenance;
  EXPECT_TRUE(told(checked(in).findings, "hypotonic_for_child", Severity::caution));
  in.patient.birth_date = *parse_date("2008-11-26");  // 17 years and 364 days
  EXPECT_TRUE(told(checked(in).findings, "hypotonic_for_child", Severity::caution));
  in.patient.birth_date = *parse_date("2008-11-25");
  EXPECT_FALSE(told(checked(in).findings, "hypotonic_for_child", Severity::caution));
  in.patient.birth_date = *parse_date("2026-11-01");  // 24 days
  EXPECT_FALSE(told(checked(in).findings, "hypotonic_for_child", Severity::caution));
  in.patient.birth_date = *parse_date("2022-06-01");
  in.order.mixture.base = "dextrose 5 % with sodium chloride 0.9 %";
  EXPECT_FALSE(told(checked(in).findings, "hypotonic_for_child", Severity::caution));
}

TEST(OrderVerdict, NothingIsAddedToBlood) {
  auto in = adult({"red cells", 300.0 * millilitre, {{"dextrose 5 %", 50.0 * millilitre}}}, 3.0 * hour);
  in.order.purpose = Purpose::blood;
  EXPECT_TRUE(stops_for(in, "blood_alone"));
  in.order.mixture.additives = {{saline, 50.0 * millilitre}};
  EXPECT_FALSE(told(checked(in).findings, "blood_alone", Severity::stop));
  in.order.mixture = {"dextrose 5 %", 50.0 * millilitre, {{"red cells", 300.0 * millilitre}}};
  EXPECT_TRUE(stops_for(in, "blood_alone"));
}

TEST(OrderVerdict, TheLipidNeedNotBeTheBaseToHangTooLong) {
  const auto in = adult({saline, 100.0 * millilitre, {{"lipid emulsion 20 %", 250.0 * millilitre}}}, 13.0 * hour);
  EXPECT_TRUE(told(checked(in).findings, "bag_hang", Severity::caution));
}

TEST(OrderVerdict, TheNoteOfAnInfusateIsSaid) {
  const auto check = checked(adult({saline, 1.0 * litre, {{concentrate, 10.0 * millilitre}}}, 10.0 * hour));
  const auto note = std::find_if(check.findings.begin(), check.findings.end(),
                                 [](const Finding& f) { return f.code == "infusate_note"; });
  ASSERT_NE(note, check.findings.end());
  const auto& entry = exchange::default_library().infusates.at(concentrate);
  EXPECT_EQ(note->text, say::named_text(infusate::title_of(entry), entry.note));
}

TEST(OrderVerdict, ALimitThatThePolicyLacksIsNotTakenForNone) {
  auto library = exchange::default_library();
  library.policy.infusate.lowest_osmolarity.reset();
  library.policy.order.by_age.clear();
  const auto check = *check_order(adult({saline, 1.0 * litre, {}}, 10.0 * hour), library.infusates, library.policy);
  EXPECT_EQ(check.verdict, Verdict::not_fully_checked);
  EXPECT_EQ(report(check.looks, "osmolarity").state, LookState::could_not_look);
  EXPECT_EQ(report(check.looks, "flow_for_body").state, LookState::could_not_look);
}

// ---- the other three verdicts of this room ----

TransfusionInput unit_of(double mL, double hours, int minutes_out) {
  TransfusionInput in;
  in.volume = mL * millilitre;
  in.over = hours * hour;
  in.weight = 70.0 * kilogram;
  in.age_band = line::AgeBand::adult;
  in.start = noon;
  in.left_storage = noon - std::chrono::minutes{minutes_out};
  return in;
}

TEST(TransfusionVerdict, AUnitOutOfTimeIsAQuestionNeverARaceAgainstTheClock) {
  const auto& limits = exchange::default_library().policy.order;
  for (const int minutes_out : {90, 241}) {
    const auto plan = *transfusion_plan(unit_of(350, 3, minutes_out), limits);
    EXPECT_EQ(plan.verdict, Verdict::stop);
    auto unhurried = unit_of(350, 3, minutes_out);
    unhurried.left_storage.reset();
    EXPECT_EQ(plan.then_flow.value(), transfusion_plan(unhurried, limits)->then_flow.value());
    EXPECT_EQ(plan.findings.front().text,
              minutes_out == 90 ? say::would_end_late(std::chrono::minutes{30}) : say::unit_out_of_time());
  }
  EXPECT_TRUE(told(transfusion_plan(unit_of(350, 3, 240), limits)->findings, "blood_out_of_time", Severity::stop));
  EXPECT_TRUE(told(transfusion_plan(unit_of(350, 3, 61), limits)->findings, "blood_hang", Severity::stop));
  EXPECT_FALSE(told(transfusion_plan(unit_of(350, 3, 60), limits)->findings, "blood_hang", Severity::stop));
}

TEST(TransfusionVerdict, StartAndWeight) {
  const auto& limits = exchange::default_library().policy.order;
  EXPECT_EQ(transfusion_plan(unit_of(350, 3, 30), limits)->verdict, Verdict::pass);
  EXPECT_TRUE(told(transfusion_plan(unit_of(350, 3, 31), limits)->findings, "blood_start", Severity::caution));
  auto in = unit_of(100, 3, 10);
  in.age_band = line::AgeBand::infant;
  in.weight = 5.0 * kilogram;
  EXPECT_TRUE(told(transfusion_plan(in, limits)->findings, "blood_rate_for_weight", Severity::caution));
  in.weight.reset();
  EXPECT_EQ(transfusion_plan(in, limits)->verdict, Verdict::not_fully_checked);
  in = unit_of(350, 3, 10);
  in.left_storage.reset();
  EXPECT_EQ(transfusion_plan(in, limits)->verdict, Verdict::not_fully_checked);
}

TEST(PushVerdict, IsOfTheMedicineThatIsPushed) {
  const auto& ward = exchange::default_library().infusates;
  PushInput in{20.0 * millilitre, 20.0 * minute, 1.0 * millilitre, 1000.0 * milligram, 50.0 * milligram / minute};
  EXPECT_EQ(push_plan(in, ward)->verdict, Verdict::not_fully_checked);
  in.medicine = concentrate;
  EXPECT_TRUE(told(push_plan(in, ward)->findings, "undiluted", Severity::stop));
  in.medicine = "norepinephrine 16 mcg/mL";
  EXPECT_TRUE(told(push_plan(in, ward)->findings, "never_pushed", Severity::stop));
  in.medicine = "something new";
  EXPECT_EQ(push_plan(in, ward)->verdict, Verdict::stop);
  in.medicine = "phenytoin 10 mg/mL";
  in.highest_rate.reset();
  in.weight = 70.0 * kilogram;
  EXPECT_FALSE(told(push_plan(in, ward)->findings, "too_fast", Severity::stop));
  in.over = 19.0 * minute;
  EXPECT_TRUE(told(push_plan(in, ward)->findings, "too_fast", Severity::stop));
}

TEST(DoseVerdict, ASumAloneIsNoApproval) {
  const auto& ward = exchange::default_library().infusates;
  DoseInput in;
  in.dose = 60;
  in.dose_unit = DoseUnit::mg_per_min;
  in.bag.mass = 1000.0 * milligram;
  in.bag.volume = 100.0 * millilitre;
  in.weight = 70.0 * kilogram;
  EXPECT_EQ(dose_rate(in, ward)->verdict, Verdict::not_fully_checked);
  in.medicine = "Phenytoin 10mg/mL";
  EXPECT_TRUE(told(dose_rate(in, ward)->findings, "too_fast", Severity::stop));
  in.dose = 50;
  EXPECT_FALSE(told(dose_rate(in, ward)->findings, "too_fast", Severity::stop));
}

}  // namespace
}  // namespace dwell::dosing
