// Short histories, all of them: whatever is charted on a line, in whatever order and however absurd, while a catheter
// is in a vein the line dwells and somebody is to look in time, and a leak that nobody answered asks for its answer.
//
// The letters (care/letters.h) hold every kind of event, in its dangerous and in its harmless form where it has both;
// an entry that takes back the one before it is a letter too. They stand 10 min apart. Tried are
//   up to five entries    of every kind that moves a clock, in 47 letters, and of nothing at all in a place
//   up to four entries    of all 68 letters: further forms, and the kinds that move no clock
//   up to three entries   that those with such kinds have the clocks that they have without
//   from where it hurts   up to three of all letters, and four of those that act, where a vasopressor runs, after a
//   leak
//                         and after the removal
// Every state is folded anew from its entries and asked for its clocks, as the ward's board has them; without the
// history's words, which no clock reads: that this changes none is tried on every history of up to three.
#include <gtest/gtest.h>

#include <algorithm>
#include <set>

#include "care/letters.h"
#include "care/told_again.h"
#include "line/wordless.h"

namespace dwell::care {
namespace {

using line::Event;
using std::chrono::minutes;
using test::Letter;

constexpr minutes apart{10};

DueClocks clocks_of(const line::State& state, Instant now) {
  const auto& ward = test::standard_ward();
  return due_clocks(state, ward.policy, ward.infusates, now);
}

std::string in_words(const std::vector<Event>& events) {
  std::string text;
  for (const auto& event : events)
    text += "\n  " + std::string(line::kind_of(event.body)) + " " + json::to_text(json::encode(event.body));
  return text;
}

/// Every history of up to so many entries more.
class Short {
 public:
  Short(const std::vector<Event>& begin, std::vector<Letter> letters) : letters_(std::move(letters)) {
    told_.emplace_back();
    for (const auto& event : begin) {
      told_.push_back(told_.back());
      told_.back().take(event);
      events_.push_back(event);
    }
    slot_ = static_cast<unsigned>(begin.size());
    may_be_taken_back_ = slot_ > 0;
  }

  void go(int more) {
    look();
    for (std::size_t first = 0; first <= letters_.size(); ++first) go_on_with(first, more);
  }

  /// Those that begin with one letter; behind the last letter stands that nothing is charted.
  void go_on_with(std::size_t first, int more) {
    if (more == 0 || ::testing::Test::HasFailure()) return;
    const bool nothing = first == letters_.size();
    if (!nothing && letters_[first].takes_back && !may_be_taken_back_) return;
    const bool before = std::exchange(may_be_taken_back_, !nothing);
    ++slot_;
    if (nothing) {
      go(more - 1);
    } else {
      const Event& event = written(first);
      told_.push_back(letters_[first].takes_back ? told_[told_.size() - 2] : told_.back());
      letters_[first].takes_back ? told_.back().take_back() : told_.back().take(event);
      if (more > 1 || told_.back().asks()) {
        events_.push_back(event);
        go(more - 1);
        events_.pop_back();
      }
      told_.pop_back();
    }
    --slot_;
    may_be_taken_back_ = before;
  }

 private:
  /// What must follow from the entries so far.
  struct Told {
    test::Catheter catheter;
    test::Leak leak;
    test::Left left;
    bool corrected = false;

    void take(const Event& event) {
      catheter.take(event);
      leak.take(event);
      left.take(event);
    }
    void take_back() { corrected = true; }
    /// Of a placement taken back nothing is told here: it keeps counting while anything else says that it was there.
    [[nodiscard]] bool asks_for_looks() const { return !corrected && catheter.is_in(); }
    [[nodiscard]] bool asks() const { return asks_for_looks() || leak.is_open(); }
  };

  [[nodiscard]] Instant moment() const { return test::after(apart * static_cast<int>(slot_)); }

  /// The entry of a letter in this place, written once.
  const Event& written(std::size_t letter) {
    if (written_.size() <= slot_) written_.resize(slot_ + 1);
    auto& here = written_[slot_];
    if (here.empty())
      for (const auto& one : letters_) {
        here.push_back(test::event_of(one.body, moment(), slot_));
        here.back().author = one.author;
      }
    Event& event = here[letter];
    if (letters_[letter].takes_back) event.corrects = events_.back().id;
    return event;
  }

  void look() {
    const auto& told = told_.back();
    if (!told.asks()) return;
    const auto state = line::fold_without_words(events_, test::standard_ward().policy);
    const auto due = clocks_of(state, moment() + apart);
    if (told.asks_for_looks()) {
      const auto looked_at = is_looked_at(told.catheter, state, due);
      if (!looked_at) ADD_FAILURE() << looked_at.message() << in_words(events_);
    }
    const bool asked = std::any_of(due.clocks.begin(), due.clocks.end(),
                                   [](const DueClock& clock) { return clock.task == Task::response; });
    if (told.leak.is_open() && !asked) ADD_FAILURE() << "a leak is not answered" << in_words(events_);
    const bool sought = std::any_of(due.clocks.begin(), due.clocks.end(),
                                    [](const DueClock& clock) { return clock.task == Task::left_unseen; });
    if (told.asks_for_looks() && told.left.is_unseen() && !sought)
      ADD_FAILURE() << "a line left unseen" << in_words(events_);
  }

