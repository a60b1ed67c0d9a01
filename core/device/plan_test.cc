#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "device/evaluate.h"
#include "device/plan.h"
#include "exchange/library.h"
#include "quantity/display.h"

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

bool says(const std::vector<std::string>& lines, const std::string& part) {
  return std::any_of(lines.begin(), lines.end(),
                     [&](const std::string& l) { return l.find(part) != std::string::npos; });
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
    EXPECT_TRUE(says(option.reasons, "Below 22 gauge")) << option.catheter << " in " << option.vein;
    EXPECT_TRUE(says(option.reasons, "wider than the therapy needs")) << option.catheter;
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
  EXPECT_NE(out("hand")->reason.find("bruised"), std::string::npos);
  ASSERT_NE(out("right"), p.exclusions.end());
  EXPECT_NE(out("right")->reason.find("fistula"), std::string::npos);
  EXPECT_EQ(out("elbow"), p.exclusions.end());  // a joint is a caution, not a wall
}

TEST(PlanMainCase, ChecksTheOrder) {
  const auto p = *planned(older_adult());
  EXPECT_EQ(p.order.rate.rate_text, "125 mL/h");
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
  EXPECT_NE(p.exclusions.front().change.find("a vein of at least"), std::string::npos);
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

TEST(Plan, BadInputIsNamedAllAtOnce) {
  auto c = older_adult();
  c.patient.weight = 700.0 * kilogram;
  c.veins[0].diameter = Length();
  c.veins[1].depth = -1.0 * millimetre;
  const auto refused = planned(c);
  ASSERT_FALSE(refused);
  ASSERT_EQ(refused.error().size(), 3u);
  EXPECT_EQ(refused.error()[0].path, "/veins/0/diameter");
  EXPECT_EQ(refused.error()[2].found, "weight 700 kg?");
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
    RC_ASSERT(p.options[i].margins[0].share_of_limit <= 1.0);
    RC_ASSERT(p.options[i].open_flow >= p.needed_flow);
    RC_ASSERT(i == 0 || p.options[i - 1].score >= p.options[i].score);
  }
  // The best score is never dominated.
  RC_ASSERT(p.options.empty() || p.options.front().pareto_best);
}

}  // namespace
}  // namespace dwell::device
