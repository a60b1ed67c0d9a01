#pragma once
// Failures per 1,000 catheter-days with the exact (Garwood) Poisson interval.
#include <boost/describe.hpp>

#include "quantity/checked.h"
#include "quantity/quantity.h"

namespace dwell::statistics {

struct RatePerThousandDays {
  int events = 0;
  double catheter_days = 0;
  double rate = 0, low = 0, high = 0;  ///< per 1,000 catheter-days
};
BOOST_DESCRIBE_STRUCT(RatePerThousandDays, (), (events, catheter_days, rate, low, high))

/// 1,000 x / T;  lower = chi2(alpha/2; 2x)/2, upper = chi2(1 − alpha/2; 2x + 2)/2, each over T. events >= 0, T > 0.
[[nodiscard]] Checked<RatePerThousandDays> rate_per_thousand_days(int events, Duration dwell, double confidence);

struct Share {
  int events = 0;
  int of = 0;
  double share = 0, low = 0, high = 0;  ///< Wilson
};
BOOST_DESCRIBE_STRUCT(Share, (), (events, of, share, low, high))
[[nodiscard]] Checked<Share> wilson_share(int events, int of, double confidence);

}  // namespace dwell::statistics
