// Charts, funnels and plans against published data sets. Limits and tests of them computed with R 4.2.2 by the formulas
// in sources.md#charts and #change-plan (12 significant digits); where the data come from stands beside each.
#include <gtest/gtest.h>

#include <cmath>

#include "statistics/change_plan.h"
#include "statistics/chart.h"
#include "statistics/funnel.h"

namespace dwell::statistics {
namespace {

void agree(double found, double published, double tolerance = 1e-11) {
  EXPECT_LE(std::abs(found - published), tolerance * std::max(1.0, std::abs(published)))
      << found << ", published " << published;
}

std::vector<int> beyond(const Chart& chart) {
  std::vector<int> out;
  for (std::size_t i = 0; i < chart.points.size(); ++i)
    if (chart.points[i].beyond) out.push_back(static_cast<int>(i) + 1);
  return out;
}

Chart of_counts(ChartKind kind, std::vector<int> events, std::vector<double> of, bool widen = false,
                std::optional<int> baseline = {}) {
  return *chart({kind, ChartLimits::sigma, {}, std::move(events), std::move(of), baseline, widen});
}

// Montgomery, Introduction to Statistical Quality Control, tables 7.x, and the open series (data read in the test data
// of the R package qicharts2).
const std::vector<int> juice = {12, 15, 8, 10, 4,  7,  16, 9,  14, 10, 5,  6, 17, 12, 22,
                                8,  10, 5, 13, 11, 20, 18, 24, 15, 9,  12, 7, 13, 9,  6};

TEST(PublishedCharts, JuiceCans) {
  const auto first = of_counts(ChartKind::share, juice, std::vector<double>(30, 50));
  agree(first.points[0].centre, 0.231333333333);
  agree(*first.points[0].low, 0.0524275480719);
  agree(*first.points[0].high, 0.410239118595);
  EXPECT_EQ(beyond(first), (std::vector<int>{15, 23}));
  EXPECT_EQ(first.useful, 30);
  EXPECT_EQ(first.longest_run, 4);
  EXPECT_EQ(first.longest_by_chance, 8);
  EXPECT_EQ(first.crossings, 15);
  EXPECT_EQ(first.fewest_by_chance, 10);
  auto kept = juice;
  kept.erase(kept.begin() + 22);
  kept.erase(kept.begin() + 14);
  const auto second = of_counts(ChartKind::share, kept, std::vector<double>(28, 50));
  agree(second.points[0].centre, 0.215);
  agree(*second.points[0].low, 0.0407028399543);
  agree(*second.points[0].high, 0.389297160046);
}

TEST(PublishedCharts, SharesOfUnequalSamples) {
  const auto found =
      of_counts(ChartKind::share, {12, 8, 6, 9, 10, 12, 11, 16, 10, 6, 20, 15, 9, 8, 6, 8, 10, 7, 5, 8, 5, 8, 10, 6, 9},
                {100, 80,  80, 100, 110, 110, 100, 100, 90,  90,  110, 120, 120,
                 120, 110, 80, 80,  80,  90,  100, 100, 100, 100, 90,  90});
  agree(found.points[0].centre, 0.0955102040816);
  agree(*found.points[0].low, 0.00733469472777);
  agree(*found.points[0].high, 0.183685713435);
  EXPECT_FALSE(found.points[1].low);
  agree(*found.points[1].high, 0.194093420515);
  agree(*found.points[11].low, 0.01501734492727);
  EXPECT_EQ(beyond(found), std::vector<int>{11});
}

TEST(PublishedCharts, RatesOfEqualAndUnequalSamples) {
  const auto equal = of_counts(ChartKind::rate, {2, 3, 8, 1, 1, 4, 1, 4, 5, 1, 8, 2, 4, 3, 4, 1, 8, 3, 7, 4},
                               std::vector<double>(20, 50));
  agree(equal.points[0].centre, 0.074);
  EXPECT_FALSE(equal.points[0].low);
  agree(*equal.points[0].high, 0.18941230437);
  const auto unequal =
      of_counts(ChartKind::rate, {14, 12, 20, 11, 7, 10, 21, 16, 19, 23}, {10, 8, 13, 10, 9.5, 10, 12, 10.5, 12, 12.5});
  const double low[] = {0.291473930127, 0.157885199984, 0.430617436637, 0.291473930127, 0.262072101865,
                        0.291473930127, 0.390085034041, 0.318749790965, 0.390085034041, 0.410959322778};
  const double high[] = {2.55503769778, 2.68862642792, 2.41589419127, 2.55503769778, 2.58443952604,
                         2.55503769778, 2.45642659387, 2.52776183694, 2.45642659387, 2.43555230513};
  for (std::size_t i = 0; i < 10; ++i) {
    agree(unequal.points[i].centre, 1.42325581395);
    agree(*unequal.points[i].low, low[i]);
    agree(*unequal.points[i].high, high[i]);
  }
}

// Hospital infections, 24 months before a change and 12 after (open Danish series).
const std::vector<int> infections = {17, 12, 27, 20, 20, 18, 22, 19, 19, 24, 17, 16, 24, 19, 19, 22, 25, 19,
                                     17, 6,  25, 17, 11, 14, 9,  11, 7,  13, 5,  5,  3,  5,  9,  4,  5,  9};
const std::vector<double> patient_days = {
    14768.42, 14460.33, 16176.92, 14226.50, 14816.25, 14335.29, 14964.54, 14327.88, 13200.58,
    13855.62, 13794.50, 14070.83, 14496.83, 14332.25, 14927.00, 13362.12, 14058.12, 14388.08,
    14673.42, 14153.54, 13830.71, 14171.38, 14637.96, 14713.08, 14750.62, 14881.67, 15203.75,
    13589.75, 15111.54, 13729.96, 13879.83, 13895.83, 13140.67, 13372.92, 13959.38, 14181.33};

TEST(PublishedCharts, InfectionsAgainstAFrozenBaseline) {
  const auto found = of_counts(ChartKind::rate, infections, patient_days, false, 24);
  agree(1e4 * found.points[0].centre, 13.0242269476);
  agree(1e4 * *found.points[0].low, 4.11520118240);
  agree(1e4 * *found.points[0].high, 21.9332527128);
  agree(1e4 * *found.points[35].low, 3.93265979825);
  agree(1e4 * *found.points[35].high, 22.1157940969);
  EXPECT_EQ(beyond(found), (std::vector<int>{29, 30, 31, 32, 34, 35}));
  EXPECT_EQ(found.longest_run, 15);
  EXPECT_EQ(found.longest_by_chance, 8);
  EXPECT_EQ(found.crossings, 10);
  EXPECT_EQ(found.fewest_by_chance, 13);
  EXPECT_TRUE(found.shifted);
  const std::vector<int> before(infections.begin(), infections.begin() + 24);
  const auto widened = of_counts(ChartKind::rate, before, {patient_days.begin(), patient_days.begin() + 24}, true);
  agree(*widened.sigma_z, 1.0671723306);
  agree(1e4 * *widened.points[0].low, 3.51676115842);
  agree(1e4 * *widened.points[0].high, 22.53169273676);
}

TEST(PublishedCharts, AttendancesVaryByMoreThanChance) {
  // 20 weeks of emergency attendances, seen within 4 h (Mohammed et al., Qual Saf Health Care 2013;22:362).
  const std::vector<int> seen = {266501, 264225, 276532, 281461, 269071, 261215, 270409, 279778, 270483, 270320,
                                 267923, 271478, 255353, 256820, 261835, 259144, 255910, 260863, 264465, 260989};
  const std::vector<double> all = {280443, 276823, 291681, 296155, 282343, 275888, 283867, 295251, 284468, 282529,
                                   279618, 283932, 266629, 268091, 276803, 271578, 266005, 273520, 278574, 273772};
  const auto widened = of_counts(ChartKind::share, seen, all, true), plain = of_counts(ChartKind::share, seen, all);
  agree(widened.points[0].centre, 0.952899711344);
  agree(*widened.sigma_z, 10.640421863497, 1e-10);
  agree(*widened.points[0].low, 0.940129644178);
  agree(*widened.points[0].high, 0.965669778511);
  agree(*widened.points[19].low, 0.939974996523);
  agree(*plain.points[0].low, 0.951699564646);
  EXPECT_TRUE(beyond(widened).empty());
  EXPECT_EQ(beyond(plain).size(), 16u);
}

TEST(PublishedCharts, ValveFailures) {
  const std::vector<double> hours = {286,  948, 536, 124, 816, 729, 4,    143,  431,  8,
                                     2837, 596, 81,  227, 603, 492, 1199, 1214, 2831, 96};
  const auto found = *chart({ChartKind::waiting, ChartLimits::sigma, hours, {}, {}, {}, false});
  agree(found.points[0].centre, 430.04095178976);
  agree(*found.points[0].high, 6937.93348816657);
  EXPECT_FALSE(found.points[0].low);
  const auto exact = *chart({ChartKind::waiting, ChartLimits::exact, hours, {}, {}, {}, false});
  agree(*exact.points[0].low, 0.959142615469);
  agree(exact.points[0].centre, 492.169155556589);
  agree(*exact.points[0].high, 4691.816003583419);
}

TEST(PublishedCharts, LinesBetweenFailures) {
  // A made-up series.
  const std::vector<double> lines = {12, 3, 8, 25, 0, 6, 14, 9, 31, 2, 7, 18, 5, 11, 1, 22, 16, 4, 40, 10};
  const auto found = *chart({ChartKind::between, ChartLimits::sigma, lines, {}, {}, {}, false});
  agree(found.points[0].centre, 12.2);
  agree(*found.points[0].high, 50.2704609901167);
  EXPECT_FALSE(found.points[0].low);
  EXPECT_EQ(*chart({ChartKind::between, ChartLimits::exact, lines, {}, {}, {}, false})->points[0].high, 83);
}

TEST(PublishedCharts, ExactLimitsOfSmallCounts) {
  const double means[] = {.5, 1, 2, 4, 8, 16}, low[] = {0, 0, 0, 0, 1, 5}, high[] = {4, 5, 7, 11, 18, 29};
  for (std::size_t i = 0; i < 6; ++i) {
    // 100 points of 1 day, of which so many have an event that the mean is the one asked for in the last, of 1,000
    // days.
    const double days = 1000;
    std::vector<int> events(10, static_cast<int>(means[i] * 2));
    const auto found =
        *chart({ChartKind::rate, ChartLimits::exact, {}, events, std::vector<double>(10, 2 * days), {}, false});
    const auto half = *chart({ChartKind::rate,
                              ChartLimits::exact,
                              {},
                              [&] {
                                auto e = events;
                                e.push_back(0);
                                return e;
                              }(),
                              [&] {
                                auto d = std::vector<double>(10, 2 * days);
                                d.push_back(days);
                                return d;
                              }(),
                              10,
                              false});
    agree(half.points[10].low.value_or(0) * days, low[i]);
    agree(*half.points[10].high * days, high[i]);
    agree(found.points[0].centre * days, means[i]);
  }
}

TEST(PublishedCharts, LongestRunsAndFewestCrossings) {
  // Anhøj's rules: round(log2 n) + 3, and qbinom(0.05, n − 1, 0.5).
  const int n[] = {10, 12, 15, 20, 24, 30, 40, 50, 60, 100}, longest[] = {6, 7, 7, 7, 8, 8, 8, 9, 9, 10},
            fewest[] = {2, 3, 4, 6, 8, 10, 14, 19, 23, 41};
  for (std::size_t i = 0; i < 10; ++i) {
    std::vector<double> values;
    for (int k = 0; k < n[i]; ++k) values.push_back(k % 2 == 0 ? 1 : 3);
    const auto found = *chart({ChartKind::run, ChartLimits::sigma, values, {}, {}, {}, false});
    if (n[i] % 2 == 1) continue;  // the median is then a point
    EXPECT_EQ(found.useful, n[i]);
    EXPECT_EQ(found.longest_by_chance, longest[i]);
    EXPECT_EQ(found.fewest_by_chance, fewest[i]);
  }
}

TEST(PublishedFunnels, ExactLimitsBetweenCounts) {
  // Spiegelhalter, Stat Med 2005;24:1185, appendix (from memory), at a target of 15 %.
  const struct {
    double of, low_998, low_95, high_95, high_998;
  } rows[] = {{10, 0, 0, 0.362275490816, 0.530691834949},
              {20, 0, 0, 0.296622542371, 0.415219821851},
              {50, 0.00539708409454, 0.0467872824782, 0.245990754810, 0.314742430893},
              {100, 0.04509685593462, 0.0783830106852, 0.218332202870, 0.264952779061},
              {200, 0.07503743018171, 0.0997765388829, 0.198700637255, 0.230055296501},
              {500, 0.10174701090509, 0.1183614317612, 0.180987109100, 0.200256194537},
              {1000, 0.11561918666274, 0.1276942709255, 0.171954649612, 0.185376695876}};
  std::vector<FunnelUnit> units;
  for (const auto& row : rows) units.push_back({"W", 0, row.of});
  const auto found = *funnel({FunnelKind::share, units, 0.15});
  for (std::size_t i = 0; i < units.size(); ++i) {
    agree(found.units[i].limits.low_998, rows[i].low_998);
    agree(found.units[i].limits.low_95, rows[i].low_95);
    agree(found.units[i].limits.high_95, rows[i].high_95);
    agree(found.units[i].limits.high_998, rows[i].high_998);
  }
  const struct {
    double expected, low_998, low_95, high_95, high_998;
  } ratios[] = {{2, 0, 0, 2.38311818086, 3.55627962300},
                {5, 0, 0.108413159103, 1.87531171753, 2.55427075633},
                {10, 0.122052931590, 0.377518794769, 1.61599506733, 2.06620008360},
                {20, 0.358459355389, 0.560250051922, 1.43728843350, 1.73567642869},
                {50, 0.582456329830, 0.722434470019, 1.27660983375, 1.45502817031},
                {100, 0.700652842648, 0.803663371217, 1.19580894852, 1.31804750398}};
  units.clear();
  for (const auto& row : ratios) units.push_back({"W", 0, row.expected});
  const auto of_expected = *funnel({FunnelKind::rate, units, 1});
  for (std::size_t i = 0; i < units.size(); ++i) {
    agree(of_expected.units[i].limits.low_998, ratios[i].low_998);
    agree(of_expected.units[i].limits.low_95, ratios[i].low_95);
    agree(of_expected.units[i].limits.high_95, ratios[i].high_95);
    agree(of_expected.units[i].limits.high_998, ratios[i].high_998);
  }
}

TEST(PublishedFunnels, TwelveHospitalsAreOverDispersed) {
  // Deaths and operations, infant heart surgery (data read: multibugs.org, Surgical).
  const int deaths[] = {0, 18, 8, 46, 8, 13, 9, 31, 14, 8, 29, 24};
  const double operations[] = {47, 148, 119, 810, 211, 196, 148, 215, 207, 97, 256, 360};
  const double z[] = {-1.675449602971, 1.545813444494,  -0.204963939657, -0.714577514537,
                      -1.261610176016, -0.262000745414, -0.424655213411, 2.471668427812,
                      -0.219344438371, 0.247506494793,  1.430482638652,  -0.277997075803};
  std::vector<FunnelUnit> units;
  for (std::size_t i = 0; i < 12; ++i)
    units.push_back({std::string(1, static_cast<char>('A' + i)), deaths[i], operations[i]});
  const auto found = *funnel({FunnelKind::share, units, {}});
  agree(found.target, 0.0739161336176);
  agree(found.dispersion, 2.3632870356790);
  agree(found.between_units, 0.022133452705650);
  for (std::size_t i = 0; i < 12; ++i) agree(found.units[i].z, z[i]);
  agree(found.units[7].limits.high_998, 0.132217863842);
  // Outside the limits of chance alone, and not of what hospitals differ by anyway.
  EXPECT_GT(found.units[7].value, found.units[7].limits.high_998);
  EXPECT_EQ(found.units[7].place, FunnelPlace::within);
}

TEST(PublishedPlans, TwoShares) {
  // Fleiss, Tytun and Ury, Biometrics 1980;36:343 (formula from memory); power.prop.test gives the first too.
  const struct {
    double now, hoped, power, exactly, corrected;
  } rows[] = {{.30, .20, .8, 293.151285506487, 312.831624730227},
              {.30, .20, .9, 391.947065671596, 411.704172821337},
              {.40, .30, .8, 355.942812711625, 375.676626334858},
              {.10, .05, .8, 434.432022439468, 473.587405383666}};
  for (const auto& row : rows) {
    const auto plan = *plan_change({PlanKind::share, row.now, row.hoped, 0.05, row.power, {}, {}});
    agree(plan.exactly, row.exactly);
    EXPECT_EQ(plan.each, std::ceil(row.exactly));
    EXPECT_EQ(*plan.corrected, std::ceil(row.corrected));
  }
}

TEST(PublishedPlans, TwoRates) {
  agree(plan_change({PlanKind::rate, .040, .025, .05, .8, {}, {}})->exactly, 2267.45414548);
  agree(plan_change({PlanKind::rate, .040, .025, .05, .9, {}, {}})->exactly, 3035.47777331);
  agree(plan_change({PlanKind::rate, .010, .005, .05, .8, {}, {}})->exactly, 4709.32784061);
  // Exact power at 2,270 days 0.78190, at 2,500 days 0.82143 (R); at 2,268 days a little less than the first.
  const auto power = *plan_change({PlanKind::rate, .040, .025, .05, .8, {}, {}})->power_of_exact_test;
  EXPECT_NEAR(power, 0.7817, 0.0005);
}

TEST(PublishedPlans, HazardsAndWards) {
  // Schoenfeld, Biometrika 1981;68:316; Hayes and Bennett, Int J Epidemiol 1999;28:319 (both from memory).
  agree(plan_change({PlanKind::hazard, 1, .7, .05, .8, {}, {}})->exactly, 246.787104547);
  agree(plan_change({PlanKind::hazard, 1, .75, .05, .9, {}, {}})->exactly, 507.844335355);
  EXPECT_EQ(*plan_change({PlanKind::rate, .040, .025, .05, .8, 500, .25})->wards, 11);  // 10.386
  EXPECT_EQ(*plan_change({PlanKind::share, .30, .20, .05, .8, 60, .20})->wards, 10);    // 9.922
}

}  // namespace
}  // namespace dwell::statistics
