#include "quantity/number_text.h"

#include <cmath>
#include <cstdlib>
#include <string>

namespace dwell {

std::optional<double> number_from(std::string_view text) {
  // strtod also knows "inf", "nan" and hexadecimal; none of them is a number that a person writes here. No part of
  // Dwell sets a locale, so the point is always a point.
  if (text.empty() || text.find_first_not_of("0123456789.eE+-") != std::string_view::npos) return std::nullopt;
  const std::string copy(text);
  char* end = nullptr;
  const double value = std::strtod(copy.c_str(), &end);
  if (end != copy.c_str() + copy.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

}  // namespace dwell
