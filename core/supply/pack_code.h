#pragma once
// What is printed on the pack: the GS1 element string of catheter, set and flush, scanned or typed, and whether it is
// still in date. It lives in core because a tablet without a network must refuse an expired flush all the same.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/time.h"

namespace dwell::supply {

struct Element {
  std::string identifier;  ///< application identifier: "01", "17", "10"
  Message title;           ///< "GTIN", "expiry"
  std::string value;       ///< as printed
};
BOOST_DESCRIBE_STRUCT(Element, (), (identifier, title, value))

struct PackCode {
  std::vector<Element> elements;
  std::optional<std::string> gtin;  ///< 14 digits, check digit proven
  std::optional<Date> expiry;       ///< resolved: day 00 is the month's last day
  std::string expiry_printed;       ///< the six digits
  std::optional<Date> produced;
  std::optional<std::string> lot;
  std::optional<std::string> serial;
  std::vector<Finding> findings;  ///< "lot ends like an expiry: is a separator missing?"
};
BOOST_DESCRIBE_STRUCT(PackCode, (), (elements, gtin, expiry, expiry_printed, produced, lot, serial, findings))

/// mod 10, weights 3 and 1 from the right. The digits without their check digit. Source: sources.md#gs1
[[nodiscard]] int gs1_check_digit(std::string_view digits);

/// Reads bracketed text "(01)09506000134352(17)270228(10)LOT-A7", scanner text with or without symbology identifier and
/// with GS separators (byte 0x1D, or written ^], <GS>, \u001d), and a Digital Link. `today` resolves the century: the
/// two-digit year within 49 years back and 50 ahead. Every fault is named at once.
[[nodiscard]] Checked<PackCode> read_pack_code(std::string_view text, Date today);

enum class DateState { in_date, last_day, expired, unknown };
BOOST_DESCRIBE_ENUM(DateState, in_date, last_day, expired, unknown)

/// What is used of a pack, as far as it has a word of its own.
enum class SupplyKind { catheter, flush, dressing, set, other };
BOOST_DESCRIBE_ENUM(SupplyKind, catheter, flush, dressing, set, other)

struct SupplyInput {
  std::string code;                ///< scanned or typed; or empty when typed by hand below
  std::optional<Date> expiry;      ///< typed by hand
  std::optional<std::string> lot;  ///< typed by hand
  std::string what;                ///< "flush", "catheter"; any other word is taken for something
  Date today;                      ///< in the ward's own zone
};
BOOST_DESCRIBE_STRUCT(SupplyInput, (), (code, expiry, lot, what, today))

struct SupplyCheck {
  PackCode pack;
  DateState state = DateState::unknown;
  Message text;         ///< "expired on 28 Feb 2026: take another flush"
  bool usable = false;  ///< only when in date and, by code, a named item; unknown is not usable without a reason
};
BOOST_DESCRIBE_STRUCT(SupplyCheck, (), (pack, state, text, usable))

/// Expired means today after the resolved expiry. Unknown expiry is unknown, not in date; so is that of a pack that was
/// made after today. Errors: today outside 2026 to 2075, which is a clock that is wrong.
[[nodiscard]] Checked<SupplyCheck> check_supply(const SupplyInput& input);

}  // namespace dwell::supply
