// A process that is killed in the middle of its work loses nothing that it had acknowledged.
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <filesystem>
#include <random>
#include <set>
#include <thread>

#include "demo/story.h"
#include "ledger/ledger.h"

namespace dwell {
namespace {

namespace fs = std::filesystem;

Instant moment() { return *parse_instant("2026-11-25T08:00:00Z"); }

/// Appends one event after another and writes each id to the pipe once the ledger has acknowledged it.
[[noreturn]] void append_until_killed(const std::string& path, int acknowledged, std::uint64_t seed) {
  auto ledger = std::move(*ledger::open_sqlite(path));
  demo::IdSource ids(seed);
  std::vector<line::Event> events;
  demo::Story story(ids, events, moment());
  for (;;) {
    events.clear();
    story.at(moment(), line::Noted{"all is well"}, "M. Koller");
    events.front().recorded_at = moment();
    if (ledger->append(events, moment()))
      if (write(acknowledged, events.front().id.data(), 36) != 36) _exit(1);
  }
}

TEST(Killed, EveryAcknowledgedEntryIsThereAndTheChainIsWhole) {
  const char* wanted = std::getenv("DWELL_KILL_ROUNDS");
  const int rounds = wanted ? std::atoi(wanted) : 50;
  const auto folder = fs::temp_directory_path() / ("dwell-kill-" + std::to_string(getpid()));
  fs::create_directories(folder);
  const std::string path = (folder / "ward.sqlite").string();
  static_cast<void>(ledger::open_sqlite(path));
  std::set<std::string> acknowledged;
  std::mt19937 random(20261125);
  for (int round = 0; round < rounds; ++round) {
    int ends[2];
    ASSERT_EQ(pipe(ends), 0);
    const pid_t child = fork();
    if (child == 0) append_until_killed(path, ends[1], 1000 + static_cast<std::uint64_t>(round));
    close(ends[1]);
    std::this_thread::sleep_for(std::chrono::microseconds(20'000 + random() % 60'000));
    kill(child, SIGKILL);
    waitpid(child, nullptr, 0);
    char id[36];
    while (read(ends[0], id, sizeof id) == static_cast<ssize_t>(sizeof id)) acknowledged.emplace(id, sizeof id);
    close(ends[0]);
  }
  const auto ledger = std::move(*ledger::open_sqlite(path));
  std::set<std::string> kept;
  for (const auto& entry : ledger->read_after(0, 1'000'000)) EXPECT_TRUE(kept.insert(entry.event.id).second);
  for (const auto& id : acknowledged) EXPECT_TRUE(kept.contains(id)) << id;
  EXPECT_FALSE(ledger->verify([](ledger::VerifyProgress) {}).first_bad);
  std::cout << rounds << " kills, " << acknowledged.size() << " acknowledged entries, " << kept.size() << " kept\n";
  EXPECT_GT(acknowledged.size(), static_cast<std::size_t>(rounds));
  fs::remove_all(folder);
}

}  // namespace
}  // namespace dwell
