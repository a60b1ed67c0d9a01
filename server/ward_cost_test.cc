// What a ward costs, counted: entries read, rules applied, rows of the cache read. A clock would say the same on an
// idle machine only; these say it anywhere.
#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>

#include "exchange/library.h"
#include "ledger/test_counting.h"
#include "line/test_events.h"
#include "server/ward.h"

namespace dwell::server {
namespace {

using std::chrono::hours;
using std::chrono::minutes;

Instant now() { return test::after(hours{24 * 30}); }

std::string line_id(unsigned number) { return test::id(1'000'000 + number); }

class WardCost : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = std::filesystem::temp_directory_path() / ("dwell-ward-cost-" + std::to_string(getpid()));
    std::filesystem::create_directories(folder_);
    inner_ = std::move(ledger::open_sqlite((folder_ / "ward.sqlite").string()).value());
    ledger_.emplace(*inner_);
  }
  void TearDown() override {
    inner_.reset();
    std::filesystem::remove_all(folder_);
  }

  line::Event event(unsigned line, Instant at, line::Body body) {
    line::Event event;
    event.id = test::id(++made_);
    event.line = line_id(line);
    event.occurred_at = event.recorded_at = at;
    event.author = "R. Ode";
    event.device = "tablet 1";
    event.body = std::move(body);
    return event;
  }

  void keep(const std::vector<line::Event>& events) { ASSERT_TRUE(inner_->append(events, now())); }

  /// A line with so many entries, one each minute.
  void keep_line(unsigned line, unsigned entries, bool closed = false) {
    std::vector<line::Event> events;
    Instant at = test::start;
    events.push_back(event(line, at, test::opened()));
    events.push_back(event(line, at, test::placed()));
    events.push_back(event(line, at, test::infusion(1)));
    while (events.size() < entries) events.push_back(event(line, at += minutes{1}, test::checked(0)));
    if (closed) {
      events.push_back(event(line, at += minutes{1}, test::removed()));
      events.push_back(event(line, at += minutes{1}, test::after_checked(0, true)));
    }
    keep(events);
  }

  [[nodiscard]] Ward ward(std::size_t most_bytes = Ward::usual_bytes) {
    return {*ledger_, exchange::default_library(), now(), most_bytes};
  }

  std::filesystem::path folder_;
  std::unique_ptr<ledger::Ledger> inner_;
  std::optional<ledger::CountingLedger> ledger_;
  unsigned made_ = 0;
};

TEST_F(WardCost, AnEntryIsReadAndFoldedAloneHoweverLongItsLine) {
  for (const unsigned entries : {100u, 5000u}) {
    const unsigned line = entries;
    keep_line(line, entries);
    auto ward = this->ward();
    ASSERT_TRUE(ward.find(line_id(line)));
    const auto folded = ward.entries_folded();
    static_cast<void>(ledger_->taken());
    for (int more = 1; more <= 20; ++more) {
      keep({event(line, now() - hours{1} + minutes{more}, test::checked(0))});
      ASSERT_EQ(ward.catch_up(now()).size(), 1u);
      ASSERT_EQ(ward.first(5, now()).size(), entries == 100 ? 1u : 2u);
    }
    const auto read = ledger_->taken();
    EXPECT_EQ(read.entries, 20u) << entries;
    EXPECT_EQ(read.lines, 0u) << entries;
    EXPECT_EQ(ward.entries_folded() - folded, 20u) << entries;
    EXPECT_EQ(ward.find(line_id(line))->history.size(), entries + 20);
  }
}

TEST_F(WardCost, ALateEntryAndACorrectionGoBackALittle) {
  constexpr unsigned entries = 5000;
  keep_line(1, entries);
  auto ward = this->ward();
  ASSERT_TRUE(ward.find(line_id(1)));
  const auto folded = ward.entries_folded();
  static_cast<void>(ledger_->taken());
  keep({event(1, test::start + minutes{entries - 60}, test::flushed(false))});
  auto correction = event(1, now() - hours{1}, line::Retracted{"another patient"});
  correction.corrects = test::id(entries - 50);
  keep({correction});
  ASSERT_EQ(ward.catch_up(now()).size(), 1u);
  EXPECT_EQ(ledger_->taken().entries, 2u);
  EXPECT_LE(ward.entries_folded() - folded, 400u);
}

