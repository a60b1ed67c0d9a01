#include "statistics/rate.h"

#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/normal.hpp>
#include <cmath>

#include "quantity/display.h"
#include "say/common.h"
#include "say/quantity.h"
#include "say/statistics.h"

namespace dwell::statistics {
namespace {

void check_confidence(double confidence, FieldErrors& errors) {
  if (!(confidence > 0 && confidence < 1))
    errors.push_back({"/confidence", show_number(confidence), say::between_zero_and_one()});
}

}  // namespace

Checked<RatePerThousandDays> rate_per_thousand_days(int events, Duration dwell, double confidence) {
  FieldErrors errors;
  constexpr Duration longest = 1e9 * day;
  if (events < 0) errors.push_back({"/events", std::to_string(events), say::or_more(shown_number(0))});
  if (!(dwell > Duration() && dwell <= longest))
    errors.push_back({"/dwell", show(dwell), say::above_zero_at_most(longest)});
  check_confidence(confidence, errors);
  if (!errors.empty()) return refuse(std::move(errors));

  using boost::math::chi_squared, boost::math::complement;
  const double alpha = 1 - confidence;
  const double days = in(dwell, day);
  const double per_thousand = 1000 / days;
  RatePerThousandDays out;
  out.events = events;
  out.catheter_days = days;
  out.rate = events * per_thousand;
  out.low = events == 0 ? 0 : boost::math::quantile(chi_squared(2.0 * events), alpha / 2) / 2 * per_thousand;
  out.high = boost::math::quantile(complement(chi_squared(2.0 * events + 2), alpha / 2)) / 2 * per_thousand;
  return out;
}

Checked<Share> wilson_share(int events, int of, double confidence) {
  FieldErrors errors;
  if (of < 1) errors.push_back({"/of", std::to_string(of), say::or_more(shown_number(1))});
  if (events < 0 || events > of)
    errors.push_back({"/events", std::to_string(events), say::from_to(shown_number(0), shown_number(of))});
  check_confidence(confidence, errors);
  if (!errors.empty()) return refuse(std::move(errors));

  const double z = boost::math::quantile(boost::math::normal(), 1 - (1 - confidence) / 2);
  const double n = of, p = events / n, z2 = z * z;
  const double centre = (p + z2 / (2 * n)) / (1 + z2 / n);
  const double half = z * std::sqrt(p * (1 - p) / n + z2 / (4 * n * n)) / (1 + z2 / n);
  // At 0 and at all the nearer limit is the share itself; rounding must not put it beyond.
  return Share{events, of, p, std::clamp(centre - half, 0.0, p), std::clamp(centre + half, p, 1.0)};
}

}  // namespace dwell::statistics
