#include "supply/identifiers.h"

#include <array>
#include <stdexcept>
#include <string>

namespace dwell::supply {
namespace {

constexpr std::string_view item = "01 02 03 8006 8026";

constexpr Identifier day_of(std::string_view ai, Title title, std::string_view needs) {
  return {.first = ai,
          .last = ai,
          .title = title,
          .content = Content::digits,
          .shortest = 6,
          .longest = 6,
          .predefined = true,
          .moment = Moment::day,
          .needs = needs};
}
constexpr Identifier text_of(std::string_view ai, Title title, std::size_t longest, std::string_view needs,
                             std::string_view forbids = "") {
  return {.first = ai,
          .last = ai,
          .title = title,
          .content = Content::text,
          .shortest = 1,
          .longest = longest,
          .needs = needs,
          .forbids = forbids};
}
constexpr Identifier digits_of(std::string_view ai, Title title, std::size_t shortest, std::size_t longest,
                               std::string_view needs) {
  return {.first = ai,
          .last = ai,
          .title = title,
          .content = Content::digits,
          .shortest = shortest,
          .longest = longest,
          .needs = needs};
}
/// A key of digits proven by a check digit at its end.
constexpr Identifier key_of(std::string_view ai, Title title, std::size_t length, bool predefined) {
  return {.first = ai,
          .last = ai,
          .title = title,
          .content = Content::digits,
          .shortest = length,
          .longest = length,
          .predefined = predefined,
          .check_digit_at = length};
}
constexpr Identifier with(Identifier row, std::string_view needs, std::string_view forbids) {
  row.needs = needs;
  row.forbids = forbids;
  return row;
}
constexpr Identifier opening_link(Identifier row, std::string_view qualifiers) {
  row.opens_link = true;
  row.link_qualifiers = qualifiers;
  return row;
}
constexpr Identifier up_to(Identifier row, std::string_view last) {
  row.last = last;
  return row;
}
constexpr Identifier predefined(Identifier row) {
  row.predefined = true;
  return row;
}
constexpr Identifier sized(Identifier row, std::size_t shortest, std::size_t longest) {
  row.shortest = shortest;
  row.longest = longest;
  return row;
}
constexpr Identifier proven_by_pair(Identifier row) {
  row.check_pair = true;
  row.shortest = 3;
  return row;
}
constexpr Identifier at_moment(Identifier row, Moment moment) {
  row.moment = moment;
  return row;
}

constexpr std::array table{
    opening_link(key_of("00", Title::sscc, 18, true), ""),
    opening_link(with(key_of("01", Title::gtin, 14, true), "", "02 255 37"), "22 10 21|235"),
    with(key_of("02", Title::gtin_of_content, 14, true), "37", "01 03"),
    key_of("03", Title::gtin_of_a_made_to_order_item, 14, true),
    text_of("10", Title::lot, 20, item),
    day_of("11", Title::production_date, item),
    day_of("12", Title::due_date, "8020"),
    day_of("13", Title::packaging_date, item),
    day_of("15", Title::best_before, item),
    day_of("16", Title::sell_by, item),
    day_of("17", Title::expiry, "01 02 03 255 8006 8026"),
    predefined(digits_of("20", Title::variant, 2, 2, item)),
    text_of("21", Title::serial, 20, "01 03 8006", "235"),
    text_of("22", Title::consumer_product_variant, 20, "01"),
    text_of("235", Title::third_party_serial, 28, "01"),
    text_of("240", Title::additional_identification, 30, item),
    text_of("241", Title::customer_part_number, 30, item),
    digits_of("242", Title::made_to_order_variation, 1, 6, item),
    text_of("243", Title::packaging_component, 20, "01"),
    text_of("250", Title::secondary_serial, 30, "01 03 8006|21"),
    text_of("251", Title::reference_to_source, 30, "01 8006"),
    opening_link(sized(with(key_of("255", Title::coupon, 13, false), "", "01 02 415 8006 8020 8026"), 13, 25), ""),
    text_of("254", Title::location_extension, 20, "414"),
    digits_of("30", Title::variable_count, 1, 8, "01 02"),
    up_to(predefined(digits_of("3100", Title::net_weight_in_kg, 6, 6, "01 02")), "3105"),
    digits_of("37", Title::count_of_content, 1, 8, "00|02 8026"),
    up_to(key_of("410", Title::location, 13, true), "413"),
    opening_link(key_of("414", Title::location, 13, true), "254"),
    up_to(key_of("415", Title::location, 13, true), "417"),
    at_moment(digits_of("7003", Title::expiry_date_and_time, 10, 10, "01 02 03"), Moment::day_hour_minute),
    up_to(text_of("710", Title::national_medicine_number, 20, "01"), "717"),
    opening_link(sized(with(key_of("8006", Title::trade_item_piece, 14, false), "", "01 37"), 18, 18), "22 10 21"),
    at_moment(digits_of("8008", Title::production_date_and_time, 8, 12, "01 02 03"), Moment::day_hour),
    opening_link(proven_by_pair(text_of("8013", Title::model_number, 25, "")), ""),
    proven_by_pair(text_of("8014", Title::master_device_identifier, 25, "01")),
    opening_link(with(key_of("8017", Title::staff_member, 18, false), "", "8018"), "8019"),
    opening_link(with(key_of("8018", Title::patient, 18, false), "", "8017"), "8019"),
    digits_of("8019", Title::service_instance, 1, 10, "8017 8018"),
    text_of("8020", Title::payment_reference, 25, "415"),
    sized(with(key_of("8026", Title::piece_of_content, 14, false), "37", "02 8006"), 18, 18),
    text_of("90", Title::agreed_between_partners, 30, ""),
    up_to(text_of("91", Title::internal, 90, ""), "99"),
};

}  // namespace

const Identifier* identifier_at(std::string_view text) {
  for (const auto& row : table) {
    const auto start = text.substr(0, row.first.size());
    if (start.size() == row.first.size() && start >= row.first && start <= row.last &&
        start.find_first_not_of("0123456789") == start.npos)
      return &row;
  }
  return nullptr;
}

const Identifier* identifier_named(std::string_view text) {
  const auto* found = identifier_at(text);
  return found && found->first.size() == text.size() ? found : nullptr;
}

std::string check_pair_for(std::string_view text) {
  constexpr std::array<unsigned, 23> primes{2,  3,  5,  7,  11, 13, 17, 19, 23, 29, 31, 37,
                                            41, 43, 47, 53, 59, 61, 67, 71, 73, 79, 83};
  constexpr std::string_view pair_characters = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ";
  if (text.size() > primes.size()) throw std::invalid_argument("too long for a pair of check characters");
  unsigned sum = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto weight = characters_82.find(text[text.size() - 1 - i]);
    if (weight == characters_82.npos) throw std::invalid_argument("not of the 82 characters");
    sum += static_cast<unsigned>(weight) * primes.at(i);
  }
  sum %= 1021;
  return {pair_characters.at(sum >> 5), pair_characters.at(sum & 31)};
}

}  // namespace dwell::supply
