// The order of beds on a round, the moments at which a board moves a line, and whose leak is answered first.
#include <gtest/gtest.h>

#include "care/board.h"
#include "care/exposure.h"
#include "care/test_ward.h"

namespace dwell::care {
namespace {

using std::chrono::hours;
using std::chrono::milliseconds;
using std::chrono::minutes;
using test::after;
using test::dwelling;

constexpr milliseconds moment{1};

// ---- the round ----

LineDue at_bed(const std::string& bed, int urgency, const std::string& unit = "") {
  LineDue line;
  line.unit = unit;
  line.bed = bed;
  DueItem item;
  item.title = say::check_the_site();
  item.state = DueState::due;
  item.urgency = urgency;
  line.items = {item};
  return line;
}

std::string walked(const std::vector<LineDue>& ward) {
  std::string beds;
  for (const auto& visit : visits(ward, RoundOrder::walk)) beds += (beds.empty() ? "" : " ") + visit.unit + visit.bed;
  return beds;
}

TEST(RoundLimits, EachHundredOfUrgencyIsABandOfItsOwn) {
  for (const int from : {100, 200, 300, 800}) {
    EXPECT_EQ(walked({at_bed("1", from - 1), at_bed("2", from)}), "2 1") << from;
    EXPECT_EQ(walked({at_bed("2", from), at_bed("1", from + 1)}), "1 2") << from;
  }
  EXPECT_EQ(walked({at_bed("2", 1000), at_bed("1", 800)}), "1 2") << "an alarm is an alarm";
  EXPECT_EQ(walked({at_bed("1", 799), at_bed("2", 800)}), "2 1");
}

TEST(RoundLimits, BedsAreInTheOrderOfTheirNumbers) {
  const auto first = [](const char* a, const char* b) {
    EXPECT_EQ(walked({at_bed(b, 200), at_bed(a, 200)}), std::string(a) + " " + b);
    EXPECT_EQ(walked({at_bed(a, 200), at_bed(b, 200)}), std::string(a) + " " + b);
  };
  first("9", "10");
  first("8", "9");
  first("0", "1");
  first("10", "10a");
  first("10a", "10b");
  first("A2", "A10");
  first("A9", "B1");
  first("1-2", "1-10");
  first("09", "10");
  first("009", "010");
  first("/", "0");
  first(":", "A");
  first("9", ":");
  first("A", "a");
  first("2a9", "2a10");
}

TEST(RoundLimits, UnitBeforeBed) {
  EXPECT_EQ(walked({at_bed("1", 200, "B"), at_bed("2", 200, "A")}), "A2 B1");
  EXPECT_EQ(walked({at_bed("1", 200, "10"), at_bed("2", 200, "9")}), "92 101");
}

TEST(RoundLimits, WhatIsDueLaterIsNoVisit) {
  auto later = at_bed("1", 80);
  later.items.front().state = DueState::later;
  auto soon = at_bed("2", 180);
  soon.items.front().state = DueState::soon;
  EXPECT_EQ(walked({later, soon}), "2");
  EXPECT_EQ(visits({soon, at_bed("2", 280)}).front().urgency, 280);
  EXPECT_EQ(visits({at_bed("2", 280), soon}).front().urgency, 280);
  EXPECT_EQ(visits({soon, at_bed("1", 280)}).front().bed, "1");
}

// ---- the board ----

Board::Place place(const char* line, const char* bed, const char* unit = "Ward 3") { return {line, unit, bed, 0}; }

DueClocks one_clock(minutes due) {
  DueClocks clocks;
  clocks.clocks = {{Task::site_check, after(due), after(due + minutes{15}), after(due - minutes{30}), 80}};
  return clocks;
}

Board board() {
  const auto& ward = test::standard_ward();
  return Board(ward.policy, ward.infusates);
}

TEST(BoardLimits, ALineMovesAtItsMoment) {
  auto all = board();
  all.put(place("a", "1"), one_clock(minutes{60}), test::start);
  const auto urgency_after = [&](Instant now) {
    EXPECT_TRUE(all.advance(now).empty());
    return all.first(1).front().urgency;
  };
  EXPECT_EQ(urgency_after(after(minutes{30}) - moment), 80);
  EXPECT_EQ(urgency_after(after(minutes{30})), 180);
  EXPECT_EQ(urgency_after(after(minutes{60})), 280);
  EXPECT_EQ(urgency_after(after(minutes{75}) - moment), 280);
  EXPECT_EQ(urgency_after(after(minutes{75})), 380);
}

TEST(BoardLimits, TheMostUrgentClockOfALineCounts) {
  auto all = board();
  auto clocks = one_clock(minutes{60});
  clocks.clocks.push_back({Task::flush, after(minutes{600}), after(minutes{615}), after(minutes{570}), 40});
  all.put(place("a", "1"), clocks, after(minutes{60}));
  EXPECT_EQ(all.first(1).front().urgency, 280);
  std::reverse(clocks.clocks.begin(), clocks.clocks.end());
  all.put(place("a", "1"), clocks, after(minutes{60}));
  EXPECT_EQ(all.first(1).front().urgency, 280);
  // The nearest change of any clock is the next.
  EXPECT_TRUE(all.advance(after(minutes{75})).empty());
  EXPECT_EQ(all.first(1).front().urgency, 380);
}

TEST(BoardLimits, ALineIsAskedForOnceWhenItsClocksNoLongerHold) {
  auto all = board();
  auto clocks = one_clock(minutes{600});
  clocks.hold_until = after(minutes{20});
  all.put(place("a", "1"), clocks, test::start);
  EXPECT_TRUE(all.advance(after(minutes{20}) - moment).empty());
  EXPECT_EQ(all.advance(after(minutes{20})), std::vector<std::string>{"a"});
  EXPECT_TRUE(all.advance(after(minutes{21})).empty());
}

TEST(BoardLimits, GivesAsManyAsAskedFor) {
  auto all = board();
  for (const char* bed : {"3", "1", "2"}) all.put(place(bed, bed), one_clock(minutes{60}), test::start);
  EXPECT_TRUE(all.first(0).empty());
  ASSERT_EQ(all.first(2).size(), 2u);
  EXPECT_EQ(all.first(2)[1].bed, "2");
  EXPECT_EQ(all.first(9).size(), 3u);
}

TEST(BoardLimits, APlaceThatWasGivenBackIsTakenAgain) {
  auto all = board();
  auto state = test::folded(dwelling());
  for (const char* id : {"a", "b"}) {
    state.id = id;
    all.put(state, test::start);
  }
  state.id = "a";
  state.stage = line::Stage::closed;
  all.put(state, test::start);
  all.put(state, test::start);
  EXPECT_EQ(all.size(), 1u);
  state.stage = line::Stage::dwelling;
  for (const char* id : {"c", "d"}) {
    state.id = id;
    all.put(state, test::start);
  }
  std::string lines;
  for (const auto& one : all.first(9)) lines += one.line;
  EXPECT_EQ(lines, "bcd");
  // A moment set for the line that left moves nothing of the one that came.
  EXPECT_TRUE(all.advance(after(hours{40})).empty());
  EXPECT_EQ(all.first(9).size(), 3u);
}

TEST(BoardLimits, TimeDoesNotRunBackwards) {
  auto all = board();
  all.put(place("a", "1"), one_clock(minutes{60}), after(minutes{60}));
  all.put(place("b", "2"), one_clock(minutes{60}), test::start);
  EXPECT_EQ(all.now(), after(minutes{60}));
  EXPECT_EQ(all.first(2)[1].urgency, 280);
  EXPECT_TRUE(all.advance(test::start).empty());
  EXPECT_EQ(all.now(), after(minutes{60}));
}

// ---- whose leak is answered first ----

TEST(ExposureLimits, OfTwoThatHarmAlikeTheFamilyThatIsAnsweredFirst) {
  using enum infusate::LeakFamily;
  infusate::Formulary formulary;
  const std::vector<std::vector<infusate::LeakFamily>> rising{
      {none}, {other}, {acidic}, {alkaline_cold}, {alkaline_warm}, {contrast, calcium, hyperosmolar}, {vasopressor}};
  const auto name = [](infusate::LeakFamily family) { return std::string("of ") + std::string(json::name_of(family)); };
  for (const auto& rank : rising)
    for (const auto family : rank) {
      auto& entry = formulary[name(family)];
      entry.name = name(family);
      entry.harm = infusate::HarmClass::vesicant;
      entry.leak_family = family;
    }
  const auto of = [&](infusate::LeakFamily first, infusate::LeakFamily second) {
    const std::vector<infusate::Mixture> ran{{name(first), 100.0 * millilitre, {}},
                                             {name(second), 100.0 * millilitre, {}}};
    return exposure_to(ran, formulary, {}).leak_family;
  };
  for (std::size_t i = 0; i < rising.size(); ++i) {
    for (const auto a : rising[i])
      for (const auto b : rising[i]) EXPECT_EQ(of(a, b), a) << "the first of two alike";
    if (i == 0) continue;
    for (const auto low : rising[i - 1])
      for (const auto high : rising[i]) {
        EXPECT_EQ(of(low, high), high) << name(low) << name(high);
        EXPECT_EQ(of(high, low), high) << name(low) << name(high);
      }
  }
}

TEST(ExposureLimits, WhatHarmsMoreLeadsWhateverItsFamily) {
  infusate::Formulary formulary;
  formulary["mild"].name = "mild";
  formulary["mild"].harm = infusate::HarmClass::irritant;
  formulary["mild"].leak_family = infusate::LeakFamily::vasopressor;
  formulary["grave"].name = "grave";
  formulary["grave"].harm = infusate::HarmClass::vesicant;
  const infusate::Mixture mild{"mild", 100.0 * millilitre, {}}, grave{"grave", 100.0 * millilitre, {}};
  for (const auto& ran : {std::vector{mild, grave}, std::vector{grave, mild}}) {
    EXPECT_EQ(exposure_to(ran, formulary, {}).harm, infusate::HarmClass::vesicant);
    EXPECT_EQ(exposure_to(ran, formulary, {}).leak_family, infusate::LeakFamily::none);
  }
}

TEST(ExposureLimits, TheVolumeSinceTheSiteWasSoundIsNeverBelowNothing) {
  auto state = test::folded(dwelling().at(minutes{0}, test::infusion(60)));
  const auto given = [&](minutes now) {
    return in(*exposure_of(state, test::standard_ward().infusates, {}, after(now)).given_since_sound_check, millilitre);
  };
  EXPECT_NEAR(given(minutes{30}), 30 + in(state.given_in_all, millilitre), 1e-9);
  state.given_until_sound_check = 10.0 * millilitre + state.given_in_all;
  EXPECT_NEAR(given(minutes{30}), 20, 1e-9);
  EXPECT_NEAR(given(minutes{5}), 0, 1e-9);
}

}  // namespace
}  // namespace dwell::care
