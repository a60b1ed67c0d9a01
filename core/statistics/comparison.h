#pragma once
// Shares and rates with their intervals, beside one another and beside what was expected. Small counts are the rule on
// a ward, so each interval is exact, or one that is known to hold for small counts.
#include <boost/describe.hpp>
#include <optional>

#include "quantity/checked.h"
#include "quantity/quantity.h"

namespace dwell::statistics {

struct Estimate {
  std::optional<double> value, low, high;  ///< absent: not defined, or without a bound (a ratio to nothing)
};
BOOST_DESCRIBE_STRUCT(Estimate, (), (value, low, high))

/// exact: each tail at most half of what is left of the confidence (Clopper and Pearson, Garwood); never too short,
/// often too long. mid_p: half the chance of the very count; right on the average.
enum class Tail { exact, mid_p };
BOOST_DESCRIBE_ENUM(Tail, exact, mid_p)

struct Counted {
  int events = 0;
  int of = 0;
};
BOOST_DESCRIBE_STRUCT(Counted, (), (events, of))

struct Exposed {
  int events = 0;
  Duration time;  ///< summed over the lines
};
BOOST_DESCRIBE_STRUCT(Exposed, (), (events, time))

// Errors of all: counts below 0, more events than lines, no line or no time, confidence outside 0 to 1.

/// events / of.
[[nodiscard]] Checked<Estimate> share_interval(const Counted& counted, Tail tail, double confidence);
/// Events a day.
[[nodiscard]] Checked<Estimate> rate_interval(const Exposed& exposed, Tail tail, double confidence);

/// newcombe: from the two Wilson intervals. miettinen_nurminen: the differences that a score test with the largest
/// likelihood under each does not reject, n/(n − 1) in its variance.
enum class DifferenceKind { newcombe, miettinen_nurminen };
BOOST_DESCRIBE_ENUM(DifferenceKind, newcombe, miettinen_nurminen)
/// one − other.
[[nodiscard]] Checked<Estimate> share_difference(const Counted& one, const Counted& other, DifferenceKind kind,
                                                 double confidence);
/// one / other, Miettinen and Nurminen's interval. No event in either: no value, any ratio fits.
[[nodiscard]] Checked<Estimate> share_ratio(const Counted& one, const Counted& other, double confidence);
/// one / other: given the sum, the first count is binomial; Clopper and Pearson's limits of its share, or mid-p's.
[[nodiscard]] Checked<Estimate> rate_ratio(const Exposed& one, const Exposed& other, Tail tail, double confidence);
/// What was seen beside what was expected (the usual rate of each kind of line, summed): Poisson limits over
/// `expected`. Errors: expected not above 0.
[[nodiscard]] Checked<Estimate> ratio_to_expected(int observed, double expected, Tail tail, double confidence);

}  // namespace dwell::statistics
