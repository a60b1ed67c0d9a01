#include "vessel/tip.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "vessel/fit.h"

namespace dwell::vessel {
namespace {

TEST(Tip, ASteepEntryIntoASmallVeinPassesTheFarWall) {
  TipInput in;
  in.vein_inner = 2.0 * millimetre;
  in.angle_degrees = 45;
  in.lead = 3.0 * millimetre;
  const auto steep = tip(in);
  ASSERT_TRUE(steep.has_value());
  EXPECT_LT(steep->spare, Length());
  EXPECT_EQ(steep->findings.front().code, "far_wall");
  in.lowered_degrees = 15;
  EXPECT_GT(tip(in)->spare, Length());
  EXPECT_NEAR(tip(in)->steepest_degrees, 41.8, 0.05);
}

TEST(Tip, BadInputIsNamedAllAtOnce) {
  TipInput in;
  in.angle_degrees = 0;
  in.lowered_degrees = 30;
  EXPECT_EQ(tip(in).error().size(), 3u);
}

TEST(Dilution, NoBloodMeansUndiluted) {
  DilutionInput in;
  in.infusion = 100.0 * millilitre / hour;
  in.infusate = 900.0 * milliosmole_per_litre;
  in.vein_flow = Flow();
  const auto d = dilution(in);
  ASSERT_TRUE(d.has_value());
  EXPECT_NEAR(dwell::in(d->at_tip, milliosmole_per_litre), 900, 1e-9);
  EXPECT_EQ(d->findings.front().code, "little_blood");
}

RC_GTEST_PROP(TipProperty, TheAngleForAShareGivesThatShare, ()) {
  const Ratio share(*rc::gen::inRange(5, 95) / 100.0);
  const Length catheter = *rc::gen::inRange(15, 60) * 1.0 * millimetre;
  const Length depth = *rc::gen::inRange(1, 100) * 0.1 * millimetre;
  const auto angle = angle_for_share(share, catheter, depth, 2.0 * millimetre);
  RC_PRE(angle.has_value());
  RC_ASSERT(std::abs(double(share_in_vein(catheter, depth, *angle, 2.0 * millimetre) - share)) < 1e-9);
}

RC_GTEST_PROP(DilutionProperty, LiesBetweenPlasmaAndInfusate, ()) {
  DilutionInput in;
  in.infusion = *rc::gen::inRange(1, 1000) * 1.0 * millilitre / hour;
  in.infusate = *rc::gen::inRange(0, 3000) * 1.0 * milliosmole_per_litre;
  in.vein_flow = *rc::gen::inRange(0, 10000) * 1.0 * millilitre / hour;
  in.catheter_to_vein = Ratio(*rc::gen::inRange(0, 100) / 100.0);
  const auto d = dilution(in);
  RC_ASSERT(d.has_value());
  const auto hair = 1e-6 * milliosmole_per_litre;
  RC_ASSERT(d->at_tip >= std::min(in.infusate, in.plasma) - hair);
  RC_ASSERT(d->at_tip <= std::max(in.infusate, in.plasma) + hair);
}

}  // namespace
}  // namespace dwell::vessel
