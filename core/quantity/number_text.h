#pragma once
// Decimal text to a number, whatever the machine's locale. (std::from_chars for double is missing from the standard
// library of the WebAssembly build.)
//
// A comma parts thousands in one country and decimals in another, a point the other way round: "1,000 mL" and
// "1.000 mL" are each read a thousandfold apart. So a number that two conventions read differently is a question.
#include <boost/describe.hpp>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "quantity/checked.h"

namespace dwell {

/// The sign before the decimals where the text was written.
enum class DecimalSign { unknown, point, comma };
BOOST_DESCRIBE_ENUM(DecimalSign, unknown, point, comma)

/// What parts thousands in every text that Dwell writes: a narrow no-break space (U+202F), which nobody takes for a
/// decimal sign.
inline constexpr std::string_view thousands_space = "\u202f";

/// The number that the whole text spells, or nothing: no leading or trailing text, no "inf", no "nan", no separators.
[[nodiscard]] std::optional<double> number_from(std::string_view text);

/// Without the spaces at its ends, those that do not break among them: what is copied from a screen has such.
[[nodiscard]] std::string_view trimmed(std::string_view text);

struct LeadingNumber {
  double value = 0;
  std::size_t length = 0;  ///< of the text that spells it
};

/// The number at the front of the text, as people write it. Thousands are parted in well-formed groups only (one to
/// three digits that do not begin with 0, then groups of exactly three), by a comma or by a narrow space that does not
/// break. Refused with what it could mean: any other comma, a lone comma unless decimals are known to have a point
/// ("1,000" where it may be 1), and a lone point that could part thousands ("1.000").
[[nodiscard]] Checked<LeadingNumber> leading_number(std::string_view text, DecimalSign sign);

}  // namespace dwell
