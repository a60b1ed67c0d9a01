#include "access/restart.h"

#include <gtest/gtest.h>

#include "say/access.h"

namespace dwell::access {
namespace {

const FailedSite leak{{Side::left, Region::forearm_middle, ""}, Failure::leaked};

Severity worst(const Site& site, const FailedSite& failed) {
  const auto found = check_restart(site, {failed});
  return found.empty() ? Severity::information : found.front().severity;
}

TEST(Restart, TheOtherLimbIsFree) {
  EXPECT_TRUE(check_restart({Side::right, Region::hand_back, ""}, {leak}).empty());
  EXPECT_TRUE(check_restart({Side::left, Region::foot, ""}, {leak}).empty());
}

TEST(Restart, BelowALeakOrAtItIsAStop) {
  EXPECT_EQ(worst({Side::left, Region::hand_back, ""}, leak), Severity::stop);
  EXPECT_EQ(worst({Side::left, Region::forearm_middle, ""}, leak), Severity::stop);
}

TEST(Restart, AboveALeakIsACaution) {
  const auto found = check_restart({Side::left, Region::upper_arm, ""}, {leak});
  ASSERT_EQ(found.size(), 1u);
  EXPECT_EQ(found.front().severity, Severity::caution);
  EXPECT_EQ(found.front().text, say::above_failed_site(Failure::leaked));
}

TEST(Restart, ALineThatCameOutIsNoWall) {
  const FailedSite out{{Side::left, Region::forearm_middle, ""}, Failure::came_out};
  EXPECT_EQ(worst({Side::left, Region::hand_back, ""}, out), Severity::caution);
  EXPECT_TRUE(check_restart({Side::left, Region::upper_arm, ""}, {out}).empty());
}

}  // namespace
}  // namespace dwell::access
