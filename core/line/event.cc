#include "line/event.h"

#include <algorithm>
#include <boost/uuid/uuid.hpp>
#include <boost/uuid/uuid_io.hpp>

namespace dwell::line {

std::string_view kind_of(const Body& body) {
  return std::visit([](const auto& fact) { return std::remove_cvref_t<decltype(fact)>::kind; }, body);
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

bool is_id(std::string_view text) {
  constexpr std::string_view form = "xxxxxxxx-xxxx-7xxx-vxxx-xxxxxxxxxxxx";
  constexpr std::string_view hex = "0123456789abcdef", variant = "89ab";
  return std::equal(text.begin(), text.end(), form.begin(), form.end(), [&](char found, char expected) {
    if (expected == 'x') return hex.find(found) != hex.npos;
    if (expected == 'v') return variant.find(found) != variant.npos;
    return found == expected;
  });
}

}  // namespace dwell::line
