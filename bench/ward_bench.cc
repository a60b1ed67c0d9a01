// A server's start on a record with 3,000 open lines, and one new entry on its way to the list of what is due.
#include <benchmark/benchmark.h>

#include <cstdlib>
#include <filesystem>

#include "exchange/library.h"
#include "line/test_events.h"
#include "server/ward.h"

namespace dwell {
namespace {

using std::chrono::hours;
using std::chrono::minutes;

Instant bench_now() { return test::after(hours{14}); }

unsigned wanted(const char* name, unsigned usual) {
  const char* given = std::getenv(name);
  return given ? static_cast<unsigned>(std::atoi(given)) : usual;
}

std::string line_id(unsigned number) {
  auto id = test::id(number);
  return id;
}

/// Lines with half a day of history each; the first `open` are in, the others closed.
class Record {
 public:
  static Record& made() {
    static Record record;
    return record;
  }
  std::string path;
  unsigned open = wanted("DWELL_BENCH_OPEN", 3000), closed = wanted("DWELL_BENCH_CLOSED", 1000);
  std::int64_t events = 0;

 private:
  Record() {
    path = (std::filesystem::temp_directory_path() / "dwell-bench-ward.sqlite").string();
    for (const char* suffix : {"", "-wal", "-shm"}) std::filesystem::remove(path + suffix);
    const auto ledger = std::move(ledger::open_sqlite(path).value());
    std::vector<line::Event> batch;
    for (unsigned line = 0; line < open + closed; ++line) {
      add_line(batch, line, line >= open);
      if (batch.size() > 5000 || line + 1 == open + closed) {
        if (!ledger->append(batch, bench_now())) std::abort();
        batch.clear();
      }
    }
    events = ledger->last_sequence();
    server::Ward ward(*ledger, exchange::default_library(), bench_now());
    if (!ward.keep()) std::abort();
  }

  void add_line(std::vector<line::Event>& batch, unsigned line, bool ends) {
    test::History history;
    const minutes since{line % 300};
    auto opened = test::opened();
    opened.place.bed = std::to_string(line % 40);
    opened.place.unit = "Ward " + std::to_string(line / 40);
    history.at(since, opened).at(since, test::placed()).at(since + minutes{5}, test::infusion(60));
    for (int check = 1; check < 6; ++check) history.at(since + hours{check}, test::checked(0));
    if (ends) history.at(since + hours{7}, test::removed()).at(since + hours{8}, test::after_checked(0, true));
    for (auto& event : history.events) {
      event.line = line_id(line);
      event.id = test::id(++made_);
      batch.push_back(std::move(event));
    }
  }

  unsigned made_ = 10'000'000;
};

/// From nothing to the first fifty of 3,000 lines. Limit: 50 ms; opening a record of a million entries: 1 s.
void cold_start(benchmark::State& bench) {
  const auto& record = Record::made();
  double took = 0;
  for (auto _ : bench) {
    const auto begin = std::chrono::steady_clock::now();
    const auto ledger = std::move(ledger::open_sqlite(record.path).value());
    server::Ward ward(*ledger, exchange::default_library(), bench_now());
    if (ward.first(50, bench_now()).size() != 50) bench.SkipWithError("no list");
    took += std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  }
  bench.counters["entries"] = static_cast<double>(record.events);
  bench.counters["share_of_50_ms"] = took / static_cast<double>(bench.iterations()) / 0.05;
}
BENCHMARK(cold_start)->Unit(benchmark::kMillisecond);

/// A committed entry, read, folded and in its place on the list. Limit: 1 ms.
void one_entry_to_the_list(benchmark::State& bench) {
  const auto& record = Record::made();
  const auto ledger = std::move(ledger::open_sqlite(record.path).value());
  server::Ward ward(*ledger, exchange::default_library(), bench_now());
  unsigned number = 20'000'000 + static_cast<unsigned>(ledger->last_sequence());
  double took = 0;
  for (auto _ : bench) {
    test::History history;
    history.at(hours{13}, test::checked(0));
    auto& event = history.events.front();
    event.line = line_id(number % 100);
    event.id = test::id(++number);
    if (!ledger->append(history.events, bench_now())) bench.SkipWithError("refused");
    const auto begin = std::chrono::steady_clock::now();
    if (ward.catch_up(bench_now()).size() != 1) bench.SkipWithError("not heard");
    benchmark::DoNotOptimize(ward.first(1, bench_now()));
    const double once = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    bench.SetIterationTime(once);
    took += once;
  }
  bench.counters["share_of_1_ms"] = took / static_cast<double>(bench.iterations()) / 0.001;
}
BENCHMARK(one_entry_to_the_list)->Iterations(500)->UseManualTime()->Unit(benchmark::kMicrosecond);

}  // namespace
}  // namespace dwell

BENCHMARK_MAIN();
