#pragma once
// For the fault tests: a writer that says what was acknowledged, and the proof that all of it is there.
#include <gtest/gtest.h>
#include <unistd.h>

#include <iostream>
#include <set>
#include <string>
#include <vector>

#include "demo/story.h"
#include "exchange/said/said.h"
#include "ledger/ledger.h"
#include "tests/faults/engine_check.h"

namespace dwell::faults {

inline Instant moment() { return *parse_instant("2026-11-25T08:00:00Z"); }

inline std::vector<line::Event> notes(demo::IdSource& ids, int count) {
  std::vector<line::Event> events;
  demo::Story story(ids, events, moment());
  for (int i = 0; i < count; ++i) story.at(moment(), line::Noted{"slept well"}, "M. Koller");
  for (auto& event : events) event.recorded_at = moment();
  return events;
}

/// What was not acknowledged is said in one sentence; empty when all was kept.
inline std::string refusal_of(ledger::Ledger& ledger, const std::vector<line::Event>& events) {
  try {
    const auto appended = ledger.append(events, moment());
    return appended ? "" : "a fault of the entries: " + said::in_english(appended.error().front().expected);
  } catch (const ledger::Unreachable& e) {
    return e.what();
  }
}

/// Appends one event after another and writes each id to the pipe once the ledger has acknowledged it. What was refused
/// is sent again, as a page does.
[[noreturn]] inline void append_until_killed(const std::string& where, int acknowledged, std::uint64_t seed) {
  auto opened = ledger::open_ledger(where);
  // The fault that is tried may come while it opens, on a machine that is busy with something else.
  for (int again = 0; !opened && again < 500; ++again) usleep(20'000), opened = ledger::open_ledger(where);
  if (!opened) _exit(2);
  const auto ledger = std::move(*opened);
  demo::IdSource ids(seed);
  for (;;) {
    const auto events = notes(ids, 1);
    while (!refusal_of(*ledger, events).empty()) usleep(20'000);
    if (write(acknowledged, events.front().id.data(), 36) != 36) _exit(1);
  }
}

inline std::vector<std::string> read_ids(int pipe) {
  std::vector<std::string> ids;
  char id[36];
  while (read(pipe, id, sizeof id) == static_cast<ssize_t>(sizeof id)) ids.emplace_back(id, sizeof id);
  return ids;
}

/// Every acknowledged entry is there, none twice, the chain is whole, and the engine finds no damage of its own.
inline void expect_nothing_lost(const std::string& where, const std::set<std::string>& acknowledged,
                                const std::string& what) {
  const auto ledger = std::move(*ledger::open_ledger(where));
  std::set<std::string> kept;
  for (std::int64_t after = 0;;) {
    const auto entries = ledger->stored_after(after, 5000);
    if (entries.empty()) break;
    for (const auto& entry : entries) EXPECT_TRUE(kept.insert(entry.id).second);
    after = entries.back().sequence;
  }
  for (const auto& id : acknowledged) EXPECT_TRUE(kept.contains(id)) << id;
  EXPECT_FALSE(ledger->verify([](ledger::VerifyProgress) {}).first_bad);
  EXPECT_EQ(damage_found_by_engine(where), "");
  std::cout << what << ", " << acknowledged.size() << " acknowledged entries, " << kept.size() << " kept\n";
}

}  // namespace dwell::faults
