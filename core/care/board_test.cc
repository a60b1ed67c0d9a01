#include "care/board.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <tuple>

#include "line/test_events.h"
#include "line/test_policy.h"

namespace dwell::care {
namespace {

using std::chrono::hours;
using std::chrono::minutes;
using test::History;

infusate::Formulary small_formulary() {
  infusate::Formulary f;
  f["sodium chloride 0.9 %"].harm = infusate::HarmClass::harmless;
  f["noradrenaline"].harm = infusate::HarmClass::vesicant;
  return f;
}

struct Hospital {
  policy::Policy policy = test::small_policy();
  infusate::Formulary formulary = small_formulary();

  [[nodiscard]] line::State line(const std::string& id, const std::string& bed, const History& history) const {
    auto state = line::fold(history.events, policy);
    state.id = id;
    state.place.bed = bed;
    return state;
  }
};

History running(double millilitres_per_hour = 50, std::string base = "sodium chloride 0.9 %") {
  return History{}
      .at(minutes{0}, test::opened())
      .at(minutes{0}, test::placed())
      .at(minutes{0}, test::infusion(millilitres_per_hour, std::move(base)));
}

TEST(Board, ShowsTheMostUrgentFirst) {
  const Hospital hospital;
  Board board(hospital.policy, hospital.formulary);
  board.put(hospital.line("a", "1", running()), test::start);
  board.put(hospital.line("b", "2", running(5, "noradrenaline")), test::start);
  board.put(hospital.line("c", "3", running()), test::start);
  static_cast<void>(board.advance(test::after(minutes{20})));
  const auto first = board.first(2);
  ASSERT_EQ(first.size(), 2u);
  EXPECT_EQ(first[0].line, "b") << "a vesicant is looked at every 15 min";
  EXPECT_EQ(first[1].line, "a") << "ties by bed";
}

TEST(Board, TimeAloneMovesALineUp) {
  const Hospital hospital;
  Board board(hospital.policy, hospital.formulary);
  board.put(hospital.line("a", "1", running()), test::start);
  const int before = board.first(1).front().urgency;
  static_cast<void>(board.advance(test::after(hours{4})));
  EXPECT_GT(board.first(1).front().urgency, before);
}

TEST(Board, AClosedLineLeaves) {
  const Hospital hospital;
  Board board(hospital.policy, hospital.formulary);
  auto state = hospital.line("a", "1", running());
  board.put(state, test::start);
  board.put(hospital.line("b", "2", running()), test::start);
  state.stage = line::Stage::closed;
  board.put(state, test::start);
  EXPECT_EQ(board.size(), 1u);
  ASSERT_EQ(board.first(9).size(), 1u);
  EXPECT_EQ(board.first(9).front().line, "b");
  board.put(hospital.line("c", "3", running()), test::start);
  EXPECT_EQ(board.size(), 2u);
}

TEST(Board, AsksForTheStateAgainWhenABagRanEmpty) {
  const Hospital hospital;
  Board board(hospital.policy, hospital.formulary);
  board.put(hospital.line("a", "1", running(1000)), test::start);  // 1 L at 1,000 mL/h
  EXPECT_TRUE(board.advance(test::after(minutes{59})).empty());
  EXPECT_EQ(board.advance(test::after(minutes{61})), std::vector<std::string>{"a"});
}

TEST(Board, ALineOfNoKnownUnitIsOnEveryWard) {
  const Hospital hospital;
  Board board(hospital.policy, hospital.formulary);
  auto lost = hospital.line("a", "1", running()), known = hospital.line("b", "2", running());
  lost.place.unit = " ";
  known.place.unit = "Ward 3";
  board.put(lost, test::start);
  board.put(known, test::start);
  EXPECT_EQ(board.first(9, "Ward 3").size(), 2u);
  ASSERT_EQ(board.first(9, "Ward 4").size(), 1u);
  EXPECT_EQ(board.first(9, "Ward 4").front().line, "a");
  EXPECT_EQ(board.first(9).size(), 2u);
}

RC_GTEST_PROP(BoardProperties, AnEditTakesNoLineOffEveryWard, ()) {
  const Hospital hospital;
  auto events = test::any_history();
  auto placed = test::History{}.at(minutes{0}, test::placed()).events.front();
  placed.id = test::id(400);
  events.push_back(placed);
  auto back = placed;
  back.id = test::id(401);
  back.body = line::Retracted{"wrong"};
  back.corrects = test::id(*rc::gen::element(400u, 1u, 2u, 3u));
  events.push_back(back);
  auto state = line::fold(events, hospital.policy);
  if (state.removal) return;
  Board board(hospital.policy, hospital.formulary);
  board.put(state, test::start);
  const bool known = !state.place.unit.empty();
  RC_ASSERT(board.first(1, known ? state.place.unit : "any ward at all").size() == 1u);
}

/// The board never knows better or worse than the list that is made from nothing.
RC_GTEST_PROP(BoardProperties, AgreesWithTheListMadeFromNothing, ()) {
  const Hospital hospital;
  Board board(hospital.policy, hospital.formulary);
  std::map<std::string, line::State> states;
  Instant now = test::start + hours{5};
  const int steps = *rc::gen::inRange(1, 14);
  for (int i = 0; i < steps; ++i) {
    now += minutes{*rc::gen::inRange(0, 300)};
    for (const auto& stale : board.advance(now)) board.put(states.at(stale), now);
    const std::string id = *rc::gen::element<std::string>("a", "b", "c");
    states[id] = hospital.line(id, "1", History{});
    auto events = test::any_history();
    states[id] = line::fold(events, hospital.policy);
    states[id].id = id;
    states[id].place.bed = *rc::gen::element<std::string>("1", "2");
    board.put(states[id], now);
    if (states[id].stage == line::Stage::closed) states.erase(id);

    RC_ASSERT(board.size() == states.size());
    const auto first = board.first(9);
    RC_ASSERT(first.size() == states.size());
    RC_ASSERT(std::is_sorted(first.begin(), first.end(), [](const Board::Place& x, const Board::Place& y) {
      return std::tuple(-x.urgency, x.unit, x.bed, x.line) < std::tuple(-y.urgency, y.unit, y.bed, y.line);
    }));
    for (const auto& place : first) {
      const auto items = due_items(states.at(place.line), hospital.policy, hospital.formulary, now);
      RC_ASSERT(place.urgency == (items.empty() ? 0 : items.front().urgency));
    }
  }
}

RC_GTEST_PROP(BoardProperties, ClocksSayWhatTheItemsSay, ()) {
  const Hospital hospital;
  const auto state = line::fold(test::any_history(), hospital.policy);
  const Instant now = test::start + minutes{*rc::gen::inRange(0, 4000)};
  auto items = due_items(state, hospital.policy, hospital.formulary, now);
  const auto clocks = due_clocks(state, hospital.policy, hospital.formulary, now).clocks;
  RC_ASSERT(items.size() == clocks.size());
  std::vector<std::pair<Task, int>> a, b;
  for (const auto& item : items) a.emplace_back(item.task, item.urgency);
  for (const auto& clock : clocks) b.emplace_back(clock.task, urgency_at(clock, now));
  std::sort(a.begin(), a.end());
  std::sort(b.begin(), b.end());
  RC_ASSERT(a == b);
}

}  // namespace
}  // namespace dwell::care
