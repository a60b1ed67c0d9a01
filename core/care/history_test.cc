// What must hold of every history, however it was charted: random ones of every kind of event, and short ones
// exhaustively over an alphabet that holds each kind in its dangerous and in its harmless form. The rules are told
// again here in the simplest way, and never by the program's own.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cstdlib>
#include <set>

#include "care/findings.h"
#include "care/test_ward.h"

namespace dwell::care {
namespace {

using line::Event;
using std::chrono::hours;
using std::chrono::minutes;

// ---- what the record says, told again ----

template <class Fact>
const Fact* fact(const Event& event) {
  return std::get_if<Fact>(&event.body);
}

std::vector<Event> in_time(std::vector<Event> events) {
  std::sort(events.begin(), events.end(), [](const Event& a, const Event& b) {
    return std::tie(a.occurred_at, a.id) < std::tie(b.occurred_at, b.id);
  });
  return events;
}

int catheters_in(const std::vector<Event>& events) {
  int in = 0;
  for (const auto& event : in_time(events)) {
    if (fact<line::Placed>(event)) ++in;
    if (fact<line::Removed>(event)) in = std::max(0, in - 1);
  }
  return in;
}

const site::Signs* signs_of(const Event& event) {
  if (const auto* check = fact<line::SiteChecked>(event)) return &check->signs;
  if (const auto* after = fact<line::AfterChecked>(event)) return &after->signs;
  const auto* removed = fact<line::Removed>(event);
  return removed ? &removed->signs : nullptr;
}

/// No later than what the policy allows after the last look that was one; by the gentlest clock that can apply.
Instant latest_next_look(const std::vector<Event>& events) {
  constexpr const char* harmless = "sodium chloride 0.9 %";
  std::optional<Instant> from, harm;
  bool harm_runs = false;
  for (const auto& event : in_time(events)) {
    const Instant at = event.occurred_at;
    if (fact<line::Placed>(event)) from = std::max(from.value_or(at), at);
    if (const auto* signs = signs_of(event); signs && signs->assessed) {
      from = std::max(from.value_or(at), at);
      const auto* check = fact<line::SiteChecked>(event);
      if (check && signs->present.empty() && !harm_runs) harm.reset();
    }
    if (const auto* started = fact<line::InfusionStarted>(event)) {
      harm_runs = started->mixture.base != harmless;
      for (const auto& additive : started->mixture.additives) harm_runs |= additive.name != harmless;
      if (harm_runs) harm = at;
    }
    if (fact<line::InfusionEnded>(event) || fact<line::Removed>(event)) harm_runs = false;
    if (const auto* flushed = fact<line::Flushed>(event)) {
      if (flushed->fluid != harmless) harm = at;
      if (flushed->locks) harm_runs = false;
    }
  }
  return from.value_or(test::start) + (harm ? minutes{15} : minutes{hours{8}});
}

::testing::AssertionResult holds_of(const std::vector<Event>& events, Instant now) {
  const auto& ward = test::standard_ward();
  const auto state = line::fold(events, ward.policy);
  const auto items = test::due_at(state, now);
  if (catheters_in(events) > 0) {
    if (state.stage != line::Stage::dwelling)
      return ::testing::AssertionFailure() << "a catheter is in the vein, and the line is not dwelling";
    const auto look = test::item(Task::site_check, items);
    if (!look) return ::testing::AssertionFailure() << "a catheter is in the vein, and nobody is to look";
    if (look->due_at > latest_next_look(events))
      return ::testing::AssertionFailure() << "the next look is too late: " << iso(look->due_at);
  }
  return ::testing::AssertionSuccess();
}

// ---- what acts ----

struct Letter {
  line::Body body;
  const char* author = "R. Ode";
  bool takes_back = false;  ///< the entry before it
};

template <class Fact>
Fact with(auto&& change) {
  Fact fact{};
  change(fact);
  return fact;
}

/// What acts on catheter, clock or finding, in its dangerous and its harmless form.
std::vector<Letter> acting() {
  auto short_of_it = test::removed();
  short_of_it.length_found = 20.0 * millimetre;
  auto unknown_length = test::removed();
  unknown_length.length_found.reset();
  auto broken = test::all_normal();
  broken.dressing_intact = false;
  broken.still_needed = false;
  auto stiff = test::flushed(true);
  stiff.resistance = true;
  return {{test::placed()},
          {test::removed()},
          {short_of_it},
          {unknown_length},
          {test::infusion(50)},
          {test::infusion(5, test::vasopressor)},
          {line::InfusionEnded{}},
          {test::flushed(true)},
          {stiff},
          {test::pushed(test::vasopressor)},
          {test::pushed("")},
          {test::leak()},
          {test::all_normal()},
          {test::all_normal(), "B. Cole"},
          {test::not_looked()},
          {broken},
          {test::answered_leak()},
          {line::Responded{"", {}, "", "", {}}},
          {line::Responded{"catheter_fragment", {"Call now."}, "the doctor", "", {}}},
          {with<line::Attempted>([](auto& a) { a.outcome = line::AttemptOutcome::nerve_pain; })},
          {with<line::Attempted>([](auto& a) { a.outcome = line::AttemptOutcome::placed; })},
          {test::after_checked(3, true)},
          {test::after_checked(0, true)},
          {line::Retracted{"wrong line"}, "R. Ode", true}};
}

// ---- random histories ----

line::Body one_that_answers_nothing() {
  const auto letters = acting();
  auto body = letters[*rc::gen::inRange<std::size_t>(0, letters.size())].body;
  const bool answers = std::holds_alternative<line::Responded>(body) || std::holds_alternative<line::Retracted>(body);
  return answers ? line::Body{test::all_normal()} : body;
}

/// Entries of every kind, half of them such as act, by one person within a shift; nobody dies of them.
std::vector<Event> any_shift() {
  const auto length = *rc::gen::inRange(1u, 14u);
  std::vector<Event> events;
  for (unsigned i = 1; i <= length; ++i) {
    Event event = test::any_event(i, length);
    event.corrects.reset();
    event.author = "R. Ode";
    if (*rc::gen::arbitrary<bool>()) event.body = one_that_answers_nothing();
    if (auto* removed = std::get_if<line::Removed>(&event.body))
      if (removed->reason == line::RemovalReason::death) removed->reason = line::RemovalReason::other;
    if (std::holds_alternative<line::Retracted>(event.body)) event.body = line::Noted{"nothing"};
    events.push_back(std::move(event));
  }
  return events;
}

Event event_of(line::Body body, Instant at, unsigned number) {
  Event event;
  event.id = test::id(number);
  event.line = test::line_id;
  event.occurred_at = event.recorded_at = at;
  event.author = "R. Ode";
  event.body = std::move(body);
  return event;
}

RC_GTEST_PROP(AnyHistory, ACatheterInAVeinIsOnTheListAndIsLookedAtInTime, ()) {
  RC_ASSERT(holds_of(any_shift(), test::after(hours{20})));
}

RC_GTEST_PROP(AnyHistory, AnUnansweredFindingStandsWhateverElseIsCharted, ()) {
  auto events = any_shift();
  auto leak = test::leak();
  leak.signs.present.push_back(site::Sign::blister_or_skin_loss);
  events.push_back(event_of(leak, test::any_moment(), 500));
  const auto& ward = test::standard_ward();
  const auto state = line::fold(test::shuffled_with_repeats(events), ward.policy);
  RC_ASSERT(state.stage != line::Stage::closed);
  const bool stands = std::any_of(state.findings.begin(), state.findings.end(), [&](const line::FoundMark& mark) {
    const auto& present = mark.signs.present;
    return std::find(present.begin(), present.end(), site::Sign::blister_or_skin_loss) != present.end() &&
           asked_by(mark, state, ward.policy, ward.infusates).open();
  });
  RC_ASSERT(stands);
  const auto due = test::due_at(state, test::after(hours{20}));
  RC_ASSERT(test::item(Task::response, due).has_value());
}

RC_GTEST_PROP(AnyHistory, WhatHurtAtAnAttemptOrIsNotWholeStands, ()) {
  auto events = any_shift();
  line::Attempted attempt;
  attempt.outcome = *rc::gen::element(line::AttemptOutcome::arterial, line::AttemptOutcome::nerve_pain);
  events.push_back(event_of(attempt, test::any_moment(), 500));
  auto short_of_it = test::removed();
  short_of_it.tip_whole = false;
  events.push_back(event_of(short_of_it, test::after(hours{5}), 501));
  const auto state = line::fold(test::shuffled_with_repeats(events), test::standard_ward().policy);
  const auto due = test::due_at(state, test::after(hours{20}));
  RC_ASSERT(test::item(Task::response, due).has_value());
  // Two removals of one catheter: the second is a contradiction, and that is on the list.
  RC_ASSERT(test::item(Task::catheter_missing_alarm, due).has_value() ||
            test::item(Task::contradiction, due).has_value());
}

/// One entry that reassures says less, or is gone; nothing when this one does not reassure.
std::optional<std::vector<Event>> with_less_said(std::vector<Event> events, std::size_t at) {
  auto& body = events[at].body;
  if (auto* check = std::get_if<line::SiteChecked>(&body)) {
    const bool found = !check->signs.present.empty() || check->signs.pain_score.value_or(0) > 0 ||
                       std::any_of(check->grades.begin(), check->grades.end(),
                                   [](const auto& g) { return g.unmatched || g.grade.value_or(0) > 0; });
    if (found) return std::nullopt;
    check->signs = {};
    check->grades.clear();
    return events;
  }
  if (auto* responded = std::get_if<line::Responded>(&body)) {
    *responded = {};
    return events;
  }
  if (auto* started = std::get_if<line::InfusionStarted>(&body)) {
    started->mixture.base = "not told";
    return events;
  }
  if (auto* flushed = std::get_if<line::Flushed>(&body)) {
    flushed->fluid.clear();
    return events;
  }
  const auto* traced = std::get_if<line::TubingTraced>(&body);
  const auto* dressed = std::get_if<line::DressingChanged>(&body);
  if ((dressed && dressed->dressing == line::Dressing::film) || std::holds_alternative<line::AddOnChanged>(body) ||
      (traced && traced->as_meant)) {
    events.erase(events.begin() + static_cast<std::ptrdiff_t>(at));
    return events;
  }
  return std::nullopt;
}

/// What may go, and only then. An answer that says less brings its question back in place of what followed from it: the
/// looks of its card, and the decision on removal. With an entry goes its own contradiction ("dressing changed, but no
/// placement is charted"). Where a look says less, what it had found gone too soon is not gone any more: had somebody
/// answered it, it stands answered, the looks of that card go on, and no improvement is left for a second person to
/// confirm.
bool may_go(const line::Body& said, const DueItem& item) {
  if (std::holds_alternative<line::Responded>(said)) return item.task == Task::follow_up || item.task == Task::removal;
  if (std::holds_alternative<line::SiteChecked>(said))
    return item.task == Task::follow_up && item.title == say::confirm_it_is_gone();
  return item.task == Task::contradiction;
}

RC_GTEST_PROP(AnyHistory, SayingLessSilencesNothing, ()) {
  const auto events = any_shift();
  const auto& policy = test::standard_ward().policy;
  const Instant now = test::after(hours{20});
  const auto before = test::due_at(line::fold(events, policy), now);
  for (std::size_t at = 0; at < events.size(); ++at) {
    const auto less = with_less_said(events, at);
    if (!less) continue;
    const auto after = test::due_at(line::fold(*less, policy), now);
    for (const auto& item : before) {
      const bool kept =
          may_go(events[at].body, item) || std::any_of(after.begin(), after.end(), [&](const DueItem& one) {
            return one.task == item.task && one.due_at <= item.due_at;
          });
      if (!kept) RC_LOG() << line::kind_of(events[at].body) << ": " << item.title.id() << ": " << item.why.id() << '\n';
      RC_ASSERT(kept);
    }
  }
}

// ---- short histories, all of them ----

/// Every kind.
std::vector<Letter> alphabet() {
  auto letters = acting();
  dosing::Order order;
  order.mixture = test::infusion(50).mixture;
  const auto no_blood = [](auto fact) {
    fact.blood_return = false;
    return fact;
  };
  const std::vector<line::Body> rest{
      test::opened(),
      no_blood(test::flushed(true)),
      no_blood(test::all_normal()),
      with<line::Attempted>([](auto& a) { a.outcome = line::AttemptOutcome::infiltrated; }),
      line::Ordered{order},
      line::Assessed{},
      line::OrderDoubleChecked{"B. Cole", false, ""},
      line::Planned{},
      line::Prepared{},
      line::Refused{"a check", "", ""},
      line::SupplyUsed{},
      line::RateChanged{},
      line::DripCounted{},
      line::DressingChanged{},
      line::SetChanged{},
      line::AddOnChanged{},
      line::TubingTraced{false, ""},
      line::TubingTraced{true, ""},
      line::Photographed{},
      line::PutOff{Task::response, test::after(hours{10}), "later"},
      line::PutOff{Task::site_check, test::after(hours{10}), "later"},
      line::Assigned{},
      line::HandedOver{},
      line::RemovalOrdered{},
      line::Moved{},
      line::Noted{},
      line::RetentionHeld{},
      line::RetentionReleased{}};
  for (const auto& body : rest) letters.push_back({body});
  return letters;
}

TEST(ShortHistories, TheAlphabetHoldsEveryKind) {
  std::set<std::string_view> kinds;
  for (const auto& letter : alphabet()) kinds.insert(line::kind_of(letter.body));
  EXPECT_EQ(kinds.size(), std::variant_size_v<line::Body>);
}

bool is_answer_to_leak(const Event& event) {
  const auto* responded = fact<line::Responded>(event);
  return responded && responded->response == "leak_vesicant_vasopressor";
}

/// Each entry is taken back by the one after it, if by any.
bool stands(const std::vector<Event>& events, std::size_t i) {
  return !(i + 1 < events.size() && events[i + 1].corrects == events[i].id && stands(events, i + 1));
}

/// A leak that nobody answered, took back, or found gone as the second of two.
bool leak_is_open(const std::vector<Event>& events) {
  bool open = false, answered = false, runs = false;
  std::set<std::string> found_gone;
  for (std::size_t i = 0; i < events.size(); ++i) {
    const auto& event = events[i];
    if (!stands(events, i) || fact<line::Retracted>(event)) continue;
    const auto* flushed = fact<line::Flushed>(event);
    if (fact<line::InfusionStarted>(event)) runs = true;
    if (fact<line::InfusionEnded>(event) || fact<line::Removed>(event) || (flushed && flushed->locks)) runs = false;
    if (flushed || runs) answered = false;  // what goes in can leak again
    const auto* signs = signs_of(event);
    const auto* check = fact<line::SiteChecked>(event);
    if (check && check->signs.present == test::leak().signs.present) {
      open = open || !answered;
      found_gone.clear();
    } else if (signs && signs->assessed) {
      found_gone.insert(event.author);
    }
    if (is_answer_to_leak(event)) answered = true;
    if (answered || found_gone.size() > 1) open = false;
  }
  return open;
}

class Short {
 public:
  Short(std::vector<Event> begin, std::vector<Letter> letters)
      : events_(std::move(begin)), letters_(std::move(letters)) {}

