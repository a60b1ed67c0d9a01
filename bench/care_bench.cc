// A ward of 3,000 open lines: what is due, in order. The page asks for it at every change, so it must take
// milliseconds.
#include <benchmark/benchmark.h>
#include <unistd.h>

#include <chrono>
#include <fstream>

#include "care/board.h"
#include "care/due.h"
#include "line/test_events.h"
#include "line/test_policy.h"

namespace dwell {
namespace {

using std::chrono::hours;
using std::chrono::minutes;

infusate::Formulary formulary() {
  infusate::Formulary all;
  for (int i = 0; i < 100; ++i) all["fluid " + std::to_string(i)].harm = infusate::HarmClass::irritant;
  all["sodium chloride 0.9 %"].harm = infusate::HarmClass::harmless;
  all["noradrenaline"].harm = infusate::HarmClass::vesicant;
  return all;
}

/// Running, locked and removed lines with a few days of history, spread over time.
std::vector<line::State> ward(int lines, const policy::Policy& policy) {
  std::vector<line::State> states;
  for (int i = 0; i < lines; ++i) {
    test::History history;
    const minutes since{i % 700};
    history.at(since, test::opened()).at(since, test::placed());
    if (i % 3 != 0)
      history.at(since + hours{1}, test::infusion(60, i % 5 == 0 ? "noradrenaline" : "sodium chloride 0.9 %"));
    for (int check = 1; check < 6; ++check) history.at(since + hours{2 * check}, test::checked(i % 40 == 0 ? 2 : 0));
    if (i % 10 == 9) history.at(since + hours{12}, test::removed());
    states.push_back(line::fold(history.events, policy));
    states.back().place.bed = std::to_string(i % 900);
    states.back().id = test::id(static_cast<unsigned>(i));
  }
  return states;
}

void whole_ward(benchmark::State& bench) {
  const auto policy = test::small_policy();
  const auto fluids = formulary();
  const auto states = ward(static_cast<int>(bench.range(0)), policy);
  for (auto _ : bench) benchmark::DoNotOptimize(care::ward_due(states, policy, fluids, test::after(hours{14})));
}
BENCHMARK(whole_ward)->Arg(30)->Arg(3000)->Unit(benchmark::kMillisecond);

void visits_of_the_ward(benchmark::State& bench) {
  const auto policy = test::small_policy();
  const auto due = care::ward_due(ward(3000, policy), policy, formulary(), test::after(hours{14}));
  for (auto _ : bench) benchmark::DoNotOptimize(care::visits(due));
}
BENCHMARK(visits_of_the_ward)->Unit(benchmark::kMillisecond);

/// Memory of this process now, in bytes.
double resident() {
  long pages = 0, held = 0;
  std::ifstream("/proc/self/statm") >> pages >> held;
  return static_cast<double>(held) * static_cast<double>(sysconf(_SC_PAGESIZE));
}

/// A health system: all lines enter the board, an hour passes, and the first fifty are asked for. Limits: 3 s, 1.5 GB
/// for a million lines; in `./check` a hundred thousand, with the limits' share of that.
void board_of_a_health_system(benchmark::State& bench) {
  const auto policy = test::small_policy();
  const auto fluids = formulary();
  auto states = ward(700, policy);
  const auto lines = static_cast<std::size_t>(bench.range(0));
  const double share = static_cast<double>(lines) / 1e6;
  double memory = 0, took = 0;
  for (auto _ : bench) {
    const double before = resident();
    const auto begin = std::chrono::steady_clock::now();
    care::Board board(policy, fluids);
    for (std::size_t i = 0; i < lines; ++i) {
      auto& state = states[i % states.size()];
      state.id = test::id(static_cast<unsigned>(i));
      board.put(state, test::after(hours{14}));
    }
    benchmark::DoNotOptimize(board.advance(test::after(hours{15})));
    benchmark::DoNotOptimize(board.first(50));
    took = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    memory = resident() - before;
    bench.SetIterationTime(took);
  }
  bench.counters["share_of_3_s"] = took / (3.0 * share);
  bench.counters["share_of_1.5_GB"] = memory / (1.5e9 * share);
}
BENCHMARK(board_of_a_health_system)->Arg(100'000)->Iterations(1)->UseManualTime()->Unit(benchmark::kMillisecond);
BENCHMARK(board_of_a_health_system)
    ->Name("BM_large/board_of_a_health_system")
    ->Arg(1'000'000)
    ->Iterations(1)
    ->UseManualTime()
    ->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace dwell

BENCHMARK_MAIN();
