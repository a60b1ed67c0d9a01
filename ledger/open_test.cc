#include "ledger/open.h"

#include <gtest/gtest.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <filesystem>
#include <fstream>
#include <map>

#include "exchange/said/said.h"
#include "ledger/test_notes.h"

namespace dwell::ledger {
namespace {

namespace fs = std::filesystem;

class Opening : public testing::Test, protected Notes {
 protected:
  void SetUp() override {
    folder_ = fs::temp_directory_path() / ("dwell-open-test-" + std::to_string(getpid()));
    fs::remove_all(folder_);
    fs::create_directories(folder_);
  }
  void TearDown() override {
    fs::permissions(folder_, fs::perms::owner_all);
    fs::remove_all(folder_);
  }
  [[nodiscard]] std::string in_folder(const std::string& name) const { return (folder_ / name).string(); }
  [[nodiscard]] std::string path() const { return in_folder("ward.sqlite"); }
  [[nodiscard]] static mode_t mode(const std::string& file) {
    struct stat about {};
    EXPECT_EQ(stat(file.c_str(), &about), 0) << file;
    return about.st_mode & 07777;
  }
  /// Name, size, time and content of all that lies there.
  [[nodiscard]] std::map<std::string, std::string> everything() const {
    std::map<std::string, std::string> all;
    for (const auto& file : fs::directory_iterator(folder_)) {
      std::ifstream in(file.path(), std::ios::binary);
      all[file.path().filename()] = std::string(std::istreambuf_iterator<char>(in), {}) +
                                    std::to_string(fs::last_write_time(file).time_since_epoch().count());
    }
    return all;
  }
  /// A record of three entries as a killed process leaves it: with its write-ahead log, which holds all of them.
  void leave_with_log() {
    ASSERT_EQ(in_child([&] {
                const auto opened = open_sqlite(path(), Access::made);
                if (!opened || !opened->ledger->append(notes(3), moment())) return 1;
                _exit(0);  // the ledger is not closed
              }),
              0);
    ASSERT_GT(fs::file_size(path() + "-wal"), 0u);
  }
  void make_read_only() {
    for (const auto& file : fs::directory_iterator(folder_)) fs::permissions(file, static_cast<fs::perms>(0444));
    fs::permissions(folder_, static_cast<fs::perms>(0555));
  }
  /// What is read without writing, by somebody who could not write either; 97 and more: why nothing was.
  [[nodiscard]] int entries_untouched() const {
    return in_child([&] {
      constexpr uid_t nobody = 65534;
      if (geteuid() == 0 && seteuid(nobody) != 0) return 99;
      const auto opened = open_sqlite(path(), Access::untouched);
      if (!opened) return 98;
      const auto found = verified(*opened->ledger);
      return found.first_bad ? 97 : static_cast<int>(found.entries);
    });
  }

