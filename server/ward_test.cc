#include "server/ward.h"

#include <gtest/gtest.h>
#include <sqlite3.h>
#include <unistd.h>

#include <filesystem>

#include "demo/demo_ward.h"
#include "exchange/library.h"
#include "json/codec.h"
#include "ledger/chain.h"
#include "ledger/projection.h"

namespace dwell::server {
namespace {

namespace fs = std::filesystem;

Instant moment() { return *parse_instant("2026-11-25T08:00:00Z"); }

/// A record with open and closed lines and its cache, in a file that somebody else can write to.
class WardTest : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::temp_directory_path() / ("dwell-ward-test-" + std::to_string(getpid()));
    fs::create_directories(folder_);
    ledger_ = std::move(ledger::open_sqlite(path()).value());
    ASSERT_TRUE(ledger_->append(demo::demo_ward(moment(), 5), moment()));
    ASSERT_TRUE(ledger_->append(demo::demo_history(moment(), 6, 4), moment()));
    Ward ward = begin();
    ASSERT_TRUE(ward.keep());
    told_ = board(ward);
    learned_ = ward.rows(moment());
    ASSERT_EQ(told_.size(), 16u);
  }
  void TearDown() override {
    ledger_.reset();
    fs::remove_all(folder_);
  }

  [[nodiscard]] std::string path() const { return (folder_ / "ward.sqlite").string(); }
  [[nodiscard]] Ward begin() const { return {*ledger_, library_, moment()}; }
  [[nodiscard]] static std::vector<std::string> board(Ward& ward) {
    std::vector<std::string> lines;
    for (const auto& place : ward.first(99, moment()))
      lines.push_back(place.line + " " + place.unit + " " + place.bed + " " + std::to_string(place.urgency));
    return lines;
  }
  [[nodiscard]] std::string a_line(bool open) const {
    for (const auto& row : ledger_->projected(false).lines)
      if (row.open == open && !row.row.empty()) return row.line;
    throw std::logic_error("no such line");
  }
  void sql(const std::string& statement) const {
    sqlite3* db = nullptr;
    ASSERT_EQ(sqlite3_open(path().c_str(), &db), SQLITE_OK);
    EXPECT_EQ(sqlite3_exec(db, statement.c_str(), nullptr, nullptr, nullptr), SQLITE_OK) << sqlite3_errmsg(db);
    sqlite3_close(db);
  }
  /// Somebody changed the cache: the next start shows the ward as it is, says so, and mends the cache.
  void expect_whole_after(const std::string& statement) {
    sql(statement);
    testing::internal::CaptureStderr();
    Ward ward = begin();
    EXPECT_EQ(board(ward), told_) << statement;
    EXPECT_EQ(ward.rows(moment()), learned_) << statement;
    const auto said = testing::internal::GetCapturedStderr();
    EXPECT_NE(said.find("not what was kept"), std::string::npos) << statement << ": " << said;
    ASSERT_TRUE(ward.keep());
    EXPECT_TRUE(ledger_->projected(false).as_kept);
    const auto mended =
        ledger::check_cache(*ledger_, library_.policy, library_.infusates, moment(), [](ledger::VerifyProgress) {});
    EXPECT_TRUE(mended.as_kept && mended.compared && mended.wrong.empty()) << statement;
  }

  const engine::Library& library_ = exchange::default_library();
  fs::path folder_;
  std::unique_ptr<ledger::Ledger> ledger_;
  std::vector<std::string> told_;
  std::vector<statistics::LineRow> learned_;
};

TEST_F(WardTest, AChangedCacheNeverHidesALine) {
  const std::string open = " WHERE line = '" + a_line(true) + "'", closed = " WHERE line = '" + a_line(false) + "'";
  expect_whole_after("DELETE FROM line_now WHERE open = 1");
  expect_whole_after("DELETE FROM line_now" + open);
  expect_whole_after("UPDATE line_now SET open = 0" + open);
  expect_whole_after("UPDATE line_now SET open = 7" + open);
  expect_whole_after("UPDATE line_now SET unit = 'Ward 99'" + open);
  expect_whole_after("UPDATE line_now SET clocks = ''" + open);
  expect_whole_after("UPDATE meta SET value = value - 3 WHERE name = 'projected_to'");
  expect_whole_after("DELETE FROM line_now" + closed);
  expect_whole_after("UPDATE line_now SET learned = ''" + closed);
}

