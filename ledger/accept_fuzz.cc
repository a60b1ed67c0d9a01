// Fuzzing entry: whatever reaches the ledger, as JSON or past it, what it takes keeps its promises.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <iostream>

#include "exchange/library.h"
#include "ledger/invented_entries.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace dwell;
  const Instant now = *parse_instant("2026-11-25T08:00:00Z");
  const auto& library = exchange::default_library();
  const auto record = std::move(ledger::open_sqlite(":memory:").value());
  // The bytes as text of an event, as a request brings it.
  const auto sent =
      json::parse_text({reinterpret_cast<const char*>(data), size}).and_then([](const json::Value& value) {
        return json::decode<line::Event>(value);
      });
  if (sent) static_cast<void>(record->append({*sent}, now));
  // The bytes as decisions, for what no JSON can bring.
  std::size_t at = 0;
  ledger::Inventor inventor([&]() -> std::uint8_t { return at < size ? data[at++] : static_cast<std::uint8_t>(at++); },
                            now);
  std::vector<std::string> ids;
  constexpr std::size_t most = 20;
  while (at < size && ids.size() < most) {
    const auto event = inventor.event(ids);
    ids.push_back(event.id);
    static_cast<void>(record->append({event}, now));
  }
  static_cast<void>(record->keep_paper(inventor.paper([](const auto&) { return "{}"; }), std::nullopt, now));
  if (const auto broken = ledger::broken_promise(*record, library.policy, library.infusates, now); !broken.empty()) {
    std::cerr << broken << '\n';
    std::abort();
  }
  return 0;
}
