// Models and competing ends against worked examples: the six and ten subjects of Therneau and Grambsch's appendix
// (vignette "validate" of R's survival 3.5-3: read), the 6-MP trial (list from memory, totals checked in
// survival_test.cc), ten lines by hand, intervals of Newcombe and others (from memory). Where no table is named,
// R 4.2.2 with survival 3.5-3 and cmprsk 2.2-11 computed the number, to twelve digits.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "statistics/comparison.h"
#include "statistics/competing.h"
#include "statistics/cox.h"
#include "statistics/frailty.h"
#include "statistics/gray.h"
#include "statistics/lifetime_model.h"
#include "statistics/log_rank.h"
#include "statistics/segments.h"
#include "statistics/stretches.h"

namespace dwell::statistics {
namespace {

void agree(double found, double published, double tolerance = 2e-11) {
  EXPECT_LE(std::abs(found - published), tolerance * std::max(std::abs(published), 1e-3)) << found << ", " << published;
}

CoxInput six(Ties ties) {
  CoxInput in;
  in.rows.stop = {1, 1, 6, 6, 8, 9};
  in.rows.cause = {1, 0, 1, 1, 0, 1};
  in.covariates = {{"x"}, {{1, 1, 1, 0, 0, 0}}};
  in.ties = ties;
  in.profiles = {{0}};
  in.at = {1, 6, 9};
  return in;
}

TEST(PublishedCox, SixSubjectsBreslow) {
  const auto fit = *cox(six(Ties::breslow));
  agree(fit.coefficients[0].coefficient, std::log((3 + std::sqrt(33.0)) / 2));
  agree(fit.log_likelihood_without, -4.564348191468);
  agree(fit.log_likelihood, -3.824749505003);
  agree(1 / fit.covariance[0][0], 0.634168142764);
  agree(fit.score_test, 1.6);
  agree(fit.wald_test, 1.380245134609);
  const double hazard[] = {0.06204688721150, 1.0 / 3, 4.0 / 3}, variance[] = {0.00787081810557, 1.0 / 9, 10.0 / 9};
  for (std::size_t i = 0; i < 3; ++i) {
    agree(fit.foretold[i].hazard, hazard[i]);
    agree(std::pow(fit.foretold[i].hazard_error, 2), variance[i], 1e-10);
  }
}

TEST(PublishedCox, SixSubjectsEfron) {
  const auto fit = *cox(six(Ties::efron));
  const double angle = std::acos(45.0 / 23 * std::sqrt(3.0 / 23));
  agree(fit.coefficients[0].coefficient, std::log(2 * std::sqrt(23.0 / 3) * std::cos(angle / 3)));
  agree(fit.log_likelihood_without, -4.276666119016);
  agree(fit.log_likelihood, -3.358974840263);
  agree(1 / fit.covariance[0][0], 0.612631895996);
  agree(fit.score_test, 2.036144578313);
  const double hazard[] = {0.05250401271149, 0.365543432544, 1.36554343254},
               variance[] = {0.00595050871082, 0.134074389060, 1.13407438906};
  for (std::size_t i = 0; i < 3; ++i) {
    agree(fit.foretold[i].hazard, hazard[i]);
    agree(std::pow(fit.foretold[i].hazard_error, 2), variance[i], 1e-10);
  }
}

TEST(PublishedCox, TenSubjectsThatCameLate) {
  CoxInput in;
  in.rows = {{1, 2, 5, 2, 1, 7, 3, 4, 8, 8}, {2, 3, 6, 7, 8, 9, 9, 9, 14, 17}, {1, 1, 1, 1, 1, 1, 1, 0, 0, 0}, {}};
  in.covariates = {{"x"}, {{1, 0, 0, 1, 0, 1, 1, 1, 0, 0}}};
  in.profiles = {{0}};
  in.at = {9};
  in.ties = Ties::breslow;
  auto fit = *cox(in);
  agree(fit.coefficients[0].coefficient, -0.0845260806613, 1e-10);
  agree(1 / fit.covariance[0][0], 1.5869341489855);
  agree(fit.foretold[0].hazard, 2.02674040893);
  agree(std::pow(fit.foretold[0].hazard_error, 2), 1.44462734144);
  in.ties = Ties::efron;
  fit = *cox(in);
  agree(fit.coefficients[0].coefficient, -0.021105209580175, 1e-10);
  agree(1 / fit.covariance[0][0], 1.581512096621388);
  agree(fit.foretold[0].hazard, 2.00661612190);
  agree(std::pow(fit.foretold[0].hazard_error, 2), 1.41521991795);
}

Lifetimes six_mp(std::vector<int>& group) {
  Lifetimes rows;
  const auto add = [&](int arm, std::initializer_list<int> times) {
    for (const int time : times) {
      rows.stop.push_back(std::abs(time));
      rows.cause.push_back(time > 0 ? 1 : 0);
      group.push_back(arm);
    }
  };
  add(0, {6, 6, 6, -6, 7, -9, 10, -10, -11, 13, 16, -17, -19, -20, 22, 23, -25, -32, -32, -34, -35});
  add(1, {1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23});
  return rows;
}

TEST(PublishedCox, TheSixMpTrial) {
  CoxInput in;
  std::vector<int> group;
  in.rows = six_mp(group);
  in.covariates = {{"placebo"}, {{group.begin(), group.end()}}};
  auto fit = *cox(in);
  agree(fit.coefficients[0].coefficient, 1.572125148829);
  agree(fit.coefficients[0].standard_error, 0.412396717709);
  agree(fit.log_likelihood, -85.008424577372);
  in.ties = Ties::breslow;
  fit = *cox(in);
  agree(fit.coefficients[0].coefficient, 1.509191412586);
  agree(fit.coefficients[0].standard_error, 0.409564406367);
}

TEST(PublishedLogRank, TheSixMpTrialPlainAndEarly) {
  std::vector<int> group;
  const auto rows = six_mp(group);
  agree(log_rank(rows, group, {}, {})->chi_square, 16.7929409892165395);
  agree(log_rank(rows, group, {}, {1, 0})->chi_square, 14.45715081872);
}

LifetimeModelInput six_mp_shape(LifetimeShape shape) {
  LifetimeModelInput in;
  std::vector<int> group;
  in.rows = six_mp(group);
  in.covariates = {{"placebo"}, {{group.begin(), group.end()}}};
  in.shape = shape;
  return in;
}

TEST(PublishedLifetimes, TheSixMpTrialByAnExponentialIsRelapsesOverWeeks) {
  const auto fit = *lifetime_model(six_mp_shape(LifetimeShape::exponential));
  agree(fit.intercept, std::log(359.0 / 9));
  agree(fit.coefficients[0].coefficient, std::log(182.0 / 21 * 9 / 359));
  agree(fit.intercept_error, 1.0 / 3);
  agree(fit.coefficients[0].standard_error, std::sqrt(1.0 / 9 + 1.0 / 21));
  agree(fit.log_likelihood, 9 * std::log(9.0 / 359) + 21 * std::log(21.0 / 182) - 30);
  agree(*fit.coefficients[0].hazard_ratio, 359.0 / 9 * 21 / 182);
}

TEST(PublishedLifetimes, TheSixMpTrialByThreeShapes) {
  // Weibull: 1.267 longer on 6-MP, scale 0.732 (Venables and Ripley, Modern Applied Statistics with S; from memory).
  struct Row {
    LifetimeShape shape;
    double intercept, coefficient, log_scale, intercept_error, error, scale_error, without, with;
  };
  const Row rows[] = {{LifetimeShape::weibull, 3.5156869464958, -1.2673345874191, -0.31170922093107, 0.25178101972464,
                       0.31063993597568, 0.14729188257764, -116.40540697965, -106.57949158156},
                      {LifetimeShape::log_normal, 3.1719677021627, -1.3468466820088, -0.079185230606047,
                       0.24398044458629, 0.31649788432896, 0.13232365779973, -115.39297949698, -106.70462235448},
                      {LifetimeShape::log_logistic, 3.1581539633127, -1.2654633848888, -0.60412339076129,
                       0.24836288209684, 0.32566125799325, 0.15012205948569, -115.35111325608, -107.66141715993}};
  for (const auto& row : rows) {
    const auto fit = *lifetime_model(six_mp_shape(row.shape));
    agree(fit.intercept, row.intercept);
    agree(fit.coefficients[0].coefficient, row.coefficient);
    agree(fit.log_scale, row.log_scale);
    agree(fit.intercept_error, row.intercept_error);
    agree(fit.coefficients[0].standard_error, row.error);
    agree(fit.log_scale_error, row.scale_error);
    agree(fit.log_likelihood_without, row.without);
    agree(fit.log_likelihood, row.with);
  }
}

TEST(PublishedLifetimes, TheSixMpTrialInThreeStretches) {
  const auto in = six_mp_shape(LifetimeShape::exponential);
  const auto fit = *stretches({in.rows, 1, {7, 14}, in.covariates, 0.95});
  const double log_rate[] = {-3.18696122680565, -2.74267212315889, -2.66900441937399},
               error[] = {0.30400336377943, 0.33037163435386, 0.37814794836933}, weeks[] = {254, 145, 142};
  const int relapses[] = {13, 10, 7};
  for (std::size_t k = 0; k < 3; ++k) {
    agree(std::log(fit.stretches[k].per_thousand_days / 1'440'000), log_rate[k]);
    agree(fit.stretches[k].error_of_log, error[k]);
    agree(fit.stretches[k].line_days * 1440, weeks[k]);
    EXPECT_EQ(fit.stretches[k].events, relapses[k]);
  }
  agree(fit.coefficients[0].coefficient, 1.63771595631022);
  agree(fit.coefficients[0].standard_error, 0.41534882549682);
}

TEST(PublishedFrailty, InfectionsOfDialysisCatheters) {
  // McGilchrist and Aisbett, Biometrics 1991;47:461: 38 patients, two catheters each (the data as in R's survival).
  // Variance about 0.41, integrated likelihood -181.6 (as printed by that package, which stops a little off the top).
  FrailtyInput in;
  in.rows.stop = {8,   16,  23,  13,  22,  28, 447, 318, 30, 12,  24, 245, 7,   9,   511, 30,  53,  196, 15,
                  154, 7,   333, 141, 8,   96, 38,  149, 70, 536, 25, 17,  4,   185, 177, 292, 114, 22,  159,
                  15,  108, 152, 562, 402, 24, 13,  66,  39, 46,  12, 40,  113, 201, 132, 156, 34,  30,  2,
                  25,  130, 26,  27,  58,  5,  43,  152, 30, 190, 5,  119, 8,   54,  16,  6,   78,  63,  8};
  in.rows.cause = {1, 1, 1, 0, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 0, 1, 1,
                   0, 0, 1, 0, 1, 0, 1, 1, 1, 1, 0, 0, 1, 0, 1, 1, 1, 0, 1, 1, 1, 0, 1, 1, 0, 1,
                   1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 0, 1, 1, 1, 1, 0, 1, 1, 0, 0, 0, 1, 1, 0};
  in.covariates.names = {"age", "female"};
  in.covariates.columns = {
      {28, 28, 48, 48, 32, 32, 31, 32, 10, 10, 16, 17, 51, 51, 55, 56, 69, 69, 51, 52, 44, 44, 34, 34, 35, 35,
       42, 42, 17, 17, 60, 60, 60, 60, 43, 44, 53, 53, 44, 44, 46, 47, 30, 30, 62, 63, 42, 43, 43, 43, 57, 58,
       10, 10, 52, 52, 53, 53, 54, 54, 56, 56, 50, 51, 57, 57, 44, 45, 22, 22, 42, 42, 52, 52, 60, 60},
      {}};
  const std::vector<int> male = {0, 2, 4, 6, 9, 15, 20, 24, 28, 37};
  for (int row = 0; row < 76; ++row) {
    in.patient.push_back(row / 2);
    in.covariates.columns[1].push_back(std::find(male.begin(), male.end(), row / 2) == male.end() ? 1 : 0);
  }
  const auto fit = *frailty(in);
  EXPECT_EQ(fit.events, 58);
  agree(fit.spread, 0.40776961598857, 2e-6);
  agree(fit.log_likelihood, -181.63862652539, 1e-10);
  agree(fit.coefficients[0].coefficient, 5.2222e-3, 1e-4);
  agree(fit.coefficients[1].coefficient, -1.583233819, 1e-6);
  agree(fit.coefficients[1].standard_error, 0.44838155642594, 1e-6);
}

Lifetimes ten_lines() { return {{}, {1, 2, 2, 3, 4, 4, 5, 6, 7, 8}, {1, 2, 0, 1, 1, 2, 0, 1, 0, 2}, {}}; }

TEST(PublishedCompeting, TenLinesByHand) {
  const auto risks = competing_risks(ten_lines(), {}, {})->front();
  const double first[] = {0.1, 0.214285714286, 0.328571428571, 0.480952380952},
               first_error[] = {0.0948683298051, 0.1350412959191, 0.1561844614737, 0.1780010543155},
               second[] = {0.1, 0.214285714286, 0.519047619048},
               second_error[] = {0.0948683298051, 0.1350412959191, 0.1780010543155};
  ASSERT_EQ(risks.causes.size(), 2u);
  ASSERT_EQ(risks.causes[0].points.size(), 4u);
  ASSERT_EQ(risks.causes[1].points.size(), 3u);
  for (std::size_t i = 0; i < 4; ++i) {
    agree(risks.causes[0].points[i].incidence, first[i]);
    agree(risks.causes[0].points[i].standard_error, first_error[i]);
  }
  for (std::size_t i = 0; i < 3; ++i) {
    agree(risks.causes[1].points[i].incidence, second[i]);
    agree(risks.causes[1].points[i].standard_error, second_error[i]);
  }
}

void agree(const Estimate& found, double low, double high, double tolerance) {
  EXPECT_NEAR(*found.low, low, tolerance);
  EXPECT_NEAR(*found.high, high, tolerance);
}

TEST(PublishedIntervals, SharesAndRates) {
  // 5 of 25 (influentialpoints.com, read); Newcombe 1998 (from memory).
  agree(*share_interval({5, 25}, Tail::exact, 0.95), 0.068, 0.407, 5e-4);
  agree(*share_interval({81, 263}, Tail::exact, 0.95), 0.2527, 0.3676, 5e-5);
  agree(*share_interval({1, 29}, Tail::exact, 0.95), 0.0009, 0.1776, 5e-5);
  agree(*share_difference({56, 70}, {48, 80}, DifferenceKind::newcombe, 0.95), 0.0524, 0.3339, 5e-5);
  // Mid-p limits of a Poisson count, computed.
  const auto mid = [](int events) { return *ratio_to_expected(events, 1, Tail::mid_p, 0.95); };
  agree(mid(0), 0, 2.99573227355, 1e-10);
  agree(mid(1), 0.0500203448353, 4.93186052471, 1e-10);
  agree(mid(14), 7.9687831638376, 22.93271501526, 1e-10);
  agree(*ratio_to_expected(50, 1, Tail::exact, 0.95), 37.1109637374619, 65.91876666434, 1e-10);
}

}  // namespace
}  // namespace dwell::statistics
