#include "ledger/ledger.h"
#include "exchange/said/said.h"

#include <gtest/gtest.h>
#include <sqlite3.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <functional>

#include "ledger/chain.h"
#include "ledger/test_notes.h"

namespace dwell::ledger {
namespace {

namespace fs = std::filesystem;

/// A folder of its own for each test.
class LedgerTest : public testing::Test, protected Notes {
 protected:
  void SetUp() override {
    folder_ = fs::temp_directory_path() / ("dwell-ledger-test-" + std::to_string(getpid()));
    fs::remove_all(folder_);
    fs::create_directories(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }

  [[nodiscard]] std::string path() const { return (folder_ / "ward.sqlite").string(); }
  [[nodiscard]] std::unique_ptr<Ledger> open() const { return std::move(open_sqlite(path()).value()); }

  void sql(const std::string& statement) const {
    sqlite3* db = nullptr;
    ASSERT_EQ(sqlite3_open(path().c_str(), &db), SQLITE_OK);
    EXPECT_EQ(sqlite3_exec(db, statement.c_str(), nullptr, nullptr, nullptr), SQLITE_OK) << sqlite3_errmsg(db);
    sqlite3_close(db);
  }

  fs::path folder_;
};

TEST_F(LedgerTest, ATruncatedFileIsRefused) {
  ASSERT_TRUE(open()->append(notes(400), moment()));
  ASSERT_FALSE(fs::exists(path() + "-wal"));  // the last handle has put everything into the file
  const auto copy = (folder_ / "whole.sqlite").string();
  fs::copy_file(path(), copy);
  const auto whole = fs::file_size(path());
  for (std::uintmax_t tenths = 0; tenths < 10; ++tenths) {
    fs::copy_file(copy, path(), fs::copy_options::overwrite_existing);
    fs::resize_file(path(), whole / 10 * tenths + 1);
    EXPECT_FALSE(open_sqlite(path())) << tenths;
  }
}

TEST_F(LedgerTest, ADamagedPageIsNeverCalledWhole) {
  ASSERT_TRUE(open()->append(notes(400), moment()));
  const auto copy = (folder_ / "whole.sqlite").string();
  fs::copy_file(path(), copy);
  constexpr std::uintmax_t page = 4096;
  int opened = 0;
  for (std::uintmax_t at = 0; at < fs::file_size(copy); at += page) {
    fs::copy_file(copy, path(), fs::copy_options::overwrite_existing);
    std::fstream(path(), std::ios::in | std::ios::out | std::ios::binary).seekp(static_cast<std::streamoff>(at))
        << std::string(page, '\xA5');
    const auto ledger = open_sqlite(path());
    if (!ledger) continue;  // refused at once
    ++opened;
    EXPECT_TRUE(verified(**ledger).first_bad) << "page at " << at;
  }
  EXPECT_GT(opened, 10);
}

TEST_F(LedgerTest, ForeignFilesAndNewerLedgersAreRefused) {
  std::ofstream(path())
      << "this is not a database, only a text that is long enough to be read as a header of one, or so";
  EXPECT_NE(said::in_english(open_sqlite(path()).error().front().expected).find("a ledger of Dwell"),
            std::string::npos);
  fs::remove(path());
  sql("CREATE TABLE bicycles (wheels)");
  EXPECT_NE(said::in_english(open_sqlite(path()).error().front().expected).find("another program"), std::string::npos);
  fs::remove(path());
  static_cast<void>(open());
  sql("UPDATE meta SET value = '99' WHERE name = 'schema'");
  EXPECT_NE(said::in_english(open_sqlite(path()).error().front().expected).find("newer Dwell"), std::string::npos);
  fs::remove(path());
  sql("CREATE TABLE meta (wheels); CREATE TABLE event (bell)");
  EXPECT_NE(said::in_english(open_sqlite(path()).error().front().expected).find("another program"), std::string::npos);
  EXPECT_FALSE(open_sqlite((folder_ / "no" / "where.sqlite").string()));
}

TEST_F(LedgerTest, ARefusedDatabaseIsLeftAsItWas) {
  sql("CREATE TABLE bicycles (wheels)");
  const auto content = [&] {
    std::ifstream in(path(), std::ios::binary);
    return std::string(std::istreambuf_iterator<char>(in), {});
  };
  const auto before = content();
  ASSERT_FALSE(open_sqlite(path()));
  EXPECT_EQ(content(), before);
  EXPECT_FALSE(fs::exists(path() + "-wal"));
}

/// As somebody who may read but not write. For root, who may write everywhere, that is another user.
int as_reader(const std::function<int()>& work) {
  return in_child([&] {
    constexpr uid_t nobody = 65534;
    if (geteuid() == 0 && seteuid(nobody) != 0) return 99;
    return work();
  });
}

TEST_F(LedgerTest, AReadOnlyFolderIsRefusedWithOneMessage) {
  ASSERT_TRUE(open()->append(notes(3), moment()));
  fs::permissions(path(), static_cast<fs::perms>(0444));
  fs::permissions(folder_, static_cast<fs::perms>(0555));
  const int outcome = as_reader([&] {
    const auto ledger = open_sqlite(path());
    if (ledger) return 1;
    if (ledger.error().size() != 1) return 2;
    return said::in_english(ledger.error().front().expected).find("can be written") != std::string::npos ? 0 : 3;
  });
  EXPECT_EQ(outcome, 0);
  fs::permissions(folder_, fs::perms::owner_all);
  fs::permissions(path(), fs::perms::owner_read | fs::perms::owner_write);
  EXPECT_EQ(verified(*open()).entries, 3);
}

TEST_F(LedgerTest, OnlyOneServesALedger) {
  const auto lock = ServeLock::take(path());
  ASSERT_TRUE(lock.has_value());
  const auto second = [&] {
    const auto refused = ServeLock::take(path());
    if (refused) return 1;
    return refused.error().front().found == path() ? 0 : 2;  // the message names the ledger
  };
  EXPECT_EQ(second(), 0);
  EXPECT_EQ(in_child(second), 0);  // the refusal above let nothing go
}

TEST_F(LedgerTest, TheLockEndsWithItsHolder) {
  { ASSERT_TRUE(ServeLock::take(path())); }
  EXPECT_TRUE(ServeLock::take(path()));
  EXPECT_EQ(in_child([&] { return ServeLock::take(path()) ? 0 : 1; }), 0);
  EXPECT_TRUE(ServeLock::take(path()));
  EXPECT_FALSE(ServeLock::take((folder_ / "no" / "where.sqlite").string()));
}

// BLAKE2b-256 of the empty string and of "abc", as published with the reference implementation (value from memory; RFC
// 7693 prints the 512-bit value only).
TEST(Blake2b, KnownVectors) {
  EXPECT_EQ(blake2b_256(""), "0e5751c026e543b2e8ab2eb06099daa1d1e5df47778f7787faab45cdf12fe3a8");
  EXPECT_EQ(blake2b_256("abc"), "bddd813c634239723171ef3fee98579b94964e3bb1cb3e427262c8c068d52319");
}

}  // namespace
}  // namespace dwell::ledger
