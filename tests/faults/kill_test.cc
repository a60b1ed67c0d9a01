// A process that is killed in the middle of its work loses nothing that it had acknowledged.
#include <gtest/gtest.h>
#include <soci/postgresql/soci-postgresql.h>
#include <soci/soci.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <optional>
#include <random>
#include <set>
#include <thread>
#include <utility>

#include "tests/faults/kept_entries.h"

namespace dwell {
namespace {

namespace fs = std::filesystem;
using namespace faults;

/// A record of its own for one test: a file, or a schema in the database that tools/with-postgresql brings.
class Place {
 public:
  static std::optional<Place> file() {
    Place place;
    place.folder_ = fs::temp_directory_path() / ("dwell-kill-" + std::to_string(getpid()));
    fs::create_directories(place.folder_);
    place.where = (place.folder_ / "ward.sqlite").string();
    return place;
  }
  static std::optional<Place> database(const char* use) {
    const char* server = std::getenv("DWELL_TEST_POSTGRESQL");
    if (!server) return std::nullopt;
    Place place;
    const std::string schema = std::string("dwell_") + use + "_" + std::to_string(getpid());
    soci::session session(soci::postgresql, server);
    session << "CREATE SCHEMA IF NOT EXISTS " + schema;
    place.where = std::string(server) + "&options=-csearch_path%3D" + schema;
    return place;
  }
  ~Place() {
    if (!folder_.empty()) fs::remove_all(folder_);
  }
  Place(Place&& other) noexcept : where(std::move(other.where)), folder_(std::exchange(other.folder_, {})) {}

  std::string where;

 private:
  Place() = default;
  fs::path folder_;
};

int rounds_wanted(int usual) {
  const char* wanted = std::getenv("DWELL_KILL_ROUNDS");
  return wanted ? std::atoi(wanted) : usual;
}

void kill_writers(const Place& place, int rounds) {
  static_cast<void>(ledger::open_ledger(place.where));
  std::set<std::string> acknowledged;
  std::mt19937 random(20261125);
  for (int round = 0; round < rounds; ++round) {
    int ends[2];
    ASSERT_EQ(pipe(ends), 0);
    const pid_t child = fork();
    if (child == 0) append_until_killed(place.where, ends[1], 1000 + static_cast<std::uint64_t>(round));
    close(ends[1]);
    // The first answer says that it is at work; the blow comes at any moment after.
    char first[36];
    ASSERT_EQ(read(ends[0], first, sizeof first), static_cast<ssize_t>(sizeof first));
    acknowledged.emplace(first, sizeof first);
    std::this_thread::sleep_for(std::chrono::microseconds(random() % 40'000));
    kill(child, SIGKILL);
    waitpid(child, nullptr, 0);
    for (auto& id : read_ids(ends[0])) acknowledged.insert(std::move(id));
    close(ends[0]);
  }
  expect_nothing_lost(place.where, acknowledged, std::to_string(rounds) + " kills");
  EXPECT_GE(acknowledged.size(), static_cast<std::size_t>(rounds));
}

TEST(Killed, EveryAcknowledgedEntryIsThereAndTheChainIsWhole) { kill_writers(*Place::file(), rounds_wanted(50)); }

TEST(Killed, TheSameOnPostgresql) {
  const auto place = Place::database("kill");
  if (!place) GTEST_SKIP() << "no DWELL_TEST_POSTGRESQL; see tools/with-postgresql";
  kill_writers(*place, rounds_wanted(50));
}

TEST(Crashed, ADatabaseThatEndsWithoutWarningLosesNothingAcknowledged) {
  const auto place = Place::database("crash");
  const char* crash = std::getenv("DWELL_TEST_POSTGRESQL_CRASH");
  if (!place || !crash) GTEST_SKIP() << "no DWELL_TEST_POSTGRESQL; see tools/with-postgresql";
  int ends[2];
  ASSERT_EQ(pipe(ends), 0);
  const pid_t child = fork();
  if (child == 0) append_until_killed(place->where, ends[1], 77);
  close(ends[1]);
  std::vector<std::string> ids;
  std::thread reader([&] { ids = read_ids(ends[0]); });
  constexpr int crashes = 4;
  for (int i = 0; i < crashes; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(400));
    EXPECT_EQ(std::system(crash), 0);
  }
  std::this_thread::sleep_for(std::chrono::milliseconds(400));
  kill(child, SIGKILL);
  waitpid(child, nullptr, 0);
  reader.join();
  close(ends[0]);
  expect_nothing_lost(place->where, {ids.begin(), ids.end()}, std::to_string(crashes) + " crashes of the database");
  EXPECT_GT(ids.size(), 50u);
}

}  // namespace
}  // namespace dwell
