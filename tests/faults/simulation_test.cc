// Many wards, each from its seed: see simulation.h. DWELL_SEED=n runs one; DWELL_SIMULATION_SEEDS=n runs that many.
#include "tests/faults/simulation.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <ctime>
#include <iostream>

namespace dwell {
namespace {

using faults::Simulation;

std::uint64_t wanted(const char* variable, std::uint64_t usual) {
  const char* said = std::getenv(variable);
  return said ? std::strtoull(said, nullptr, 10) : usual;
}

void add(Simulation::Done& sum, const Simulation::Done& one) {
  sum.steps += one.steps, sum.entries += one.entries, sum.kept += one.kept, sum.refused += one.refused;
  sum.refused_and_there += one.refused_and_there;
  sum.policies += one.policies, sum.messages += one.messages, sum.lost += one.lost, sum.doubled += one.doubled;
  sum.answers_without_a_hearer += one.answers_without_a_hearer, sum.kills += one.kills, sum.cuts += one.cuts;
  sum.full_disks += one.full_disks, sum.times_away += one.times_away, sum.clock_jumps += one.clock_jumps;
  sum.agreements += one.agreements, sum.operations += one.operations;
}

/// The servers say much of what is done to them.
class Quiet {
 public:
  Quiet() : before_(std::cerr.rdbuf(nullptr)) {}
  ~Quiet() { std::cerr.rdbuf(before_); }
  Quiet(const Quiet&) = delete;
  Quiet& operator=(const Quiet&) = delete;

 private:
  std::streambuf* before_;
};

TEST(Simulation, WhateverGoesWrongTheWardAgreesWithItself) {
  constexpr std::int64_t steps_each = 10'000;
  const std::uint64_t only = wanted("DWELL_SEED", 0), first = only ? only : 1;
  const std::uint64_t seeds = only ? 1 : wanted("DWELL_SIMULATION_SEEDS", 20);
  Simulation::Done all;
  const Quiet quiet;
  const auto begun = std::clock();
  for (std::uint64_t seed = first; seed < first + seeds; ++seed) {
    Simulation::Done done;
    const auto fault = Simulation(seed).run(steps_each, done);
    if (fault) FAIL() << fault->what << "\n  (step " << fault->step << "; again with DWELL_SEED=" << fault->seed << ")";
    add(all, done);
  }
  // Of this processor's time: what else the machine does meanwhile is not counted. Said, and never demanded.
  const double minutes = static_cast<double>(std::clock() - begun) / CLOCKS_PER_SEC / 60;
  std::cout << static_cast<std::int64_t>(static_cast<double>(all.steps) / minutes)
            << " steps a minute of one core: " << all.steps << " steps of " << seeds << " wards: " << all.entries
            << " entries made, " << all.kept << " kept, " << all.refused << " refused (" << all.refused_and_there
            << " of them there by a copy that came late); " << all.messages << " messages, " << all.lost << " lost, "
            << all.doubled << " doubled, " << all.answers_without_a_hearer << " answers too late; " << all.kills
            << " servers killed, " << all.cuts << " power cuts, " << all.full_disks << " full disks, " << all.times_away
            << " disks away, " << all.clock_jumps << " clocks jumped, " << all.policies << " policies; "
            << all.agreements << " times compared, " << all.operations << " operations as of one list\n";
  EXPECT_GT(all.cuts, 0);
  EXPECT_GT(all.refused, 0);
}

// That it can find something.
TEST(Simulation, ADiskThatForgetsItsSyncsIsFoundOut) {
  constexpr std::uint64_t seeds = 6;
  int found = 0;
  const Quiet quiet;
  for (std::uint64_t seed = 1; seed <= seeds; ++seed) {
    Simulation::Done done;
    constexpr std::int64_t steps = 5'000;
    if (Simulation(seed, true).run(steps, done)) ++found;
  }
  EXPECT_GT(found, 3);
}

}  // namespace
}  // namespace dwell