TEST_F(WardTest, ACacheThatAnotherProgramMadeIsMadeAnewInSilence) {
  sql("UPDATE meta SET value = 'another' WHERE name = 'projected_with'");
  testing::internal::CaptureStderr();
  Ward ward = begin();
  EXPECT_EQ(board(ward), told_);
  EXPECT_EQ(testing::internal::GetCapturedStderr(), "");
  ASSERT_TRUE(ward.keep());
  EXPECT_EQ(begin().rows(moment()), learned_);
}

/// Two servers of one record: whoever is behind puts nothing old over what the other kept.
TEST_F(WardTest, TwoServersKeepOneCache) {
  Ward a = begin(), b = begin();
  const auto line = a_line(true);
  const auto move = [&](const char* bed, std::uint8_t number) {
    line::Event event;
    event.id = line::make_id(moment(), {1, 2, 3, number});
    event.line = line;
    event.occurred_at = event.recorded_at = moment();
    event.author = "M. Koller";
    event.device = "test";
    event.body = line::Moved{{"Hill Hospital", "Ward 9", bed}};
    EXPECT_TRUE(ledger_->append({event}, moment()));
  };
  move("1", 1);
  a.catch_up(moment());
  move("2", 2);
  b.catch_up(moment());
  EXPECT_TRUE(b.keep());
  EXPECT_FALSE(a.keep()) << "its row is older than the one that is kept";
  const auto checked =
      ledger::check_cache(*ledger_, library_.policy, library_.infusates, moment(), [](ledger::VerifyProgress) {});
  EXPECT_TRUE(checked.as_kept && checked.wrong.empty());
  a.catch_up(moment());
  EXPECT_TRUE(a.keep());
}

/// One entry that cannot be read: its line says so, and the others are as they were.
TEST_F(WardTest, AnEntryThatCannotBeReadStopsNeitherStartNorBoard) {
  const auto line = a_line(true);
  const auto last = ledger_->stored_after(ledger_->last_sequence() - 1, 1).front();
  const std::string id = "019abb2c-0000-7000-8000-000000000009";
  ledger::StoredEntry bad{last.sequence + 1,
                          id,
                          line,
                          ledger::event_entry,
                          iso(moment()),
                          R"({"id":")" + id + R"(","line":")" + line + R"("})",
                          last.hash,
                          ""};
  bad.hash = ledger::chain_hash(bad.previous_hash, bad.kind, bad.received, bad.json);
  Ward running = begin();
  ASSERT_TRUE(running.find(line));
  ASSERT_TRUE(ledger_->append_stored({bad}));
  EXPECT_EQ(running.catch_up(moment()), std::vector{line});
  Ward fresh = begin();
  for (Ward* ward : {&running, &fresh}) {
    EXPECT_EQ(ward->first(99, moment()).size(), 16u);
    ASSERT_EQ(ward->find(line)->set_aside.size(), 1u);
    EXPECT_EQ(ward->find(line)->set_aside.front().id, id);
    EXPECT_EQ(ward->entries(line)->set_aside().size(), 1u);
  }
}

TEST_F(WardTest, APaperIsNoLine) {
  Ward ward = begin();
  ASSERT_TRUE(ledger_->keep_paper(
      {"019abb2c-0000-7000-8000-000000000009", ledger::practice_paper, "A. Learner", moment(), "{}"}, std::nullopt,
      moment()));
  EXPECT_TRUE(ward.catch_up(moment()).empty());
  EXPECT_EQ(ward.sequence(), ledger_->last_sequence());
  EXPECT_EQ(board(ward), told_);
}

}  // namespace
}  // namespace dwell::server
