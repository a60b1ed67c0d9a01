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
  ours.responses["dislodgement"].title =
      Wording(Wording::Texts{{"en", "Out"}, {"es", standard().responses.at("dislodgement").title.texts().at("es")}});
  const auto found = differences(ours, standard());
  ASSERT_EQ(found.size(), 3u);
  EXPECT_EQ(found[0].path, "/responses/dislodgement/title/en");
  EXPECT_EQ(found[1].path, "/watch/routine_dwell");
  EXPECT_EQ(found[1].there, "");
  EXPECT_EQ(found[2].path, "/watch/site_check/vesicant");
  EXPECT_EQ(found[2].here, "");
  EXPECT_EQ(differences(standard(), ours).size(), 3u) << "the same seen from the other side";
}

// A text differs by its language, and plain text is English.
TEST(Difference, ATextDiffersInALanguage) {
  Policy ours = standard(), theirs = standard();
  ours.place.insertion_angle[line::AgeBand::adult] = {Wording(Wording::Texts{{"en", "flat"}, {"es", "plano"}}),
                                                      "our ward", Mark::practice};
  theirs.place.insertion_angle[line::AgeBand::adult] = {"flat", "theirs", Mark::read};
  theirs.responses["dislodgement"].title = ours.responses["dislodgement"].title.texts().at("en");
  const auto found = differences(ours, theirs);
  ASSERT_EQ(found.size(), 2u);
  EXPECT_EQ(found[0], (Difference{"/place/insertion_angle/adult/es", "plano", "", "our ward", Mark::practice}));
  EXPECT_EQ(found[1].path, "/responses/dislodgement/title/es");
  EXPECT_EQ(found[1].there, "");
}

}  // namespace
}  // namespace dwell::policy