  fs::path folder_;
};

TEST_F(Opening, OnlyWhoMayMakeARecordMakesOne) {
  for (const auto access : {Access::untouched, Access::reading, Access::existing}) {
    const auto refused = open_sqlite(path(), access);
    ASSERT_FALSE(refused);
    EXPECT_EQ(said::in_english(refused.error().front().expected), "a record; there is none here");
    EXPECT_FALSE(fs::exists(path()));
  }
  EXPECT_TRUE(open_sqlite(path(), Access::made)->is_new);
  EXPECT_FALSE(open_sqlite(path(), Access::made)->is_new);
  EXPECT_TRUE(open_sqlite(path(), Access::existing));
  std::ofstream(in_folder("empty.sqlite")).close();
  EXPECT_FALSE(open_sqlite(in_folder("empty.sqlite"), Access::existing));
}

TEST_F(Opening, EveryFileOfARecordIsItsOwnersAloneWhateverTheUmask) {
  const mode_t before = umask(0);
  const auto opened = open_sqlite(path(), Access::made);
  ASSERT_TRUE(opened->ledger->append(notes(3), moment()));
  umask(before);
  for (const char* end : {"", "-wal", "-shm"}) EXPECT_EQ(mode(path() + end), 0600u) << end;
}

TEST_F(Opening, ALooserRecordIsTightenedAndNamed) {
  leave_with_log();
  for (const char* end : {"", "-wal", "-shm"}) ASSERT_EQ(chmod((path() + end).c_str(), 0644), 0);
  EXPECT_EQ(open_sqlite(path(), Access::untouched)->notices.size(), 3u) << "named only";
  EXPECT_EQ(mode(path()), 0644u);
  const auto opened = open_sqlite(path(), Access::existing);
  ASSERT_EQ(opened->notices.size(), 3u);
  EXPECT_NE(opened->notices.front().find("now only its owner"), std::string::npos);
  for (const char* end : {"", "-wal", "-shm"}) EXPECT_EQ(mode(path() + end), 0600u) << end;
}

TEST_F(Opening, EvidenceIsReadWithoutWritingAnything) {
  ASSERT_TRUE(open_sqlite(path(), Access::made)->ledger->append(notes(3), moment()));
  ASSERT_FALSE(fs::exists(path() + "-wal")) << "closed";
  make_read_only();
  const auto before = everything();
  EXPECT_EQ(entries_untouched(), 3);
  EXPECT_EQ(everything(), before);
}

TEST_F(Opening, EvidenceWithAWriteAheadLogIsReadWithoutWritingAnything) {
  for (const bool with_index : {true, false}) {
    leave_with_log();
    if (!with_index) fs::remove(path() + "-shm");
    make_read_only();
    const auto before = everything();
    EXPECT_EQ(entries_untouched(), 3) << with_index;
    // Also by whoever could write.
    EXPECT_EQ(verified(*open_sqlite(path(), Access::untouched)->ledger).entries, 3) << with_index;
    EXPECT_EQ(everything(), before) << with_index;
    fs::permissions(folder_, fs::perms::owner_all);
    fs::remove_all(folder_);
    fs::create_directories(folder_);
  }
}

TEST_F(Opening, APathWithMeaningToAnAddressIsAFileLikeAnother) {
  for (const char* name : {"a?mode=memory", "b#c", "d%41", "e f"}) {
    ASSERT_TRUE(open_sqlite(in_folder(name), Access::made)->ledger->append(notes(1), moment())) << name;
    EXPECT_EQ(open_sqlite(in_folder(name), Access::untouched)->ledger->last_sequence(), 1) << name;
    EXPECT_EQ(open_sqlite(in_folder(name), Access::reading)->ledger->last_sequence(), 1) << name;
  }
}

TEST_F(Opening, WhoReadsSeesWhatOthersWrite) {
  ASSERT_TRUE(open_sqlite(path(), Access::made)->ledger->append(notes(1), moment()));
  const auto writer = open_sqlite(path(), Access::existing);
  const auto reader = open_sqlite(path(), Access::reading);
  ASSERT_TRUE(writer->ledger->append(notes(1), moment()));
  EXPECT_EQ(reader->ledger->last_sequence(), 2);
}

TEST_F(Opening, AFileOfTwoNamesIsNotWrittenTo) {
  ASSERT_TRUE(open_sqlite(path(), Access::made)->ledger->append(notes(1), moment()));
  fs::create_hard_link(path(), in_folder("other.sqlite"));
  for (const auto& name : {path(), in_folder("other.sqlite")}) {
    const auto refused = open_sqlite(name, Access::existing);
    ASSERT_FALSE(refused);
    EXPECT_NE(refused.error().front().found.find("2 names"), std::string::npos);
  }
  fs::remove(in_folder("other.sqlite"));
  EXPECT_TRUE(open_sqlite(path(), Access::existing));
}

TEST_F(Opening, WhatAWriterChangesShowsInTheStamp) {
  const auto opened = open_sqlite(path(), Access::made);
  const std::string before = stamp(path());
  EXPECT_EQ(stamp(path()), before);
  ASSERT_TRUE(opened->ledger->append(notes(1), moment()));
  EXPECT_NE(stamp(path()), before);
}

/// A process that serves the record until this ends.
class OtherServer {
 public:
  explicit OtherServer(const std::string& path) {
    EXPECT_EQ(pipe(ready_.data()), 0);
    EXPECT_EQ(pipe(end_.data()), 0);
    child_ = fork();
    if (child_ != 0) {
      close(end_[0]);
      char said = 0;
      EXPECT_EQ(read(ready_[0], &said, 1), 1);
      EXPECT_EQ(said, 'y') << "it could not take the lock";
      return;
    }
    close(end_[1]);
    const auto lock = ServeLock::take(path);
    const char said = lock ? 'y' : 'n';
    char never = 0;
    static_cast<void>(!write(ready_[1], &said, 1));
    static_cast<void>(!read(end_[0], &never, 1));
    _exit(0);
  }
  OtherServer(const OtherServer&) = delete;
  OtherServer& operator=(const OtherServer&) = delete;
  ~OtherServer() {
    close(end_[1]);
    waitpid(child_, nullptr, 0);
    close(ready_[0]);
    close(ready_[1]);
  }

 private:
  std::array<int, 2> ready_{}, end_{};
  pid_t child_ = -1;
};

TEST_F(Opening, TwoServersOnOneRecordAreCaughtByWhateverName) {
  ASSERT_TRUE(open_sqlite(path(), Access::made));
  fs::create_directories(in_folder("elsewhere"));
  fs::create_hard_link(path(), in_folder("elsewhere/hard.sqlite"));
  fs::create_symlink(path(), in_folder("soft.sqlite"));
  EXPECT_FALSE(is_served(path()));
  {
    const OtherServer other(path());
    fs::remove(path() + ".serving");  // there is no lock file that could be tidied away
    for (const auto& name : {path(), in_folder("elsewhere/hard.sqlite"), in_folder("soft.sqlite")}) {
      EXPECT_TRUE(is_served(name)) << name;
      EXPECT_FALSE(ServeLock::take(name)) << name;
    }
  }
  EXPECT_FALSE(is_served(path()));
  EXPECT_TRUE(ServeLock::take(path()));
}

TEST_F(Opening, ALockOnAFileThatWasReplacedIsNotTheRecords) {
  ASSERT_TRUE(open_sqlite(path(), Access::made));
  const OtherServer other(path());
  fs::remove(path());
  ASSERT_TRUE(open_sqlite(path(), Access::made));
  EXPECT_TRUE(ServeLock::take(path())) << "another file, which nobody serves";
}

TEST_F(Opening, ALockHeldHereIsSeenHere) {
  const auto lock = ServeLock::take(path());
  ASSERT_TRUE(lock);
  EXPECT_EQ(mode(path()), 0600u) << "a record yet to be made is locked as the empty file that it begins as";
  EXPECT_TRUE(is_served(path()));
  EXPECT_TRUE(open_sqlite(path(), Access::made)->is_new);
}

}  // namespace
}  // namespace dwell::ledger
