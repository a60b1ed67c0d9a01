#include "quantity/display.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace dwell {
namespace {

using message::Part;

std::string parted(std::string digits) {
  const auto point = std::min(digits.find('.'), digits.size());
  const std::size_t first = digits.starts_with('-') ? 1 : 0;
  for (std::size_t at = point; at > first + 3;) {
    at -= 3;
    digits.insert(at, thousands_space);
  }
  return digits;
}

/// 12345 with 2 decimals: "123.45"; trailing zeros and a bare point are dropped, and nothing has no minus sign.
std::string printed_whole(long long last_decimals, std::size_t decimals) {
  std::string digits = std::to_string(std::abs(last_decimals));
  if (digits.size() <= decimals) digits.insert(0, decimals + 1 - digits.size(), '0');
  if (decimals > 0) {
    digits.insert(digits.size() - decimals, ".");
    digits.erase(digits.find_last_not_of('0') + 1);
    if (digits.back() == '.') digits.pop_back();
  }
  return last_decimals < 0 ? "-" + digits : digits;
}

std::string printed(const char* format, double value) {
  std::string text(400, '\0');
  text.resize(static_cast<std::size_t>(std::snprintf(text.data(), text.size(), format, value)));
  return text;
}

message::Quantity unknown() { return {{Part{}}}; }

/// Below this a number has more zeros than anybody counts.
constexpr double smallest_in_decimals = 1e-9;

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
  // Three decimals after a whole number could be thousands, where a point parts them.
  if (std::abs(value) >= 1) decimals = std::min(decimals, 2);
  const double scaled = round_half_up(value, decimals) * std::pow(10.0, decimals);
  if (value != 0 && std::abs(scaled) < 0.5) return show_number(value);
  // A whole number of last decimals prints exactly and without the C library's formatter, which is most of what the
  // browser's engine would do otherwise. Beyond 2^53 no such number is exact.
  constexpr double exact = 9007199254740992.0;
  if (!(std::abs(scaled) < exact)) return parted(printed("%.0f", value));  // too large for decimals to mean anything
  return parted(printed_whole(std::llround(scaled), static_cast<std::size_t>(decimals)));
}

std::string show_number(double value) {
  if (!std::isfinite(value)) return "unknown";
  if (value == 0) return "0";
  if (std::abs(value) < smallest_in_decimals) return printed("%.2e", value);
  const int magnitude = static_cast<int>(std::floor(std::log10(std::abs(value)) + 1e-12));
  return show_number(value, std::clamp(2 - magnitude, 0, 11));
}

message::Quantity shown_quantity(QuantityKind kind, double si) {
  if (!std::isfinite(si)) return unknown();
  // Beyond ten thousand years the parts of a calendar mean nothing, and whole seconds may no longer be counted.
  constexpr double longest_in_parts = 3.2e11;
  if (kind == QuantityKind::duration && std::abs(si) > longest_in_parts) return {{Part{show_number(si / 86400), "d"}}};
  if (kind == QuantityKind::duration) {
    if (std::abs(si) < 10 && si != std::floor(si)) return {{Part{show_number(si), "s"}}};
    // To the minute from an hour up: nobody acts on the seconds of an eight-hour bag.
    const double step = std::abs(si) >= 3600 ? 60 : 1;
    return {parts_of(Interval{static_cast<Interval::rep>(round_half_up(si / step) * step)})};
  }
  const UnitName& unit = shown_unit(kind, si);
  return {{Part{show_number(si / unit.si), std::string(unit.display)}}};
}

message::Quantity shown_number(double value) {
  if (!std::isfinite(value)) return unknown();
  return {{Part{show_number(value), ""}}};
}

message::Quantity shown_number(double value, int decimals) {
  if (!std::isfinite(value)) return unknown();
  return {{Part{show_number(value, decimals), ""}}};
}

message::Count shown_count(std::int64_t count) { return {count, parted(std::to_string(count))}; }

std::string show_quantity(QuantityKind kind, double si) {
  std::string text;
  for (const auto& part : shown_quantity(kind, si).parts) {
    if (part.digits.empty()) return "unknown";
    text += (text.empty() ? "" : " ") + part.digits + (part.unit.empty() ? "" : " ") + part.unit;
  }
  return text;
}

std::string show(Gauge gauge) { return std::to_string(gauge.number) + " gauge"; }

std::string show(Temperature temperature) { return show_number(temperature.celsius, 1) + " °C"; }

}  // namespace dwell
