// A disk that answers with an error, at any moment: a layer between SQLite and the files fails the n-th write or sync,
// for every n until a whole run goes by without meeting it. After each, the ledger is opened again and proven.
#include <gtest/gtest.h>
#include <sqlite3.h>

#include <filesystem>
#include <map>

#include "tests/faults/kept_entries.h"

namespace dwell {
namespace {

namespace fs = std::filesystem;
using namespace faults;

/// SQLite's own file layer, with an error put in. One for the process; tests here run one after another.
class FailingFiles {
 public:
  static FailingFiles& installed() {
    static FailingFiles files;
    return files;
  }
  /// The next call but `after` of writing or syncing fails, once.
  void fail_after(int after) { left_ = after, met_ = false; }
  void never_fail() { left_ = -1; }
  [[nodiscard]] bool met() const { return met_; }

 private:
  FailingFiles() {
    own_ = *sqlite3_vfs_find(nullptr);
    beneath_ = sqlite3_vfs_find(nullptr);
    own_.zName = "failing";
    own_.pAppData = this;
    own_.xOpen = &FailingFiles::open;
    sqlite3_vfs_register(&own_, 1);
  }

  static int open(sqlite3_vfs* vfs, sqlite3_filename name, sqlite3_file* file, int flags, int* flags_out) {
    auto& self = *static_cast<FailingFiles*>(vfs->pAppData);
    const int result = self.beneath_->xOpen(self.beneath_, name, file, flags, flags_out);
    if (result != SQLITE_OK || !file->pMethods) return result;
    // One table of methods for each that SQLite uses, with writing and syncing put in ours.
    static std::map<const sqlite3_io_methods*, sqlite3_io_methods> tables;
    auto [table, is_new] = tables.try_emplace(file->pMethods, *file->pMethods);
    if (is_new) {
      self.beneath_of_[&table->second] = file->pMethods;
      table->second.xWrite = [](sqlite3_file* f, const void* bytes, int amount, sqlite3_int64 offset) {
        return installed().strikes() ? SQLITE_IOERR_WRITE
                                     : installed().beneath_of_.at(f->pMethods)->xWrite(f, bytes, amount, offset);
      };
      table->second.xSync = [](sqlite3_file* f, int how) {
        return installed().strikes() ? SQLITE_IOERR_FSYNC : installed().beneath_of_.at(f->pMethods)->xSync(f, how);
      };
    }
    file->pMethods = &table->second;
    return result;
  }

  bool strikes() {
    if (left_ < 0 || left_-- > 0) return false;
    met_ = true;
    return true;
  }

  sqlite3_vfs own_{};
  sqlite3_vfs* beneath_ = nullptr;
  std::map<const sqlite3_io_methods*, const sqlite3_io_methods*> beneath_of_;
  int left_ = -1;
  bool met_ = false;
};

TEST(DiskError, AtAnyWriteOrSyncLosesNothingAcknowledged) {
  auto& files = FailingFiles::installed();
  const auto folder = fs::temp_directory_path() / ("dwell-disk-error-" + std::to_string(getpid()));
  fs::create_directories(folder);
  const std::string path = (folder / "ward.sqlite").string();
  demo::IdSource ids(3);
  std::set<std::string> acknowledged;
  int errors = 0, refusals = 0;
  for (int after = 0; after < 400; ++after) {
    files.fail_after(after);
    if (const auto opened = ledger::open_sqlite(path)) {
      for (int i = 0; i < 4; ++i) {
        const auto events = notes(ids, 3);
        if (const auto said = refusal_of(**opened, events); !said.empty()) {
          ++refusals;
          EXPECT_NE(said.find("a disk that takes writes"), std::string::npos) << said;
          continue;
        }
        for (const auto& event : events) acknowledged.insert(event.id);
      }
    }
    const bool met = files.met();
    files.never_fail();
    errors += met ? 1 : 0;
    if (!met) break;
  }
  EXPECT_GT(errors, 5);
  EXPECT_GT(refusals, 3);
  expect_nothing_lost(path, acknowledged,
                      std::to_string(errors) + " disk errors, " + std::to_string(refusals) + " refusals");
  fs::remove_all(folder);
}

}  // namespace
}  // namespace dwell
