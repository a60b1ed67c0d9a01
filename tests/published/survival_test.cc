// Survival against R 4.2.2, survival 3.5-3: every number here was computed with it (12 significant digits), except
// where a printed table is named. A time below is censored when it carries a minus. The largest difference found is
// printed.
#include "statistics/log_rank.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <iostream>

namespace dwell::statistics {
namespace {

using Observations = std::vector<Observation>;

/// Collects the largest relative difference of the whole file and prints it at the end.
class LargestDifference : public testing::Environment {
 public:
  void TearDown() override {
    if (checks > 0)
      std::cout << "survival: " << checks << " published numbers, largest relative difference " << largest << '\n';
  }
  static inline double largest = 0;
  static inline int checks = 0;
};
[[maybe_unused]] const auto* const largest_difference = testing::AddGlobalTestEnvironment(new LargestDifference);

/// Twelve printed digits leave 5e-12 of rounding.
void agree(double found, double published, const char* what) {
  constexpr double tolerance = 1e-11;
  const double difference = std::abs(found - published) / (published == 0 ? 1 : std::abs(published));
  LargestDifference::largest = std::max(LargestDifference::largest, difference);
  ++LargestDifference::checks;
  EXPECT_LE(difference, tolerance) << what << ": " << found << ", published " << published;
}

Observations lines(const std::vector<int>& times) {
  Observations all;
  for (const int time : times) all.push_back({std::abs(time), time > 0});
  return all;
}

// 6-MP against placebo in 42 children, weeks: Freireich et al., Blood 1963;21:699 (the published teaching subset, list
// from memory; the totals of 359 and 182 weeks, 9 and 21 relapses, are checked below).
Observations treated() {
  return lines({6, 6, 6, -6, 7, -9, 10, -10, -11, 13, 16, -17, -19, -20, 22, 23, -25, -32, -32, -34, -35});
}

Observations placebo() { return lines({1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23}); }

// Acute myelogenous leukaemia, weeks: Miller, Survival Analysis 1981, as shipped with survival 3.5-3 (read there).
Observations maintained() { return lines({9, 13, -13, 18, 23, -28, 31, 34, -45, 48, -161}); }

Observations not_maintained() { return lines({5, 5, 8, 8, 12, -16, 23, 27, 30, 33, 43, 45}); }

// Advanced lung cancer, days: Loprinzi et al., J Clin Oncol 1994;12:601, as shipped with survival 3.5-3 (read there).
Observations lung_men() {
  return lines({306,  455,  -1010, 210,  883,  -1022, 218,  166,  170,  71,  567,  144,  613,  707,  88,   301,
                624,  371,  394,   574,  118,  390,   12,   26,   533,  53,  814,  93,   460,  583,  303,  519,
                643,  189,  53,    246,  689,  65,    132,  223,  175,  163, 65,   428,  230,  -840, 11,   132,
                11,   176,  791,   95,   -196, -806,  284,  147,  163,  655, 239,  88,   30,   179,  310,  477,
                364,  107,  177,   156,  11,   429,   15,   181,  283,  13,  212,  524,  288,  363,  442,  54,
                558,  207,  92,    60,   202,  353,   267,  387,  457,  337, -404, 222,  -458, 353,  163,  31,
                229,  -444, 156,   329,  291,  179,   -292, 142,  -413, 320, 181,  285,  -301, 197,  -303, 180,
                -300, -284, -259,  110,  286,  270,   81,   131,  -225, 269, -225, -279, 135,  59,   105,  -237,
                -221, -185, 13,    -222, 183,  -197,  116,  -188, -191, -174});
}

Observations lung_women() {
  return lines({310,  361,  654,  728,  61,   81,  520,  473,  107,  122,  -965, 731,  153,  433,  145,
                95,   765,  735,  5,    687,  345, 444,  60,   208,  -821, 305,  226,  426,  705,  363,
                167,  641,  -740, 245,  -588, 166, -559, 450,  -529, 351,  201,  524,  199,  550,  -551,
                -543, 293,  -511, -511, 371,  201, 62,   -356, 340,  -315, 182,  -364, -376, -384, 268,
                -266, 194,  348,  -382, -296, 186, 145,  -269, 350,  -272, -292, -332, 285,  -243, -276,
                79,   -240, -202, -235, -224, 239, -173, -252, -92,  -192, -211, -175, -203, -105, -177});
}

// Veterans' lung cancer trial by cell type, days: Kalbfleisch & Prentice 1980, as shipped with survival 3.5-3 (read).
Observations squamous() {
  return lines({72,   411, 228, 126, 118, 10,  82,  110, 314, -100, 42,  8,   144, -25, 11, 999, 112, -87,
                -231, 242, 991, 111, 1,   587, 389, 33,  25,  357,  467, 201, 1,   30,  44, 283, 15});
}

Observations small_cell() {
  return lines({30,  384, 4,  54, 13,  -123, -97, 153, 59, 117, 16, 151, 22,  56, 21, 18,
                139, 20,  31, 52, 287, 18,   51,  122, 27, 54,  7,  63,  392, 10, 25, -103,
                21,  13,  87, 2,  20,  7,    24,  99,  8,  99,  61, 25,  95,  80, 51, 29});
}

Observations adeno() {
  return lines(
      {8, 92, 35, 117, 132, 12, 162, 3, 95, 24, 18, -83, 31, 51, 90, 52, 73, 8, 36, 48, 7, 140, 186, 84, 19, 45, 80});
}

Observations large_cell() {
  return lines({177, 162, 216, 553, 278, 12, 260, 200, 156, -182, 143, 105, 103, 250,
                100, 52,  164, 19,  53,  15, 43,  340, 133, 111,  231, 378, 49});
}

SurvivalCurve curve(const Observations& all, LimitKind kind = LimitKind::log) { return *kaplan_meier(all, 0.95, kind); }

/// The curve at a time: its last point not later.
SurvivalPoint at(const SurvivalCurve& curve, int time) {
  SurvivalPoint found;
  for (const auto& point : curve.points)
    if (point.time <= time) found = point;
  return found;
}

struct Row {
  int time, at_risk, events;
  double survival, error, log_low, log_high, log_log_low, log_log_high, plain_low, hazard;
};
constexpr Row six_mp[] = {{6, 21, 3, 0.857142857143, 0.0763603548321, 0.719817083916, 1.000000000000, 0.619717955266,
                           0.951551747647, 0.707479311825, 0.142857142857},
                          {7, 17, 1, 0.806722689076, 0.0869352851801, 0.653124218462, 0.996443675909, 0.563146564622,
                           0.922809019203, 0.636332661137, 0.201680672269},
                          {10, 15, 1, 0.752941176471, 0.0963496529943, 0.585918982030, 0.967574754552, 0.503199510800,
                           0.889361835169, 0.564099326679, 0.268347338936},
                          {13, 12, 1, 0.690196078431, 0.1068147077750, 0.509613099102, 0.934769195536, 0.431610222486,
                           0.849065963349, 0.480843098173, 0.351680672269},
                          {16, 11, 1, 0.627450980392, 0.1140538652568, 0.439393924969, 0.895994938535, 0.367510855988,
                           0.804912189472, 0.403909512191, 0.442589763178},
                          {22, 7, 1, 0.537815126050, 0.1282337516930, 0.337036616158, 0.858200848045, 0.267778936767,
                           0.746790717635, 0.286481591130, 0.585446906035},
                          {23, 6, 1, 0.448179271709, 0.1345914567558, 0.248788226818, 0.807372045529, 0.188052005959,
                           0.680142628495, 0.184384863841, 0.752113572702}};

TEST(PublishedSurvival, TheDataAddUp) {
  int weeks = 0, placebo_weeks = 0;
  for (const auto& line : treated()) weeks += line.time;
  for (const auto& line : placebo()) placebo_weeks += line.time;
  EXPECT_EQ(weeks, 359);
  EXPECT_EQ(placebo_weeks, 182);
  EXPECT_EQ(curve(treated()).events, 9);
  EXPECT_EQ(curve(placebo()).events, 21);
}

TEST(PublishedSurvival, SixMercaptopurineTable) {
  const auto log = curve(treated()), log_log = curve(treated(), LimitKind::log_log),
             plain = curve(treated(), LimitKind::plain);
  for (const auto& row : six_mp) {
    const auto point = at(log, row.time);
    EXPECT_EQ(point.time, row.time);
    EXPECT_EQ(point.at_risk, row.at_risk);
    EXPECT_EQ(point.events, row.events);
    agree(point.survival, row.survival, "survival");
    agree(point.standard_error, row.error, "Greenwood's error");
    agree(*point.low, row.log_low, "log limit, lower");
    agree(*point.high, row.log_high, "log limit, upper");
    agree(*at(log_log, row.time).low, row.log_log_low, "log-log limit, lower");
    agree(*at(log_log, row.time).high, row.log_log_high, "log-log limit, upper");
    agree(*at(plain, row.time).low, row.plain_low, "plain limit, lower");
    agree(point.cumulative_hazard, row.hazard, "Nelson-Aalen");
  }
}

TEST(PublishedSurvival, SixMercaptopurineAsPrintedInTextbooks) {
  // Klein & Moeschberger; Kalbfleisch & Prentice; Collett (values from memory).
  const struct {
    int time;
    double survival, error;
  } printed[] = {{6, 0.857, 0.0764},  {7, 0.807, 0.0869},  {10, 0.753, 0.0963}, {13, 0.690, 0.1068},
                 {16, 0.627, 0.1141}, {22, 0.538, 0.1282}, {23, 0.448, 0.1346}};
  const auto c = curve(treated());
  for (const auto& row : printed) {
    EXPECT_NEAR(at(c, row.time).survival, row.survival, 0.0005);
    EXPECT_NEAR(at(c, row.time).standard_error, row.error, 0.00005);
  }
  EXPECT_EQ(c.median, 23);
  EXPECT_EQ(curve(placebo()).median, 8);
  EXPECT_NEAR(log_rank({treated(), placebo()})->chi_square, 16.79, 0.005);
}

TEST(PublishedSurvival, PlaceboTable) {
  const double survival[] = {0.9047619047619, 0.8095238095238, 0.7619047619048, 0.6666666666667,
                             0.5714285714286, 0.3809523809524, 0.2857142857143, 0.1904761904762,
                             0.1428571428571, 0.0952380952381, 0.0476190476190, 0};
  const auto c = curve(placebo());
  ASSERT_EQ(c.points.size(), std::size(survival));
  for (std::size_t i = 0; i < c.points.size(); ++i) agree(c.points[i].survival, survival[i], "placebo survival");
}

TEST(PublishedSurvival, SixMercaptopurineMediansAndMeans) {
  const auto a = curve(treated());
  EXPECT_EQ(a.median, 23);
  EXPECT_EQ(a.median_low, 16);
  EXPECT_FALSE(a.median_high);  // not reached
  EXPECT_EQ(curve(treated(), LimitKind::log_log).median_low, 13);
  EXPECT_FALSE(curve(treated(), LimitKind::log_log).median_high);
  agree(a.restricted_mean, 23.28739495798, "mean to 35 weeks");
  agree(a.restricted_mean_error, 2.82746762337, "its error");
  const auto b = curve(placebo());
  EXPECT_EQ(b.median, 8);
  EXPECT_EQ(b.median_low, 4);
  EXPECT_EQ(b.median_high, 12);
  agree(b.restricted_mean, 8.66666666667, "mean to 23 weeks");
  agree(b.restricted_mean_error, 1.37739004126, "its error");
}

TEST(PublishedSurvival, SevenPatients) {
  // Restricted mean to 100: 37.857, error 10.739, median 30; the same numbers from two packages (read on a web page).
  const auto c = curve(lines({10, 15, 23, 30, 35, 52, -100}), LimitKind::plain);
  EXPECT_NEAR(c.restricted_mean, 37.857, 0.0005);
  EXPECT_NEAR(c.restricted_mean_error, 10.739, 0.0005);
  EXPECT_NEAR(c.restricted_mean - 1.959963984540054 * c.restricted_mean_error, 16.809, 0.0005);
  EXPECT_NEAR(c.restricted_mean + 1.959963984540054 * c.restricted_mean_error, 58.905, 0.0005);
  EXPECT_EQ(c.median, 30);
}

TEST(PublishedSurvival, AFlatHalf) {
  EXPECT_EQ(curve(lines({1, 2, 3, 4})).median, 2.5);
  EXPECT_EQ(curve(lines({1, 2, -3, -4})).median, 3.0);
}

struct LeukaemiaRow {
  int time, at_risk, events;
  double survival, error_of_log, low, high;
};
const std::vector<LeukaemiaRow> maintained_rows = {
    {9, 11, 1, 0.9090909090909, 0.0953462589246, 0.7541338450815, 1.000000000000},
    {13, 10, 1, 0.8181818181818, 0.1421338109037, 0.6192489873994, 1.000000000000},
    {18, 8, 1, 0.7159090909091, 0.1950875779212, 0.4884262874221, 1.000000000000},
    {23, 7, 1, 0.6136363636364, 0.2487341690815, 0.3768670595017, 0.999157600228},
    {28, 6, 0, 0.6136363636364, 0.2487341690815, 0.3768670595017, 0.999157600228},
    {31, 5, 1, 0.4909090909091, 0.3344677665616, 0.2548599511993, 0.945584955200},
    {34, 4, 1, 0.3681818181818, 0.4418167269378, 0.1548771178972, 0.875260678144},
    {45, 3, 0, 0.3681818181818, 0.4418167269378, 0.1548771178972, 0.875260678144},
    {48, 2, 1, 0.1840909090909, 0.8337877548885, 0.0359178984892, 0.943525769475},
    {161, 1, 0, 0.1840909090909, 0.8337877548885, 0.0359178984892, 0.943525769475}};
const std::vector<LeukaemiaRow> not_maintained_rows = {
    {5, 12, 2, 0.8333333333333, 0.1290994448736, 0.6470369870134, 1.000000000000},
    {8, 10, 2, 0.6666666666667, 0.2041241452319, 0.4468460811503, 0.994625360259},
    {12, 8, 1, 0.5833333333333, 0.2439750182371, 0.3616137052104, 0.940998012174},
    {16, 7, 0, 0.5833333333333, 0.2439750182371, 0.3616137052104, 0.940998012174},
    {23, 6, 1, 0.4861111111111, 0.3047247001100, 0.2675182488583, 0.883319225340},
    {27, 5, 1, 0.3888888888889, 0.3779644730092, 0.1853965260956, 0.815735715691},
    {30, 4, 1, 0.2916666666667, 0.4755948656057, 0.1148311501525, 0.740822018516},
    {33, 3, 1, 0.1944444444444, 0.6267831705280, 0.0569215525716, 0.664223659883},
    {43, 2, 1, 0.0972222222222, 0.9449111825231, 0.0152565271709, 0.619548629119}};

void check_leukaemia(const SurvivalCurve& c, const std::vector<LeukaemiaRow>& rows) {
  for (const auto& row : rows) {
    const auto point = at(c, row.time);
    EXPECT_EQ(point.time, row.time);
    EXPECT_EQ(point.at_risk, row.at_risk);
    EXPECT_EQ(point.events, row.events);
    agree(point.survival, row.survival, "survival");
    agree(point.standard_error / point.survival, row.error_of_log, "error of log survival");
    agree(*point.low, row.low, "log limit, lower");
    agree(*point.high, row.high, "log limit, upper");
  }
}

TEST(PublishedSurvival, Leukaemia) {
  const auto a = curve(maintained()), b = curve(not_maintained());
  check_leukaemia(a, maintained_rows);
  check_leukaemia(b, not_maintained_rows);
  EXPECT_EQ(b.points.back().survival, 0);  // the last one fails: no limits
  EXPECT_FALSE(b.points.back().low);
  EXPECT_FALSE(b.points.back().high);
  EXPECT_EQ(a.median, 31);
  EXPECT_EQ(a.median_low, 18);
  EXPECT_FALSE(a.median_high);
  EXPECT_EQ(b.median, 23);
  EXPECT_EQ(b.median_low, 8);
  EXPECT_FALSE(b.median_high);
  agree(a.restricted_mean, 52.6454545455, "mean to 161 weeks");
  agree(a.restricted_mean_error, 19.82860279556, "its error");
  agree(b.restricted_mean, 22.7083333333, "mean");
  agree(b.restricted_mean_error, 4.18094198103, "its error");
}

TEST(PublishedSurvival, LungCancer) {
  auto all = lung_men();
  const auto women = lung_women();
  all.insert(all.end(), women.begin(), women.end());
  const auto c = curve(all);
  EXPECT_EQ(c.subjects, 228);
  EXPECT_EQ(c.events, 165);
  EXPECT_EQ(c.median, 310);
  EXPECT_EQ(c.median_low, 285);
  EXPECT_EQ(c.median_high, 363);
  const struct {
    int days;
    double survival, error, low, high;
  } rows[] = {{90, 0.881578947368, 0.0213982196059, 0.8406211828565, 0.924532305744},
              {180, 0.721670653410, 0.0298124194686, 0.6655423071306, 0.782532569925},
              {365, 0.409241624460, 0.0358236381720, 0.3447215817958, 0.485837603547},
              {730, 0.115693098345, 0.0282981973177, 0.0716318249618, 0.186856791820}};
  for (const auto& row : rows) {
    const auto point = at(c, row.days);
    agree(point.survival, row.survival, "survival");
    agree(point.standard_error, row.error, "Greenwood's error");
    agree(*point.low, row.low, "log limit, lower");
    agree(*point.high, row.high, "log limit, upper");
  }
  const auto men = curve(lung_men()), others = curve(women);
  EXPECT_EQ(men.events, 112);
  EXPECT_EQ(men.median, 270);
  EXPECT_EQ(men.median_low, 212);
  EXPECT_EQ(men.median_high, 310);
  EXPECT_EQ(others.events, 53);
  EXPECT_EQ(others.median, 426);
  EXPECT_EQ(others.median_low, 348);
  EXPECT_EQ(others.median_high, 550);
}

TEST(PublishedSurvival, VeteransMedians) {
  const struct {
    Observations all;
    int events, median, low, high;
  } rows[] = {{squamous(), 31, 118, 82, 314},
              {small_cell(), 45, 51, 25, 63},
              {adeno(), 26, 51, 35, 92},
              {large_cell(), 26, 156, 105, 231}};
  for (const auto& row : rows) {
    const auto c = curve(row.all);
    EXPECT_EQ(c.events, row.events);
    EXPECT_EQ(c.median, row.median);
    EXPECT_EQ(c.median_low, row.low);
    EXPECT_EQ(c.median_high, row.high);
  }
  // Nobody is left after 186 days, so that R's mean to 365 days is the mean to the last time.
  agree(curve(adeno()).restricted_mean, 65.5555555556, "mean, adeno");
  // Its error was computed in exact fractions.
  agree(curve(adeno()).restricted_mean_error, 9.930285879865, "its error");
}

TEST(PublishedSurvival, LogRank) {
  const auto six = *log_rank({treated(), placebo()});
  agree(six.chi_square, 16.7929409892165395, "6-MP against placebo");
  agree(six.p_value, 0.0000416880910933, "its p");
  EXPECT_EQ(six.degrees_of_freedom, 1);
  agree(log_rank({maintained(), not_maintained()})->chi_square, 3.39638869898, "leukaemia");
  agree(log_rank({lung_men(), lung_women()})->chi_square, 10.3267419549, "lung cancer by sex");
  const auto four = *log_rank({squamous(), small_cell(), adeno(), large_cell()});
  agree(four.chi_square, 25.4037003457853530, "four cell types");
  agree(four.p_value, 0.0000127124593901, "its p");
  EXPECT_EQ(four.degrees_of_freedom, 3);
}

}  // namespace
}  // namespace dwell::statistics