  /// Every history of up to so many more entries.
  void go(int more) {
    if (::testing::Test::HasFailure()) return;
    look();
    if (more == 0) return;
    for (const auto& letter : letters_) {
      const auto number = static_cast<unsigned>(events_.size()) + 1;
      auto event = event_of(letter.body, test::after(minutes{10 * number}), number);
      event.author = letter.author;
      if (letter.takes_back) {
        if (events_.empty()) continue;
        event.corrects = events_.back().id;
      }
      events_.push_back(std::move(event));
      go(more - 1);
      events_.pop_back();
    }
  }

 private:
  void look() {
    const Instant now = test::after(minutes{10 * static_cast<int>(events_.size() + 1)});
    const bool corrected = std::any_of(events_.begin(), events_.end(), [](const Event& e) { return e.corrects; });
    if (!corrected) {
      EXPECT_TRUE(holds_of(events_, now)) << told();
    }
    if (!leak_is_open(events_)) return;
    const auto due = test::due_at(line::fold(events_, test::standard_ward().policy), now);
    EXPECT_TRUE(test::item(Task::response, due)) << "a leak is not answered" << told();
  }

  [[nodiscard]] std::string told() const {
    std::string text;
    for (const auto& event : events_)
      text += "\n  " + std::string(line::kind_of(event.body)) + " " + json::to_text(json::encode(event.body));
    return text;
  }

