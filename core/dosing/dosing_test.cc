#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "dosing/order.h"
#include "exchange/library.h"
#include "json/codec.h"
#include "quantity/display.h"
#include "say/common.h"
#include "say/dosing.h"

namespace dwell::dosing {
namespace {

RateInput litre_over_eight_hours() {
  RateInput in;
  in.volume = 1.0 * litre;
  in.duration = 8.0 * hour;
  in.drop_factor = 20.0 * drop / millilitre;
  return in;
}

TEST(Rate, VolumeAndTime) {
  const auto r = *rate(litre_over_eight_hours());
  EXPECT_EQ(r.rate_text, say::quantity({{message::Part{"125", "mL/h"}}}));
  EXPECT_EQ(r.drops_per_minute, 42);
  EXPECT_EQ(r.drops_per_15_seconds, 10);
  EXPECT_EQ(r.workings.size(), 2u);
}

TEST(Rate, AContradictoryTripleNamesAllThree) {
  auto in = litre_over_eight_hours();
  in.flow = 150.0 * millilitre / hour;
  const auto refused = rate(in);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().size(), 3u);
  in.flow = 125.5 * millilitre / hour;  // within 1 %: a rounded pump rate
  EXPECT_TRUE(rate(in));
}

TEST(Rate, OneOfThreeIsNotEnough) {
  RateInput in;
  in.volume = 1.0 * litre;
  const auto refused = rate(in);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().size(), 2u);
}

TEST(Rate, AbsurdValuesAreRefusedWithTheirRange) {
  RateInput in;
  in.volume = 50.0 * litre;
  in.duration = 1.0 * second;
  in.drop_factor = 1000.0 * drop / millilitre;
  const auto refused = rate(in);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().size(), 3u);
}

TEST(Dose, NeedsTheWeightThatItSpeaksOf) {
  DoseInput in;
  in.dose = 5;
  in.dose_unit = DoseUnit::mcg_per_kg_min;
  in.bag.mass = 200.0 * milligram;
  in.bag.volume = 250.0 * millilitre;
  EXPECT_EQ(dose_rate(in).error().front().path, "/weight");
  in.weight = 700.0 * kilogram;
  EXPECT_EQ(dose_rate(in).error().front().found, "700 kg");
}

TEST(Dose, TheDrugMustBeOfTheDosesKind) {
  DoseInput in;
  in.dose = 1000;
  in.dose_unit = DoseUnit::units_per_h;
  in.bag.mass = 200.0 * milligram;
  in.bag.volume = 250.0 * millilitre;
  EXPECT_EQ(dose_rate(in).error().front().path, "/bag");
}

OrderCheckInput main_case() {
  OrderCheckInput in;
  in.order.mixture = {"balanced crystalloid (acetate-gluconate)", 1.0 * litre, {}};
  in.order.duration = 8.0 * hour;
  in.order.drop_factor = 20.0 * drop / millilitre;
  in.order.purpose = Purpose::rehydration;
  in.patient.birth_date = *parse_date("1942-03-03");
  in.patient.weight = 47.0 * kilogram;
  in.patient.allergies_known = true;
  in.now = *parse_instant("2026-11-25T08:00:00Z");
  return in;
}

OrderCheck checked(const OrderCheckInput& in) {
  const auto& library = exchange::default_library();
  return *check_order(in, library.infusates, library.policy);
}

const Finding* find(const OrderCheck& check, std::string_view code) {
  const auto found =
      std::find_if(check.findings.begin(), check.findings.end(), [&](const Finding& f) { return f.code == code; });
  return found == check.findings.end() ? nullptr : &*found;
}

bool lacks(const OrderCheck& check, OrderLook look, const Message& what) {
  const auto found = std::find_if(check.looks.begin(), check.looks.end(),
                                  [&](const auto& report) { return report.look == json::name_of(look); });
  return found != check.looks.end() &&
         std::find(found->missing.begin(), found->missing.end(), what) != found->missing.end();
}

TEST(OrderCheck, TheMainCaseIsACautionForWeightAgeAndDay) {
  const auto check = checked(main_case());
  EXPECT_EQ(check.verdict, Verdict::caution);
  EXPECT_EQ(show(*check.flow_per_mass), "2.66 mL/kg/h");
  ASSERT_TRUE(find(check, "rate_for_weight"));
  EXPECT_EQ(find(check, "rate_for_weight")->source.mark, Mark::practice);
  EXPECT_TRUE(find(check, "rate_for_age"));
  ASSERT_TRUE(find(check, "day_volume"));
  EXPECT_EQ(
      find(check, "day_volume")->text,
      say::day_volume_beside(1.0 * litre, say::low_to_high(shown(940.0 * millilitre), shown(1175.0 * millilitre))));
}

