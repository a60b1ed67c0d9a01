// Daily water: published worked cases and computed rows of the same rules.
#include <gtest/gtest.h>

#include "dosing/order.h"
#include "exchange/library.h"
#include "hydration/maintenance.h"

namespace dwell::hydration {
namespace {

struct ChildCase {
  const char* id;
  double kg, a_day, an_hour;
  const char* source;
};

class PublishedChildMaintenance : public testing::TestWithParam<ChildCase> {};

TEST_P(PublishedChildMaintenance, DailyAndHourlyRule) {
  const auto& c = GetParam();
  EXPECT_NEAR(in(Volume(holliday_segar_daily(c.kg * kilogram) * (24.0 * hour)), millilitre), c.a_day, 0.01)
      << c.id << c.source;
  EXPECT_NEAR(in(four_two_one(c.kg * kilogram), millilitre / hour), c.an_hour, 0.01) << c.id << c.source;
}

INSTANTIATE_TEST_SUITE_P(
    HollidaySegar, PublishedChildMaintenance,
    testing::Values(ChildCase{"HS1", 3.5, 350, 14, "computed"}, ChildCase{"HS3", 10, 1000, 40, "computed"},
                    ChildCase{"HS5", 20, 1500, 60, "computed"},
                    ChildCase{"HS6", 22, 1540, 62, "published: children's emergency quick reference (read)"},
                    ChildCase{"HS7", 30, 1700, 70, "published: UTMB paediatric education (read)"},
                    ChildCase{"HS8", 40, 1900, 80, "computed"}, ChildCase{"HS9", 70, 2500, 110, "computed"}));

TEST(PublishedAdultMaintenance, TwentyFiveToThirty) {
  // AD1, published prescribing sheet: 70 kg at 25 to 30 mL/kg is 1,750 to 2,100 mL a day (read).
  const auto& limits = exchange::default_library().policy.order;
  const auto m = maintenance({70.0 * kilogram, MaintenanceRule::adult, false, {}}, limits);
  ASSERT_TRUE(m.has_value());
  EXPECT_NEAR(in(Volume(m->low * (24.0 * hour)), millilitre), 1750, 0.01);
  EXPECT_NEAR(in(Volume(m->high * (24.0 * hour)), millilitre), 2100, 0.01);
  // AD4 (computed): frail, 47 kg, 20 to 25 mL/kg is 940 to 1,175 mL a day.
  const auto frail = maintenance({47.0 * kilogram, MaintenanceRule::adult, true, {}}, limits);
  EXPECT_NEAR(in(Volume(frail->low * (24.0 * hour)), millilitre), 940, 0.01);
  EXPECT_NEAR(in(Volume(frail->high * (24.0 * hour)), millilitre), 1175, 0.01);
}

TEST(PublishedPotassium, RateAndFastestFlow) {
  // A40 (computed): a 20 mmol/L bag at 125 mL/h gives 2.5 mmol/h.
  const auto& library = exchange::default_library();
  dosing::OrderCheckInput in_order;
  in_order.order.mixture = {"sodium chloride 0.9 % with potassium chloride 20 mmol/L", 1.0 * litre, {}};
  in_order.order.flow = 125.0 * millilitre / hour;
  in_order.now = *parse_instant("2026-11-25T08:00:00Z");
  const auto checked = dosing::check_order(in_order, library.infusates, library.policy);
  ASSERT_TRUE(checked && checked->potassium_rate);
  EXPECT_NEAR(in(*checked->potassium_rate, millimole / hour), 2.5, 1e-9);
}

TEST(PublishedPotassium, PolicyLinesOfTheSources) {
  // NHS Highland: 10 mmol/h usual, above 20 only with ECG; above 40 mmol/L centrally (read). Leeds/UCLH: above 80
  // central (read).
  const auto& order = exchange::default_library().policy.order;
  EXPECT_NEAR(in(order.potassium_rate_caution.value, millimole / hour), 10, 1e-9);
  EXPECT_NEAR(in(order.potassium_rate_stop.value, millimole / hour), 20, 1e-9);
  EXPECT_NEAR(order.potassium_concentration_caution.value.value(), 40, 1e-9);
  EXPECT_NEAR(order.potassium_concentration_stop.value.value(), 80, 1e-9);
}

}  // namespace
}  // namespace dwell::hydration
