// What must hold of every history, however it was charted: random ones of every kind of event. The rules are told again
// in the simplest way (care/told_again.h), and never by the program's own. Short ones are tried all of them, in
// tests/histories.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>

#include "care/findings.h"
#include "care/letters.h"
#include "care/told_again.h"

namespace dwell::care {
namespace {

using line::Event;
using std::chrono::hours;
using std::chrono::minutes;

std::vector<Event> in_time(std::vector<Event> events) {
  std::sort(events.begin(), events.end(), [](const Event& a, const Event& b) {
    return std::tie(a.occurred_at, a.id) < std::tie(b.occurred_at, b.id);
  });
  return events;
}

::testing::AssertionResult holds_of(const std::vector<Event>& events, Instant now) {
  const auto& ward = test::standard_ward();
  test::Catheter told;
  for (const auto& event : in_time(events)) told.take(event);
  const auto state = line::fold(events, ward.policy);
  return is_looked_at(told, state, due_clocks(state, ward.policy, ward.infusates, now));
}

line::Body one_that_answers_nothing() {
  const auto letters = test::acting();
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

RC_GTEST_PROP(AnyHistory, ACatheterInAVeinIsOnTheListAndIsLookedAtInTime, ()) {
  RC_ASSERT(holds_of(any_shift(), test::after(hours{20})));
}

RC_GTEST_PROP(AnyHistory, AnUnansweredFindingStandsWhateverElseIsCharted, ()) {
  auto events = any_shift();
  auto leak = test::leak();
  leak.signs.present.push_back(site::Sign::blister_or_skin_loss);
  events.push_back(test::event_of(leak, test::any_moment(), 500));
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
  events.push_back(test::event_of(attempt, test::any_moment(), 500));
  auto short_of_it = test::removed();
  short_of_it.tip_whole = false;
  events.push_back(test::event_of(short_of_it, test::after(hours{5}), 501));
  const auto state = line::fold(test::shuffled_with_repeats(events), test::standard_ward().policy);
  const auto due = test::due_at(state, test::after(hours{20}));
  RC_ASSERT(test::item(Task::response, due).has_value());
  // Two removals of one catheter: the second is a contradiction, and that is on the list.
  RC_ASSERT(
      (test::item(Task::catheter_missing_alarm, due).has_value() || test::item(Task::contradiction, due).has_value()));
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

}  // namespace
}  // namespace dwell::care
