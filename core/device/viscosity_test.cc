// What a fluid's unknown thickness does to a plan: never a reassurance.
#include <gtest/gtest.h>

#include <algorithm>

#include "device/plan.h"
#include "exchange/library.h"
#include "say/device.h"

namespace dwell::device {
namespace {

Case adult_with(infusate::Mixture mixture) {
  Case c;
  c.patient.birth_date = *parse_date("1986-03-03");
  c.patient.weight = 70.0 * kilogram;
  c.patient.allergies_known = true;
  c.patient.heart_or_kidney_failure = false;
  c.order.mixture = std::move(mixture);
  c.order.duration = 8.0 * hour;
  c.order.drop_factor = 20.0 * drop / millilitre;
  c.order.therapy = Interval{86400};
  c.now = *parse_instant("2026-11-25T08:00:00Z");
  Vein vein;
  vein.id = "forearm";
  vein.site = {access::Side::left, access::Region::forearm_middle, ""};
  vein.diameter = 4.0 * millimetre;
  vein.depth = 2.0 * millimetre;
  vein.visible = vein.palpable = true;
  c.veins = {vein};
  return c;
}

Plan planned(const Case& c) {
  const auto& library = exchange::default_library();
  return *plan(c, library.catheters, library.infusates, library.policy);
}

const verdict::LookReport& viscosity(const Plan& plan) {
  return *std::find_if(plan.looks.begin(), plan.looks.end(), [](const auto& look) { return look.look == "viscosity"; });
}

/// The open line through a catheter; more than any line gives when it is not among the options.
Flow through(const Plan& plan, const std::string& catheter) {
  const auto found = std::find_if(plan.options.begin(), plan.options.end(),
                                  [&](const Option& option) { return option.catheter == catheter; });
  return found == plan.options.end() ? Flow(1.0 * litre / second) : found->open_flow;
}

TEST(PlanViscosity, UnknownWidensTheBandAndIsNamed) {
  const auto known = planned(adult_with({"sodium chloride 0.9 %", 500.0 * millilitre, {}}));
  const auto unknown = planned(adult_with({"mannitol 5 %", 500.0 * millilitre, {}}));
  EXPECT_EQ(viscosity(known).state, verdict::LookState::looked);
  EXPECT_EQ(viscosity(unknown).missing, std::vector<Message>{say::viscosity_of("mannitol 5 %")});
  EXPECT_GE(unknown.verdict, verdict::Verdict::not_fully_checked);
  ASSERT_FALSE(known.options.empty());
  ASSERT_FALSE(unknown.options.empty());
  const auto& narrow = known.options.front();
  const auto same = std::find_if(unknown.options.begin(), unknown.options.end(),
                                 [&](const Option& option) { return option.catheter == narrow.catheter; });
  ASSERT_NE(same, unknown.options.end());
  EXPECT_LT(same->open_flow_low, narrow.open_flow_low);
}

TEST(PlanViscosity, APumpDoesNotAskForIt) {
  auto c = adult_with({"mannitol 5 %", 500.0 * millilitre, {}});
  c.order.drop_factor.reset();
  EXPECT_EQ(viscosity(planned(c)).state, verdict::LookState::does_not_apply);
}

// Twenty times as thick as water: whichever part is called the base, and by whatever name, it is not saline.
TEST(PlanViscosity, AThickPartCountsWhereverItStands) {
  const auto thin = planned(adult_with({"sodium chloride 0.9 %", 500.0 * millilitre, {}}));
  const auto thick =
      planned(adult_with({"contrast", 250.0 * millilitre, {{"sodium chloride 0.9 %", 250.0 * millilitre}}}));
  const auto turned = planned(adult_with({"normal saline", 250.0 * millilitre, {{"contrast", 250.0 * millilitre}}}));
  ASSERT_FALSE(thick.options.empty());
  ASSERT_EQ(thick.options.size(), turned.options.size());
  for (const auto& option : thick.options)
    EXPECT_NEAR(double(option.open_flow / through(turned, option.catheter)), 1, 1e-9) << option.catheter;
  for (const auto& option : thick.options) EXPECT_LT(option.open_flow, through(thin, option.catheter));
}

}  // namespace
}  // namespace dwell::device
