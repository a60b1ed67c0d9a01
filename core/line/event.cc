#include "line/event.h"

#include <algorithm>
#include <boost/uuid/string_generator.hpp>
#include <boost/uuid/uuid.hpp>
#include <boost/uuid/uuid_io.hpp>

#include "upcast/upcast.h"

namespace dwell::line {

const json::Value& in_todays_form(const Event*, const json::Value& kept, json::Value& room) {
  return upcast::in_todays_form(upcast::Kept::event, kept, room);
}

std::string_view kind_of(const Body& body) {
  return std::visit([](const auto& fact) { return std::remove_cvref_t<decltype(fact)>::kind; }, body);
}

bool needs_catheter(const Body& body) {
  return std::visit(
      [](const auto& fact) {
        return std::is_same_v<decltype(fact), const Removed&> || requires { fact.needs_catheter; };
      },
      body);
}

bool puts_catheter_in(const Body& body) {
  const auto* attempted = std::get_if<Attempted>(&body);
  return std::holds_alternative<Placed>(body) || (attempted && attempted->outcome == AttemptOutcome::placed);
}

// Layout of RFC 9562, section 5.7: 48 bits of milliseconds since 1970, version 7, 12 random bits, variant 10, 62 random
// bits. Of the 80 random bits given, 74 are used.
std::string make_id(Instant now, const std::array<std::uint8_t, 10>& random) {
  boost::uuids::uuid id{};
  const auto milliseconds = static_cast<std::uint64_t>(now.time_since_epoch().count());
  for (std::size_t i = 0; i < 6; ++i) id.data[i] = static_cast<std::uint8_t>(milliseconds >> (8 * (5 - i)));
  std::copy(random.begin(), random.end(), id.begin() + 6);
  id.data[6] = static_cast<std::uint8_t>(0x70 | (id.data[6] & 0x0F));
  id.data[8] = static_cast<std::uint8_t>(0x80 | (id.data[8] & 0x3F));
  return to_string(id);
}

namespace {

/// The library also reads other ways of writing; only what it writes itself is an id, so that none has two texts.
std::optional<boost::uuids::uuid> read_uuid(std::string_view text) {
  if (text.size() != 36) return std::nullopt;
  try {
    const auto id = boost::uuids::string_generator()(text.begin(), text.end());
    if (to_string(id) == text) return id;
  } catch (const std::exception&) {  // its way of saying that it is none
  }
  return std::nullopt;
}

}  // namespace

bool is_id(std::string_view text) {
  const auto id = read_uuid(text);
  return id && id->variant() == boost::uuids::uuid::variant_rfc_4122 && id->data[6] >> 4 == 7;
}

bool is_line_id(std::string_view text) {
  const auto id = read_uuid(text);
  return id && id->variant() == boost::uuids::uuid::variant_rfc_4122;
}

}  // namespace dwell::line

template struct dwell::json::Codec<dwell::line::Event>;