  std::vector<Letter> letters_;
  std::vector<std::vector<Event>> written_;  ///< by place, then letter
  std::vector<Event> events_;
  std::vector<Told> told_;
  unsigned slot_ = 0;
  bool may_be_taken_back_ = false;  ///< an entry stands right before
};

TEST(ShortHistories, TheAlphabetHoldsEveryKind) {
  std::set<std::string_view> kinds;
  for (const auto& letter : test::alphabet()) kinds.insert(line::kind_of(letter.body));
  EXPECT_EQ(kinds.size(), std::variant_size_v<line::Body>);
  EXPECT_EQ(test::moving().size(), 47U);
  EXPECT_EQ(test::alphabet().size(), 68U);
}

// ---- five entries, in parts that can be tried beside each other ----

constexpr std::size_t parts = 8;
class OfFive : public ::testing::TestWithParam<std::size_t> {};
TEST_P(OfFive, FromNothing) {
  Short walk({}, test::moving());
  const std::size_t letters = test::moving().size();
  for (std::size_t first = GetParam(); first <= letters; first += parts) walk.go_on_with(first, 5);
}
INSTANTIATE_TEST_SUITE_P(ShortHistories, OfFive, ::testing::Range(std::size_t{0}, parts));

TEST(ShortHistories, FourOfAllLetters) { Short({}, test::alphabet()).go(4); }

// ---- what is inert ----

/// What two lists of clocks are compared by.
bool same_clocks(const DueClocks& a, const DueClocks& b) { return json::encode(a) == json::encode(b); }

/// All but that of a contradiction, which dates from the newest entry, whatever that is, and is there when anything
/// stands beside what was taken back.
using ClockTold = std::tuple<Task, Instant, Instant, Instant, int>;
std::vector<ClockTold> told_clocks(const std::vector<Event>& events, Instant now) {
  std::vector<ClockTold> told;
  for (const auto& c : clocks_of(line::fold(events, test::standard_ward().policy), now).clocks)
    if (c.task != Task::contradiction) told.emplace_back(c.task, c.due_at, c.overdue_at, c.soon_at, c.weight);
  return told;
}

bool is_inert(const Event& event) {
  static const auto inert = test::inert();
  return std::any_of(inert.begin(), inert.end(),
                     [&](const line::Body& body) { return body.index() == event.body.index(); });
}

/// Without what is inert, and without what takes that back.
std::vector<Event> without_inert(const std::vector<Event>& events) {
  std::vector<Event> rest;
  std::set<std::string> gone;
  for (const auto& event : events)
    if (is_inert(event) || (event.corrects && gone.contains(*event.corrects)))
      gone.insert(event.id);
    else
      rest.push_back(event);
  return rest;
}

void compare_without_inert(std::vector<Event>& events, const std::vector<Letter>& letters, int more) {
  if (::testing::Test::HasFailure()) return;
  const auto number = static_cast<unsigned>(events.size()) + 1;
  const Instant now = test::after(apart * static_cast<int>(number));
  const auto& policy = test::standard_ward().policy;
  EXPECT_TRUE(
      same_clocks(clocks_of(line::fold(events, policy), now), clocks_of(line::fold_without_words(events, policy), now)))
      << in_words(events);
  if (const auto rest = without_inert(events); rest.size() < events.size()) {
    EXPECT_EQ(told_clocks(events, now), told_clocks(rest, now)) << in_words(events);
  }
  if (more == 0) return;
  for (const auto& letter : letters) {
    if (letter.takes_back && events.empty()) continue;
    auto event = test::event_of(letter.body, now, number);
    event.author = letter.author;
    if (letter.takes_back) event.corrects = events.back().id;
    events.push_back(std::move(event));
    compare_without_inert(events, letters, more - 1);
    events.pop_back();
  }
}

TEST(ShortHistories, WhatIsInertMovesNoClock) {
  std::vector<Event> events;
  compare_without_inert(events, test::alphabet(), 3);
}

// ---- from where it hurts ----

std::vector<Event> vasopressor_runs() {
  return test::dwelling().at(minutes{5}, test::infusion(5, test::vasopressor)).events;
}
std::vector<Event> leak_was_found() {
  return test::dwelling().at(minutes{5}, test::infusion(5, test::vasopressor)).at(minutes{35}, test::leak()).events;
}
std::vector<Event> is_out() { return test::dwelling().at(minutes{25}, test::removed()).events; }

TEST(ShortHistories, WhileAVasopressorRuns) { Short(vasopressor_runs(), test::alphabet()).go(3); }
TEST(ShortHistories, AfterALeak) { Short(leak_was_found(), test::alphabet()).go(3); }
TEST(ShortHistories, AfterRemoval) { Short(is_out(), test::alphabet()).go(3); }
TEST(ShortHistories, OfWhatActsWhileAVasopressorRuns) { Short(vasopressor_runs(), test::acting()).go(4); }
TEST(ShortHistories, OfWhatActsAfterALeak) { Short(leak_was_found(), test::acting()).go(4); }
TEST(ShortHistories, OfWhatActsAfterRemoval) { Short(is_out(), test::acting()).go(4); }

}  // namespace
}  // namespace dwell::care
