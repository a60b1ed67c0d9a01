#pragma once
// The application identifiers that a medical pack carries, as data: what follows each, and what it goes with. Facts
// from the GS1 Barcode Syntax Dictionary (docs/sources.md#gs1).
#include <boost/describe.hpp>
#include <cstddef>
#include <string>
#include <string_view>

namespace dwell::supply {

enum class Content { digits, text };
enum class Moment { none, day, day_hour_minute, day_hour };  ///< of `day`, the day 00 is the month's last day

/// What stands behind an identifier, by the standard's data titles.
enum class Title {
  gtin,
  sscc,
  gtin_of_content,
  gtin_of_a_made_to_order_item,
  lot,
  production_date,
  due_date,
  packaging_date,
  best_before,
  sell_by,
  expiry,
  variant,
  serial,
  consumer_product_variant,
  third_party_serial,
  additional_identification,
  customer_part_number,
  made_to_order_variation,
  packaging_component,
  secondary_serial,
  reference_to_source,
  coupon,
  location_extension,
  variable_count,
  net_weight_in_kg,
  count_of_content,
  location,
  expiry_date_and_time,
  national_medicine_number,
  trade_item_piece,
  production_date_and_time,
  model_number,
  master_device_identifier,
  staff_member,
  patient,
  service_instance,
  payment_reference,
  piece_of_content,
  agreed_between_partners,
  internal,
};
BOOST_DESCRIBE_ENUM(Title, gtin, sscc, gtin_of_content, gtin_of_a_made_to_order_item, lot, production_date, due_date,
                    packaging_date, best_before, sell_by, expiry, variant, serial, consumer_product_variant,
                    third_party_serial, additional_identification, customer_part_number, made_to_order_variation,
                    packaging_component, secondary_serial, reference_to_source, coupon, location_extension,
                    variable_count, net_weight_in_kg, count_of_content, location, expiry_date_and_time,
                    national_medicine_number, trade_item_piece, production_date_and_time, model_number,
                    master_device_identifier, staff_member, patient, service_instance, payment_reference,
                    piece_of_content, agreed_between_partners, internal)

/// A value that has not the length of its kind.
enum class Off { too_short, too_long };
BOOST_DESCRIBE_ENUM(Off, too_short, too_long)

struct Identifier {
  std::string_view first, last;  ///< a range such as 3100 to 3105; most stand alone
  Title title{};
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
