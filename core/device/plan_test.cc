#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "device/evaluate.h"
#include "device/plan.h"
#include "exchange/library.h"
#include "quantity/display.h"
#include "say/access.h"
#include "say/common.h"
#include "say/device.h"

namespace dwell::device {
namespace {

using access::Region;
using access::Side;

Vein vein(const char* id, Side side, Region region, double wide_mm, double deep_mm) {
  Vein v;
  v.id = id;
  v.site = {side, region, ""};
  v.diameter = wide_mm * millimetre;
  v.depth = deep_mm * millimetre;
  v.visible = v.palpable = true;
  return v;
}

/// The main case: light older adult, fragile veins, 1 L of a balanced crystalloid over 8 h by a 20-drop set.
Case older_adult() {
  Case c;
  c.patient.birth_date = *parse_date("1942-03-03");
  c.patient.weight = 47.0 * kilogram;
  c.patient.allergies_known = true;
  c.patient.restrictions = {{Side::right, access::Limb::arm, access::RestrictionReason::fistula_or_graft, ""}};
  c.order.mixture = {"balanced crystalloid (acetate-gluconate)", 1.0 * litre, {}};
  c.order.duration = 8.0 * hour;
  c.order.drop_factor = 20.0 * drop / millilitre;
  c.order.purpose = dosing::Purpose::rehydration;
  c.order.therapy = Interval{2 * 86400};
  c.now = *parse_instant("2026-11-25T08:00:00Z");
  c.veins = {vein("forearm", Side::left, Region::forearm_middle, 2.8, 2),
             vein("elbow", Side::left, Region::antecubital, 3.4, 2.5),
             vein("hand", Side::left, Region::hand_back, 2.0, 1.5),
             vein("right", Side::right, Region::forearm_middle, 3.0, 2)};
  c.veins[0].fragile = true;
  c.veins[1].faults = {access::VeinFault::at_joint};
  c.veins[2].faults = {access::VeinFault::bruised};
  return c;
}

Checked<Plan> planned(const Case& c) {
  const auto& library = exchange::default_library();
  return plan(c, library.catheters, library.infusates, library.policy);
}

bool says(const std::vector<Message>& reasons, const Message& one) {
  return std::find(reasons.begin(), reasons.end(), one) != reasons.end();
}
bool says(const std::vector<Message>& reasons, const char* id) {
  return std::any_of(reasons.begin(), reasons.end(), [&](const Message& reason) { return reason.id() == id; });
}
/// The first of the plan, above which nothing stands.
Message below(const Plan& p, const Message& reason) {
  const auto& first = p.options.front();
  return say::below_the_first(say::catheter_of_size(first.gauge.number, first.length), access::said_of(first.site),
                              reason);
}

// Common practice, no source: 22 gauge in the forearm for a light older adult without surgery or blood ahead.
TEST(PlanMainCase, OffersTwentyTwoInTheForearmFirst) {
  const auto p = planned(older_adult());
  ASSERT_TRUE(p.has_value());
  ASSERT_FALSE(p->options.empty());
  EXPECT_EQ(p->options.front().gauge, Gauge{22});
  EXPECT_EQ(p->options.front().vein, "forearm");
  EXPECT_TRUE(p->options.front().pareto_best);
}

TEST(PlanMainCase, SaysWhyEachWiderOneRanksBelow) {
  const auto p = *planned(older_adult());
  int wider = 0;
  for (const auto& option : p.options) {
    if (option.gauge <= Gauge{22}) continue;
    ++wider;
    EXPECT_TRUE(says(option.reasons, below(p, say::wider_than_needed()))) << option.catheter << " in " << option.vein;
  }
  EXPECT_GT(wider, 0);
}

TEST(PlanMainCase, SaysWhichVeinsAreOutAndWhy) {
  const auto p = *planned(older_adult());
  const auto out = [&](const char* id) {
    return std::find_if(p.exclusions.begin(), p.exclusions.end(),
                        [&](const Exclusion& x) { return x.vein == id && x.catheters.empty(); });
  };
  ASSERT_NE(out("hand"), p.exclusions.end());
  EXPECT_EQ(out("hand")->reason, say::vein_is({say::vein_fault(VeinFault::bruised)}));
  ASSERT_NE(out("right"), p.exclusions.end());
  EXPECT_EQ(out("right")->reason,
            say::sentences({say::limb_is_closed(Side::right, access::Limb::arm,
                                                say::restriction(access::RestrictionReason::fistula_or_graft))}));
  EXPECT_EQ(out("elbow"), p.exclusions.end());  // a joint is a caution, not a wall
}

TEST(PlanMainCase, ChecksTheOrder) {
  const auto p = *planned(older_adult());
  EXPECT_EQ(p.order.rate.rate_text, say::quantity({{message::Part{"125", "mL/h"}}}));
  EXPECT_EQ(p.order.rate.drops_per_minute, 42);
  EXPECT_EQ(p.order.verdict, dosing::Verdict::caution);
  EXPECT_EQ(iso(*p.order.rate.ends_at), "2026-11-25T16:00:00.000Z");
}

TEST(Plan, AnEmptyResultSaysWhatWouldHaveToChange) {
  auto c = older_adult();
  c.veins = {vein("thin", Side::left, Region::forearm_middle, 1.0, 2)};
  const auto p = *planned(c);
  EXPECT_TRUE(p.options.empty());
  ASSERT_FALSE(p.exclusions.empty());
  EXPECT_EQ(p.exclusions.front().change.id(), "a_wider_vein");
}

TEST(Plan, ManyVeinsAreRefusedByTheirNumber) {
  auto c = older_adult();
  c.veins.assign(101, vein("one", Side::left, Region::forearm_middle, 4.5, 2));
  const auto refused = planned(c);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().path, "/veins");
  EXPECT_EQ(refused.error().front().found, "101");
}

TEST(Plan, SurgeryAheadPutsWiderFirst) {
  auto c = older_adult();
  c.surgery_expected = true;
  c.veins = {vein("good", Side::left, Region::forearm_middle, 4.5, 2)};
  EXPECT_EQ(planned(c)->options.front().gauge, Gauge{18});
}

TEST(Plan, AVesicantInAHandVeinIsAStop) {
  auto c = older_adult();
  c.order.mixture = {"norepinephrine 16 mcg/mL", 250.0 * millilitre, {}};
  c.order.drop_factor.reset();
  c.veins = {vein("hand", Side::left, Region::hand_back, 3.5, 1.5)};
  const auto p = *planned(c);
  EXPECT_EQ(p.suitability.route, infusate::Route::refer_for_central);
  ASSERT_FALSE(p.options.empty());
  const auto& cautions = p.options.front().cautions;
  EXPECT_TRUE(std::any_of(cautions.begin(), cautions.end(), [](const Finding& f) {
    return f.code == "vesicant_small_vein" && f.severity == Severity::stop;
  }));
}

TEST(Plan, NoFirstChoiceForWhatNoShortCatheterMayCarry) {
  auto c = older_adult();
  EXPECT_TRUE(planned(c)->first_is_choice);
  c.order.mixture = {"potassium chloride 2 mmol/mL concentrate", 100.0 * millilitre, {}};
  const auto undiluted = *planned(c);
  EXPECT_TRUE(undiluted.options.empty());
  EXPECT_FALSE(undiluted.first_is_choice);
  EXPECT_EQ(undiluted.verdict, verdict::Verdict::stop);
  EXPECT_EQ(undiluted.summary, say::no_choice_no_vein());
  c.order.mixture = {"norepinephrine 16 mcg/mL", 250.0 * millilitre, {}};
  const auto vasopressor = *planned(c);
  EXPECT_FALSE(vasopressor.options.empty());  // which vein, in an emergency
  EXPECT_FALSE(vasopressor.first_is_choice);
  EXPECT_EQ(vasopressor.summary, say::no_choice_no_short_catheter());
}

TEST(Plan, ALimbToBeLeftAloneComesLastAndOnlyWithAReason) {
  auto c = older_adult();
  c.patient.restrictions = {{Side::left, access::Limb::arm, access::RestrictionReason::node_dissection, ""}};
  c.veins = {vein("best", Side::left, Region::forearm_middle, 4.0, 2),
             vein("poor", Side::right, Region::hand_back, 2.2, 2)};
  const auto p = *planned(c);
  ASSERT_GE(p.options.size(), 2u);
  EXPECT_EQ(p.options.front().vein, "poor");
  EXPECT_FALSE(p.options.front().needs_reason);
  EXPECT_EQ(p.options.back().vein, "best");
  EXPECT_TRUE(p.options.back().needs_reason);
  EXPECT_TRUE(says(p.options.back().reasons, below(p, say::limb_left_alone_last())));
  c.veins.pop_back();
  const auto only = *planned(c);
  EXPECT_FALSE(only.first_is_choice);
  EXPECT_EQ(only.summary, say::no_choice_restricted_limb());
}

TEST(Plan, IsNoBetterThanItsOrder) {
  auto c = older_adult();
  EXPECT_EQ(planned(c)->verdict, verdict::Verdict::caution);
  c.patient.weight.reset();
  EXPECT_EQ(planned(c)->verdict, verdict::Verdict::not_fully_checked);
  c = older_adult();
  c.order.therapy.reset();
  EXPECT_EQ(planned(c)->verdict, verdict::Verdict::not_fully_checked);
}

TEST(Plan, AHigherBagGivesMoreAndAStrangeHeightIsQuestioned) {
  auto nursing_case = older_adult();
  const auto usual = *planned(nursing_case);
  nursing_case.bag_height = 1.5 * metre;
  const auto higher = *planned(nursing_case);
  EXPECT_GT(higher.options.front().open_flow, usual.options.front().open_flow);
  nursing_case.bag_height = exchange::default_library().policy.gravity.bag_height.value;
  EXPECT_EQ(planned(nursing_case)->options.front().open_flow, usual.options.front().open_flow);
  nursing_case.bag_height = 3.1 * metre;
  EXPECT_EQ(planned(nursing_case).error().front().path, "/bag_height");
}

TEST(Plan, BadInputIsNamedAllAtOnce) {
  auto c = older_adult();
  c.patient.weight = 700.0 * kilogram;
  c.veins[0].diameter = Length();
  c.veins[1].depth = -1.0 * millimetre;
  const auto refused = planned(c);
  ASSERT_FALSE(refused);
  ASSERT_EQ(refused.error().size(), 3u);
  EXPECT_EQ(refused.error()[0].path, "/veins/0/diameter");
  EXPECT_EQ(refused.error()[2].found, "700 kg");
  c.veins.clear();
  EXPECT_EQ(planned(c).error().front().path, "/veins");
}

RC_GTEST_PROP(PlanProperty, OptionsAreInsideEveryHardLimitAndInOrder, ()) {
  auto c = older_adult();
  c.veins = {
      vein("a", Side::left, Region::forearm_lower, *rc::gen::inRange(5, 60) / 10.0, *rc::gen::inRange(5, 80) / 10.0),
      vein("b", Side::left, Region::hand_back, *rc::gen::inRange(5, 60) / 10.0, *rc::gen::inRange(5, 80) / 10.0)};
  const auto p = *planned(c);
  for (std::size_t i = 0; i < p.options.size(); ++i) {
    for (const auto& margin : p.options[i].margins) {
      RC_ASSERT(margin.share_of_limit <= 1.0);
      const bool inside =
          margin.rule == MarginRule::at_most ? margin.share <= margin.limit_share : margin.share >= margin.limit_share;
      RC_ASSERT(inside == margin.inside);
      RC_ASSERT((margin.share >= Ratio() && margin.share <= Ratio(1.0)));
    }
    RC_ASSERT(p.options[i].why.has_value() == (i > 0));
    RC_ASSERT(p.options[i].lie.in_vein <= p.options[i].length);
    RC_ASSERT(p.options[i].open_flow >= p.needed_flow);
    if (i > 0) RC_ASSERT(p.options[i - 1].score >= p.options[i].score);
  }
  // The best score is never dominated.
  if (!p.options.empty()) RC_ASSERT(p.options.front().pareto_best);
}

TEST(PlanSureness, AGuessIsDrawnTowardsWhatIsUsual) {
  const auto& choice = exchange::default_library().policy.choice;
  Vein seen = vein("v", Side::left, Region::forearm_middle, 4.5, 2);
  const auto by_eye = diameter_belief(seen, choice);
  seen.diameter_from = access::DiameterFrom::ultrasound;
  const auto by_ultrasound = diameter_belief(seen, choice);
  EXPECT_LT(by_eye.mean, by_ultrasound.mean);
  EXPECT_LT(by_ultrasound.mean, seen.diameter);
  EXPECT_LT(by_ultrasound.spread, by_eye.spread);
  // Worked by hand: prior 2.9 ± 0.9, by eye ± 0.7: (2.9/0.81 + 4.5/0.49) / (1/0.81 + 1/0.49) = 3.897 mm.
  EXPECT_NEAR(in(by_eye.mean, millimetre), 3.897, 5e-4);
  EXPECT_NEAR(in(by_eye.spread, millimetre), 0.5526, 5e-4);
}

TEST(PlanSureness, EveryOptionSaysHowSureItIs) {
  const auto p = *planned(older_adult());
  ASSERT_TRUE(p.first_probability);
  EXPECT_GT(double(*p.first_probability), 0.3);
  EXPECT_LE(double(*p.first_probability), 1);
  for (const auto& option : p.options) {
    EXPECT_TRUE(says(option.reasons, "needs_a_vein_of")) << option.catheter;
    EXPECT_LT(option.open_flow_low, option.open_flow);
    EXPECT_GT(option.open_flow_high, option.open_flow);
  }
}

RC_GTEST_PROP(PlanSureness, WiderVeinsFitMoreSurelyAndThickerCathetersLess, ()) {
  const auto& choice = exchange::default_library().policy.choice;
  const double mm = *rc::gen::inRange(10, 60) / 10.0, needed = *rc::gen::inRange(10, 60) / 10.0;
  const auto belief = [&](double wide) {
    return diameter_belief(vein("v", Side::left, Region::hand_back, wide, 2), choice);
  };
  const auto sure = probability_at_least(belief(mm), needed * millimetre);
  RC_ASSERT((sure >= 0.0 && sure <= 1.0));
  RC_ASSERT(probability_at_least(belief(mm + 0.2), needed * millimetre) >= sure);
  RC_ASSERT(probability_at_least(belief(mm), (needed + 0.2) * millimetre) <= sure);
}

}  // namespace
}  // namespace dwell::device
