#include <gtest/gtest.h>

#include "exchange/library.h"
#include "procedure/steps.h"

namespace dwell::procedure {
namespace {

const policy::Policy& standard() { return exchange::default_library().policy; }

PlacingInput placing() {
  PlacingInput in;
  in.patient.birth_date = *parse_date("1942-03-03");
  in.today = *parse_date("2026-11-25");
  return in;
}

const Step* find(const std::vector<Step>& steps, std::string_view id) {
  const auto found = std::find_if(steps.begin(), steps.end(), [&](const Step& s) { return s.id == id; });
  return found == steps.end() ? nullptr : &*found;
}

TEST(Placing, TheClocksCarryThePolicysTimes) {
  const auto steps = *placing_steps(placing(), standard());
  ASSERT_TRUE(find(steps, "let_dry") && find(steps, "let_dry")->clock);
  EXPECT_EQ(find(steps, "let_dry")->clock->limit, Interval{30});
  EXPECT_EQ(find(steps, "let_dry")->clock->rule, ClockRule::at_least);
  EXPECT_EQ(find(steps, "tourniquet")->clock->rule, ClockRule::at_most);
  EXPECT_NE(find(steps, "tourniquet")->detail.find("10 to 15 cm above"), std::string::npos);
}

TEST(Placing, AnotherAntisepticDriesLonger) {
  auto in = placing();
  in.antiseptic = "povidone_iodine";
  EXPECT_EQ(find(*placing_steps(in, standard()), "let_dry")->clock->limit, Interval{120});
  in.antiseptic = "lemon juice";
  EXPECT_EQ(placing_steps(in, standard()).error().front().path, "/antiseptic");
}

TEST(Placing, TheAngleFollowsTheAge) {
  EXPECT_NE(find(*placing_steps(placing(), standard()), "insert")->detail.find("5 to 15 degrees"), std::string::npos);
  auto in = placing();
  in.patient.birth_date.reset();
  EXPECT_NE(find(*placing_steps(in, standard()), "insert")->detail.find("10 to 30 degrees"), std::string::npos);
}

TEST(Placing, CautionsStandWhereHarmIsPossible) {
  const auto steps = *placing_steps(placing(), standard());
  EXPECT_EQ(find(steps, "insert")->cautions.size(), 3u);
  EXPECT_FALSE(find(steps, "release")->cautions.empty());
}

TEST(Removing, PressureIsLongerWithOrWithoutKnowingOfAnAnticoagulant) {
  RemovingInput in;
  EXPECT_EQ(find(removing_steps(in, standard()), "press")->clock->limit, Interval{300});
  in.patient.anticoagulant = true;
  EXPECT_EQ(find(removing_steps(in, standard()), "press")->clock->limit, Interval{300});
  in.patient.anticoagulant = false;
  EXPECT_EQ(find(removing_steps(in, standard()), "press")->clock->limit, Interval{120});
}

TEST(CatheterCheck, AShortOneRaisesTheAlarmWithItsCard) {
  const auto c = *check_catheter(25.0 * millimetre, 20.0 * millimetre, true, standard());
  EXPECT_TRUE(c.alarm);
  EXPECT_NEAR(in(*c.missing, millimetre), 5, 1e-9);
  ASSERT_TRUE(c.card.has_value());
}

TEST(CatheterCheck, UnknownIsNeverWhole) {
  const auto c = *check_catheter(25.0 * millimetre, std::nullopt, std::nullopt, standard());
  EXPECT_FALSE(c.alarm);
  EXPECT_EQ(c.findings.size(), 2u);
  EXPECT_TRUE(check_catheter(25.0 * millimetre, 25.0 * millimetre, true, standard())->findings.empty());
  EXPECT_TRUE(check_catheter(25.0 * millimetre, 25.0 * millimetre, false, standard())->alarm);
  EXPECT_FALSE(check_catheter(25.0 * millimetre, 2.0 * metre, true, standard()));
}

}  // namespace
}  // namespace dwell::procedure
