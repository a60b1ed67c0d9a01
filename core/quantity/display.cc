#include "quantity/display.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace dwell {
namespace {

std::string with_commas(std::string digits) {
  const auto point = std::min(digits.find('.'), digits.size());
  const std::size_t first = digits.starts_with('-') ? 1 : 0;
  for (std::size_t at = point; at > first + 3;) {
    at -= 3;
    digits.insert(at, ",");
  }
  return digits;
}

}  // namespace

double round_half_up(double value, int decimals) {
  const double scale = std::pow(10.0, decimals);
  const double scaled = value * scale;
  return std::floor(scaled + 0.5 + std::abs(scaled) * 1e-12) / scale;
}

double round_down(double value, int decimals) {
  const double scale = std::pow(10.0, decimals);
  const double scaled = value * scale;
  return std::floor(scaled + std::abs(scaled) * 1e-12) / scale;
}

std::string show_number(double value, int decimals) {
  if (!std::isfinite(value)) return "unknown";
  double rounded = round_half_up(value, decimals);
  if (rounded == 0) rounded = 0;  // no minus sign on nothing
  std::string text(64, '\0');
  text.resize(static_cast<std::size_t>(std::snprintf(text.data(), text.size(), "%.*f", decimals, rounded)));
  if (text.find('.') != std::string::npos) {
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
  }
  return with_commas(std::move(text));
}

std::string show_number(double value) {
  if (!std::isfinite(value)) return "unknown";
  if (value == 0) return "0";
  const int magnitude = static_cast<int>(std::floor(std::log10(std::abs(value)) + 1e-12));
  return show_number(value, std::clamp(2 - magnitude, 0, 6));
}

std::string show_quantity(QuantityKind kind, double si) {
  if (!std::isfinite(si)) return "unknown";
  if (kind == QuantityKind::duration) {
    if (std::abs(si) < 10 && si != std::floor(si)) return show_number(si) + " s";
    // To the minute from an hour up: nobody acts on the seconds of an eight-hour bag.
    const double step = std::abs(si) >= 3600 ? 60 : 1;
    return show(Interval{static_cast<Interval::rep>(round_half_up(si / step) * step)});
  }
  const UnitName& unit = unit_names(kind).front();
  return show_number(si / unit.si) + (unit.display.empty() ? "" : " ") + std::string(unit.display);
}

std::string show(Gauge gauge) { return std::to_string(gauge.number) + " gauge"; }

std::string show(Temperature temperature) { return show_number(temperature.celsius, 1) + " °C"; }

}  // namespace dwell
