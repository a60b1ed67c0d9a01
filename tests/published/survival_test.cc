// Survival and rates against R 4.2.2, survival 3.5-3 (numbers computed by the commands in the reference, 12 digits),
// which agree with the printed tables of Klein & Moeschberger and Collett (values from memory). Tolerance 1e-10.
#include <gtest/gtest.h>

#include "statistics/rate.h"
#include "statistics/survival.h"

namespace dwell::statistics {
namespace {

constexpr double digits = 1e-10;

// 6-MP remission, 42 children: Freireich et al., Blood 1963;21:699 (published teaching subset, list from memory; totals
// 359 and 182 weeks, 9 and 21 relapses check).
std::vector<Observation> treated() {
  return {{6, true},   {6, true},   {6, true},   {6, false},  {7, true},   {9, false},  {10, true},
          {10, false}, {11, false}, {13, true},  {16, true},  {17, false}, {19, false}, {20, false},
          {22, true},  {23, true},  {25, false}, {32, false}, {32, false}, {34, false}, {35, false}};
}
std::vector<Observation> placebo() {
  std::vector<Observation> all;
  for (const int t : {1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23}) all.push_back({t, true});
  return all;
}

SurvivalPoint at(const SurvivalCurve& curve, int time) {
  for (const auto& p : curve.points)
    if (p.time == time) return p;
  return {};
}

struct Row {
  int time, at_risk;
  double s, se, log_low, log_high, ll_low, ll_high, hazard;
};

class PublishedSurvival : public testing::TestWithParam<Row> {};

TEST_P(PublishedSurvival, SixMercaptopurine) {
  const auto& r = GetParam();
  const auto log = at(*kaplan_meier(treated(), 0.95, LimitKind::log), r.time);
  const auto log_log = at(*kaplan_meier(treated(), 0.95, LimitKind::log_log), r.time);
  EXPECT_EQ(log.at_risk, r.at_risk);
  EXPECT_NEAR(log.survival, r.s, digits);
  EXPECT_NEAR(log.standard_error, r.se, digits);
  EXPECT_NEAR(*log.low, r.log_low, digits);
  EXPECT_NEAR(*log.high, r.log_high, digits);
  EXPECT_NEAR(*log_log.low, r.ll_low, digits);
  EXPECT_NEAR(*log_log.high, r.ll_high, digits);
  EXPECT_NEAR(log.cumulative_hazard, r.hazard, digits);
}

INSTANTIATE_TEST_SUITE_P(Freireich, PublishedSurvival,
                         testing::Values(Row{6, 21, 0.857142857143, 0.0763603548321, 0.719817083916, 1.0,
                                             0.619717955266, 0.951551747647, 0.142857142857},
                                         Row{7, 17, 0.806722689076, 0.0869352851801, 0.653124218462, 0.996443675909,
                                             0.563146564622, 0.922809019203, 0.201680672269},
                                         Row{10, 15, 0.752941176471, 0.0963496529943, 0.585918982030, 0.967574754552,
                                             0.503199510800, 0.889361835169, 0.268347338936},
                                         Row{13, 12, 0.690196078431, 0.1068147077750, 0.509613099102, 0.934769195536,
                                             0.431610222486, 0.849065963349, 0.351680672269},
                                         Row{16, 11, 0.627450980392, 0.1140538652568, 0.439393924969, 0.895994938535,
                                             0.367510855988, 0.804912189472, 0.442589763178},
                                         Row{22, 7, 0.537815126050, 0.1282337516930, 0.337036616158, 0.858200848045,
                                             0.267778936767, 0.746790717635, 0.585446906035},
                                         Row{23, 6, 0.448179271709, 0.1345914567558, 0.248788226818, 0.807372045529,
                                             0.188052005959, 0.680142628495, 0.752113572702}));

TEST(PublishedSurvivalSummary, MediansMeansAndLogRank) {
  const auto a = *kaplan_meier(treated(), 0.95, LimitKind::log);
  EXPECT_EQ(a.median, 23);
  EXPECT_EQ(a.median_low, 16);
  EXPECT_FALSE(a.median_high);  // not reached
  EXPECT_EQ(kaplan_meier(treated(), 0.95, LimitKind::log_log)->median_low, 13);
  EXPECT_NEAR(a.restricted_mean, 23.28739495798, 1e-9);
  EXPECT_NEAR(a.restricted_mean_error, 2.82746762337, 1e-9);
  EXPECT_EQ(kaplan_meier(placebo(), 0.95, LimitKind::log)->median, 8);
  // log-rank chi-squared 16.79 (Collett, value from memory; R: 16.7929…)
  EXPECT_NEAR(log_rank({treated(), placebo()})->chi_square, 16.7929, 0.0001);
}

TEST(PublishedSurvivalSummary, SevenPatients) {
  // Restricted mean 37.857, error 10.739, median 30: same numbers from two packages (read).
  const auto c = *kaplan_meier({{10, true}, {15, true}, {23, true}, {30, true}, {35, true}, {52, true}, {100, false}},
                               0.95, LimitKind::plain);
  EXPECT_NEAR(c.restricted_mean, 37.857, 0.0005);
  EXPECT_NEAR(c.restricted_mean_error, 10.739, 0.0005);
  EXPECT_EQ(c.median, 30);
}

struct Poisson {
  int events;
  double low, high;
};

class PublishedPoisson : public testing::TestWithParam<Poisson> {};

TEST_P(PublishedPoisson, GarwoodLimits) {
  // Exact limits of a count (R qgamma); 1,000 catheter-days, so that the rate is the count.
  const auto& r = GetParam();
  const auto rate = *rate_per_thousand_days(r.events, 1000.0 * day, 0.95);
  EXPECT_NEAR(rate.low, r.low, 1e-9);
  EXPECT_NEAR(rate.high, r.high, 1e-9);
}

INSTANTIATE_TEST_SUITE_P(
    Garwood, PublishedPoisson,
    testing::Values(Poisson{0, 0, 3.68887945411}, Poisson{1, 0.0253178079843, 5.57164339094},
                    Poisson{2, 0.2422092785440, 7.22468766772}, Poisson{3, 0.6186721228956, 8.76727306974},
                    Poisson{5, 1.6234863901184, 11.66833207932}, Poisson{10, 4.7953886961324, 18.39035604202},
                    Poisson{20, 12.2165195854039, 30.88837790267}, Poisson{100, 81.3639912509231, 121.62679379243}));

TEST(PublishedRates, FourteenInFourHundred) {
  // General statistics help page (read): 14 events in 400 person-years 0.035 (0.019135 to 0.058724).
  const auto rate = *rate_per_thousand_days(14, 400.0 * day, 0.95);
  EXPECT_NEAR(rate.rate, 35, 1e-9);
  EXPECT_NEAR(rate.low, 19.1348256908, 1e-8);
  EXPECT_NEAR(rate.high, 58.7240528046, 1e-8);
}

TEST(PublishedRates, NewcombesWorkedProportions) {
  // Newcombe, Stat Med 1998;17:857 (values from memory): Wilson 81/263, 15/148, 0/20, 1/29.
  const struct {
    int x, n;
    double low, high;
  } rows[] = {{81, 263, 0.2553, 0.3662}, {15, 148, 0.0624, 0.1605}, {0, 20, 0, 0.1611}, {1, 29, 0.0061, 0.1718}};
  for (const auto& r : rows) {
    const auto share = *wilson_share(r.x, r.n, 0.95);
    EXPECT_NEAR(share.low, r.low, 0.00006);
    EXPECT_NEAR(share.high, r.high, 0.00006);
  }
}

}  // namespace
}  // namespace dwell::statistics
