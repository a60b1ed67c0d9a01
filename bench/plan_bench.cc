// A whole plan over 40 and over 60 catheters and 8 veins, words and probabilities included. Limit: 5,000 a second on
// one core.
#include <benchmark/benchmark.h>

#include <fstream>
#include <iterator>

#include "device/plan.h"
#include "engine/engine.h"
#include "exchange/library.h"

namespace {

using namespace dwell;

device::Catalogue catheters(std::size_t count) {
  const auto& known = exchange::default_library().catheters;
  device::Catalogue all;
  for (std::size_t i = 0; all.size() < count; ++i) {
    all.push_back(known[i % known.size()]);
    all.back().length += static_cast<double>(i / known.size()) * 3.0 * millimetre;
  }
  return all;
}

device::Case eight_veins() {
  device::Case c;
  c.patient.birth_date = *parse_date("1942-03-03");
  c.patient.weight = 47.0 * kilogram;
  c.order.mixture = {"balanced crystalloid (acetate-gluconate)", 1.0 * litre, {}};
  c.order.duration = 8.0 * hour;
  c.order.drop_factor = 20.0 * drop / millilitre;
  c.now = *parse_instant("2026-11-25T08:00:00Z");
  const access::Region regions[] = {access::Region::forearm_lower, access::Region::forearm_middle,
                                    access::Region::hand_back, access::Region::antecubital};
  for (int i = 0; i < 8; ++i) {
    device::Vein vein;
    vein.id = "vein " + std::to_string(i + 1);
    vein.site = {i % 2 ? access::Side::left : access::Side::right, regions[i / 2], ""};
    vein.diameter = (2.0 + 0.3 * i) * millimetre;
    vein.depth = (1.5 + 0.4 * i) * millimetre;
    c.veins.push_back(vein);
  }
  return c;
}

void BM_Plan(benchmark::State& state) {
  const auto& library = exchange::default_library();
  const auto catalogue = catheters(static_cast<std::size_t>(state.range(0)));
  const auto nursing_case = eight_veins();
  for (auto _ : state)
    benchmark::DoNotOptimize(device::plan(nursing_case, catalogue, library.infusates, library.policy));
  constexpr double limit_seconds = 1.0 / 5000;
  // Time of one iteration over the limit: below 1 is inside.
  state.counters["share_of_limit"] =
      benchmark::Counter(limit_seconds, benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
}
BENCHMARK(BM_Plan)->Arg(40)->Arg(60);

/// From text to text, as the browser's engine is called: wasm_bench.mjs sets the two side by side.
void BM_CallText(benchmark::State& state, const char* name) {
  std::ifstream file(std::string("examples/engine/") + name + ".json");
  const std::string input{std::istreambuf_iterator<char>(file), {}};
  const auto& library = exchange::default_library();
  if (engine::call_text(name, input, library).find("\"ok\":true") == std::string::npos)
    return state.SkipWithError("the example is missing or refused; run in the project's folder");
  for (auto _ : state) benchmark::DoNotOptimize(engine::call_text(name, input, library));
}
BENCHMARK_CAPTURE(BM_CallText, device.plan, "device.plan");
BENCHMARK_CAPTURE(BM_CallText, flow.network, "flow.network");
BENCHMARK_CAPTURE(BM_CallText, hydration.forecast, "hydration.forecast");

}  // namespace

BENCHMARK_MAIN();
