// A durable append against plain SQLite with the same row, the same pragmas, the same indexes and the same disk, in one
// run. The two take turns, so that a disk busy with something else slows both; the ratio is printed as a counter.
#include <benchmark/benchmark.h>
#include <sqlite3.h>

#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <thread>

#include "demo/story.h"
#include "ledger/chain.h"
#include "ledger/ledger.h"

namespace {

using namespace dwell;

std::string fresh(const char* name) {
  const auto path = std::filesystem::temp_directory_path() / (std::string("dwell-bench-") + name + ".sqlite");
  for (const char* suffix : {"", "-wal", "-shm"}) std::filesystem::remove(path.string() + suffix);
  return path.string();
}

Instant bench_now() { return *parse_instant("2026-11-25T08:00:00Z"); }

std::vector<line::Event> notes(demo::IdSource& ids, int count) {
  std::vector<line::Event> events;
  demo::Story story(ids, events, bench_now());
  for (int i = 0; i < count; ++i) story.at(bench_now(), line::Noted{"slept well"}, "M. Koller");
  for (auto& event : events) event.recorded_at = bench_now();
  return events;
}

/// What the ledger is measured against: the bare inserts, prepared once.
class PlainSqlite {
 public:
  PlainSqlite() {
    sqlite3_open(fresh("plain").c_str(), &db_);
    run("PRAGMA journal_mode=WAL");
    run("PRAGMA synchronous=FULL");
    run("CREATE TABLE event (sequence INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, line TEXT NOT NULL, "
        "json TEXT NOT NULL, previous TEXT NOT NULL, hash TEXT NOT NULL, kind TEXT NOT NULL, received TEXT NOT NULL)");
    run("CREATE INDEX event_line ON event (line, sequence)");
    run("CREATE INDEX event_paper ON event (kind, sequence) WHERE line = ''");
    sqlite3_prepare_v2(
        db_, "INSERT INTO event (id, line, json, previous, hash, kind, received) VALUES (?, ?, ?, ?, ?, ?, ?)", -1,
        &insert_, nullptr);
  }
  PlainSqlite(const PlainSqlite&) = delete;
  PlainSqlite& operator=(const PlainSqlite&) = delete;
  ~PlainSqlite() {
    sqlite3_finalize(insert_);
    sqlite3_close(db_);
  }
  void append(const std::vector<line::Event>& events, const std::vector<std::string>& jsons) {
    const std::string kind = ledger::event_entry, received = iso(bench_now());
    run("BEGIN IMMEDIATE");
    for (std::size_t i = 0; i < events.size(); ++i) {
      for (int column = 1; const auto* text : {&events[i].id, &events[i].line, &jsons[i], &ledger::genesis_hash(),
                                               &ledger::genesis_hash(), &kind, &received})
        sqlite3_bind_text(insert_, column++, text->data(), static_cast<int>(text->size()), SQLITE_STATIC);
      sqlite3_step(insert_);
      sqlite3_reset(insert_);
    }
    run("COMMIT");
  }

