// Following practice and drawing shares together, against exact run lengths and recursions computed with R 4.2.2 by the
// formulas in sources.md#practice (12 significant digits), and against published data, named beside each.
#include <gtest/gtest.h>

#include <cmath>

#include "statistics/attempt_watch.h"
#include "statistics/shrunken_shares.h"

namespace dwell::statistics {
namespace {

void agree(double found, double published, double tolerance = 1e-11) {
  EXPECT_LE(std::abs(found / published - 1), tolerance) << found << ", published " << published;
}

TEST(PublishedPractice, RunLengthsOfTheBernoulliScore) {
  // Reynolds and Stoumbos' device (from memory): a failure weighs 13 times a success; run lengths by R's solve().
  const struct {
    int limit;
    double failing, mean;
  } rows[] = {{28, 0.05, 181.2005251252182},  {42, 0.05, 491.7790167207988},
              {56, 0.05, 1195.6354030966941}, {56, 0.0977441979159, 114.5194092807587},
              {56, 0.10, 108.4616858776505},  {56, 0.20, 31.3579148962673}};
  for (const auto& row : rows) agree(*mean_attempts_to_sign({13, 1, row.limit}, row.failing), row.mean, 1e-11);
}

TEST(PublishedPractice, ChanceOfBeingShownGoodEnough) {
  // Acceptable and unacceptable share, limit on the scale of the logarithm, and the chance of the sign within 30, 50
  // and 100 attempts (R, recursion over the reachable scores): of one who is acceptable, and of one who is not.
  const struct {
    double acceptable, unacceptable, limit;
    int attempts;
    double when_acceptable, when_unacceptable;
  } rows[] = {{.1, .2, 1, 30, 0.935655205632, 0.623108202130},     {.1, .2, 1, 50, 0.993337399681, 0.833822242161},
              {.1, .2, 1, 100, 0.999977423988, 0.978568352604},    {.1, .2, 1.25, 30, 0.844983513148, 0.423305057620},
              {.1, .2, 1.25, 50, 0.971902663579, 0.653129603869},  {.1, .2, 1.25, 100, 0.999602050029, 0.902571856240},
              {.1, .2, 1.5, 30, 0.734976749441, 0.274613172568},   {.1, .2, 1.5, 50, 0.930912156116, 0.479472968896},
              {.1, .2, 1.5, 100, 0.997610288832, 0.773013584104},  {.1, .2, 2, 30, 0.477522323161, 0.101370969169},
              {.1, .2, 2, 50, 0.801391407691, 0.234271698950},     {.1, .2, 2, 100, 0.981443080124, 0.484201035816},
              {.1, .2, 2.5, 30, 0.2589009931453, 0.0258385415478}, {.1, .2, 2.5, 60, 0.7374922252984, 0.1267912986675},
              {.1, .2, 3, 30, 0.09045514644917, 0.00544016618827}, {.1, .2, 3, 60, 0.59138263462287, 0.05473198356193},
              {.1, .25, 2, 30, 0.870263796203, 0.269486420839},    {.1, .25, 2, 60, 0.991889330927, 0.530845307637},
              {.1, .25, 3, 30, 0.5645924545472, 0.0462639945129},  {.1, .25, 3, 60, 0.9237769242776, 0.1467181481398},
              {.2, .35, 2, 30, 0.713562064969, 0.170644272070},    {.2, .35, 2.5, 60, 0.8964986128289, 0.2006115090591},
              {.2, .35, 3, 30, 0.3763274956825, 0.0275731041335},  {.2, .35, 3, 60, 0.8127061167818, 0.1027951034116},
              {.2, .4, 2, 30, 0.926002350122, 0.325680134091},     {.2, .4, 2.5, 60, 0.985873753994, 0.328353397889},
              {.2, .4, 3, 30, 0.7060987490885, 0.0710344138968},   {.2, .4, 3, 60, 0.9638796673977, 0.1841792550661}};
  // Steps so fine that no path of 100 attempts falls on another side of the limit than by the logarithms.
  constexpr double fine = 1e4;
  for (const auto& row : rows) {
    const auto step = [](double weight) { return static_cast<int>(std::lround(fine * weight)); };
    const Ladder ladder{step(std::log((1 - row.acceptable) / (1 - row.unacceptable))),
                        step(std::log(row.unacceptable / row.acceptable)), step(row.limit)};
    agree(chance_of_sign(ladder, 1 - row.acceptable, row.attempts), row.when_acceptable, 1e-10);
    agree(chance_of_sign(ladder, 1 - row.unacceptable, row.attempts), row.when_unacceptable, 1e-10);
  }
}

TEST(PublishedPractice, TheShareThatWholeStepsTest) {
  // p0 5 %, p1 near 10 %, steps 13 to 1: p1 exactly 0.0977441979159 (R, uniroot).
  const auto scores = *practice_scores({0.05, 0.0977441979159, 0.1, 100});
  EXPECT_EQ(scores.keeping.ladder.up, 13);
  EXPECT_EQ(scores.keeping.ladder.down, 1);
  agree(scores.keeping.unacceptable, 0.0977441979159, 1e-11);
}

TEST(PublishedPractice, TwelveHospitals) {
  // Deaths and operations, infant heart surgery (data read: multibugs.org, Surgical); largest likelihood by R (optim,
  // then Newton).
  const auto all = *shrunken_shares({{{"A", 0, 47},
                                      {"B", 18, 148},
                                      {"C", 8, 119},
                                      {"D", 46, 810},
                                      {"E", 8, 211},
                                      {"F", 13, 196},
                                      {"G", 9, 148},
                                      {"H", 31, 215},
                                      {"I", 14, 207},
                                      {"J", 8, 97},
                                      {"K", 29, 256},
                                      {"L", 24, 360}},
                                     0.95});
  ASSERT_TRUE(all.likeliest);
  agree(all.likeliest->a, 8.25348817363, 1e-8);
  agree(all.likeliest->b, 99.6368483439, 1e-8);
  agree(all.likeliest->log_likelihood, -38.7530889644, 1e-11);
  // What is not known of a and b widens the intervals beyond those of empirical Bayes, and moves the means a little.
  const double means[] = {0.0532860109881, 0.1025966378055, 0.0716358767107, 0.0591067211574,
                          0.0509688952984, 0.0699380191459, 0.0674253213640, 0.1215691017483,
                          0.0706705973252, 0.0793277440502, 0.1023755907622, 0.0689338626091};
  for (std::size_t i = 0; i < 12; ++i) EXPECT_NEAR(all.people[i].share, means[i], 0.011) << all.people[i].name;
  EXPECT_EQ(all.people[7].standing, Standing::higher);
}

}  // namespace
}  // namespace dwell::statistics
