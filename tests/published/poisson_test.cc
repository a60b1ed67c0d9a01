// Rates and shares against R 4.2.2 (qgamma and the score interval, 12 significant digits, computed by the formulas in
// their doc comments) and against worked examples, named beside each. The largest difference found is printed.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <iostream>

#include "statistics/rate.h"

namespace dwell::statistics {
namespace {

class LargestRateDifference : public testing::Environment {
 public:
  void TearDown() override {
    if (checks > 0)
      std::cout << "rates: " << checks << " published numbers, largest relative difference " << largest << '\n';
  }
  static inline double largest = 0;
  static inline int checks = 0;
};
[[maybe_unused]] const auto* const largest_difference = testing::AddGlobalTestEnvironment(new LargestRateDifference);

/// Twelve printed digits leave 5e-12 of rounding.
void agree(double found, double published, const char* what) {
  constexpr double tolerance = 1e-11;
  const double difference = std::abs(found - published) / (published == 0 ? 1 : std::abs(published));
  LargestRateDifference::largest = std::max(LargestRateDifference::largest, difference);
  ++LargestRateDifference::checks;
  EXPECT_LE(difference, tolerance) << what << ": " << found << ", published " << published;
}

TEST(PublishedFailureRates, GarwoodLimits) {
  // 1,000 catheter-days, so that the rate is the count.
  const struct {
    int events;
    double low, high;
  } rows[] = {{0, 0, 3.68887945411},
              {1, 0.0253178079843, 5.57164339094},
              {2, 0.2422092785440, 7.22468766772},
              {3, 0.6186721228956, 8.76727306974},
              {4, 1.0898653736263, 10.24158867540},
              {5, 1.6234863901184, 11.66833207932},
              {10, 4.7953886961324, 18.39035604202},
              {14, 7.6539302763006, 23.48962112184},
              {20, 12.2165195854039, 30.88837790267},
              {50, 37.1109637374619, 65.91876666434},
              {100, 81.3639912509231, 121.62679379243}};
  for (const auto& row : rows) {
    const auto rate = *rate_per_thousand_days(row.events, 1000.0 * day, 0.95);
    agree(rate.rate, row.events, "rate");
    agree(rate.low, row.low, "lower limit");
    agree(rate.high, row.high, "upper limit");
  }
}

TEST(PublishedFailureRates, FourteenInFourHundred) {
  // General statistics help page (read): 14 events in 400 person-years 0.035 (0.019135 to 0.058724); digits from R.
  const auto rate = *rate_per_thousand_days(14, 400.0 * day, 0.95);
  EXPECT_NEAR(rate.low / 1000, 0.019135, 0.0000005);
  EXPECT_NEAR(rate.high / 1000, 0.058724, 0.0000005);
  agree(rate.rate, 35, "rate");
  agree(rate.low, 19.1348256908, "lower limit");
  agree(rate.high, 58.7240528046, "upper limit");
}

TEST(PublishedFailureRates, InfectionsOnAWard) {
  // 7 in 2,315 catheter-days, and none in 150 (R).
  const auto seven = *rate_per_thousand_days(7, 2315.0 * day, 0.95);
  agree(seven.rate, 3.02375809935, "rate");
  agree(seven.low, 1.21570758165, "lower limit");
  agree(seven.high, 6.23009734847, "upper limit");
  const auto none = *rate_per_thousand_days(0, 150.0 * day, 0.95);
  agree(none.rate, 0, "rate");
  agree(none.low, 0, "lower limit");
  agree(none.high, 24.5925296941, "upper limit");
}

TEST(PublishedFailureRates, TheRuleOfThreeIsOneSided) {
  // 2.996 is the upper limit of a 90 % two-sided interval (R: qgamma(0.95, 1)); 3.689 that of 95 %. They get mixed up.
  agree(rate_per_thousand_days(0, 1000.0 * day, 0.90)->high, 2.99573227355, "upper limit");
}

TEST(PublishedShares, Wilson) {
  // The shares are those of Newcombe, Stat Med 1998;17:857, and two more; digits from R.
  const struct {
    int events, of;
    double low, high;
  } rows[] = {{81, 263, 0.255288519878, 0.366209576983},
              {15, 148, 0.0623863995307, 0.160487241723},
              {0, 20, 0, 0.161125158053},
              {1, 29, 0.00611321429276, 0.171755218793},
              {5, 25, 0.0886058468680, 0.391309503695},
              {23, 60, 0.270882723741, 0.509824041759},
              {29, 29, 0.883030201500, 1.000000000000}};
  for (const auto& row : rows) {
    const auto share = *wilson_share(row.events, row.of, 0.95);
    agree(share.low, row.low, "lower limit");
    agree(share.high, row.high, "upper limit");
  }
}

TEST(PublishedShares, AsNewcombePrintsThem) {
  // Newcombe, Stat Med 1998;17:857 (values from memory).
  const struct {
    int events, of;
    double low, high;
  } rows[] = {{81, 263, 0.2553, 0.3662}, {15, 148, 0.0624, 0.1605}, {0, 20, 0, 0.1611}, {1, 29, 0.0061, 0.1718}};
  for (const auto& row : rows) {
    const auto share = *wilson_share(row.events, row.of, 0.95);
    EXPECT_NEAR(share.low, row.low, 0.00005);
    EXPECT_NEAR(share.high, row.high, 0.00005);
  }
}

TEST(PublishedShares, NewcombesDifferenceFromWilsonsLimits) {
  // 56/70 against 48/80, hybrid score interval 0.0524 to 0.3339 (value from memory; digits from R).
  const auto a = *wilson_share(56, 70, 0.95), b = *wilson_share(48, 80, 0.95);
  const double difference = a.share - b.share;
  agree(difference - std::hypot(a.share - a.low, b.high - b.share), 0.0524314724024, "lower limit");
  agree(difference + std::hypot(a.high - a.share, b.share - b.low), 0.3338726540369, "upper limit");
}

}  // namespace
}  // namespace dwell::statistics
