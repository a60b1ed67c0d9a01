// A stranger's orders: each of these was told less than an infusion specialist would have said.
#include <gtest/gtest.h>

#include <algorithm>

#include "dosing/dilution.h"
#include "dosing/order.h"
#include "dosing/push.h"
#include "dosing/rate.h"
#include "exchange/library.h"
#include "say/dosing.h"

namespace dwell::dosing {
namespace {

const Instant noon = *parse_instant("2026-11-25T12:00:00Z");
constexpr const char* saline = "sodium chloride 0.9 %";
constexpr const char* dextrose = "dextrose 5 %";
constexpr const char* with_potassium = "sodium chloride 0.9 % with potassium chloride 20 mmol/L";

const infusate::Formulary& ward() { return exchange::default_library().infusates; }

OrderCheckInput order_of(infusate::Mixture mixture, Duration duration, Purpose purpose = Purpose::other,
                         const char* born = "1986-03-03", double kilograms = 70) {
  OrderCheckInput in;
  in.order.mixture = std::move(mixture);
  in.order.duration = duration;
  in.order.purpose = purpose;
  in.patient.birth_date = *parse_date(born);
  in.patient.weight = kilograms * kilogram;
  in.patient.allergies_known = true;
  in.patient.heart_or_kidney_failure = false;
  in.now = noon;
  return in;
}

OrderCheckInput newborn(infusate::Mixture mixture, Duration duration, Purpose purpose = Purpose::maintenance) {
  return order_of(std::move(mixture), duration, purpose, "2026-11-15", 3.5);
}

OrderCheck checked(const OrderCheckInput& in) { return *check_order(in, ward(), exchange::default_library().policy); }

bool told(const std::vector<Finding>& findings, std::string_view code, Severity severity) {
  return std::any_of(findings.begin(), findings.end(),
                     [&](const Finding& f) { return f.code == code && f.severity == severity; });
}
bool stops(const OrderCheckInput& in, std::string_view code) {
  const auto check = checked(in);
  return check.verdict == Verdict::stop && told(check.findings, code, Severity::stop);
}
bool cautions(const OrderCheckInput& in, std::string_view code) {
  const auto check = checked(in);
  return check.verdict >= Verdict::caution && told(check.findings, code, Severity::caution);
}
bool lacks(const std::vector<verdict::LookReport>& looks, std::string_view name, const Message& what) {
  const auto look = std::find_if(looks.begin(), looks.end(), [&](const auto& one) { return one.look == name; });
  return std::find(look->missing.begin(), look->missing.end(), what) != look->missing.end();
}

// NICE CG174: fluid to fill vessels holds sodium 130 to 154 mmol/L (value from memory).
TEST(Stranger, NoWaterToFillVessels) {
  EXPECT_TRUE(
      stops(order_of({dextrose, 1.0 * litre, {}}, 1.5 * hour, Purpose::resuscitation), "not_for_resuscitation"));
  EXPECT_TRUE(stops(order_of({"sodium chloride 0.45 %", 1.0 * litre, {}}, 1.5 * hour, Purpose::resuscitation),
                    "not_for_resuscitation"));
  EXPECT_EQ(checked(order_of({saline, 500.0 * millilitre, {}}, 1.0 * hour, Purpose::resuscitation)).verdict,
            Verdict::pass);
  // Glucose for a low blood sugar, 2 mL/kg, fills nothing.
  EXPECT_FALSE(told(checked(order_of({dextrose, 140.0 * millilitre, {}}, 1.0 * hour, Purpose::resuscitation)).findings,
                    "not_for_resuscitation", Severity::stop));
}

TEST(Stranger, ABolusIsLookedAtBeforeTheNext) {
  const auto bolus = [](double millilitres) {
    return newborn({saline, millilitres * millilitre, {}}, 1.0 * hour, Purpose::resuscitation);
  };
  EXPECT_TRUE(stops(bolus(71), "resuscitation_most"));  // 20 mL/kg
  EXPECT_FALSE(told(checked(bolus(70)).findings, "resuscitation_most", Severity::stop));
  EXPECT_TRUE(stops(order_of({saline, 5.0 * litre, {}}, 6.0 * hour, Purpose::resuscitation), "resuscitation_most"));
  // 30 mL/kg of at most 100 kg.
  EXPECT_TRUE(stops(order_of({saline, 3.1 * litre, {}}, 6.0 * hour, Purpose::resuscitation, "1986-03-03", 250),
                    "resuscitation_most"));
}

TEST(Stranger, FailingKidneysKeepPotassium) {
  auto in = order_of({with_potassium, 1.0 * litre, {}}, 10.0 * hour);
  EXPECT_EQ(checked(in).verdict, Verdict::pass);
  in.patient.heart_or_kidney_failure = true;
  EXPECT_TRUE(cautions(in, "potassium_failing"));
  in.patient.heart_or_kidney_failure = std::nullopt;
  EXPECT_TRUE(lacks(checked(in).looks, "potassium", say::whether_heart_or_kidneys_fail()));
  // What plasma holds is no question.
  in.order.mixture.base = "balanced crystalloid (acetate-gluconate)";
  in.patient.heart_or_kidney_failure = true;
  EXPECT_FALSE(told(checked(in).findings, "potassium_failing", Severity::caution));
}

TEST(Stranger, BloodOfAnAdultIsNoFlood) {
  EXPECT_TRUE(cautions(order_of({"red cells", 300.0 * millilitre, {}}, 20.0 * minute, Purpose::blood), "blood_rate"));
  EXPECT_FALSE(told(checked(order_of({"platelets", 300.0 * millilitre, {}}, 30.0 * minute, Purpose::blood)).findings,
                    "blood_rate", Severity::caution));
}

TEST(Stranger, AHeavyBodyNeedsNoMoreWater) {
  EXPECT_TRUE(cautions(order_of({dextrose, 4.0 * litre, {}}, 8.0 * hour, Purpose::maintenance, "1986-03-03", 250),
                       "day_volume"));
  EXPECT_FALSE(
      told(checked(order_of({saline, 3.0 * litre, {}}, 24.0 * hour, Purpose::maintenance, "1986-03-03", 250)).findings,
           "day_volume", Severity::caution));
}

TEST(Stranger, ANewbornIsNotLeftWithoutGlucose) {
  EXPECT_TRUE(cautions(newborn({saline, 200.0 * millilitre, {}}, 24.0 * hour), "no_glucose_for_newborn"));
  EXPECT_FALSE(told(checked(newborn({dextrose, 200.0 * millilitre, {}}, 24.0 * hour)).findings,
                    "no_glucose_for_newborn", Severity::caution));
}

TEST(Stranger, WhatKeepsAVeinOpenIsSlow) {
  auto in = order_of({saline, 1.0 * litre, {}}, 8.0 * hour, Purpose::keep_open);
  EXPECT_TRUE(cautions(in, "keep_open_flow"));
  in.order.duration = 20.0 * hour;  // 50 mL/h
  EXPECT_FALSE(told(checked(in).findings, "keep_open_flow", Severity::caution));
}

TEST(Stranger, SomeThingsRunByPumpAlone) {
  auto in = order_of({"heparin 50 units/mL", 250.0 * millilitre, {}}, 12.0 * hour, Purpose::medicine);
  EXPECT_FALSE(told(checked(in).findings, "pump_only", Severity::stop));
  in.order.drop_factor = 20.0 * drop / millilitre;
  EXPECT_TRUE(stops(in, "pump_only"));
  auto potassium = order_of({with_potassium, 1.0 * litre, {}}, 10.0 * hour);
  potassium.order.drop_factor = 20.0 * drop / millilitre;
  EXPECT_TRUE(cautions(potassium, "potassium_by_drops"));
  auto small = newborn({dextrose, 200.0 * millilitre, {}}, 24.0 * hour);
  small.order.drop_factor = 60.0 * drop / millilitre;
  EXPECT_TRUE(cautions(small, "drops_for_infant"));
}

// US labels, values from memory: beside calcium both fall out; phenytoin in saline alone.
TEST(Stranger, WhatFallsOutInTheBagIsAStop) {
  EXPECT_TRUE(
      stops(order_of({"lactated Ringer's", 1.0 * litre, {{"sodium bicarbonate 8.4 %", 50.0 * millilitre}}}, 8.0 * hour),
            "never_together"));
  EXPECT_TRUE(stops(order_of({"ceftriaxone 40 mg/mL", 50.0 * millilitre, {{"Hartmann's", 50.0 * millilitre}}},
                             30.0 * minute, Purpose::medicine),
                    "never_together"));
  EXPECT_TRUE(stops(order_of({dextrose, 100.0 * millilitre, {{"phenytoin 10 mg/mL", 20.0 * millilitre}}}, 30.0 * minute,
                             Purpose::medicine),
                    "never_together"));
  EXPECT_TRUE(stops(order_of({saline, 100.0 * millilitre, {{"amiodarone 1.8 mg/mL", 80.0 * millilitre}}}, 30.0 * minute,
                             Purpose::medicine),
                    "not_made_up_in"));
}

TEST(Stranger, AMedicineHasADoseAndAnAge) {
  EXPECT_TRUE(
      lacks(checked(order_of({"paracetamol 10 mg/mL", 400.0 * millilitre, {}}, 1.0 * hour, Purpose::medicine)).looks,
            "dose", say::how_much_at_once("paracetamol 10 mg/mL")));
  EXPECT_TRUE(stops(order_of({saline, 49.0 * millilitre, {{"promethazine 25 mg/mL", 0.3 * millilitre}}}, 15.0 * minute,
                             Purpose::medicine, "2025-11-01", 9.5),
                    "too_young"));
}

TEST(Stranger, ShortAllergiesCountAndUnknownOnesAreAsked) {
  auto in = order_of({"lipid emulsion 20 %", 250.0 * millilitre, {}}, 12.0 * hour);
  in.patient.allergies = {"egg"};
  EXPECT_TRUE(stops(in, "allergy"));
  in.order.mixture.base = "contrast";
  in.patient.allergies = {"iodine"};
  EXPECT_TRUE(stops(in, "allergy"));
  in.order.mixture.base = "ceftriaxone 40 mg/mL";
  in.patient.allergies = {"PCN"};
  EXPECT_TRUE(lacks(checked(in).looks, "allergy", say::what_allergy_means("PCN")));
  in.patient.allergies = {"morphine"};
  EXPECT_FALSE(lacks(checked(in).looks, "allergy", say::what_allergy_means("morphine")));
  in.order.mixture.base = saline;
  in.patient.allergies = {"PCN"};
  EXPECT_FALSE(lacks(checked(in).looks, "allergy", say::what_allergy_means("PCN")));
}

// ---- the sums by dose and by hand

DoseInput run(const char* medicine, double milligrams_per_minute, Mass mass, Volume volume) {
  DoseInput in;
  in.medicine = medicine;
  in.dose = milligrams_per_minute;
  in.dose_unit = DoseUnit::mg_per_min;
  in.bag.mass = mass;
  in.bag.volume = volume;
  in.weight = 18.0 * kilogram;
  in.person = growth::Person{*parse_date("2021-01-01"), line::Sex::female, *parse_date("2026-11-25")};
  return in;
}

TEST(Stranger, ADoseRateIsHeldToTheAgeAndToTheBag) {
  const auto child = *dose_rate(run("calcium gluconate 10 %", 150, 1.0 * gram, 50.0 * millilitre), ward());
  EXPECT_TRUE(told(child.findings, "too_fast", Severity::stop));  // 100 mg/min in a child
  auto unknown = run("calcium gluconate 10 %", 150, 1.0 * gram, 50.0 * millilitre);
  unknown.person = std::nullopt;
  EXPECT_TRUE(lacks(dose_rate(unknown, ward())->looks, "speed", say::the_birth_date()));
  const auto newborn = *dose_rate(run("amiodarone 1.8 mg/mL", 25, 150.0 * milligram, 100.0 * millilitre), ward());
  EXPECT_EQ(newborn.verdict, Verdict::not_fully_checked);
  EXPECT_TRUE(told(newborn.findings, "vesicant_runs", Severity::caution));
  // The whole bag in 10 min, where the label says 60.
  EXPECT_TRUE(told(dose_rate(run("erythromycin 5 mg/mL", 50, 500.0 * milligram, 100.0 * millilitre), ward())->findings,
                   "too_short", Severity::stop));
  EXPECT_TRUE(told(dose_rate(run("magnesium sulfate 50 %", 50, 5.0 * gram, 10.0 * millilitre), ward())->findings,
                   "undiluted", Severity::stop));
}

TEST(Stranger, WhatTakesAnHourIsNotPushed) {
  PushInput in{100.0 * millilitre, 60.0 * minute, 1.0 * millilitre, 500.0 * milligram, std::nullopt};
  in.medicine = "erythromycin 5 mg/mL";
  EXPECT_TRUE(told(push_plan(in, ward())->findings, "never_pushed", Severity::stop));
}

// ---- dilution

TEST(Stranger, ADilutionHasAVerdict) {
  const auto& policy = exchange::default_library().policy;
  DilutionInput in;
  in.medicine = "phenytoin 10 mg/mL";
  in.dose = 1.0 * gram;
  EXPECT_TRUE(lacks(dilution(in, ward(), policy)->looks, "diluent", say::what_made_up_in()));
  in.diluent = dextrose;
  EXPECT_EQ(dilution(in, ward(), policy)->verdict, Verdict::stop);
  in.diluent = "normal saline";
  EXPECT_FALSE(told(dilution(in, ward(), policy)->findings, "never_together", Severity::stop));
  EXPECT_FALSE(
      lacks(dilution(in, ward(), policy)->looks, "diluent", say::whether_made_up_in("phenytoin 10 mg/mL", saline)));
  in.diluent = "tea";
  EXPECT_TRUE(told(dilution(in, ward(), policy)->findings, "unknown_infusate", Severity::stop));

  in.medicine = "Vancomycin 5mg/mL";
  in.diluent = saline;
  in.dose = 1.0 * gram;
  in.volume = 100.0 * millilitre;
  EXPECT_TRUE(told(dilution(in, ward(), policy)->findings, "too_strong", Severity::stop));
  in.fluid_restricted = true;
  EXPECT_TRUE(told(dilution(in, ward(), policy)->findings, "stronger_by_order", Severity::caution));
  in.in_syringe = true;
  EXPECT_TRUE(told(dilution(in, ward(), policy)->findings, "too_much_for_syringe", Severity::stop));
  in.patient = line::Patient{};
  in.patient->allergies_known = true;
  in.patient->allergies = {"teicoplanin"};
  EXPECT_TRUE(told(dilution(in, ward(), policy)->findings, "allergy", Severity::stop));
}

// US label: children 1 mg/kg/min, adults 50 mg/min. 30 mg over 10 min is 3 mg/min.
TEST(Stranger, ADilutionIsForSomebody) {
  const auto& policy = exchange::default_library().policy;
  DilutionInput in;
  in.medicine = "phenytoin 10 mg/mL";
  in.dose = 30.0 * milligram;
  in.duration = 10.0 * minute;
  in.diluent = saline;
  const auto unknown = *dilution(in, ward(), policy);
  EXPECT_TRUE(lacks(unknown.looks, "allergy", say::allergies_not_asked()));
  EXPECT_TRUE(lacks(unknown.looks, "speed", say::the_weight()));
  in.patient = line::Patient{};
  in.patient->allergies_known = true;
  in.patient->weight = 0.8 * kilogram;
  in.today = *parse_date("2026-11-25");
  in.patient->birth_date = *parse_date("2026-11-15");
  EXPECT_TRUE(told(dilution(in, ward(), policy)->findings, "too_fast", Severity::stop));
  EXPECT_NEAR(dwell::in(*dilution(in, ward(), policy)->least_time, minute), 30 / 0.8, 1e-9);
  in.patient->weight = 30.0 * kilogram;
  EXPECT_FALSE(told(dilution(in, ward(), policy)->findings, "too_fast", Severity::stop));
  EXPECT_TRUE(told(dilution(in, ward(), policy)->findings, "weight_for_age", Severity::stop));
  in.patient->weight = 700.0 * kilogram;
  EXPECT_EQ(dilution(in, ward(), policy).error().front().path, "/patient/weight");
  in.patient->weight.reset();
  in.patient->birth_date = *parse_date("2026-11-26");
  EXPECT_EQ(dilution(in, ward(), policy).error().front().path, "/patient/birth_date");
}

TEST(Stranger, ASumOfAMedicineAsksForAllergies) {
  PushInput push{20.0 * millilitre, 20.0 * minute, 1.0 * millilitre, 1000.0 * milligram, std::nullopt};
  push.medicine = "phenytoin 10 mg/mL";
  EXPECT_TRUE(lacks(push_plan(push, ward())->looks, "allergy", say::allergies_not_asked()));
  push.patient = line::Patient{};
  push.patient->allergies_known = true;
  EXPECT_FALSE(told(push_plan(push, ward())->findings, "allergy", Severity::stop));
  push.patient->allergies = {"Phenytoin"};
  EXPECT_TRUE(told(push_plan(push, ward())->findings, "allergy", Severity::stop));
  auto by_dose = DoseInput{50, {}, DoseUnit::mg_per_min, {1000.0 * milligram, {}, {}, 100.0 * millilitre}, {}, {}, {}};
  EXPECT_TRUE(lacks(dose_rate(by_dose, ward())->looks, "allergy", say::which_medicine()));
  by_dose.medicine = "phenytoin 10 mg/mL";
  EXPECT_TRUE(lacks(dose_rate(by_dose, ward())->looks, "allergy", say::allergies_not_asked()));
  by_dose.patient = push.patient;
  EXPECT_TRUE(told(dose_rate(by_dose, ward())->findings, "allergy", Severity::stop));
}

// ---- made at the bedside

// What comes strong to the bedside makes no medicine of a fluid, and what is said of a premixed bag is said of its
// like.
TEST(Stranger, WhatIsMixedAtTheBedsideIsWhatItIs) {
  const auto child = [](infusate::Mixture mixture) {
    return order_of(std::move(mixture), 8.0 * hour, Purpose::medicine, "2022-11-25", 16);
  };
  for (const char* salt : {"dextrose 50 %", "sodium bicarbonate 8.4 %", "mannitol 20 %", "water for injection"})
    EXPECT_TRUE(cautions(child({dextrose, 450.0 * millilitre, {{salt, 5.0 * millilitre}}}), "hypotonic_for_child"))
        << salt;
  // 10 mmol in 100 mL, as the premixed bag has it, and the concentrate thinned twenty times.
  auto by_drops =
      order_of({"water for injection", 95.0 * millilitre, {{"KCl 2 mmol/mL", 5.0 * millilitre}}}, 1.0 * hour);
  by_drops.order.drop_factor = 20.0 * drop / millilitre;
  EXPECT_TRUE(stops(by_drops, "pump_only"));
  by_drops.order.mixture.additives.front().volume = 3.0 * millilitre;
  EXPECT_FALSE(told(checked(by_drops).findings, "pump_only", Severity::stop));
  EXPECT_TRUE(
      stops(order_of({"water for injection", 90.0 * millilitre, {{"KCl 2 mmol/mL", 10.0 * millilitre}}}, 1.0 * hour),
            "central_only"));
}

}  // namespace
}  // namespace dwell::dosing