TEST(OrderCheck, UnknownWeightAndAgeAreSaidNotPassed) {
  auto in = main_case();
  in.patient.weight.reset();
  in.patient.birth_date.reset();
  const auto check = checked(in);
  EXPECT_EQ(check.verdict, Verdict::not_fully_checked);
  EXPECT_TRUE(lacks(check, OrderLook::flow_for_body, say::the_weight()));
  EXPECT_TRUE(lacks(check, OrderLook::day_volume, say::the_weight()));
  EXPECT_TRUE(lacks(check, OrderLook::flow, say::the_birth_date()));
}

TEST(OrderCheck, ASlipOfThePenIsAStop) {
  auto in = main_case();
  in.order.duration.reset();
  in.order.flow = 1250.0 * millilitre / hour;
  EXPECT_EQ(checked(in).verdict, Verdict::stop);
  EXPECT_TRUE(find(checked(in), "highest_flow"));
}

TEST(OrderCheck, PotassiumByRateAndConcentration) {
  auto in = main_case();
  in.order.mixture = {"potassium chloride 100 mmol/L (10 mmol in 100 mL)", 100.0 * millilitre, {}};
  in.order.duration = 30.0 * minute;
  const auto check = checked(in);
  EXPECT_EQ(check.verdict, Verdict::stop);
  EXPECT_EQ(find(check, "potassium_concentration")->severity, Severity::stop);
  EXPECT_EQ(find(check, "potassium_rate")->severity, Severity::caution);
}

TEST(OrderCheck, AMedicineIsNeitherTooStrongNorTooFast) {
  auto in = main_case();
  in.order.flow.reset();
  in.order.mixture = {"vancomycin 5 mg/mL", 200.0 * millilitre, {}};
  in.order.duration = 100.0 * minute;
  EXPECT_FALSE(find(checked(in), "giving_rate"));
  in.order.duration = 60.0 * minute;
  EXPECT_EQ(find(checked(in), "giving_rate")->severity, Severity::stop);
  in.order.mixture.volume = 50.0 * millilitre;
  in.order.duration = 45.0 * minute;
  EXPECT_TRUE(find(checked(in), "giving_time"));
  EXPECT_FALSE(find(checked(in), "giving_rate"));
  in.order.mixture = {"magnesium sulfate 50 %", 10.0 * millilitre, {}};
  EXPECT_EQ(find(checked(in), "giving_concentration")->severity, Severity::stop);
  in.order.mixture = {"sodium chloride 0.9 %", 90.0 * millilitre, {{"magnesium sulfate 50 %", 10.0 * millilitre}}};
  EXPECT_FALSE(find(checked(in), "giving_concentration"));
}

TEST(OrderCheck, ABagShouldNotHangTooLong) {
  auto in = main_case();
  in.order.flow.reset();
  in.order.duration = 25.0 * hour;
  EXPECT_EQ(find(checked(in), "bag_hang")->severity, Severity::caution);
  in.order.duration = 24.0 * hour;
  EXPECT_FALSE(find(checked(in), "bag_hang"));
  in.order.mixture = {"lipid emulsion 20 %", 250.0 * millilitre, {}};
  in.order.duration = 13.0 * hour;
  EXPECT_TRUE(find(checked(in), "bag_hang"));
}

TEST(OrderCheck, BloodMustNotHangTooLong) {
  auto in = main_case();
  in.order.mixture = {"red cells", 300.0 * millilitre, {}};
  in.order.duration = 5.0 * hour;
  EXPECT_TRUE(find(checked(in), "blood_hang"));
}

RC_GTEST_PROP(RateProperty, AnyTwoGiveTheThird, ()) {
  RateInput in;
  in.volume = 1.0 * *rc::gen::inRange(1, 5000) * millilitre;
  in.duration = 1.0 * *rc::gen::inRange(5, 3000) * minute;
  const auto first = rate(in);
  RC_PRE(first.has_value());
  RateInput back;
  back.volume = first->volume;
  back.flow = first->flow;
  const auto second = rate(back);
  RC_PRE(second.has_value());
  RC_ASSERT(std::abs(double(second->duration / first->duration) - 1) < 1e-9);
}

RC_GTEST_PROP(DoseProperty, DoseToRateAndBack, ()) {
  DoseInput in;
  in.dose = *rc::gen::inRange(1, 100) / 10.0;
  in.dose_unit =
      *rc::gen::element(DoseUnit::mcg_per_kg_min, DoseUnit::mg_per_kg_h, DoseUnit::mcg_per_min, DoseUnit::mg_per_h);
  in.bag.mass = 1.0 * *rc::gen::inRange(10, 1000) * milligram;
  in.bag.volume = 250.0 * millilitre;
  in.weight = 1.0 * *rc::gen::inRange(3, 150) * kilogram;
  const auto there = dose_rate(in);
  RC_PRE(there.has_value() && there->flow > 0.05 * millilitre / hour && there->flow < 2000.0 * millilitre / hour);
  DoseInput back = in;
  back.dose.reset();
  back.flow = there->flow;
  RC_ASSERT(std::abs(dose_rate(back)->dose / *in.dose - 1) < 1e-9);
}

}  // namespace
}  // namespace dwell::dosing
