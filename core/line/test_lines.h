#pragma once
// Events on many lines, for tests and benches that grow a record.
#include <string>
#include <utility>

#include "line/test_events.h"

namespace dwell::test {

/// Makes entries of a ward: each with an id of its own, rising in the order of making, recorded as it happened.
class Lines {
 public:
  [[nodiscard]] static std::string id_of(unsigned line) {
    constexpr unsigned apart_from_entries = 900'000'000;
    return id(apart_from_entries + line);
  }

  [[nodiscard]] line::Event event(unsigned line, Instant at, line::Body body) {
    line::Event event;
    event.id = id(++made_);
    event.line = id_of(line);
    event.occurred_at = event.recorded_at = at;
    event.author = "R. Ode";
    event.device = "tablet 1";
    event.body = std::move(body);
    return event;
  }

 private:
  unsigned made_ = 0;
};

}  // namespace dwell::test
