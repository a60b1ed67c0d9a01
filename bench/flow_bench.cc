// One steady flow of a ward's gravity line, limit 5 microseconds; two infusions that join, limit 3; the open line with
// its band, limit 100; what two counts of it say, limit 5 milliseconds.
#include <benchmark/benchmark.h>

#include "flow/network.h"
#include "flow/open_line.h"
#include "flow/path.h"

namespace {

using namespace dwell;

void BM_SteadyFlow(benchmark::State& state) {
  flow::Path path;
  path.fluid = {1.02 * millipascal_second, 1004.6 * kilogram_per_cubic_metre};
  path.bag_height = 91.0 * centimetre;
  path.venous_pressure = 10.0 * millimetre_of_mercury;
  path.tubing = {{3.0 * millimetre, 1.8 * metre}};
  path.catheter = {0.6 * millimetre, 25.0 * millimetre};
  for (auto _ : state) {
    benchmark::DoNotOptimize(path);
    benchmark::DoNotOptimize(flow::steady_flow(path));
  }
  constexpr double limit_seconds = 5e-6;
  // Time of one iteration over the limit: below 1 is inside.
  state.counters["share_of_limit"] =
      benchmark::Counter(limit_seconds, benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
}
BENCHMARK(BM_SteadyFlow);

void BM_Network(benchmark::State& state) {
  flow::Network network;
  for (const double height : {91.0, 121.0}) {
    flow::Branch branch;
    branch.drive = flow::Bag{height * centimetre, Pressure()};
    branch.fluid = {(1.02 + (height - 91) / 100) * millipascal_second, 1004.6 * kilogram_per_cubic_metre};
    branch.tubing = {{3.0 * millimetre, 1.8 * metre}};
    branch.back_check_valve = height < 100;
    network.branches.push_back(branch);
  }
  network.tubing = {{2.5 * millimetre, 20.0 * centimetre}};
  network.catheter = {0.6 * millimetre, 25.0 * millimetre};
  network.venous_pressure = 10.0 * millimetre_of_mercury;
  for (auto _ : state) {
    benchmark::DoNotOptimize(network);
    benchmark::DoNotOptimize(flow::settle(network));
  }
  constexpr double limit_seconds = 3e-6;
  state.counters["share_of_limit"] =
      benchmark::Counter(limit_seconds, benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
}
BENCHMARK(BM_Network);

flow::OpenLine twenty_gauge() {
  flow::OpenLine line;
  line.catheter = flow::by_gauge(Gauge{20}, {0.745 * millimetre, 32.0 * millimetre});
  line.vein = flow::usual_vein(Gauge{20});
  return line;
}

flow::Standing at_height(Length height) {
  flow::Standing standing;
  standing.fluid = flow::reference_fluid();
  standing.bag_height = height;
  return standing;
}

void BM_OpenLineBand(benchmark::State& state) {
  auto line = twenty_gauge();
  const auto standing = at_height(91.0 * centimetre);
  for (auto _ : state) {
    benchmark::DoNotOptimize(line);
    benchmark::DoNotOptimize(flow::expected(line, standing));
  }
  constexpr double limit_seconds = 1e-4;
  state.counters["share_of_limit"] =
      benchmark::Counter(limit_seconds, benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
}
BENCHMARK(BM_OpenLineBand);

void BM_OpenLineCounts(benchmark::State& state) {
  auto line = twenty_gauge();
  const std::vector<flow::OpenCount> counts{{at_height(91.0 * centimetre), 30.0 * millilitre / minute},
                                            {at_height(150.0 * centimetre), 48.0 * millilitre / minute}};
  for (auto _ : state) {
    benchmark::DoNotOptimize(line);
    benchmark::DoNotOptimize(flow::open_line(line, counts.front().standing, counts));
  }
  constexpr double limit_seconds = 5e-3;
  state.counters["share_of_limit"] =
      benchmark::Counter(limit_seconds, benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
}
BENCHMARK(BM_OpenLineCounts);

}  // namespace

BENCHMARK_MAIN();