  std::vector<Event> events_;
  std::vector<Letter> letters_;
};

/// DWELL_SHORT_HISTORIES=5 tries all of five entries (a night's work); without it as many as a check can wait for.
int length(int usual) {
  const char* asked = std::getenv("DWELL_SHORT_HISTORIES");
  return asked ? std::atoi(asked) : usual;
}

std::vector<Event> nothing_yet() { return {}; }
std::vector<Event> vasopressor_runs() {
  return test::dwelling().at(minutes{5}, test::infusion(5, test::vasopressor)).events;
}
std::vector<Event> leak_was_found() {
  return test::dwelling().at(minutes{5}, test::infusion(5, test::vasopressor)).at(minutes{35}, test::leak()).events;
}
std::vector<Event> is_out() { return test::dwelling().at(minutes{25}, test::removed()).events; }

TEST(ShortHistories, OfEveryKindFromNothing) { Short(nothing_yet(), alphabet()).go(length(2)); }
TEST(ShortHistories, OfEveryKindWhileAVasopressorRuns) { Short(vasopressor_runs(), alphabet()).go(length(2)); }
TEST(ShortHistories, OfEveryKindAfterALeak) { Short(leak_was_found(), alphabet()).go(length(2)); }
TEST(ShortHistories, OfEveryKindAfterRemoval) { Short(is_out(), alphabet()).go(length(2)); }
TEST(ShortHistories, OfWhatActs) { Short(nothing_yet(), acting()).go(length(4)); }
TEST(ShortHistories, OfWhatActsAfterALeak) { Short(leak_was_found(), acting()).go(length(3)); }

}  // namespace
}  // namespace dwell::care
