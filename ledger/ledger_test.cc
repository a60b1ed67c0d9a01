#include "ledger/ledger.h"

#include <gtest/gtest.h>
#include <sqlite3.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>

#include "demo/story.h"
#include "ledger/chain.h"

namespace dwell::ledger {
namespace {

namespace fs = std::filesystem;

Instant moment() { return *parse_instant("2026-11-25T08:00:00Z"); }

/// A folder of its own for each test.
class LedgerTest : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::temp_directory_path() / ("dwell-ledger-test-" + std::to_string(getpid()));
    fs::remove_all(folder_);
    fs::create_directories(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }

  [[nodiscard]] std::string path() const { return (folder_ / "ward.sqlite").string(); }
  [[nodiscard]] std::unique_ptr<Ledger> open() const { return std::move(*open_sqlite(path())); }

  std::vector<line::Event> notes(int count) {
    std::vector<line::Event> events;
    demo::Story story(ids_, events, moment());
    for (int i = 0; i < count; ++i) story.at(moment(), line::Noted{"note " + std::to_string(i)}, "M. Koller");
    for (auto& e : events) e.recorded_at = moment();
    return events;
  }

  void sql(const std::string& statement) const {
    sqlite3* db = nullptr;
    ASSERT_EQ(sqlite3_open(path().c_str(), &db), SQLITE_OK);
    EXPECT_EQ(sqlite3_exec(db, statement.c_str(), nullptr, nullptr, nullptr), SQLITE_OK) << sqlite3_errmsg(db);
    sqlite3_close(db);
  }

  fs::path folder_;
  demo::IdSource ids_{7};
};

Verification verified(Ledger& ledger) {
  return ledger.verify([](VerifyProgress) {});
}

TEST_F(LedgerTest, WhatIsAppendedIsReadBackInOrder) {
  const auto events = notes(5);
  ASSERT_TRUE(open()->append(events, moment()));
  const auto again = open();
  const auto entries = again->read_after(0, 100);
  ASSERT_EQ(entries.size(), 5u);
  for (std::size_t i = 0; i < 5; ++i) {
    EXPECT_EQ(entries[i].sequence, static_cast<std::int64_t>(i) + 1);
    EXPECT_EQ(canonical_json(entries[i].event), canonical_json(events[i]));
  }
  EXPECT_EQ(again->read_line(events[0].line).size(), 5u);
  EXPECT_EQ(again->read_after(3, 1).front().sequence, 4);
}

TEST_F(LedgerTest, AResendIsHarmless) {
  const auto ledger = open();
  const auto events = notes(3);
  ASSERT_TRUE(ledger->append(events, moment()));
  const auto again = *ledger->append(events, moment());
  EXPECT_TRUE(again.entries.empty());
  EXPECT_EQ(again.already_there.size(), 3u);
  EXPECT_EQ(ledger->last_sequence(), 3);
}

TEST_F(LedgerTest, AnIdWithOtherContentRefusesTheWholeBatch) {
  const auto ledger = open();
  auto events = notes(2);
  ASSERT_TRUE(ledger->append({events[1]}, moment()));
  std::get<line::Noted>(events[1].body).text = "something else";
  const auto refused = ledger->append(events, moment());
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().path, "/1/id");
  EXPECT_EQ(ledger->last_sequence(), 1);  // the first of the batch was not kept either
}

TEST_F(LedgerTest, AWrongEventIsNamedByItsPlaceInTheBatch) {
  auto events = notes(2);
  events[1].author.clear();
  const auto refused = open()->append(events, moment());
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().path, "/1/author");
}

TEST_F(LedgerTest, VerifyProvesAWholeChainAndNamesTheFirstEditedEntry) {
  ASSERT_TRUE(open()->append(notes(10), moment()));
  EXPECT_FALSE(verified(*open()).first_bad);
  sql("UPDATE event SET json = replace(json, 'note 6', 'note 9') WHERE sequence = 7");
  EXPECT_EQ(verified(*open()).first_bad, 7);
}

TEST_F(LedgerTest, VerifyNoticesAMissingEntryAndAReorderedOne) {
  ASSERT_TRUE(open()->append(notes(6), moment()));
  sql("DELETE FROM event WHERE sequence = 3");
  EXPECT_EQ(verified(*open()).first_bad, 4);
  sql("UPDATE event SET sequence = 3 WHERE sequence = 4");
  EXPECT_EQ(verified(*open()).first_bad, 3);
}

TEST_F(LedgerTest, TwoHandlesWriteOneChain) {
  const auto a = open(), b = open();
  for (int i = 0; i < 10; ++i) ASSERT_TRUE((i % 2 ? a : b)->append(notes(1), moment()));
  EXPECT_EQ(verified(*a).entries, 10);
  EXPECT_FALSE(verified(*b).first_bad);
}

TEST_F(LedgerTest, ForeignFilesAndNewerLedgersAreRefused) {
  std::ofstream(path())
      << "this is not a database, only a text that is long enough to be read as a header of one, or so";
  EXPECT_NE(open_sqlite(path()).error().front().expected.find("a ledger of Dwell"), std::string::npos);
  fs::remove(path());
  sql("CREATE TABLE bicycles (wheels)");
  EXPECT_NE(open_sqlite(path()).error().front().expected.find("another program"), std::string::npos);
  fs::remove(path());
  static_cast<void>(open());
  sql("UPDATE meta SET value = '99' WHERE name = 'schema'");
  EXPECT_NE(open_sqlite(path()).error().front().expected.find("newer Dwell"), std::string::npos);
  EXPECT_FALSE(open_sqlite((folder_ / "no" / "where.sqlite").string()));
}

/// Runs in a child, because the limit holds for the whole process.
int with_file_limit(rlim_t bytes, const std::function<int()>& work) {
  const pid_t child = fork();
  if (child == 0) {
    signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{bytes, bytes};
    setrlimit(RLIMIT_FSIZE, &limit);
    _exit(work());
  }
  int status = 0;
  waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

TEST_F(LedgerTest, AFullDiskRefusesWithOneMessageAndChangesNothing) {
  ASSERT_TRUE(open()->append(notes(3), moment()));
  const int outcome = with_file_limit(200'000, [&] {
    const auto ledger = open();
    for (int i = 0; i < 1000; ++i)
      if (const auto appended = ledger->append(notes(50), moment()); !appended)
        return appended.error().size() == 1 ? 0 : 2;
    return 3;
  });
  EXPECT_EQ(outcome, 0);
  const auto after = open();
  EXPECT_FALSE(verified(*after).first_bad);
  EXPECT_EQ((after->last_sequence() - 3) % 50, 0);  // whole batches only
}

TEST_F(LedgerTest, OnlyOneServesALedger) {
  const auto lock = ServeLock::take(path());
  ASSERT_TRUE(lock.has_value());
  const pid_t child = fork();
  if (child == 0) _exit(ServeLock::take(path()) ? 1 : 0);
  int status = 0;
  waitpid(child, &status, 0);
  EXPECT_EQ(WEXITSTATUS(status), 0);
}

// BLAKE2b-256 of the empty string and of "abc", as published with the reference implementation (value from memory; RFC
// 7693 prints the 512-bit value only).
TEST(Blake2b, KnownVectors) {
  EXPECT_EQ(blake2b_256(""), "0e5751c026e543b2e8ab2eb06099daa1d1e5df47778f7787faab45cdf12fe3a8");
  EXPECT_EQ(blake2b_256("abc"), "bddd813c634239723171ef3fee98579b94964e3bb1cb3e427262c8c068d52319");
}

}  // namespace
}  // namespace dwell::ledger
