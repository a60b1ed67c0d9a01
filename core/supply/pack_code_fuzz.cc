// Fuzzing entry: no bytes may crash the reader, and what it accepts must keep its promises.
#include <cstddef>
#include <cstdint>
#include <cstdlib>

#include "supply/pack_code.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace dwell;
  const std::string text(reinterpret_cast<const char*>(data), size);
  const Date today{std::chrono::year{2026} / 11 / 25};
  if (const auto pack = supply::read_pack_code(text, today)) {
    if (pack->gtin && supply::gs1_check_digit(pack->gtin->substr(0, 13)) != pack->gtin->back() - '0') std::abort();
    if (pack->expiry && !pack->expiry->ok()) std::abort();
  } else if (pack.error().empty()) {
    std::abort();
  }
  (void)supply::check_supply({text, {}, {}, "flush", today});
  return 0;
}
