// A durable append against plain SQLite with the same row, the same pragmas and the same disk, in one run.
#include <benchmark/benchmark.h>
#include <sqlite3.h>

#include <filesystem>
#include <random>

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

void BM_LedgerAppend(benchmark::State& state) {
  const auto ledger = std::move(*ledger::open_sqlite(fresh("ledger")));
  demo::IdSource ids(1);
  const auto at_once = static_cast<int>(state.range(0));
  for (auto _ : state) {
    state.PauseTiming();
    const auto events = notes(ids, at_once);
    state.ResumeTiming();
    if (!ledger->append(events, bench_now())) state.SkipWithError("the ledger refused");
  }
  state.SetItemsProcessed(state.iterations() * at_once);
}
BENCHMARK(BM_LedgerAppend)->Arg(1)->Arg(100);

void BM_PlainSqliteInsert(benchmark::State& state) {
  sqlite3* db = nullptr;
  sqlite3_open(fresh("plain").c_str(), &db);
  sqlite3_exec(db, "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;", nullptr, nullptr, nullptr);
  sqlite3_exec(db,
               "CREATE TABLE event (sequence INTEGER PRIMARY KEY, id TEXT UNIQUE, line TEXT, json TEXT, previous TEXT, "
               "hash TEXT)",
               nullptr, nullptr, nullptr);
  sqlite3_stmt* insert = nullptr;
  sqlite3_prepare_v2(db, "INSERT INTO event (id, line, json, previous, hash) VALUES (?, ?, ?, ?, ?)", -1, &insert,
                     nullptr);
  demo::IdSource ids(2);
  const auto at_once = static_cast<int>(state.range(0));
  for (auto _ : state) {
    state.PauseTiming();
    const auto events = notes(ids, at_once);
    state.ResumeTiming();
    sqlite3_exec(db, "BEGIN IMMEDIATE", nullptr, nullptr, nullptr);
    for (const auto& event : events) {
      const auto json = ledger::canonical_json(event);
      for (int column = 1;
           const auto* text : {&event.id, &event.line, &json, &ledger::genesis_hash(), &ledger::genesis_hash()})
        sqlite3_bind_text(insert, column++, text->data(), static_cast<int>(text->size()), SQLITE_TRANSIENT);
      sqlite3_step(insert);
      sqlite3_reset(insert);
    }
    sqlite3_exec(db, "COMMIT", nullptr, nullptr, nullptr);
  }
  state.SetItemsProcessed(state.iterations() * at_once);
  sqlite3_finalize(insert);
  sqlite3_close(db);
}
BENCHMARK(BM_PlainSqliteInsert)->Arg(1)->Arg(100);

}  // namespace

BENCHMARK_MAIN();
