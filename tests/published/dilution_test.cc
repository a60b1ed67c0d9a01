// Strength and speed of irritants. Vancomycin: at most 5 mg/mL, at most 10 mg/min and at least 60 min; up to 10 mg/mL
// when fluid is restricted (label text, read). The rows are computed from that.
#include <gtest/gtest.h>

#include "dosing/dilution.h"
#include "exchange/library.h"
#include "vessel/tip.h"

namespace dwell {
namespace {

const infusate::Formulary& ward() { return exchange::default_library().infusates; }

struct Dose {
  double mg, least_ml, least_min, ml_per_h;
};
class PublishedVancomycin : public testing::TestWithParam<Dose> {};

TEST_P(PublishedVancomycin, LeastVolumeAndTime) {
  const auto& c = GetParam();
  dosing::DilutionInput in_;
  in_.medicine = "vancomycin 5 mg/mL";
  in_.dose = c.mg * milligram;
  const auto plan = dosing::dilution(in_, ward(), exchange::default_library().policy);
  ASSERT_TRUE(plan.has_value());
  EXPECT_NEAR(in(*plan->least_volume, millilitre), c.least_ml, 1e-6);
  EXPECT_NEAR(in(*plan->least_time, minute), c.least_min, 1e-6);
  EXPECT_NEAR(in(*plan->flow, millilitre / hour), c.ml_per_h, 1e-6);
  in_.fluid_restricted = true;
  EXPECT_NEAR(in(*dosing::dilution(in_, ward(), exchange::default_library().policy)->least_volume, millilitre),
              c.least_ml / 2, 1e-6);
}
INSTANTIATE_TEST_SUITE_P(Label, PublishedVancomycin,
                         testing::Values(Dose{500, 100, 60, 100}, Dose{750, 150, 75, 120}, Dose{1000, 200, 100, 120},
                                         Dose{1250, 250, 125, 120}, Dose{1500, 300, 150, 120},
                                         Dose{2000, 400, 200, 120}));

TEST(PublishedVancomycin, AGramInAnHourIsFasterThanTheLabel) {
  // Many ward sheets run 1 g over 60 min, 16.7 mg/min (reference, read): a stop here.
  dosing::DilutionInput in_;
  in_.medicine = "vancomycin 5 mg/mL";
  in_.dose = 1.0 * gram;
  in_.volume = 200.0 * millilitre;
  in_.duration = 1.0 * hour;
  const auto plan = dosing::dilution(in_, ward(), exchange::default_library().policy);
  EXPECT_NEAR(in(*plan->rate, milligram / minute), 16.7, 0.05);
  EXPECT_EQ(plan->findings.front().code, "too_fast");
}

struct Limit {
  const char* medicine;
  double mg, least_min;
};
class PublishedGivingTime : public testing::TestWithParam<Limit> {};

// Values from memory, marked so in the data: phenytoin 50 mg/min, calcium gluconate 200 mg/min, magnesium sulfate 150
// mg/min, aciclovir and ciprofloxacin at least 60 min.
TEST_P(PublishedGivingTime, LeastTime) {
  dosing::DilutionInput in_;
  in_.medicine = GetParam().medicine;
  in_.dose = GetParam().mg * milligram;
  const auto plan = dosing::dilution(in_, ward(), exchange::default_library().policy);
  ASSERT_TRUE(plan.has_value());
  EXPECT_NEAR(in(*plan->least_time, minute), GetParam().least_min, 1e-6);
}
INSTANTIATE_TEST_SUITE_P(Memory, PublishedGivingTime,
                         testing::Values(Limit{"phenytoin 10 mg/mL", 1000, 20},
                                         Limit{"calcium gluconate 10 %", 1000, 5},
                                         Limit{"magnesium sulfate 50 %", 3000, 20}, Limit{"aciclovir 5 mg/mL", 500, 60},
                                         Limit{"ciprofloxacin 2 mg/mL", 400, 60}));

struct Angle {
  double share, length, depth, degrees;
};
class PublishedAngle : public testing::TestWithParam<Angle> {};

// The reference's examples read backwards (computed): 32 mm at 4 mm and 30 degrees 75 %, at 8 mm 50 %; 48 mm at 8 mm 67
// %.
TEST_P(PublishedAngle, ForAShare) {
  const auto& c = GetParam();
  const auto angle = vessel::angle_for_share(Ratio(c.share), c.length * millimetre, c.depth * millimetre, Length());
  ASSERT_TRUE(angle.has_value());
  EXPECT_NEAR(*angle, c.degrees, 0.4);
}
INSTANTIATE_TEST_SUITE_P(Computed, PublishedAngle,
                         testing::Values(Angle{0.75, 32, 4, 30}, Angle{0.50, 32, 8, 30}, Angle{0.667, 48, 8, 30}));

}  // namespace
}  // namespace dwell