TEST_F(WardCost, AStartReadsOpenLinesAndNoEntries) {
  for (unsigned line = 0; line < 10; ++line) keep_line(line, 20);
  for (unsigned line = 100; line < 300; ++line) keep_line(line, 5, true);
  ASSERT_TRUE(ward().keep());
  static_cast<void>(ledger_->taken());
  auto begun = ward();
  ASSERT_EQ(begun.first(5, now()).size(), 5u);
  const auto read = ledger_->taken();
  EXPECT_EQ(read.lines, 10u);
  EXPECT_EQ(begun.entries_folded(), read.entries);
  // Lines whose bag has run empty since the cache was kept are read: none here, the clock stands still.
  EXPECT_EQ(read.entries, 0u);
}

TEST_F(WardCost, MemoryIsBoundedAndTheLineInUseStays) {
  constexpr std::size_t most = 400'000;
  for (unsigned line = 0; line < 40; ++line) keep_line(line, 20);
  auto ward = this->ward(most);
  EXPECT_LE(ward.bytes_held(), most);
  EXPECT_GT(ward.bytes_held(), most / 2);
  EXPECT_EQ(ward.open_states().size(), 40u) << "an answer may take more, until the next look";
  static_cast<void>(ward.catch_up(now()));
  EXPECT_LE(ward.bytes_held(), most);

  keep_line(50, 2000);  // more than all memory: it stays alone
  static_cast<void>(ward.catch_up(now()));
  static_cast<void>(ward.catch_up(now()));
  static_cast<void>(ledger_->taken());
  keep({event(50, now() - hours{1}, test::checked(0))});
  static_cast<void>(ward.catch_up(now()));
  EXPECT_EQ(ledger_->taken().entries, 1u);
}

TEST_F(WardCost, ALineThatCannotBeFoldedIsNamedAndTheOthersGoOn) {
  for (unsigned line = 0; line < 3; ++line) keep_line(line, 20);
  auto ward = this->ward();
  ASSERT_TRUE(ward.keep());
  ledger_->spoilt = line_id(1);
  ward.begin_again(now());
  EXPECT_EQ(ward.open_states().size(), 2u);
  ASSERT_EQ(ward.not_folded().size(), 1u);
  EXPECT_EQ(ward.not_folded().begin()->first, line_id(1));
  EXPECT_FALSE(ward.find(line_id(1)));
  ASSERT_EQ(ward.first(5, now()).size(), 3u);
  EXPECT_EQ(ward.first(5, now()).front().line, line_id(1)) << "taken for the worst";
  ASSERT_TRUE(ward.keep());

  auto next = this->ward();
  EXPECT_EQ(next.first(5, now()).size(), 3u) << "a start later it is still in sight";
  EXPECT_EQ(next.not_folded().size(), 1u);

  ledger_->spoilt.clear();
  keep({event(1, now() - hours{1}, test::checked(0))});
  static_cast<void>(ward.catch_up(now()));
  EXPECT_TRUE(ward.not_folded().empty());
  EXPECT_EQ(ward.open_states().size(), 3u);
}

TEST_F(WardCost, ARecordThatGoesAwayInTheMiddleOfALookLosesNothing) {
  auto ward = this->ward();
  for (unsigned line = 0; line < 6; ++line) keep_line(line, 5);
  ledger_->lines_until_unreachable = 3;
  EXPECT_THROW(static_cast<void>(ward.catch_up(now())), ledger::Unreachable);
  ledger_->lines_until_unreachable.reset();
  EXPECT_EQ(ward.catch_up(now()).size(), 6u) << "all are told of, those too that were read before it went away";
  EXPECT_EQ(ward.open_states().size(), 6u);
  EXPECT_EQ(ward.find(line_id(0))->history.size(), 5u);
}

}  // namespace
}  // namespace dwell::server
