#pragma once
// Units beside each other without a league: a unit is asked about only where chance, and what units differ by anyway,
// do not explain its share or rate. Source: sources.md#charts
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

#include "quantity/checked.h"

namespace dwell::statistics {

/// share: events of whole lines. rate: events of days watched, or of events expected (target 1).
enum class FunnelKind { share, rate };
BOOST_DESCRIBE_ENUM(FunnelKind, share, rate)

struct FunnelUnit {
  std::string name;
  int events = 0;
  double of = 0;
};
BOOST_DESCRIBE_STRUCT(FunnelUnit, (), (name, events, of))
constexpr auto names_in(const FunnelUnit*) { return std::tuple(&FunnelUnit::name); }

struct FunnelInput {
  FunnelKind kind = FunnelKind::share;
  std::vector<FunnelUnit> units;
  std::optional<double> target;  ///< absent: Σ events / Σ of
};
BOOST_DESCRIBE_STRUCT(FunnelInput, (), (kind, units, target))

/// Where the funnel lies at one size: quantiles 0.025 and 0.975, 0.001 and 0.999 of what the target gives, exact,
/// between two whole counts by their chances, and never below 0.
struct FunnelLimits {
  double of = 0;
  double low_95 = 0, high_95 = 0, low_998 = 0, high_998 = 0;
};
BOOST_DESCRIBE_STRUCT(FunnelLimits, (), (of, low_95, high_95, low_998, high_998))

/// Small units are shown and never asked about.
enum class FunnelPlace { too_small_to_tell, within, lower, higher };
BOOST_DESCRIBE_ENUM(FunnelPlace, too_small_to_tell, within, lower, higher)

struct FunnelShown {
  std::string name;
  int events = 0;
  double of = 0, value = 0;
  FunnelLimits limits;
  double z = 0;                             ///< (value − target) / √(s² + τ²)
  FunnelPlace place = FunnelPlace::within;  ///< beyond 99.8 %, by the exact limits and by z
};
BOOST_DESCRIBE_STRUCT(FunnelShown, (), (name, events, of, value, limits, z, place))

struct Funnel {
  double target = 0;
  double dispersion = 1;            ///< φ: mean z² with the outer tenths brought in; 1: chance alone
  double between_units = 0;         ///< τ: how much units differ anyway; 0 where φ shows no more than chance
  std::vector<FunnelShown> units;   ///< in the order given
  std::vector<FunnelLimits> curve;  ///< to draw, from the smallest unit to the largest
};
BOOST_DESCRIBE_STRUCT(Funnel, (), (target, dispersion, between_units, units, curve))

/// Fewer lines, or a smaller expected count, tell nothing of a unit (common practice, no source).
inline constexpr double smallest_unit = 10;

/// z = (y − θ)/s, s² = θ (1 − θ)/n or θ/n; z below its 10 % or above its 90 % quantile counts as that quantile in φ.
/// τ² = max(0, (I φ − (I − 1)) / (Σ w − Σ w²/Σ w)), w = 1/s² (additive over-dispersion), and only where I φ passes the
/// 95 % quantile of χ² with I degrees. Errors: fewer than 2 units or more than 1,000; a count below 0 or above its
/// lines; `of` not above 0 (a share's: whole); a target outside what is possible.
[[nodiscard]] Checked<Funnel> funnel(const FunnelInput& input);

}  // namespace dwell::statistics
