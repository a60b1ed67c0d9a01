// What a ward costs, counted: entries read, rules applied, rows of the cache read. A clock would say the same on an
// idle machine only; these say it anywhere.
#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <functional>
#include <future>
#include <set>

#include "exchange/library.h"
#include "ledger/test_counting.h"
#include "line/test_lines.h"
#include "server/ward.h"
#include "server/watch.h"

namespace dwell::server {
namespace {

using std::chrono::hours;
using std::chrono::minutes;

Instant now() { return test::after(hours{24 * 30}); }

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

  line::Event event(unsigned line, Instant at, line::Body body) { return lines_.event(line, at, std::move(body)); }

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
  test::Lines lines_;
};

TEST_F(WardCost, AnEntryIsReadAndFoldedAloneHoweverLongItsLine) {
  for (const unsigned entries : {100u, 5000u}) {
    const unsigned line = entries;
    keep_line(line, entries);
    auto ward = this->ward();
    ASSERT_TRUE(ward.find(test::Lines::id_of(line)));
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
    EXPECT_EQ(ward.find(test::Lines::id_of(line))->history.size(), entries + 20);
  }
}

TEST_F(WardCost, ALateEntryAndACorrectionGoBackALittle) {
  constexpr unsigned entries = 5000;
  keep_line(1, entries);
  auto ward = this->ward();
  ASSERT_TRUE(ward.find(test::Lines::id_of(1)));
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
  ASSERT_TRUE(this->ward().keep());
  ledger_->spoilt = test::Lines::id_of(1);
  auto ward = this->ward();
  EXPECT_EQ(ward.open_states().size(), 2u);
  ASSERT_EQ(ward.not_folded().size(), 1u);
  EXPECT_EQ(ward.not_folded().begin()->first, test::Lines::id_of(1));
  EXPECT_FALSE(ward.find(test::Lines::id_of(1)));
  ASSERT_EQ(ward.first(5, now()).size(), 3u);
  EXPECT_EQ(ward.first(5, now()).front().line, test::Lines::id_of(1)) << "taken for the worst";
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
  EXPECT_EQ(ward.find(test::Lines::id_of(0))->history.size(), 5u);
}

/// Whoever reads a line whole does it without the ward: others go on meanwhile. (With the ward kept from them they
/// would be told so after some seconds, by an exception.)
TEST_F(WardCost, NobodyWaitsForTheWardWhileALineIsReadWhole) {
  for (unsigned line = 1; line <= 3; ++line) keep_line(line, 200);
  // A bag that runs out: what then falls due is to be worked out anew.
  keep({event(1, now() - minutes{30}, test::checked(0)), event(1, now() - minutes{20}, test::infusion(100))});
  const auto id = test::Lines::id_of(1);
  struct Way {
    const char* name;
    std::function<void(Watch&)> read;
  };
  const auto nothing = [](Ward&, const Standing&) { return 0; };
  const Way ways[] = {
      {"a line is asked for", [&](Watch& watch) { watch.with_line(now(), id, nothing); }},
      {"the page of a ward",
       [&](Watch& watch) {
         watch.with_ward(
             now(), [](const Ward& ward) { return ward.open_lines("", "", 50); }, nothing);
       }},
      {"who is next",
       [&](Watch& watch) {
         const auto later = now() + hours{24 * 30};
         watch.with_ward(
             later, [&](Ward& ward) { return ward.struck_lines(later); }, nothing);
       }},
      {"an entry comes of another server",
       [&](Watch& watch) {
         keep({event(1, now() - hours{1}, test::checked(0))});
         watch.refresh(now());
       }},
      {"an entry comes of this server",
       [&](Watch& watch) {
         keep({event(1, now() - hours{1}, test::checked(0))});
         watch.wrote(inner_->last_sequence());
         watch.with_ward(now(), nothing);
       }},
  };
  for (const auto& [name, read] : ways) {
    ASSERT_TRUE(ward().keep());  // a start on it has no line in memory
    Watch watch(*ledger_, exchange::default_library(), now());
    int others = 0;
    bool begun = false;
    ledger_->while_reading = [&](const std::string& line) {
      if (line != id || std::exchange(begun, true)) return;
      others +=
          std::async(std::launch::async, [&] {
            return watch.with_ward(now(), [](const Ward& ward, const Standing&) { return ward.lacks("") ? 1 : 0; });
          }).get();
    };
    read(watch);
    EXPECT_EQ(others, 1) << name;
    ledger_->while_reading = nullptr;
    const auto entries =
        watch.with_ward(now(), [&](Ward& ward, const Standing&) { return ward.find(id)->history.size(); });
    EXPECT_EQ(entries, inner_->read_line(id).events.size()) << name;
  }
}

/// What was read apart is of no use when the line has gone on meanwhile: it is read anew.
TEST_F(WardCost, ALineThatGoesOnWhileItIsReadIsShownWhole) {
  keep_line(1, 50);
  ASSERT_TRUE(ward().keep());
  const auto id = test::Lines::id_of(1);
  auto ward = this->ward();
  auto read = Ward::read_apart(*ledger_, exchange::default_library(), id, ward.sequence());
  keep({event(1, now() - hours{1}, test::checked(0))});
  ward.catch_up(now());
  ward.take_over(std::move(read));
  EXPECT_EQ(ward.find(id)->history.size(), 51u);

  ASSERT_TRUE(ward.keep());  // a start on it has no line in memory
  auto other = this->ward();
  auto early = Ward::read_apart(*ledger_, exchange::default_library(), id, other.sequence() - 1);
  other.take_over(std::move(early));
  EXPECT_TRUE(other.lacks(id)) << "an entry came of it behind that place";
  const engine::Library elsewhere = exchange::default_library();
  other.take_over(Ward::read_apart(*ledger_, elsewhere, id, other.sequence()));
  EXPECT_TRUE(other.lacks(id)) << "by other rules";
}

/// A ward's name that one line alone has may be mistyped: nobody would look for the line there.
TEST_F(WardCost, ALineAloneOnItsWardIsOnEveryBoard) {
  const auto open_on = [&](unsigned line, const std::string& unit) {
    auto opened = test::opened();
    opened.place.unit = unit;
    keep({event(line, test::start, opened)});
  };
  const auto on = [&](Ward& ward, const std::string& unit) {
    std::set<std::string> lines;
    for (const auto* state : ward.open_states(unit)) lines.insert(state->id);
    return lines;
  };
  const auto of = [](std::initializer_list<unsigned> lines) {
    std::set<std::string> ids;
    for (const auto line : lines) ids.insert(test::Lines::id_of(line));
    return ids;
  };
  for (const unsigned line : {1u, 2u}) open_on(line, "Ward 3");
  for (const unsigned line : {3u, 4u}) open_on(line, "Ward 5");
  open_on(5, "Wrad 3");
  auto ward = this->ward();
  EXPECT_EQ(on(ward, "Ward 3"), of({1, 2, 5}));
  EXPECT_EQ(on(ward, "Ward 5"), of({3, 4, 5}));
  EXPECT_TRUE(ward.is_alone_on("Wrad 3", test::Lines::id_of(5)));
  EXPECT_FALSE(ward.is_alone_on("Ward 3", test::Lines::id_of(5)));
  EXPECT_FALSE(ward.is_alone_on(" ", test::Lines::id_of(5))) << "of no ward";
  open_on(6, "Wrad 3");
  ward.catch_up(now());
  EXPECT_EQ(on(ward, "Ward 3"), of({1, 2})) << "two of them are a ward";
  EXPECT_EQ(on(ward, "Wrad 3"), of({5, 6}));
}

}  // namespace
}  // namespace dwell::server
