#pragma once
// Is a ward's figure steady, or did something change? Points in time around a centre, with limits that chance alone
// seldom passes, and rules for runs. Source: sources.md#charts
//
//   share  p = Σ events / Σ of,  limits p ± 3 √(p (1 − p) / of)      rate  u = Σ events / Σ of,  limits u ± 3 √(u / of)
//   between  lines between one event and the next: g, limits g ± 3 √(g (g + 1)) (geometric)
//   waiting  time between them: y^(1/3.6) as single values, limits mean ± 3 mean|Δ| / 1.128, and back
//   run  any figure: the median and runs alone
#include <boost/describe.hpp>
#include <optional>
#include <vector>

#include "quantity/checked.h"

namespace dwell::statistics {

enum class ChartKind { run, share, rate, between, waiting };
BOOST_DESCRIBE_ENUM(ChartKind, run, share, rate, between, waiting)

/// sigma: three standard errors, as the formulas above. exact: what the distribution itself passes in 0.27 % (with a
/// small count three standard errors are passed by chance in up to 1.4 %).
enum class ChartLimits { sigma, exact };
BOOST_DESCRIBE_ENUM(ChartLimits, sigma, exact)

struct ChartInput {
  ChartKind kind = ChartKind::run;
  ChartLimits limits = ChartLimits::sigma;
  std::vector<double> value;    ///< run: the figure; between: lines; waiting: time, above 0. In order of time
  std::vector<int> events;      ///< share and rate
  std::vector<double> of;       ///< share: lines (whole); rate: days watched, above 0
  std::optional<int> baseline;  ///< the first so many points set centre and limits; absent: all
  /// share and rate, sigma: wards vary by more than chance; widen by σz = mean |z(i) − z(i−1)| / 1.128 (Laney).
  bool widen = false;
};
BOOST_DESCRIBE_STRUCT(ChartInput, (), (kind, limits, value, events, of, baseline, widen))

struct ChartPoint {
  double value = 0;
  double centre = 0;
  std::optional<double> low, high;  ///< absent: none (a run chart, or nothing is too low)
  bool beyond = false;              ///< strictly outside
};
BOOST_DESCRIBE_STRUCT(ChartPoint, (), (value, centre, low, high, beyond))

struct Chart {
  std::vector<ChartPoint> points;
  std::optional<double> sigma_z;  ///< 1: as much as chance explains; well above: over-dispersed. Never narrows
  int useful = 0;                 ///< points not on the centre line of the runs
  int longest_run = 0, longest_by_chance = 0;  ///< on one side; round(log₂ useful) + 3
  int crossings = 0, fewest_by_chance = 0;     ///< of the line; 5 % quantile of Binomial(useful − 1, ½)
  bool shifted = false;                        ///< a longer run, or fewer crossings, than chance makes
  bool steady = true;                          ///< none of the signs
  Message answer;
};
BOOST_DESCRIBE_STRUCT(Chart, (),
                      (points, sigma_z, useful, longest_run, longest_by_chance, crossings, fewest_by_chance, shifted,
                       steady, answer))

/// Runs are counted about the centre (run, between, waiting: about the median of the baseline, for these are skewed).
/// Errors: fewer than 3 points or more than 100,000; columns that the kind lacks or of unequal length; a value that is
/// no number or below 0 (waiting: not above 0); events above their lines; a baseline of fewer than 3 points; widening
/// of another kind, or of exact limits; no event at all, or nothing but events, in the baseline of a share or rate.
[[nodiscard]] Checked<Chart> chart(const ChartInput& input);

}  // namespace dwell::statistics
