#include "policy/difference.h"

#include <gtest/gtest.h>

#include "exchange/library.h"

namespace dwell::policy {
namespace {

const Policy& standard() { return exchange::default_library().policy; }

TEST(Difference, APolicyDoesNotDifferFromItself) { EXPECT_TRUE(differences(standard(), standard()).empty()); }

TEST(Difference, NamesTheFigureWithBothValuesAndWhoseItIs) {
  Policy ours = standard();
  ours.watch.site_check[SiteCheckClass::vesicant] = {std::chrono::minutes{10}, "our ward, June", Mark::practice};
  const auto found = differences(ours, standard());
  ASSERT_EQ(found.size(), 1u);
  EXPECT_EQ(found.front(),
            (Difference{"/watch/site_check/vesicant", "10 min", "15 min", "our ward, June", Mark::practice}));
}

TEST(Difference, ASourceAloneIsADifference) {
  Policy ours = standard();
  ours.watch.soon.source = "our ward";
  ASSERT_EQ(differences(ours, standard()).size(), 1u);
  EXPECT_EQ(differences(ours, standard()).front().here, differences(ours, standard()).front().there);
}

TEST(Difference, WhatOnlyOneHasIsEmptyOnTheOtherSide) {
  Policy ours = standard();
  ours.watch.site_check.erase(SiteCheckClass::vesicant);
  ours.watch.routine_dwell = Figure<Interval>{std::chrono::hours{96}, "our ward", Mark::practice};
  ours.responses["dislodgement"].title += " (ward)";
  const auto found = differences(ours, standard());
  ASSERT_EQ(found.size(), 3u);
  EXPECT_EQ(found[0].path, "/responses/dislodgement/title");
  EXPECT_EQ(found[1].path, "/watch/routine_dwell");
  EXPECT_EQ(found[1].there, "");
  EXPECT_EQ(found[2].path, "/watch/site_check/vesicant");
  EXPECT_EQ(found[2].here, "");
  EXPECT_EQ(differences(standard(), ours).size(), 3u) << "the same seen from the other side";
}

}  // namespace
}  // namespace dwell::policy
