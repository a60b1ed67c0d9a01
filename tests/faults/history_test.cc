// The check of histories, on histories that are right and on such as are wrong in one way; then on what really happened
// when eight wrote and read at once, and the database crashed or failed over under them.
#include "tests/faults/history.h"

#include <gtest/gtest.h>
#include <soci/postgresql/soci-postgresql.h>
#include <soci/soci.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <functional>
#include <random>
#include <thread>

#include "tests/faults/kept_entries.h"

namespace dwell {
namespace {

using namespace faults;
using Kind = Operation::Kind;
using Outcome = Operation::Outcome;

Operation added(const std::string& id, std::int64_t invoked, std::int64_t returned, std::int64_t sequence) {
  return {Kind::append, Outcome::returned, 0, invoked, returned, id, sequence, 0, {}};
}
Operation unanswered(const std::string& id, std::int64_t invoked) {
  return {Kind::append, Outcome::unknown, 0, invoked, Operation::never, id, 0, 0, {}};
}
Operation seen(std::int64_t invoked, std::int64_t returned, const std::vector<std::string>& ids,
               std::int64_t after = 0) {
  Operation read{Kind::read, Outcome::returned, 0, invoked, returned, "", 0, after, {}};
  for (const auto& id : ids) read.seen.push_back({++after, id});
  return read;
}

TEST(History, TakesWhatOneListCouldHaveAnswered) {
  EXPECT_FALSE(anomaly_of({added("a", 1, 2, 1), added("b", 3, 4, 2), seen(5, 6, {"a", "b"})}));
  // At the same time: either may be first, whatever the order of the answers.
  EXPECT_FALSE(anomaly_of({added("a", 1, 4, 2), added("b", 2, 3, 1), seen(5, 6, {"b", "a"})}));
  // A read beside an append may or may not see it.
  EXPECT_FALSE(anomaly_of({added("a", 1, 6, 1), seen(2, 3, {}), seen(4, 5, {"a"}), seen(7, 8, {"a"})}));
  // What was never answered may be there, or come later, or not.
  EXPECT_FALSE(anomaly_of({unanswered("a", 1), seen(2, 3, {}), seen(4, 5, {"a"})}));
  EXPECT_FALSE(anomaly_of({unanswered("a", 1), seen(2, 3, {})}));
  // Sent again until it was acknowledged.
  EXPECT_FALSE(anomaly_of({unanswered("a", 1), added("b", 2, 3, 2), added("a", 4, 5, 0), seen(6, 7, {"a", "b"})}));
  EXPECT_FALSE(anomaly_of({added("a", 1, 2, 1), added("b", 3, 4, 2), seen(5, 6, {"b"}, 1), seen(7, 8, {"a", "b"})}));
}

TEST(History, FindsALostAcknowledgement) {
  EXPECT_TRUE(anomaly_of({added("a", 1, 2, 1), seen(3, 4, {})}));
  EXPECT_TRUE(anomaly_of({added("a", 1, 2, 0), added("b", 3, 4, 1), seen(5, 6, {"b"})}));
}
TEST(History, FindsADuplicate) {
  EXPECT_TRUE(anomaly_of({added("a", 1, 2, 1), unanswered("a", 3), seen(5, 6, {"a", "a"})}));
}
TEST(History, FindsAnOrderAgainstTheClock) {
  EXPECT_TRUE(anomaly_of({added("a", 1, 2, 2), added("b", 3, 4, 1), seen(5, 6, {"b", "a"})}));
}
TEST(History, FindsAStaleRead) {
  EXPECT_TRUE(anomaly_of({added("a", 1, 2, 1), seen(3, 4, {}), seen(5, 6, {"a"})}));
  // One read saw it, the next did not.
  EXPECT_TRUE(anomaly_of({unanswered("a", 1), seen(2, 3, {"a"}), seen(4, 5, {}), seen(6, 7, {"a"})}));
}
TEST(History, FindsAGap) {
  Operation read = seen(5, 6, {"a", "b"});
  read.seen.back().sequence = 3;
  EXPECT_TRUE(anomaly_of({added("a", 1, 2, 1), added("b", 3, 4, 3), read}));
  EXPECT_TRUE(anomaly_of({added("a", 1, 2, 1), added("b", 3, 4, 3), seen(5, 6, {"a"})}));
}
TEST(History, FindsAPhantom) {
  EXPECT_TRUE(anomaly_of({seen(1, 2, {"a"})}));
  EXPECT_TRUE(anomaly_of({seen(1, 2, {"a"}), added("a", 3, 4, 1), seen(5, 6, {"a"})}));
  Operation refused = unanswered("a", 1);
  refused.outcome = Outcome::refused;
  EXPECT_TRUE(anomaly_of({refused, seen(2, 3, {"a"})}));
}
TEST(History, FindsTwoEntriesAtOnePlace) {
  EXPECT_TRUE(anomaly_of({added("a", 1, 4, 1), added("b", 2, 3, 1), seen(5, 6, {"a"})}));
}

/// A list that keeps its word, asked by many at once in a made-up time; then one thing in its answers is changed.
std::vector<Operation> made_up(std::uint64_t seed, int operations) {
  std::mt19937_64 random(seed);
  std::vector<Operation> history;
  std::vector<std::string> list;
  std::int64_t now = 0;
  for (int i = 0; i < operations; ++i) {
    // Each takes effect at `now`, and may have been asked a while before and be answered a while after.
    now += 10;
    const std::int64_t invoked = now - static_cast<std::int64_t>(random() % 40),
                       returned = now + static_cast<std::int64_t>(random() % 40);
    if (random() % 3 != 0) {
      list.push_back("entry " + std::to_string(i));
      history.push_back(added(list.back(), invoked, returned, std::ssize(list)));
      if (random() % 8 == 0) history.back() = unanswered(list.back(), invoked);
    } else {
      const auto after = static_cast<std::ptrdiff_t>(random() % (list.size() + 1));
      history.push_back(seen(invoked, returned, {list.begin() + after, list.end()}, after));
    }
  }
  history.push_back(seen(now + 100, now + 101, list));
  return history;
}

TEST(History, TellsRightFromWrongInManyMadeUpOnes) {
  constexpr std::uint64_t seeds = 200;
  int spoiled = 0;
  for (std::uint64_t seed = 1; seed <= seeds; ++seed) {
    auto history = made_up(seed, 100);
    ASSERT_EQ(anomaly_of(history).value_or(""), "") << seed;
    // Two entries that did not overlap change places, everywhere.
    std::vector<Operation*> adds;
    for (auto& one : history)
      if (one.kind == Kind::append && one.outcome == Outcome::returned) adds.push_back(&one);
    const auto later = std::find_if(adds.begin() + 1, adds.end(),
                                    [&](const Operation* one) { return one->invoked > adds.front()->returned; });
    if (later == adds.end()) continue;
    ++spoiled;
    const std::string first = adds.front()->id, second = (*later)->id;
    std::swap(adds.front()->id, (*later)->id);
    EXPECT_TRUE(anomaly_of(history)) << seed;
    std::swap(adds.front()->id, (*later)->id);
    std::swap(adds.front()->sequence, (*later)->sequence);
    for (auto& one : history)
      for (auto& entry : one.seen) entry.id = entry.id == first ? second : entry.id == second ? first : entry.id;
    EXPECT_TRUE(anomaly_of(history)) << seed;
  }
  EXPECT_GT(spoiled, 150);
}

// ---- what really happened ----

constexpr int clients = 8;

/// One client: adds entries, sends again what was not answered, and reads now and then what is new to it.
void charts(ledger::Ledger& ledger, History& history, int client, int entries) {
  demo::IdSource ids(static_cast<std::uint64_t>(100 + client));
  std::int64_t known = 0;
  for (int i = 0; i < entries; ++i) {
    const auto events = notes(ids, 1);
    constexpr int most_attempts = 2'000;
    for (int attempt = 0; attempt < most_attempts; ++attempt) {
      Operation add{
          Kind::append, Outcome::unknown, client, history.moment(), Operation::never, events.front().id, 0, 0, {}};
      try {
        if (const auto appended = ledger.append(events, moment())) {
          add.outcome = Outcome::returned;
          add.returned = history.moment();
          add.sequence = appended->entries.empty() ? 0 : appended->entries.front().sequence;
        }
      } catch (const ledger::Unreachable&) {
        add.outcome = Outcome::unknown;
      }
      history.note(add);
      if (add.outcome == Outcome::returned) break;
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    if (i % 4 != client % 4) continue;
    Operation read{Kind::read, Outcome::unknown, client, history.moment(), Operation::never, "", 0, known, {}};
    try {
      constexpr std::size_t to_the_end = 1'000'000;
      for (const auto& entry : ledger.stored_after(known, to_the_end)) read.seen.push_back({entry.sequence, entry.id});
      read.outcome = Outcome::returned;
      read.returned = history.moment();
      if (!read.seen.empty()) known = read.seen.back().sequence;
    } catch (const ledger::Unreachable&) {
      read.seen.clear();
    }
    history.note(read);
  }
}

/// Eight at once, each at the ledger that it is given; `meanwhile` happens beside them.
void expect_one_list(const std::function<std::shared_ptr<ledger::Ledger>()>& ledger_for_one, int entries,
                     const std::string& what, const std::function<void()>& meanwhile) {
  History history;
  std::vector<std::thread> at_work;
  for (int client = 0; client < clients; ++client)
    at_work.emplace_back([&, client, ledger = ledger_for_one()] { charts(*ledger, history, client, entries); });
  meanwhile();
  for (auto& one : at_work) one.join();
  Operation last{Kind::read, Outcome::returned, clients, history.moment(), Operation::never, "", 0, 0, {}};
  for (const auto& entry : ledger_for_one()->stored_after(0, 1'000'000))
    last.seen.push_back({entry.sequence, entry.id});
  last.returned = history.moment();
  history.note(last);
  EXPECT_EQ(anomaly_of(history.operations()).value_or(""), "");
  EXPECT_EQ(last.seen.size(), static_cast<std::size_t>(clients * entries));
  const auto unknown = std::count_if(history.operations().begin(), history.operations().end(),
                                     [](const Operation& one) { return one.outcome == Outcome::unknown; });
  std::cout << what << ": " << history.operations().size() << " operations of " << clients << " clients, " << unknown
            << " of them without an answer, " << last.seen.size() << " entries; one list\n";
}

TEST(RecordedHistory, OfEightThreadsOnSqliteIsThatOfOneList) {
  const auto folder = std::filesystem::temp_directory_path() / ("dwell-history-" + std::to_string(getpid()));
  std::filesystem::create_directories(folder);
  const std::string path = (folder / "ward.sqlite").string();
  // Six share one ledger and its common commits; two come by ledgers of their own, as the command line does.
  std::vector<std::shared_ptr<ledger::Ledger>> ledgers;
  for (int i = 0; i < 3; ++i) ledgers.push_back(std::move(*ledger::open_sqlite(path)));
  std::size_t next = 0;
  const auto for_one = [&] { return ledgers[next++ < 6 ? 0 : next % 3]; };
  expect_one_list(for_one, 100, "SQLite", [] {});
  EXPECT_EQ(damage_found_by_engine(path), "");
  std::filesystem::remove_all(folder);
}

std::string schema_of_its_own(const std::string& server, const char* use) {
  const std::string schema = std::string("dwell_history_") + use + "_" + std::to_string(getpid());
  soci::session session(soci::postgresql, server);
  session << "CREATE SCHEMA IF NOT EXISTS " + schema;
  return server + "&options=-csearch_path%3D" + schema;
}

std::function<std::shared_ptr<ledger::Ledger>()> of_its_own_at(const std::string& where) {
  return [where] { return std::shared_ptr<ledger::Ledger>(std::move(*ledger::open_postgresql(where))); };
}

TEST(RecordedHistory, OfEightOnPostgresqlThatCrashesIsThatOfOneList) {
  const char* server = std::getenv("DWELL_TEST_POSTGRESQL");
  const char* crash = std::getenv("DWELL_TEST_POSTGRESQL_CRASH");
  if (!server || !crash) GTEST_SKIP() << "no DWELL_TEST_POSTGRESQL; see tools/with-postgresql";
  const auto where = schema_of_its_own(server, "crash");
  expect_one_list(of_its_own_at(where), 60, "PostgreSQL with 3 crashes", [&] {
    for (int i = 0; i < 3; ++i) {
      std::this_thread::sleep_for(std::chrono::milliseconds(150));
      EXPECT_EQ(std::system(crash), 0);
    }
  });
  EXPECT_EQ(damage_found_by_engine(where), "");
}

TEST(RecordedHistory, OfEightOnAPairThatFailsOverIsThatOfOneList) {
  const char* pair = std::getenv("DWELL_TEST_POSTGRESQL_PAIR");
  const char* fail_over = std::getenv("DWELL_TEST_POSTGRESQL_FAIL_OVER");
  if (!pair || !fail_over) GTEST_SKIP() << "no pair of databases; see tools/with-postgresql --standby";
  const auto where = schema_of_its_own(pair, "pair");
  expect_one_list(of_its_own_at(where), 60, "PostgreSQL with a failover", [&] {
    std::this_thread::sleep_for(std::chrono::milliseconds(300));
    EXPECT_EQ(std::system(fail_over), 0);
  });
  EXPECT_EQ(damage_found_by_engine(where), "");
}

}  // namespace
}  // namespace dwell
