#pragma once
// The application identifiers that a medical pack carries, as data: what follows each, and what it goes with. Facts
// from the GS1 Barcode Syntax Dictionary (docs/sources.md#gs1).
#include <cstddef>
#include <string>
#include <string_view>

namespace dwell::supply {

enum class Content { digits, text };
enum class Moment { none, day, day_hour_minute, day_hour };  ///< of `day`, the day 00 is the month's last day

struct Identifier {
  std::string_view first, last;  ///< a range such as 3100 to 3105; most stand alone
  std::string_view title;
  Content content = Content::text;
  std::size_t shortest = 0, longest = 0;
  bool predefined = false;         ///< its length is known to every reader: no separator needed after it
  std::size_t check_digit_at = 0;  ///< place of the check digit over the digits before it; 0: none
  bool check_pair = false;         ///< the last two characters prove the rest
  Moment moment = Moment::none;
  std::string_view needs{};    ///< "01 02": one of these; groups joined by '|' are needed together
  std::string_view forbids{};  ///< none of these
  bool opens_link = false;     ///< may be the first identifier of a Digital Link
  std::string_view
      link_qualifiers{};  ///< those that may follow it in the path, in this order; '|' between alternatives
};

/// The identifier with which `text` begins, or nothing. None is the beginning of another.
[[nodiscard]] const Identifier* identifier_at(std::string_view text);
/// The identifier that `text` is, or nothing.
[[nodiscard]] const Identifier* identifier_named(std::string_view text);

/// The 82 characters that a value may hold, in the order that gives their weights.
inline constexpr std::string_view characters_82 =
    "!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz";

/// The two check characters of a model number: characters weighted by rising primes from the right, modulo 1021.
/// `text` without its pair, of the 82 characters, at most 23 of them. Source: docs/sources.md#gs1
[[nodiscard]] std::string check_pair_for(std::string_view text);

}  // namespace dwell::supply
