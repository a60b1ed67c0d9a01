// Worked transfusions: computed rows of the reference tables (our arithmetic from the rule that the slow start counts
// towards the whole), and the clock of the UK and New Zealand handbooks (read): four hours from leaving storage.
#include <gtest/gtest.h>

#include "dosing/transfusion.h"
#include "exchange/library.h"

namespace dwell::dosing {
namespace {

struct UnitCase {
  double volume, hours, first_rate, first_volume, then_rate;
  int then_minutes;
};

class PublishedTransfusion : public testing::TestWithParam<UnitCase> {};

TEST_P(PublishedTransfusion, SlowStartThenTheRest) {
  const auto& c = GetParam();
  TransfusionInput unit;
  unit.volume = c.volume * millilitre;
  unit.over = c.hours * hour;
  unit.first_flow = c.first_rate * millilitre / hour;
  const auto plan = transfusion_plan(unit, exchange::default_library().policy.order);
  ASSERT_TRUE(plan);
  EXPECT_NEAR(in(plan->first_volume, millilitre), c.first_volume, 1e-9);
  EXPECT_NEAR(in(plan->then_flow, millilitre / hour), c.then_rate, 0.05);
  EXPECT_NEAR(in(plan->then_for, minute), c.then_minutes, 1e-9);
}

INSTANTIATE_TEST_SUITE_P(Worked, PublishedTransfusion,
                         testing::Values(UnitCase{350, 4, 50, 12.5, 90, 225},      // computed
                                         UnitCase{350, 2, 120, 30, 182.9, 105},    // computed
                                         UnitCase{320, 3, 100, 25, 107.3, 165}));  // computed

TEST(PublishedTransfusion, TheFourHoursStartAtLeavingStorage) {
  // Spiked 25 min after removal, 3 h 35 min are left (computed from the handbooks' rule).
  TransfusionInput unit;
  unit.volume = 300.0 * millilitre;
  unit.over = 3.0 * hour + 35.0 * minute;
  unit.left_storage = *parse_instant("2026-11-25T08:00:00Z");
  unit.start = *parse_instant("2026-11-25T08:25:00Z");
  const auto& limits = exchange::default_library().policy.order;
  const auto stops = [&] {
    const auto plan = transfusion_plan(unit, limits);
    return std::any_of(plan->findings.begin(), plan->findings.end(),
                       [](const Finding& f) { return f.severity == Severity::stop; });
  };
  EXPECT_FALSE(stops());
  unit.over += 1.0 * minute;
  EXPECT_TRUE(stops());
}

TEST(PublishedTransfusion, NotAboveTwoMillilitresAMinuteAtFirst) {
  // Provincial guidance as quoted: start at 50 mL/h, not above 2 mL/min (120 mL/h) for the first 15 min.
  const auto& order = exchange::default_library().policy.order;
  EXPECT_NEAR(in(order.blood_first_flow.value, millilitre / hour), 50, 1e-9);
  EXPECT_LE(in(order.blood_first_flow.value, millilitre / minute), 2);
  EXPECT_EQ(order.blood_first_period.value, std::chrono::minutes{15});
}

}  // namespace
}  // namespace dwell::dosing
