// What falls due, at each limit and a moment beside it; how a ward is put in order; what each task weighs.
#include <gtest/gtest.h>

#include <map>

#include "care/test_ward.h"
#include "line/test_policy.h"
#include "say/care.h"
#include "say/common.h"
#include "say/line.h"

namespace dwell::care {
namespace {

using policy::SiteCheckClass;
using std::chrono::hours;
using std::chrono::milliseconds;
using std::chrono::minutes;
using test::after;
using test::dwelling;
using test::History;

constexpr milliseconds moment{1};

/// Every other clock is far away: each test moves its own.
struct Ward {
  policy::Policy policy = test::standard_ward().policy;

  [[nodiscard]] line::State folded(const History& history) const { return line::fold(history.events, policy); }
  [[nodiscard]] std::vector<DueItem> due(const line::State& state, Instant now) const {
    return due_items(state, policy, test::standard_ward().infusates, now);
  }
  [[nodiscard]] std::optional<DueItem> item(Task task, const line::State& state, Instant now,
                                            const Message& title = {}) const {
    return test::item(task, due(state, now), title);
  }
  [[nodiscard]] DueClocks clocks(const line::State& state, Instant now) const {
    return due_clocks(state, policy, test::standard_ward().infusates, now);
  }
};

// ---- what each task weighs ----

TEST(DueLimits, WhatEachTaskWeighs) {
  Ward ward;
  ward.policy.watch.routine_dwell = test::figure<Interval>(hours{72});
  const std::map<Task, int> weights{
      {Task::contradiction, 95}, {Task::follow_up, 88},     {Task::tubing_trace, 85},
      {Task::site_check, 80},    {Task::bag_change, 75},    {Task::removal, 70},
      {Task::drip_recount, 60},  {Task::after_check, 50},   {Task::flush, 40},
      {Task::set_change, 35},    {Task::add_on_change, 32}, {Task::dressing_change, 30},
      {Task::need_review, 20},   {Task::response, 800},     {Task::catheter_missing_alarm, 1000},
      {Task::left_unseen, 900}};
  std::map<Task, int> seen;
  const auto note = [&](const line::State& state, Instant now) {
    for (const auto& item : ward.due(state, now)) {
      const int weight = item.urgency >= 800 ? item.urgency : item.urgency - 100 * static_cast<int>(item.state);
      const auto [place, is_new] = seen.emplace(item.task, weight);
      EXPECT_EQ(place->second, weight) << item.title.id();
    }
  };
  auto started = test::infusion(50);
  started.delivery = line::Delivery::gravity;
  auto runs = dwelling().at(minutes{0}, started);
  for (const auto now : {after(minutes{1}), after(hours{4}), after(hours{200})}) note(ward.folded(runs), now);
  runs.at(minutes{2}, line::Moved{{"Hill Hospital", "Ward 4", "2"}});
  note(ward.folded(runs), after(minutes{3}));
  note(ward.folded(dwelling()), after(minutes{1}));
  note(ward.folded(dwelling().at(minutes{1}, test::placed())), after(minutes{2}));
  auto leak = dwelling().at(minutes{1}, test::leak());
  note(ward.folded(leak), after(minutes{2}));
  note(ward.folded(leak.at(minutes{3}, test::responded("leak_harmless", {"stopped", "marked"}))), after(minutes{4}));
  auto answered = dwelling().at(minutes{1}, test::infusion(5, test::vasopressor)).at(minutes{2}, line::InfusionEnded{});
  answered.at(minutes{10}, test::leak()).at(minutes{12}, test::answered_leak()).at(minutes{13}, test::leak());
  for (const auto& item : ward.due(ward.folded(answered), after(minutes{14})))
    if (item.task == Task::follow_up) seen.emplace(item.task, item.urgency - 100 * static_cast<int>(item.state));
  note(ward.folded(dwelling().at(minutes{1}, test::removed())), after(minutes{2}));
  auto broken = test::removed();
  broken.tip_whole = false;
  note(ward.folded(dwelling().at(minutes{1}, broken)), after(minutes{2}));
  note(ward.folded(dwelling().at(minutes{1}, line::Departed{})), after(minutes{2}));
  EXPECT_EQ(seen, weights);
  const auto vesicant = ward.folded(dwelling().at(minutes{1}, test::infusion(5, test::vasopressor)));
  const auto check = ward.item(Task::site_check, vesicant, after(minutes{2}));
  EXPECT_EQ(check->urgency - 100 * static_cast<int>(check->state), 90);
}

TEST(DueLimits, TheMostUrgentFirstAndTheEarlierOfTwo) {
  const Ward ward;
  auto placed = test::placed();
  placed.asepsis = line::Asepsis::not_assured;
  auto h = History{}.at(minutes{0}, test::opened()).at(minutes{0}, placed);
  h.at(hours{30}, line::RemovalOrdered{"Dr. Vane", "going home"});
  const auto items = ward.due(ward.folded(h), after(hours{40}));
  std::vector<Instant> removals;
  for (const auto& item : items)
    if (item.task == Task::removal) removals.push_back(item.due_at);
  EXPECT_EQ(removals, (std::vector<Instant>{after(hours{24}), after(hours{30})}));
}

// ---- late, soon ----

TEST(DueLimits, WhatHasNoIntervalIsLateAfterAQuarterOfAnHour) {
  const Ward ward;
  const auto state = ward.folded(dwelling().at(hours{5}, line::RemovalOrdered{"Dr. Vane", "going home"}));
  const auto at = [&](Instant now) { return ward.item(Task::removal, state, now)->state; };
  EXPECT_EQ(at(after(hours{5}) - moment), DueState::soon);
  EXPECT_EQ(at(after(hours{5})), DueState::due);
  EXPECT_EQ(at(after(minutes{315}) - moment), DueState::due);
  EXPECT_EQ(at(after(minutes{315})), DueState::overdue);
}

TEST(DueLimits, ARemovalThatWasPutOffWaitsUntilThen) {
  const Ward ward;
  auto h = dwelling().at(hours{5}, line::RemovalOrdered{"Dr. Vane", "going home"});
  h.at(hours{6}, line::PutOff{Task::removal, after(minutes{390}), "asleep"});
  const auto state = ward.folded(h);
  EXPECT_EQ(ward.item(Task::removal, state, after(minutes{390}) - moment)->put_off_until, after(minutes{390}));
  EXPECT_FALSE(ward.item(Task::removal, state, after(minutes{390}))->put_off_until);
}

TEST(DueLimits, APutOffCountsFromWhenItsClockBeganToRun) {
  const Ward ward;
  const auto waits = [&](milliseconds put_off_at) {
    auto state = ward.folded(dwelling().at(minutes{0}, test::infusion(50)).at(hours{2}, test::all_normal()));
    state.put_off = {{test::start + put_off_at, "R. Ode", {Task::site_check, after(minutes{380}), "asleep"}}};
    return ward.item(Task::site_check, state, after(minutes{361}))->put_off_until.has_value();
  };
  EXPECT_TRUE(waits(hours{2}));
  EXPECT_FALSE(waits(hours{2} - moment));
}

TEST(DueLimits, WhatWaitsIsLateAtOnceAndSoonBefore) {
  const Ward ward;
  auto state = ward.folded(dwelling().at(minutes{0}, test::infusion(50)));
  state.put_off = {{after(minutes{235}), "R. Ode", {Task::site_check, after(minutes{290}), "asleep"}}};
  const auto clocks = ward.clocks(state, after(minutes{250}));
  const auto clock = std::find_if(clocks.clocks.begin(), clocks.clocks.end(),
                                  [](const DueClock& one) { return one.task == Task::site_check; });
  ASSERT_NE(clock, clocks.clocks.end());
  EXPECT_EQ(clock->due_at, after(minutes{290}));
  EXPECT_EQ(clock->soon_at, after(minutes{260}));
  EXPECT_EQ(clock->overdue_at, after(minutes{305}));
  EXPECT_EQ(clocks.hold_until, after(minutes{290}));
}

TEST(DueLimits, WhenAClockChangesNext) {
  DueClock clock{Task::site_check, after(minutes{60}), after(minutes{75}), after(minutes{30}), 80};
  EXPECT_EQ(next_change(clock, after(minutes{30}) - moment), after(minutes{30}));
  EXPECT_EQ(next_change(clock, after(minutes{30})), after(minutes{60}));
  EXPECT_EQ(next_change(clock, after(minutes{60})), after(minutes{75}));
  EXPECT_EQ(next_change(clock, after(minutes{75})), std::nullopt);
  EXPECT_EQ(urgency_at(clock, after(minutes{30}) - moment), 80);
  EXPECT_EQ(urgency_at(clock, after(minutes{30})), 180);
  EXPECT_EQ(urgency_at(clock, after(minutes{60})), 280);
  EXPECT_EQ(urgency_at(clock, after(minutes{75})), 380);
  clock.weight = 800;
  EXPECT_EQ(next_change(clock, after(minutes{0})), std::nullopt);
  EXPECT_EQ(urgency_at(clock, after(minutes{75})), 800);
  clock.weight = 799;
  EXPECT_EQ(urgency_at(clock, after(minutes{75})), 1099);
}

// ---- until when the clocks hold ----

TEST(DueLimits, ABirthdayMovesTheClocks) {
  const Ward ward;
  const auto holds_until = [&](const char* born) {
    auto state = ward.folded(dwelling());
    state.patient.birth_date = *parse_date(born);
    return ward.clocks(state, test::start).hold_until;
  };
  EXPECT_EQ(holds_until("2026-11-01"), *parse_instant("2026-11-29T00:00:00Z"));
  EXPECT_EQ(holds_until("2026-03-15"), *parse_instant("2027-03-15T00:00:00Z"));
  EXPECT_EQ(holds_until("2012-02-29"), *parse_instant("2028-02-29T00:00:00Z"));
  EXPECT_EQ(holds_until("2020-03-15"), *parse_instant("2036-03-15T00:00:00Z"));
  EXPECT_EQ(holds_until("1986-03-15"), std::nullopt);
}

TEST(DueLimits, ABirthdayThatAYearLacks) {
  const Ward ward;
  auto state = ward.folded(dwelling());
  state.patient.birth_date = *parse_date("2024-02-29");
  EXPECT_EQ(ward.clocks(state, *parse_instant("2024-11-25T08:00:00Z")).hold_until,
            *parse_instant("2025-02-28T00:00:00Z"));
}

TEST(DueLimits, ABagThatRunsEmptyMovesTheClocks) {
  const Ward ward;
  const auto state = ward.folded(dwelling().at(minutes{0}, test::infusion(50)));  // 1 L: 20 h
  EXPECT_EQ(ward.clocks(state, after(hours{20}) - moment).hold_until, after(hours{20}));
  EXPECT_EQ(ward.clocks(state, after(hours{20})).hold_until, std::nullopt);
}

TEST(DueLimits, ABagIsEmptyAtItsMoment) {
  const Ward ward;
  const auto state = ward.folded(dwelling().at(minutes{0}, test::infusion(50)));
  EXPECT_EQ(ward.item(Task::bag_change, state, after(hours{20}))->why, say::bag_empty());
  EXPECT_NE(ward.item(Task::bag_change, state, after(hours{20}) - moment)->why, say::bag_empty());
  EXPECT_FALSE(ward.item(Task::need_review, state, after(hours{20}) - moment));
  EXPECT_EQ(ward.item(Task::need_review, state, after(hours{20}))->due_at, after(hours{44}));
}

TEST(DueLimits, WhatDoesNotRunIsNotCountedAndIsNoUse) {
  const Ward ward;
  auto started = test::infusion(50);
  started.delivery = line::Delivery::gravity;
  auto state = ward.folded(dwelling().at(hours{1}, started));
  EXPECT_TRUE(ward.item(Task::drip_recount, state, after(hours{2})));
  state.running->flow = Flow();
  EXPECT_FALSE(ward.item(Task::drip_recount, state, after(hours{2})));
  EXPECT_FALSE(ward.item(Task::bag_change, state, after(hours{2})));
  EXPECT_EQ(ward.item(Task::need_review, state, after(hours{2}))->due_at, after(hours{25}));
}

// ---- the site ----

TEST(DueLimits, WhoseAgeIsNotKnownIsTakenForANewborn) {
  const Ward ward;
  auto state = ward.folded(dwelling().at(minutes{0}, test::infusion(50)));
  state.patient.birth_date.reset();
  EXPECT_EQ(site_check_class(state, ward.policy, test::standard_ward().infusates, utc_date(test::start)),
            SiteCheckClass::neonate);
  EXPECT_EQ(ward.item(Task::site_check, state, test::start)->why,
            line::clauses({say::due_every(say::taken_as_newborn(), hours{1}), say::age_not_recorded()}));
  state.patient.birth_date = utc_date(test::start);
  EXPECT_EQ(ward.item(Task::site_check, state, test::start)->why, say::due_every(say::is_newborn(), hours{1}));
}

TEST(DueLimits, OfTwoEqualIntervalsTheFirstNamesIt) {
  Ward ward;
  ward.policy.watch.site_check[SiteCheckClass::cannot_report].value = minutes{15};
  auto state = ward.folded(dwelling().at(minutes{0}, test::infusion(5, test::vasopressor)));
  state.patient.can_report_pain = false;
  const auto kind = [&] {
    return site_check_class(state, ward.policy, test::standard_ward().infusates, utc_date(test::start));
  };
  EXPECT_EQ(kind(), SiteCheckClass::vesicant);
  ward.policy.watch.site_check[SiteCheckClass::cannot_report].value -= Interval{1};
  EXPECT_EQ(kind(), SiteCheckClass::cannot_report);
}

TEST(DueLimits, ACheckThatWasNoLook) {
  const Ward ward;
  const auto said = [](const Message& why) {
    return line::key_of(why).find(line::key_of(say::last_check_no_look())) != std::string::npos;
  };
  auto h = dwelling().at(minutes{10}, test::all_normal());
  EXPECT_FALSE(said(ward.item(Task::site_check, ward.folded(h), after(minutes{11}))->why));
  h.at(minutes{12}, test::not_looked());
  EXPECT_TRUE(said(ward.item(Task::site_check, ward.folded(h), after(minutes{13}))->why));
}

// ---- the tubing, the set, the dressing ----

TEST(DueLimits, TracedAtTheMomentOfTheMoveIsTraced) {
  const Ward ward;
  auto state = ward.folded(dwelling().at(minutes{0}, test::infusion(50)));
  state.moved_at = after(minutes{60});
  EXPECT_TRUE(ward.item(Task::tubing_trace, state, after(minutes{61})));
  state.traced_at = after(minutes{60}) - moment;
  EXPECT_TRUE(ward.item(Task::tubing_trace, state, after(minutes{61})));
  state.traced_at = after(minutes{60});
  EXPECT_FALSE(ward.item(Task::tubing_trace, state, after(minutes{61})));
  state.traced_at.reset();
  state.running.reset();
  EXPECT_FALSE(ward.item(Task::tubing_trace, state, after(minutes{61}))) << "no tubing";
}

TEST(DueLimits, TheStricterRuleOfASetStands) {
  Ward ward;
  ward.policy.watch.set_continuous.value = hours{3};
  const auto state = ward.folded(dwelling().at(minutes{0}, test::infusion(50, "red cells")));
  const auto set = ward.item(Task::set_change, state, after(hours{1}));
  EXPECT_EQ(set->due_at, after(hours{3}));
  EXPECT_TRUE(set->may_wait);
  ward.policy.watch.set_continuous.value = ward.policy.watch.set_blood.value;
  EXPECT_TRUE(ward.item(Task::set_change, state, after(hours{1}))->may_wait) << "as strict is not stricter";
}

TEST(DueLimits, ASetThatWasTakenOffIsChangedOften) {
  const Ward ward;
  auto h = dwelling().at(minutes{0}, test::infusion(50)).at(hours{1}, line::InfusionEnded{});
  EXPECT_FALSE(ward.item(Task::set_change, ward.folded(h), after(hours{2})));
  h.at(hours{1}, test::flushed(true)).at(hours{2}, test::infusion(50)).at(hours{3}, line::InfusionEnded{});
  EXPECT_EQ(ward.item(Task::set_change, ward.folded(h), after(hours{4}))->due_at, after(hours{24}));
}

TEST(DueLimits, EveryItemNamesItsInterval) {
  const Ward ward;
  const auto state = ward.folded(dwelling().at(minutes{0}, test::infusion(50)));
  EXPECT_EQ(ward.item(Task::dressing_change, state, test::start)->why, say::due_every(say::is_film(), hours{7 * 24}));
  EXPECT_EQ(ward.item(Task::set_change, state, test::start)->why,
            say::due_every(say::runs_continuously(), hours{4 * 24}));
  const auto gauze = ward.folded(dwelling().at(hours{1}, line::DressingChanged{line::Dressing::gauze, ""}));
  EXPECT_EQ(ward.item(Task::dressing_change, gauze, test::start)->why, say::due_every(say::is_gauze(), hours{2 * 24}));
}

// ---- what a card leaves behind ----

/// A card that is answered by anything done: hourly for 24 h, and at 24 and 48 h.
Ward with_card() {
  Ward ward;
  auto& card = ward.policy.responses["leak_harmless"];
  policy::FollowUp hourly, days;
  hourly.text = "Hourly";
  hourly.every = test::figure<Interval>(hours{1});
  hourly.until = test::figure<Interval>(hours{24});
  days.text = "Days";
  days.at = test::figure<std::vector<Interval>>({hours{24}, hours{48}});
  card.answering.emplace();
  card.answering->follow_up = {hourly, days};
  return ward;
}

line::State answered_then_looked(const Ward& ward, milliseconds looked_at) {
  auto state = ward.folded(dwelling()
                               .at(minutes{0}, test::leak())
                               .at(minutes{0}, line::Responded{"leak_harmless", {"Stopped."}, "", "", {}}));
  state.last_look_at = test::start + looked_at;
  return state;
}

TEST(DueLimits, ALookJustBeforeTheEndIsTheLastOfTheHourly) {
  const Ward ward = with_card();
  const auto last = hours{24} - minutes{30};
  const auto before = answered_then_looked(ward, last - moment);
  EXPECT_EQ(ward.item(Task::follow_up, before, after(hours{23}), Wording("Hourly"))->due_at, after(hours{24}));
  EXPECT_FALSE(ward.item(Task::follow_up, answered_then_looked(ward, last), after(hours{23}), Wording("Hourly")));
  EXPECT_EQ(
      ward.item(Task::follow_up, answered_then_looked(ward, hours{2}), after(hours{2}), Wording("Hourly"))->due_at,
      after(hours{3}));
}

TEST(DueLimits, ALookJustBeforeItsDayIsTheLookOfThatDay) {
  const Ward ward = with_card();
  const auto early = hours{24} - minutes{30};
  const auto due = [&](milliseconds looked) {
    return ward.item(Task::follow_up, answered_then_looked(ward, looked), after(hours{23}), Wording("Days"))->due_at;
  };
  EXPECT_EQ(due(early - moment), after(hours{24}));
  EXPECT_EQ(due(early), after(hours{48}));
  EXPECT_FALSE(ward.item(Task::follow_up, answered_then_looked(ward, hours{48} - minutes{30}), after(hours{47}),
                         Wording("Days")));
}

TEST(DueLimits, AfterRemovalOneIsLookedForAsLongAsThePolicyAsks) {
  const Ward ward = with_card();
  auto state = ward.folded(dwelling()
                               .at(minutes{0}, test::removed())
                               .at(minutes{0}, line::Responded{"leak_harmless", {"Stopped."}, "", "", {}}));
  ASSERT_EQ(state.stage, line::Stage::removed);
  const auto due = [&](milliseconds looked) {
    state.last_look_at = test::start + looked;
    return ward.item(Task::after_check, state, after(hours{1})).has_value();
  };
  // The days of the card end at 48 h too: a later one keeps the line open.
  auto longer = ward;
  longer.policy.responses["leak_harmless"].answering->follow_up->back().at->value.push_back(hours{96});
  const auto with_longer = [&](milliseconds looked) {
    state.last_look_at = test::start + looked;
    return longer.item(Task::after_check, state, after(hours{1})).has_value();
  };
  EXPECT_TRUE(with_longer(hours{48} - moment));
  EXPECT_FALSE(with_longer(hours{48}));
  EXPECT_TRUE(due(hours{48})) << "nothing more is to come: the line itself should have closed";
  state.findings.emplace_back();
  EXPECT_TRUE(with_longer(hours{48})) << "something stands";
}

TEST(DueLimits, BleedingThatHadNotStoppedIsLookedAtAtOnce) {
  const Ward ward;
  auto removed = test::removed();
  removed.bleeding_stopped = false;
  auto h = dwelling().at(hours{1}, removed);
  EXPECT_EQ(ward.item(Task::after_check, ward.folded(h), after(hours{1}))->title, say::look_at_site_again());
  h.at(hours{2}, test::after_checked(0, false));
  EXPECT_EQ(ward.item(Task::after_check, ward.folded(h), after(hours{2}))->due_at, after(hours{49}));
  removed.bleeding_stopped.reset();
  EXPECT_EQ(ward.item(Task::after_check, ward.folded(dwelling().at(hours{1}, removed)), after(hours{1}))->due_at,
            after(hours{49}));
}

// ---- what was found ----

TEST(DueLimits, TheLatestOfWhatWasAnsweredIsDecidedOn) {
  const Ward ward;
  auto state = ward.folded(dwelling());
  line::FoundMark first;
  first.event = "1";
  first.since = first.as_now = first.at = after(minutes{10});
  first.signs.assessed = true;
  first.signs.present = {site::Sign::redness, site::Sign::pain};
  first.grades = {{"phlebitis 0 to 4", "1", 2, false}};
  auto second = first;
  second.event = "2";
  second.grades = {{"phlebitis 0 to 4", "1", 3, false}};
  const auto decided = [&](Instant at_second) {
    second.at = at_second;
    state.findings = {first, second};
    state.responses = {{after(minutes{20}), "R. Ode", line::Responded{"phlebitis_remove", {"Stopped."}, "", "", {}}},
                       {after(minutes{20}), "R. Ode", line::Responded{"phlebitis_treat", {"Stopped."}, "", "", {}}}};
    return ward.item(Task::removal, state, after(minutes{30}), say::decide_on_removal())->why;
  };
  const auto still_in = [](int grade) {
    return say::found_and_still_in(say::scale_grade(say::listed_name("phlebitis 0 to 4"), grade));
  };
  EXPECT_EQ(decided(after(minutes{11})), still_in(3));
  EXPECT_EQ(decided(after(minutes{10})), still_in(3));
  EXPECT_EQ(decided(after(minutes{9})), still_in(2));
}

TEST(DueLimits, WhatTheLastLookFoundAndWhatWasFoundBefore) {
  const Ward ward;
  auto h = dwelling().at(minutes{10}, test::leak());
  EXPECT_TRUE(test::item(Task::response, ward.due(ward.folded(h), after(minutes{11})), say::act_on_last_look()));
  h.at(minutes{12}, test::look({site::Sign::redness, site::Sign::pain}, {{"phlebitis 0 to 4", "1", 2, false}}));
  const auto items = ward.due(ward.folded(h), after(minutes{13}));
  EXPECT_EQ(test::item(Task::response, items, say::act_on_last_look())->due_at, after(minutes{12}));
  EXPECT_EQ(test::item(Task::response, items, say::act_on_found_before())->due_at, after(minutes{10}));
}

TEST(DueLimits, AnAnswerCountsFromTheMomentOfWhatWasFound) {
  const Ward ward;
  const auto open = [&](milliseconds answered_at) {
    auto state = ward.folded(dwelling().at(minutes{10}, test::leak()));
    state.responses = {
        {test::start + answered_at, "R. Ode", line::Responded{"leak_harmless", {"Stopped."}, "", "", {}}}};
    return ward.item(Task::response, state, after(minutes{20})).has_value();
  };
  EXPECT_FALSE(open(minutes{10}));
  EXPECT_TRUE(open(minutes{10} - moment));
}

TEST(DueLimits, AnAnswerInVainIsSaidWhenItCameAfterwards) {
  const Ward ward;
  const auto said = [&](milliseconds answered_at) {
    auto state = ward.folded(dwelling().at(minutes{10}, test::leak()));
    state.responses = {{test::start + answered_at, "R. Ode", line::Responded{"occlusion", {"Looked."}, "", "", {}}}};
    return line::key_of(ward.item(Task::response, state, after(minutes{20}))->why)
               .find(line::key_of(say::response_in_vain())) != std::string::npos;
  };
  EXPECT_TRUE(said(minutes{10}));
  EXPECT_FALSE(said(minutes{10} - moment));
}

// ---- the ward ----

TEST(DueLimits, AWardByUrgencyBedAndLine) {
  const Ward ward;
  std::vector<line::State> states;
  for (const auto& [bed, line] : {std::pair("2", "a"), {"1", "c"}, {"1", "b"}}) {
    states.push_back(ward.folded(dwelling()));
    states.back().id = line;
    states.back().place.bed = bed;
    states.back().patient.number = line;
  }
  std::string order;
  for (const auto& line : ward_due(states, ward.policy, test::standard_ward().infusates, after(minutes{1})))
    order += line.line;
  EXPECT_EQ(order, "bca");
}

TEST(DueLimits, NeighboursAreOfOnePatientAndLieOrWillLieThere) {
  const Ward ward;
  const auto findings = [&](line::State first, line::State second) {
    first.id = "a";
    second.id = "b";
    std::string out;
    for (const auto& line : ward_due({first, second}, ward.policy, test::standard_ward().infusates, test::start))
      if (!line.findings.empty()) out += line.line;
    return out;
  };
  const auto lies = ward.folded(dwelling());
  EXPECT_EQ(findings(lies, lies).size(), 2u);
  // A line that is only planned is told of the one that lies there, and says nothing to it.
  auto planned = ward.folded(History{}.at(minutes{0}, test::opened()));
  planned.planned.emplace();
  planned.planned->site = lies.placement->placed.site;
  EXPECT_EQ(findings(lies, planned), "b");
  auto attempted = planned;
  attempted.stage = line::Stage::attempted;
  EXPECT_EQ(findings(lies, attempted), "b");
  auto removed = lies;
  removed.stage = line::Stage::removed;
  EXPECT_EQ(findings(lies, removed), "");
  // Without a number a patient is a name in a bed, which may be that of a line that has the number.
  auto unnumbered = lies;
  unnumbered.patient.number.clear();
  EXPECT_EQ(findings(unnumbered, unnumbered).size(), 2u);
  EXPECT_EQ(findings(lies, unnumbered), "ab");
  auto elsewhere = unnumbered;
  elsewhere.place.bed = "13";
  EXPECT_EQ(findings(unnumbered, elsewhere), "");
}

}  // namespace
}  // namespace dwell::care
