#pragma once
// What is left when one quantity is taken from another. Litres in decimals are not exact in binary: 0.3 L less 0.1 L
// and 0.2 L leaves a trace that was never in any bag, and a trace is shown, because nothing but 0 is shown as 0.
#include <cmath>

#include "quantity/quantity.h"

namespace dwell {

/// a − b, or nothing at all where no more is left of it than the noise of their last binary digits.
template <class Dimension>
[[nodiscard]] Quantity<Dimension> difference(Quantity<Dimension> a, Quantity<Dimension> b) {
  constexpr double noise = 1e-12;  // of sums of thousands of entries
  const double left = a.value() - b.value();
  const bool is_noise = std::abs(left) <= noise * (std::abs(a.value()) + std::abs(b.value()));
  return Quantity<Dimension>::from_value(is_noise ? 0.0 : left);
}

}  // namespace dwell
