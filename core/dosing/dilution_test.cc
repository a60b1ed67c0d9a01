#include "dosing/dilution.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "exchange/library.h"

namespace dwell::dosing {
namespace {

const infusate::Formulary& ward() { return exchange::default_library().infusates; }

TEST(Dilution, WithoutLimitsItSaysSo) {
  DilutionInput in;
  in.medicine = "morphine 1 mg/mL";
  in.dose = 10.0 * milligram;
  const auto plan = dilution(in, ward(), exchange::default_library().policy);
  ASSERT_TRUE(plan.has_value());
  EXPECT_FALSE(plan->least_time);
  EXPECT_EQ(plan->findings.front().code, "limits_unknown");
}

TEST(Dilution, AFrailPersonGetsItSlower) {
  DilutionInput in;
  in.medicine = "phenytoin 10 mg/mL";
  in.dose = 1.0 * gram;
  const auto usual = dilution(in, ward(), exchange::default_library().policy);
  in.frail = true;
  EXPECT_NEAR(double(*dilution(in, ward(), exchange::default_library().policy)->least_time / *usual->least_time), 2,
              1e-9);
}

TEST(Dilution, BadInputIsNamedAllAtOnce) {
  DilutionInput in;
  in.medicine = "moonshine";
  in.volume = 50.0 * litre;
  in.duration = 1.0 * second;
  EXPECT_EQ(dilution(in, ward(), exchange::default_library().policy).error().size(), 4u);
}

RC_GTEST_PROP(DilutionProperty, TheLeastPlanIsNeverAStop, ()) {
  DilutionInput in;
  in.medicine = *rc::gen::element<std::string>("vancomycin 5 mg/mL", "aciclovir 5 mg/mL", "levofloxacin 5 mg/mL");
  in.dose = *rc::gen::inRange(1, 4000) * 1.0 * milligram;
  in.fluid_restricted = *rc::gen::arbitrary<bool>();
  const auto least = dilution(in, ward(), exchange::default_library().policy);
  RC_ASSERT(least.has_value());
  in.volume = least->least_volume;
  in.duration = least->least_time;
  RC_PRE(*in.volume >= 1.0 * millilitre);
  const auto again = dilution(in, ward(), exchange::default_library().policy);
  for (const auto& f : again->findings) RC_ASSERT(f.severity != Severity::stop);
}

}  // namespace
}  // namespace dwell::dosing
