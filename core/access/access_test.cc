#include <gtest/gtest.h>

#include "access/attempts.h"
#include "exchange/library.h"

namespace dwell::access {
namespace {

TEST(Limb, AFistulaIsAWallANodeDissectionAFence) {
  const Site left{Side::left, Region::forearm_middle, ""};
  const auto wall = check_limb(left, {{Side::left, Limb::arm, RestrictionReason::fistula_or_graft, ""}});
  ASSERT_EQ(wall.size(), 1u);
  EXPECT_EQ(wall.front().severity, Severity::stop);
  const auto fence = check_limb(left, {{Side::left, Limb::arm, RestrictionReason::node_dissection, ""}});
  EXPECT_EQ(fence.front().severity, Severity::caution);
}

TEST(Limb, VeinsThatADialysisNeedsAreAWallAboveTheHand) {
  const std::vector<Restriction> saved{{Side::left, Limb::arm, RestrictionReason::kidney_vein_saving, ""}};
  for (const Region region : {Region::wrist_back, Region::forearm_lower, Region::antecubital, Region::upper_arm})
    EXPECT_EQ(check_limb({Side::left, region, ""}, saved).front().severity, Severity::stop);
  EXPECT_EQ(check_limb({Side::left, Region::hand_back, ""}, saved).front().severity, Severity::caution);
}

TEST(Limb, TheOtherSideAndTheLegAreFree) {
  const std::vector<Restriction> right_arm{{Side::right, Limb::arm, RestrictionReason::thrombosis, ""}};
  EXPECT_TRUE(check_limb({Side::left, Region::hand_back, ""}, right_arm).empty());
  EXPECT_TRUE(check_limb({Side::right, Region::foot, ""}, right_arm).empty());
  EXPECT_EQ(describe(Site{Side::left, Region::forearm_lower, "cephalic"}), "left forearm, lower third, cephalic vein");
}

// At most 2 attempts a clinician and 4 in all: INS 2016 as reported (secondary).
TEST(Attempts, TwoAndFour) {
  const auto& place = exchange::default_library().policy.place;
  EXPECT_TRUE(attempt_advice({1, 1}, place)->another_allowed);
  const auto own = *attempt_advice({2, 2}, place);
  EXPECT_FALSE(own.another_allowed);
  EXPECT_EQ(own.left_in_all, 2);
  EXPECT_EQ(attempt_advice({0, 4}, place)->findings.front().code, "attempts_in_all");
  EXPECT_EQ(attempt_advice({3, 1}, place).error().front().path, "/in_all");
}

}  // namespace
}  // namespace dwell::access
