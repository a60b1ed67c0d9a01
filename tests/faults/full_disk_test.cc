// A disk that fills up in the middle of the work: one clear message, whole batches only, and nothing acknowledged lost.
// The disk is real, a small one in memory, mounted for the test's own process alone (a mount namespace; for a person
// who is not root, inside a user namespace). Where a machine allows neither, a limit on the size of a file stands in:
// SQLite then sees a failing write instead of a full disk.
#include <gtest/gtest.h>
#include <sched.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <filesystem>
#include <functional>
#include <iostream>

#include "exchange/said/said.h"
#include "tests/faults/kept_entries.h"

namespace dwell {
namespace {

namespace fs = std::filesystem;
using namespace faults;

constexpr int batch = 40;

enum Outcome { as_promised = 0, never_full, not_one_message, wrong_message, does_not_open, broken, lost, no_mount };

/// Appends until the ledger refuses, then looks at what is there, then goes on once there is room.
Outcome fill(const std::string& path, std::string_view message, const std::function<void()>& make_room) {
  demo::IdSource ids(1);
  std::int64_t acknowledged = 0;
  std::vector<line::Event> last;
  {
    const auto ledger = std::move(*ledger::open_sqlite(path));
    for (;;) {
      last = notes(ids, batch);
      if (const auto said = refusal_of(*ledger, last); !said.empty()) {
        if (said.find(message) == std::string::npos) return wrong_message;
        break;
      }
      acknowledged += batch;
      if (acknowledged > 100'000) return never_full;
    }
    if (ledger->last_sequence() != acknowledged) return lost;
  }
  make_room();
  const auto again = ledger::open_sqlite(path);
  if (!again) return does_not_open;
  if ((*again)->last_sequence() != acknowledged) return lost;
  if (!(*again)->append(last, moment())) return does_not_open;
  const auto result = (*again)->verify([](ledger::VerifyProgress) {});
  if (!damage_found_by_engine(path).empty()) return broken;
  return !result.first_bad && result.entries == acknowledged + batch ? as_promised : broken;
}

bool mount_small_disk(const fs::path& at, const char* options) {
  if (unshare(CLONE_NEWNS) != 0 && unshare(CLONE_NEWUSER | CLONE_NEWNS) != 0) return false;
  if (mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) != 0) return false;
  return mount("none", at.c_str(), "tmpfs", 0, options) == 0;
}

/// In a process of its own: mounts and limits hold for a whole process.
int in_child(const std::function<int()>& work) {
  const pid_t child = fork();
  if (child == 0) _exit(work());
  int status = 0;
  waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

class FullDisk : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::temp_directory_path() / ("dwell-full-disk-" + std::to_string(getpid()));
    fs::create_directories(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }
  [[nodiscard]] std::string path() const { return (folder_ / "ward.sqlite").string(); }
  fs::path folder_;
};

TEST_F(FullDisk, ARealOneLosesNothingAndTakesWritesAgainOnceThereIsRoom) {
  const int outcome = in_child([&]() -> int {
    if (!mount_small_disk(folder_, "size=1m")) return no_mount;
    return fill(path(), "free space", [&] { mount("none", folder_.c_str(), "tmpfs", MS_REMOUNT, "size=8m"); });
  });
  if (outcome == no_mount) GTEST_SKIP() << "this machine allows no mount; the file limit below stands in";
  EXPECT_EQ(outcome, as_promised);
}

/// A disk that turns read-only under the ledger, as a failing one does, and is then mended.
TEST_F(FullDisk, ADiskThatTurnsReadOnlyIsSaidAndLosesNothing) {
  const int outcome = in_child([&]() -> int {
    if (!mount_small_disk(folder_, "size=8m")) return no_mount;
    demo::IdSource ids(1);
    const auto remount = [&](unsigned long flags) {
      return mount("none", folder_.c_str(), "tmpfs", MS_REMOUNT | flags, "size=8m");
    };
    {
      const auto ledger = std::move(*ledger::open_sqlite(path()));
      if (!ledger->append(notes(ids, batch), moment())) return lost;
    }
    if (remount(MS_RDONLY) != 0) return no_mount;
    const auto refused = ledger::open_sqlite(path());
    if (refused) return wrong_message;
    if (refused.error().size() != 1) return not_one_message;
    if (said::in_english(refused.error().front().expected).find("can be written") == std::string::npos)
      return wrong_message;
    if (remount(0) != 0) return no_mount;
    const auto again = ledger::open_sqlite(path());
    if (!again) return does_not_open;
    if ((*again)->last_sequence() != batch || !(*again)->append(notes(ids, batch), moment())) return lost;
    if (!damage_found_by_engine(path()).empty()) return broken;
    return (*again)->verify([](ledger::VerifyProgress) {}).first_bad ? broken : as_promised;
  });
  if (outcome == no_mount) GTEST_SKIP() << "this machine allows no mount";
  EXPECT_EQ(outcome, as_promised);
}

TEST_F(FullDisk, AFailingWriteLosesNothing) {
  const int outcome = in_child([&]() -> int {
    signal(SIGXFSZ, SIG_IGN);
    rlimit limit{};
    getrlimit(RLIMIT_FSIZE, &limit);
    const rlim_t before = limit.rlim_cur;
    limit.rlim_cur = 300'000;
    setrlimit(RLIMIT_FSIZE, &limit);
    return fill(path(), "takes writes", [&] {
      limit.rlim_cur = before;
      setrlimit(RLIMIT_FSIZE, &limit);
    });
  });
  EXPECT_EQ(outcome, as_promised);
}

}  // namespace
}  // namespace dwell
