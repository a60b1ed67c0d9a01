#pragma once
// How much has to be watched before a change can show what it did. Source: sources.md#change-plan
#include <boost/describe.hpp>
#include <optional>

#include "quantity/checked.h"

namespace dwell::statistics {

/// What is compared, before and after, or with and without.
enum class PlanKind { share, rate, hazard };
BOOST_DESCRIBE_ENUM(PlanKind, share, rate, hazard)

struct ChangePlanInput {
  PlanKind kind = PlanKind::share;
  double now = 0;    ///< share of lines, or events a day watched; hazard: 1
  double hoped = 0;  ///< the same with the change; hazard: the ratio
  double wrong = 0;  ///< chance borne of seeing a difference where there is none, two-sided: 0.05
  double power = 0;  ///< chance asked for of seeing this one: 0.8
  /// Wards that take part, not patients: the size of one (lines; rate: days), and how much wards differ (coefficient of
  /// variation, 0 to 2).
  std::optional<double> of_a_ward, wards_differ;
};
BOOST_DESCRIBE_STRUCT(ChangePlanInput, (), (kind, now, hoped, wrong, power, of_a_ward, wards_differ))

struct ChangePlan {
  double each = 0;                  ///< lines (rate: days watched; hazard: failures in both together), rounded up
  double exactly = 0;               ///< before it was rounded
  std::optional<double> corrected;  ///< share: with Fleiss, Tytun and Ury's correction, rounded up: for Fisher's test
  std::optional<double> power_of_exact_test;  ///< rate: of the exact conditional test at `each`, up to 20,000 events
  std::optional<int> wards;                   ///< of each kind, where wards are given
};
BOOST_DESCRIBE_STRUCT(ChangePlan, (), (each, exactly, corrected, power_of_exact_test, wards))

/// z = Φ⁻¹(1 − wrong/2), z' = Φ⁻¹(power). share: n = [z √(2 p̄ q̄) + z' √(p₁q₁ + p₂q₂)]² / (p₁ − p₂)². rate: T = (z +
/// z')² (λ₁ + λ₂) / (λ₁ − λ₂)². hazard: 4 (z + z')² / ln² ratio. Wards: 1 + (z + z')² [v₁ + v₂ + k² (y₁² + y₂²)] / (y₁
/// − y₂)², v the variance of one ward's figure. Errors: figures outside what is possible, or that are the same; wrong
/// outside 0.0001 to 0.5; power outside 0.5 to 0.999; of wards one figure without the other, or for a hazard.
[[nodiscard]] Checked<ChangePlan> plan_change(const ChangePlanInput& input);

}  // namespace dwell::statistics