 private:
  void run(const char* statement) { sqlite3_exec(db_, statement, nullptr, nullptr, nullptr); }
  sqlite3* db_ = nullptr;
  sqlite3_stmt* insert_ = nullptr;
};

/// As devices make them: one after the other in time.
std::string rising_id() {
  static std::uint32_t made = 0;
  ++made;
  return line::make_id(bench_now() - std::chrono::hours{24} + std::chrono::milliseconds{made}, {1, 2, 3});
}

using Clock = std::chrono::steady_clock;

double seconds(Clock::duration duration) { return std::chrono::duration<double>(duration).count(); }

/// The time reported is the ledger's; "times_plain_sqlite" is how many times as long as plain SQLite it took.
void BM_LedgerAppend(benchmark::State& state) {
  const auto ledger = std::move(ledger::open_sqlite(fresh("ledger")).value());
  PlainSqlite plain;
  demo::IdSource ids(1);
  const auto at_once = static_cast<int>(state.range(0));
  double ours = 0, bare = 0;
  for (auto _ : state) {
    const auto events = notes(ids, at_once);
    std::vector<std::string> jsons;
    for (const auto& event : events) jsons.push_back(ledger::canonical_json(event));
    const auto begin = Clock::now();
    const bool kept = ledger->append(events, bench_now()).has_value();
    const auto between = Clock::now();
    plain.append(events, jsons);
    const auto end = Clock::now();
    if (!kept) state.SkipWithError("the ledger refused");
    state.SetIterationTime(seconds(between - begin));
    ours += seconds(between - begin);
    bare += seconds(end - between);
  }
  const auto events = static_cast<double>(state.iterations()) * at_once;
  state.counters["events_per_s"] = events / ours;
  state.counters["plain_per_s"] = events / bare;
  state.counters["times_plain_sqlite"] = ours / bare;
}
BENCHMARK(BM_LedgerAppend)->Arg(1)->Arg(100)->UseManualTime()->Unit(benchmark::kMicrosecond);

/// 64 writers, an entry each at a time, against plain SQLite with a commit for each entry, and with 64 in a commit: the
/// same rows in the order in which they are made, one of each writer after the other, with ids that rise with time.
void BM_LedgerWriters(benchmark::State& state) {
  constexpr int writers = 64, each = 100, all = writers * each;
  const auto ledger = std::move(ledger::open_sqlite(fresh("writers")).value());
  PlainSqlite plain;
  double ours = 0, singly = 0, batched = 0;
  std::uint64_t seed = 100;
  for (auto _ : state) {
    std::vector<std::vector<line::Event>> shares(writers);
    std::vector<line::Event> together;
    std::vector<std::string> jsons;
    for (auto& share : shares) {
      demo::IdSource ids(++seed);
      share = notes(ids, each);
    }
    for (std::size_t turn = 0; turn < each; ++turn)
      for (auto& share : shares) {
        share[turn].id = rising_id();
        together.push_back(share[turn]);
        jsons.push_back(ledger::canonical_json(share[turn]));
      }
    const auto begin = Clock::now();
    {
      std::vector<std::jthread> threads;
      for (const auto& share : shares)
        threads.emplace_back([&] {
          for (const auto& event : share)
            if (!ledger->append({event}, bench_now())) std::abort();
        });
    }
    const auto between = Clock::now();
    constexpr int some = all / 16;  // as many as give a steady figure
    for (int i = 0; i < some; ++i) {
      demo::IdSource ids(++seed);
      const auto one = notes(ids, 1);
      plain.append(one, {ledger::canonical_json(one.front())});
    }
    const auto later = Clock::now();
    for (int i = 0; i < all; i += writers) {
      const auto at = static_cast<std::ptrdiff_t>(i);
      plain.append({together.begin() + at, together.begin() + at + writers},
                   {jsons.begin() + at, jsons.begin() + at + writers});
    }
    const auto end = Clock::now();
    state.SetIterationTime(seconds(between - begin));
    ours += seconds(between - begin);
    singly += seconds(later - between) * all / some;
    batched += seconds(end - later);
  }
  state.counters["events_per_s"] = static_cast<double>(state.iterations()) * all / ours;
  state.counters["times_one_commit_an_entry"] = singly / ours;
  state.counters["share_of_batched"] = batched / ours;
}
BENCHMARK(BM_LedgerWriters)->UseManualTime()->Unit(benchmark::kMillisecond);

void BM_LedgerVerify(benchmark::State& state) {
  const auto ledger = std::move(ledger::open_sqlite(fresh("verify")).value());
  demo::IdSource ids(3);
  constexpr int entries = 5000;
  if (!ledger->append(notes(ids, entries), bench_now())) state.SkipWithError("the ledger refused");
  for (auto _ : state)
    if (ledger->verify([](ledger::VerifyProgress) {}).first_bad) state.SkipWithError("broken");
  state.counters["entries_per_s"] = benchmark::Counter(entries, benchmark::Counter::kIsIterationInvariantRate);
}
BENCHMARK(BM_LedgerVerify)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
