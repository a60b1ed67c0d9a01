#pragma once
// What children weigh at an age: the growth standards of the World Health Organization (2006, birth to 5 years) and its
// reference (2007, 5 to 10 years), as the three curves L, M and S of each sex.
//
//   z = ((weight / M)^L − 1) / (L S)        L skewness, M median, S coefficient of variation
//
// Beyond three standard deviations the curves hold no children any more; there the WHO goes on in even steps, each as
// wide as that between the second and the third. Source: sources.md#growth
#include <optional>
#include <type_traits>

#include "quantity/quantity.h"
#include "quantity/time.h"

namespace dwell::growth {

/// The mass of a person.
using Weight = std::remove_const_t<decltype(kilogram)>;

enum class Curve { girls, boys };

struct Lms {
  double l = 0;
  Weight m;
  double s = 0;
};

/// The curves end at ten years of 365.25 days: older children are not weighed by age alone.
inline constexpr std::chrono::days last_day{3652};

/// The three curves at an age in whole days, straight between the rows kept here (within 0.3 % of the WHO's own daily
/// rows). Nothing from birth days to come on, and nothing after `last_day`.
[[nodiscard]] std::optional<Lms> weight_for_age(Curve curve, std::chrono::days age);

/// Standard deviations from the median, with the WHO's straight tails beyond 3. Weight > 0.
[[nodiscard]] double z_score(const Lms& at_age, Weight weight);

/// The weight at a number of standard deviations: the line of the growth chart. The inverse of z_score.
[[nodiscard]] Weight weight_at(const Lms& at_age, double z);

}  // namespace dwell::growth
