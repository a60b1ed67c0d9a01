// Weight for age against the World Health Organization's own tables and its own program's tests, all read:
// - weianthro.txt of github.com/WorldHealthOrganization/anthro (standard of 2006, a row for each day),
// - wfawho2007.txt of github.com/WorldHealthOrganization/anthroplus (reference of 2007, a row for each month),
// - the tests of both programs.
// The rows here are others than those that core/growth keeps, so what is judged is the line between its rows. The
// simplified field tables (one decimal; 0.05 for that and 0.02 for the line between two rows) were read in a copy only
// (secondary).
#include <gtest/gtest.h>

#include <cmath>

#include "growth/weight_for_age.h"

namespace dwell::growth {
namespace {

using std::chrono::days;
constexpr double month = 30.4375;
constexpr auto girls = Curve::girls, boys = Curve::boys;

struct Row {
  Curve curve;
  double day, l, m, s;
};
class PublishedWeightForAge : public testing::TestWithParam<Row> {};

TEST_P(PublishedWeightForAge, BetweenTheRowsKept) {
  const auto& c = GetParam();
  const auto at = weight_for_age(c.curve, days{static_cast<int>(std::lround(c.day))});
  ASSERT_TRUE(at);
  EXPECT_NEAR(in(at->m, kilogram), c.m, 0.004 * c.m);
  EXPECT_NEAR(at->l, c.l, 0.008);
  EXPECT_NEAR(at->s, c.s, 0.0006);
  // What a nurse would notice: the lines of the chart, within 1 % (and 3 SD is 30 to 60 % away from the median).
  const Lms published{c.l, c.m * kilogram, c.s};
  for (const double z : {-3.0, -2.0, 2.0, 3.0})
    EXPECT_NEAR(in(weight_at(*at, z), kilogram) / in(weight_at(published, z), kilogram), 1, 0.01) << z;
}

INSTANTIATE_TEST_SUITE_P(
    Boys, PublishedWeightForAge,
    testing::Values(Row{boys, 3, 0.2959, 3.3627, 0.14647}, Row{boys, 5, 0.2855, 3.4223, 0.14571},
                    Row{boys, 17, 0.2517, 3.8828, 0.13996}, Row{boys, 24, 0.2392, 4.193, 0.1367},
                    Row{boys, 35, 0.2237, 4.659, 0.13215}, Row{boys, 49, 0.2081, 5.1817, 0.12729},
                    Row{boys, 63, 0.1952, 5.6319, 0.1233}, Row{boys, 100, 0.1682, 6.5699, 0.11588},
                    Row{boys, 126, 0.1529, 7.0794, 0.11274}, Row{boys, 150, 0.1406, 7.4772, 0.11092},
                    Row{boys, 180, 0.1269, 7.9002, 0.10965}, Row{boys, 210, 0.1145, 8.2627, 0.10906},
                    Row{boys, 240, 0.1033, 8.5804, 0.10883}, Row{boys, 280, 0.0897, 8.9555, 0.10882},
                    Row{boys, 330, 0.0744, 9.3739, 0.10903}, Row{boys, 400, 0.0552, 9.9065, 0.10953},
                    Row{boys, 500, 0.0314, 10.6125, 0.11057}, Row{boys, 600, 0.0105, 11.2878, 0.11197},
                    Row{boys, 700, -0.0083, 11.951, 0.11369}, Row{boys, 800, -0.0254, 12.6018, 0.11561},
                    Row{boys, 1000, -0.0558, 13.8057, 0.11945}, Row{boys, 1200, -0.0824, 14.9177, 0.12293},
                    Row{boys, 1400, -0.1063, 16.0156, 0.12642}, Row{boys, 1550, -0.1228, 16.8345, 0.12938},
                    Row{boys, 1700, -0.1383, 17.6523, 0.13251}, Row{boys, 1800, -0.1481, 18.1948, 0.13462},
                    Row{boys, 63 * month, -0.2234, 18.8563, 0.13067}, Row{boys, 75 * month, -0.3494, 21.0918, 0.13462},
                    Row{boys, 87 * month, -0.4688, 23.5101, 0.1388}, Row{boys, 99 * month, -0.5722, 26.0706, 0.14539},
                    Row{boys, 111 * month, -0.6496, 28.8277, 0.15493},
                    Row{boys, 117 * month, -0.6714, 30.3501, 0.16031}));
INSTANTIATE_TEST_SUITE_P(
    Girls, PublishedWeightForAge,
    testing::Values(Row{girls, 3, 0.2986, 3.2315, 0.14657}, Row{girls, 5, 0.281, 3.2821, 0.14646},
                    Row{girls, 17, 0.2177, 3.6818, 0.14218}, Row{girls, 24, 0.1919, 3.9495, 0.13947},
                    Row{girls, 35, 0.1582, 4.3476, 0.13583}, Row{girls, 49, 0.1224, 4.795, 0.13228},
                    Row{girls, 63, 0.0918, 5.1842, 0.12966}, Row{girls, 100, 0.0264, 6.0229, 0.12545},
                    Row{girls, 126, -0.0107, 6.4956, 0.1238}, Row{girls, 150, -0.0404, 6.8673, 0.12281},
                    Row{girls, 180, -0.0729, 7.265, 0.12208}, Row{girls, 210, -0.1012, 7.6094, 0.12179},
                    Row{girls, 240, -0.1261, 7.9151, 0.12179}, Row{girls, 280, -0.1547, 8.2776, 0.12203},
                    Row{girls, 330, -0.1846, 8.6822, 0.12243}, Row{girls, 400, -0.2176, 9.2009, 0.12285},
                    Row{girls, 500, -0.2515, 9.9023, 0.12304}, Row{girls, 600, -0.2746, 10.5869, 0.12321},
                    Row{girls, 700, -0.2903, 11.2684, 0.12369}, Row{girls, 800, -0.3013, 11.9535, 0.12449},
                    Row{girls, 1000, -0.3153, 13.256, 0.12729}, Row{girls, 1200, -0.3249, 14.4936, 0.13167},
                    Row{girls, 1400, -0.3335, 15.7056, 0.13715}, Row{girls, 1600, -0.3421, 16.8966, 0.14258},
                    Row{girls, 1800, -0.3507, 18.0686, 0.14759}, Row{girls, 63 * month, -0.4742, 18.6073, 0.14404},
                    Row{girls, 75 * month, -0.51, 20.6885, 0.15065}, Row{girls, 87 * month, -0.5423, 22.9904, 0.15717},
                    Row{girls, 99 * month, -0.5686, 25.7721, 0.16337},
                    Row{girls, 111 * month, -0.5872, 29.0711, 0.16897},
                    Row{girls, 117 * month, -0.5934, 30.8934, 0.17146}));

struct Score {
  const char* source;
  Curve curve;
  int day;
  double kilograms, z;
};
class PublishedZScore : public testing::TestWithParam<Score> {};

TEST_P(PublishedZScore, AsTheProgramOfTheWhoGivesIt) {
  const auto& c = GetParam();
  EXPECT_NEAR(z_score(*weight_for_age(c.curve, days{c.day}), c.kilograms * kilogram), c.z, 0.02) << c.source;
}

INSTANTIATE_TEST_SUITE_P(
    Tests, PublishedZScore,
    testing::Values(Score{"anthro, test-zscore-weight-for-age.R (read)", girls, 1522, 17, 0.24},
                    Score{"worked example beside a data set on figshare (read)", girls, 365, 9, 0.0488},
                    Score{"anthroplus, test-zscores.R, 60.32 months (read)", girls, 1836, 18.7, 0.212},
                    Score{"anthroplus, test-zscores.R, 60.911701 months (read)", girls, 1854, 20.5, 0.795}));

// Beyond three standard deviations: computed by the formula of z-score-helper.R, compute_zscore_adjusted (read), on
// rows that are kept. Without its straight tails these would be 9.84, −6.20 and 4.64.
INSTANTIATE_TEST_SUITE_P(Tails, PublishedZScore,
                         testing::Values(Score{"girl of a day, 10.37 kg (computed)", girls, 1, 10.37, 12.461},
                                         Score{"boy of two years, 6 kg (computed)", boys, 730, 6, -5.528},
                                         Score{"girl of five years, 40 kg (computed)", girls, 1826, 40, 5.258}));

// flag_threshold = c(-6, 5) and "has a default flag threshold" of the same tests: 10.37 kg on the first day is flagged.
TEST(PublishedZScore, WhatTheWhoFlagsIsBeyondFive) {
  EXPECT_GT(z_score(*weight_for_age(girls, days{1}), 10.37 * kilogram), 5);
}

struct Lines {
  int months;
  double at[7];  ///< −3 to +3
};
class PublishedFieldTable : public testing::TestWithParam<Lines> {};

TEST_P(PublishedFieldTable, BoysToOneDecimal) {
  const auto& c = GetParam();
  const Lms row = *weight_for_age(boys, days{static_cast<int>(std::lround(c.months * month))});
  for (int z = -3; z <= 3; ++z)
    EXPECT_NEAR(in(weight_at(row, z), kilogram), c.at[z + 3], 0.07) << c.months << ", " << z;
}

INSTANTIATE_TEST_SUITE_P(Boys, PublishedFieldTable,
                         testing::Values(Lines{0, {2.1, 2.5, 2.9, 3.3, 3.9, 4.4, 5.0}},
                                         Lines{1, {2.9, 3.4, 3.9, 4.5, 5.1, 5.8, 6.6}},
                                         Lines{2, {3.8, 4.3, 4.9, 5.6, 6.3, 7.1, 8.0}},
                                         Lines{3, {4.4, 5.0, 5.7, 6.4, 7.2, 8.0, 9.0}}));

}  // namespace
}  // namespace dwell::growth
