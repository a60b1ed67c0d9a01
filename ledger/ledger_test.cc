#include "ledger/ledger.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>
#include <sqlite3.h>
#include <sys/wait.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <functional>
#include <set>
#include <thread>

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
  [[nodiscard]] std::unique_ptr<Ledger> open() const { return std::move(open_sqlite(path()).value()); }

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

/// What the work answers in a process of its own.
int in_child(const std::function<int()>& work) {
  const pid_t child = fork();
  if (child == 0) _exit(work());
  int status = 0;
  waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

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

TEST_F(LedgerTest, AnEntryMovedToAnotherLineIsFound) {
  ASSERT_TRUE(open()->append(notes(4), moment()));
  sql("UPDATE event SET line = '019abb2c-1111-7111-8111-111111111111' WHERE sequence = 2");
  EXPECT_EQ(verified(*open()).first_bad, 2);
}

TEST_F(LedgerTest, AChangedIdIsFound) {
  ASSERT_TRUE(open()->append(notes(4), moment()));
  sql("UPDATE event SET id = replace(id, '-7', '-8') WHERE sequence = 3");
  EXPECT_EQ(verified(*open()).first_bad, 3);
}

TEST_F(LedgerTest, AnEntryRewrittenWithAFittingHashBreaksTheNext) {
  ASSERT_TRUE(open()->append(notes(5), moment()));
  const auto entry = open()->read_after(1, 1).front();
  auto event = entry.event;
  std::get<line::Noted>(event.body).text = "something else";
  const auto json = canonical_json(event);
  sql("UPDATE event SET json = '" + json + "', hash = '" + chain_hash(entry.previous_hash, json) +
      "' WHERE sequence = 2");
  const auto result = verified(*open());
  EXPECT_EQ(result.first_bad, 3);
  EXPECT_EQ(result.entries, 2);
}

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

TEST_F(LedgerTest, TwoHandlesWriteOneChain) {
  const auto a = open(), b = open();
  for (int i = 0; i < 10; ++i) ASSERT_TRUE((i % 2 ? a : b)->append(notes(1), moment()));
  EXPECT_EQ(verified(*a).entries, 10);
  EXPECT_FALSE(verified(*b).first_bad);
}

TEST_F(LedgerTest, ManyProcessesOpenANewLedgerAndWriteOneChain) {
  constexpr int processes = 4, each = 60;
  std::vector<pid_t> children;
  for (int p = 0; p < processes; ++p) {
    children.push_back(fork());
    if (children.back() != 0) continue;
    ids_ = demo::IdSource(100 + static_cast<std::uint64_t>(p));
    const auto ledger = open_sqlite(path());
    if (!ledger) _exit(1);
    for (int i = 0; i < each; ++i)
      if (!(*ledger)->append(notes(1), moment())) _exit(2);
    _exit(0);
  }
  for (const pid_t child : children) {
    int status = 0;
    waitpid(child, &status, 0);
    EXPECT_EQ(status, 0);
  }
  const auto result = verified(*open());
  EXPECT_EQ(result.entries, processes * each);
  EXPECT_FALSE(result.first_bad) << result.reason;
}

TEST_F(LedgerTest, ThreadsShareOneHandle) {
  const auto ledger = open();
  std::vector<std::vector<line::Event>> shares;
  for (int t = 0; t < 4; ++t) shares.push_back(notes(20));
  std::vector<std::thread> threads;
  for (const auto& share : shares)
    threads.emplace_back([&] {
      for (const auto& event : share) EXPECT_TRUE(ledger->append({event}, moment()));
    });
  for (auto& thread : threads) thread.join();
  EXPECT_EQ(verified(*ledger).entries, 80);
  EXPECT_FALSE(verified(*ledger).first_bad);
}

TEST_F(LedgerTest, AResendFromAnotherHandleIsHarmlessToo) {
  const auto a = open(), b = open();
  const auto events = notes(2);
  ASSERT_TRUE(a->append(events, moment()));
  EXPECT_EQ((*b->append(events, moment())).already_there.size(), 2u);
  EXPECT_EQ(b->last_sequence(), 2);
}

TEST_F(LedgerTest, TheSameEventTwiceInABatchIsKeptOnce) {
  const auto ledger = open();
  auto events = notes(1);
  events.push_back(events.front());
  const auto appended = *ledger->append(events, moment());
  EXPECT_EQ(appended.entries.size(), 1u);
  EXPECT_EQ(appended.already_there.size(), 1u);
  std::get<line::Noted>(events.back().body).text = "something else";
  EXPECT_FALSE(open()->append(events, moment()));
}

TEST_F(LedgerTest, NothingToAppendIsNoError) {
  const auto ledger = open();
  EXPECT_TRUE(ledger->append({}, moment()));
  EXPECT_EQ(ledger->last_sequence(), 0);
  EXPECT_EQ(verified(*ledger).head, genesis_hash());
}

/// Any order of sending, with any repeats, keeps each event once and a whole chain.
RC_GTEST_FIXTURE_PROP(LedgerTest, AnySendingAndResendingKeepsEachEventOnce, ()) {
  for (const char* suffix : {"", "-wal", "-shm"}) fs::remove(path() + suffix);
  const auto events = notes(8);
  std::set<std::string> sent;
  const auto ledger = open();
  const int batches = *rc::gen::inRange(1, 8);
  for (int b = 0; b < batches; ++b) {
    const auto picked = *rc::gen::container<std::vector<std::size_t>>(rc::gen::inRange<std::size_t>(0, events.size()));
    std::vector<line::Event> batch;
    for (const auto i : picked) batch.push_back(events[i]), sent.insert(events[i].id);
    RC_ASSERT(ledger->append(batch, moment()).has_value());
  }
  const auto result = verified(*ledger);
  RC_ASSERT(result.entries == static_cast<std::int64_t>(sent.size()));
  RC_ASSERT(!result.first_bad);
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
  fs::remove(path());
  sql("CREATE TABLE meta (wheels); CREATE TABLE event (bell)");
  EXPECT_NE(open_sqlite(path()).error().front().expected.find("another program"), std::string::npos);
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
  fs::permissions(path(), fs::perms::owner_read | fs::perms::others_read);
  fs::permissions(folder_,
                  fs::perms::owner_read | fs::perms::owner_exec | fs::perms::others_read | fs::perms::others_exec);
  const int outcome = as_reader([&] {
    const auto ledger = open_sqlite(path());
    if (ledger) return 1;
    if (ledger.error().size() != 1) return 2;
    return ledger.error().front().expected.find("can be written") != std::string::npos ? 0 : 3;
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
