#include "care/due.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>

#include "line/clauses.h"
#include "line/test_events.h"
#include "line/test_policy.h"
#include "quantity/display.h"
#include "say/care.h"
#include "say/common.h"
#include "say/line.h"

namespace dwell::care {
namespace {

using policy::SiteCheckClass;
using std::chrono::hours;
using std::chrono::milliseconds;
using std::chrono::minutes;
using std::chrono::seconds;
using test::History;

const infusate::Formulary& formulary() {
  static const infusate::Formulary all = [] {
    infusate::Formulary f;
    const auto add = [&](const char* name, infusate::HarmClass harm, infusate::FluidKind kind) {
      f[name].name = name;
      f[name].harm = harm;
      f[name].kind = kind;
    };
    add("sodium chloride 0.9 %", infusate::HarmClass::harmless, infusate::FluidKind::crystalloid);
    add("dextrose 10 %", infusate::HarmClass::irritant, infusate::FluidKind::dextrose);
    add("noradrenaline", infusate::HarmClass::vesicant, infusate::FluidKind::medicine);
    add("red cells", infusate::HarmClass::harmless, infusate::FluidKind::blood);
    add("not yet classed", infusate::HarmClass::unknown, infusate::FluidKind::medicine);
    return f;
  }();
  return all;
}

struct Ward {
  policy::Policy policy = test::small_policy();

  [[nodiscard]] line::State folded(const History& history) const { return line::fold(history.events, policy); }
  [[nodiscard]] std::vector<DueItem> due(const History& history, Instant now) const {
    return due_items(folded(history), policy, formulary(), now);
  }
  [[nodiscard]] std::optional<DueItem> item(Task task, const History& history, Instant now) const {
    for (const auto& item : due(history, now))
      if (item.task == task) return item;
    return std::nullopt;
  }
  [[nodiscard]] SiteCheckClass kind(const History& history) const {
    return site_check_class(folded(history), policy, formulary(), utc_date(test::start));
  }
};

History dwelling() { return History{}.at(minutes{0}, test::opened()).at(minutes{0}, test::placed()); }
History running() { return dwelling().at(minutes{0}, test::infusion(50)); }

// ---- the moment ----

TEST(Due, ChangesStateExactlyAtItsMoments) {
  const Ward ward;
  const auto h = running();
  const auto state_at = [&](Instant now) { return ward.item(Task::site_check, h, now)->state; };
  const Instant due = test::after(hours{4});
  EXPECT_EQ(ward.item(Task::site_check, h, test::start)->due_at, due);
  EXPECT_EQ(state_at(due - minutes{30} - milliseconds{1}), DueState::later);
  EXPECT_EQ(state_at(due - minutes{30}), DueState::soon);
  EXPECT_EQ(state_at(due - milliseconds{1}), DueState::soon);
  EXPECT_EQ(state_at(due), DueState::due);
  EXPECT_EQ(state_at(due + minutes{15} - milliseconds{1}), DueState::due);
  EXPECT_EQ(state_at(due + minutes{15}), DueState::overdue);
}

TEST(Due, ShortIntervalsAreOverdueAfterAQuarter) {
  const Ward ward;
  const auto h = dwelling().at(minutes{0}, test::infusion(5, "noradrenaline"));
  const Instant due = test::after(minutes{15});
  EXPECT_EQ(ward.item(Task::site_check, h, due + seconds{224})->state, DueState::due);
  EXPECT_EQ(ward.item(Task::site_check, h, due + seconds{225})->state, DueState::overdue);
}

TEST(Due, CountsFromTheLastCheckElseFromPlacement) {
  const Ward ward;
  auto h = running();
  h.at(hours{3}, test::checked(0));
  EXPECT_EQ(ward.item(Task::site_check, h, test::start)->due_at, test::after(hours{7}));
}

// ---- the class of a site check ----

TEST(SiteCheckClock, TakesTheStrictestThatApplies) {
  Ward ward;
  EXPECT_EQ(ward.kind(running()), SiteCheckClass::adult_infusing);
  EXPECT_EQ(ward.kind(dwelling()), SiteCheckClass::locked);
  EXPECT_EQ(ward.kind(dwelling().at(minutes{1}, test::infusion(5, "noradrenaline"))), SiteCheckClass::vesicant);
  EXPECT_EQ(ward.kind(dwelling().at(minutes{1}, test::infusion(5, "dextrose 10 %"))), SiteCheckClass::adult_infusing);

  auto opened = test::opened();
  opened.patient.birth_date = Date{std::chrono::year{2020} / 1 / 1};
  auto placed = test::placed();
  placed.site.region = access::Region::antecubital;
  auto child = History{}.at(minutes{0}, opened).at(minutes{0}, placed);
  EXPECT_EQ(ward.kind(child), SiteCheckClass::child);
  child.at(minutes{1}, test::infusion());
  EXPECT_EQ(ward.kind(child), SiteCheckClass::child) << "1 h is stricter than 90 min at the bend";
  ward.policy.watch.site_check[SiteCheckClass::child].value = hours{3};
  EXPECT_EQ(ward.kind(child), SiteCheckClass::flexion_site);

  opened = test::opened();
  opened.patient.can_report_pain = false;
  EXPECT_EQ(ward.kind(History{}.at(minutes{0}, opened).at(minutes{0}, test::placed())), SiteCheckClass::cannot_report);
}

TEST(SiteCheckClock, EachAgeOfAChildHasItsOwnWhereThePolicyDoes) {
  Ward ward;
  auto& checks = ward.policy.watch.site_check;
  checks[SiteCheckClass::neonate] = test::figure<Interval>(minutes{30});
  checks[SiteCheckClass::infant] = test::figure<Interval>(minutes{45});
  checks[SiteCheckClass::child_locked] = test::figure<Interval>(hours{6});
  const auto born = [](Date day) {
    auto opened = test::opened();
    opened.patient.birth_date = day;
    return History{}.at(minutes{0}, opened).at(minutes{0}, test::placed());
  };
  const Date today = utc_date(test::start);
  const auto days_old = [&](int days) { return born(Date(std::chrono::sys_days(today) - std::chrono::days{days})); };
  const auto running_kind = [&](History h) { return ward.kind(h.at(minutes{1}, test::infusion())); };
  EXPECT_EQ(running_kind(days_old(27)), SiteCheckClass::neonate);
  EXPECT_EQ(running_kind(days_old(28)), SiteCheckClass::infant);
  EXPECT_EQ(running_kind(days_old(400)), SiteCheckClass::child);
  EXPECT_EQ(ward.kind(days_old(27)), SiteCheckClass::child_locked);
  checks.erase(SiteCheckClass::neonate);
  checks.erase(SiteCheckClass::child_locked);
  EXPECT_EQ(running_kind(days_old(27)), SiteCheckClass::child) << "an edition of policy that knows children alone";
  EXPECT_EQ(ward.kind(days_old(27)), SiteCheckClass::child);
}

TEST(Due, AChildsLineIsNotReplacedByTheCalendar) {
  Ward ward;
  ward.policy.watch.routine_dwell = test::figure<Interval>(hours{72});
  const auto born = [](int year) {
    auto opened = test::opened();
    opened.patient.birth_date = Date{std::chrono::year{year} / 1 / 1};
    return History{}.at(minutes{0}, opened).at(minutes{0}, test::placed());
  };
  EXPECT_TRUE(ward.item(Task::removal, born(1960), test::start));
  EXPECT_FALSE(ward.item(Task::removal, born(2020), test::start));
}

TEST(Due, AChildsFilmIsLookedAtNotChangedByTheCalendar) {
  Ward ward;
  ward.policy.watch.film_rule[line::AgeBand::child] = test::figure<Wording>("changed when loose");
  auto opened = test::opened();
  opened.patient.birth_date = Date{std::chrono::year{2020} / 1 / 1};
  const auto item =
      ward.item(Task::dressing_change, History{}.at(minutes{0}, opened).at(minutes{0}, test::placed()), test::start);
  ASSERT_TRUE(item);
  EXPECT_EQ(item->title, say::look_whether_film_must_go());
  EXPECT_EQ(item->why, Message(Wording("changed when loose")));
  EXPECT_EQ(item->due_at, test::after(hours{7 * 24}));
}

TEST(SiteCheckClock, UnknownIsNotTakenAsSafe) {
  const Ward ward;
  for (const char* name : {"something new", "not yet classed"}) {
    const auto h = dwelling().at(minutes{1}, test::infusion(5, name));
    EXPECT_EQ(ward.kind(h), SiteCheckClass::vesicant) << name;
    EXPECT_EQ(ward.item(Task::site_check, h, test::start)->why,
              say::due_every(say::unknown_running(), std::chrono::minutes{15}));
  }
  auto started = test::infusion();
  started.mixture.additives = {{"noradrenaline", 4.0 * millilitre}};
  EXPECT_EQ(ward.kind(dwelling().at(minutes{1}, started)), SiteCheckClass::vesicant);
  auto opened = test::opened();
  opened.patient.birth_date.reset();
  opened.patient.can_report_pain.reset();
  EXPECT_EQ(
      ward.item(Task::site_check, History{}.at(minutes{0}, opened).at(minutes{0}, test::placed()), test::start)->why,
      line::clauses(
          {say::due_every(say::is_child(), hours{1}), say::age_not_recorded(), say::pain_report_not_recorded()}));
}

TEST(SiteCheckClock, APolicyWithoutTheClassIsSaidAndNotWaitedFor) {
  Ward ward;
  ward.policy.watch.site_check.clear();
  const auto item = ward.item(Task::site_check, running(), test::after(minutes{20}));
  ASSERT_TRUE(item);
  EXPECT_EQ(item->state, DueState::overdue);
  EXPECT_EQ(item->why, say::no_interval_given(say::is_infusing()));
}

// ---- the other items ----

TEST(Due, LockedLineIsFlushedRunningLineIsNot) {
  const Ward ward;
  EXPECT_EQ(ward.item(Task::flush, dwelling(), test::start)->due_at, test::after(hours{12}));
  EXPECT_FALSE(ward.item(Task::flush, running(), test::start));
  EXPECT_EQ(ward.item(Task::flush, dwelling().at(hours{5}, test::flushed(true)), test::start)->due_at,
            test::after(hours{17}));
}

TEST(Due, DressingByItsKindAndAtOnceWhenLoose) {
  const Ward ward;
  auto h = dwelling();
  EXPECT_EQ(ward.item(Task::dressing_change, h, test::start)->due_at, test::after(hours{7 * 24}));
  h.at(hours{1}, line::DressingChanged{line::Dressing::gauze, "oozing"});
  EXPECT_EQ(ward.item(Task::dressing_change, h, test::start)->due_at, test::after(hours{49}));
  auto look = test::checked(0);
  look.dressing_intact = false;
  h.at(hours{2}, look);
  EXPECT_EQ(ward.item(Task::dressing_change, h, test::after(hours{2}))->due_at, test::after(hours{2}));
  h.at(hours{3}, line::DressingChanged{line::Dressing::film, ""});
  EXPECT_EQ(ward.item(Task::dressing_change, h, test::start)->due_at, test::after(hours{3 + 7 * 24}));
}

TEST(Due, SetByUse) {
  const Ward ward;
  EXPECT_FALSE(ward.item(Task::set_change, dwelling(), test::start));
  auto h = running();
  EXPECT_EQ(ward.item(Task::set_change, h, test::start)->due_at, test::after(hours{96}));
  h.at(hours{1}, line::InfusionEnded{}).at(hours{1}, test::flushed(true)).at(hours{6}, test::infusion(50));
  EXPECT_EQ(ward.item(Task::set_change, h, test::start)->due_at, test::after(hours{24}));
  EXPECT_EQ(ward.item(Task::set_change, dwelling().at(hours{1}, test::infusion(100, "red cells")), test::start)->due_at,
            test::after(hours{5}));
}

TEST(Due, BagWhenItWillBeEmpty) {
  const Ward ward;
  const auto h = running();  // 1,000 mL at 50 mL/h
  const auto item = ward.item(Task::bag_change, h, test::after(hours{19}) + minutes{40});
  EXPECT_EQ(item->due_at, test::after(hours{20}));
  EXPECT_EQ(item->state, DueState::soon);
  EXPECT_EQ(item->why, say::bag_left(shown(50.0 / 3.0 * millilitre), shown(50.0 * millilitre / hour)));
  EXPECT_EQ(ward.item(Task::bag_change, h, test::after(hours{21}))->why, say::bag_empty());
  EXPECT_FALSE(ward.item(Task::bag_change, dwelling(), test::start));
}

TEST(Due, GravityIsCountedAgain) {
  const Ward ward;
  auto started = test::infusion(50);
  started.delivery = line::Delivery::gravity;
  auto h = dwelling().at(hours{1}, started);
  EXPECT_EQ(ward.item(Task::drip_recount, h, test::start)->due_at, test::after(hours{3}));
  line::DripCounted count;
  h.at(hours{2}, count);
  EXPECT_EQ(ward.item(Task::drip_recount, h, test::start)->due_at, test::after(hours{4}));
  h.at(hours{3}, line::RateChanged{20.0 * millilitre / hour, ""});
  EXPECT_EQ(ward.item(Task::drip_recount, h, test::start)->due_at, test::after(hours{5}))
      << "a new rate is a new count";
  EXPECT_FALSE(ward.item(Task::drip_recount, running(), test::start)) << "a pump counts itself";
}

TEST(Due, IdleLineIsAskedAbout) {
  const Ward ward;
  EXPECT_EQ(ward.item(Task::need_review, dwelling().at(hours{2}, test::flushed(true)), test::start)->due_at,
            test::after(hours{24}))
      << "a flush is no use";
  EXPECT_FALSE(ward.item(Task::need_review, running(), test::after(hours{19})));
  EXPECT_EQ(ward.item(Task::need_review, running(), test::after(hours{40}))->due_at, test::after(hours{44}))
      << "the bag ran dry after 20 h";
  auto look = test::checked(0);
  look.still_needed = false;
  EXPECT_EQ(ward.item(Task::need_review, running().at(hours{1}, look), test::after(hours{1}))->state, DueState::due);
}

TEST(Due, RemovalByOrderEmergencyAndSchedule) {
  Ward ward;
  EXPECT_FALSE(ward.item(Task::removal, dwelling(), test::start)) << "clinically indicated: no schedule";
  const auto ordered = dwelling().at(hours{5}, line::RemovalOrdered{"Dr. Vane", "going home"});
  EXPECT_EQ(ward.item(Task::removal, ordered, test::start)->due_at, test::after(hours{5}));
  EXPECT_EQ(ward.item(Task::removal, ordered, test::start)->why,
            say::removal_was_ordered(say::as_written("“going home”")));
  auto placed = test::placed();
  placed.asepsis = line::Asepsis::not_assured;
  EXPECT_EQ(ward.item(Task::removal, History{}.at(hours{1}, placed), test::start)->due_at, test::after(hours{49}));
  ward.policy.watch.routine_dwell = test::figure<Interval>(hours{96});
  EXPECT_EQ(ward.item(Task::removal, dwelling(), test::start)->due_at, test::after(hours{96}));
}

TEST(Due, FindingAsksForAnAnswerAndThenForADecision) {
  const Ward ward;
  EXPECT_FALSE(ward.item(Task::response, running().at(hours{1}, test::checked(1)), test::after(hours{1})));
  auto h = running().at(hours{1}, test::checked(2));
  const auto item = ward.item(Task::response, h, test::after(hours{1}));
  ASSERT_TRUE(item);
  EXPECT_EQ(ward.due(h, test::after(hours{10})).front().task, Task::response) << "before anything late";
  EXPECT_EQ(item->why,
            line::clauses({say::scale_grade(say::listed_name("phlebitis 0 to 4"), 2), say::no_response_charted()}));
  h.at(hours{2}, line::Responded{"phlebitis_remove", {"Stop the infusion."}, "", ""});
  EXPECT_FALSE(ward.item(Task::response, h, test::after(hours{2})));
  EXPECT_TRUE(ward.item(Task::removal, h, test::after(hours{2}))) << "answered, and the line is still in";
  h.at(hours{3}, test::checked(0));
  EXPECT_FALSE(ward.item(Task::removal, h, test::after(hours{3})));
}

TEST(Due, UnmatchedSignsAndAnOpenedCardAskToo) {
  const Ward ward;
  auto look = test::checked(0);
  look.grades = {{"phlebitis 0 to 5", "1", {}, true}};
  EXPECT_EQ(ward.item(Task::response, running().at(hours{1}, look), test::start)->why,
            line::clauses({say::person_must_judge("phlebitis 0 to 5"), say::no_response_charted()}));
  look = test::checked(1);
  look.response = "leak_vesicant_vasopressor";
  EXPECT_TRUE(ward.item(Task::response, running().at(hours{1}, look), test::start)) << "any leak of a vesicant";
}

TEST(Due, MissingCatheterIsFirstOfAll) {
  const Ward ward;
  auto fact = test::removed();
  fact.length_found = 17.0 * millimetre;
  fact.grades = {{"phlebitis 0 to 4", "2", 4, false}};
  auto h = dwelling().at(hours{30}, fact);
  const auto items = ward.due(h, test::after(hours{30}));
  EXPECT_EQ(items.front().task, Task::catheter_missing_alarm);
  EXPECT_EQ(items.front().why, say::length_missing(shown(8.0 * millimetre)));
  EXPECT_EQ(items.front().urgency, 1000);
  h.at(hours{31}, line::Responded{"phlebitis_remove", {"Stop the infusion."}, "", ""});
  EXPECT_TRUE(ward.item(Task::catheter_missing_alarm, h, test::after(hours{31}))) << "that answers the phlebitis only";
  h.at(hours{31}, line::Responded{"catheter_fragment", {}, "", ""});
  EXPECT_TRUE(ward.item(Task::catheter_missing_alarm, h, test::after(hours{31}))) << "nothing was done";
  h.at(hours{31}, line::Responded{"catheter_fragment", {}, "the surgeon", ""});
  EXPECT_FALSE(ward.item(Task::catheter_missing_alarm, h, test::after(hours{31})));
}

TEST(Due, SiteIsLookedAtAfterRemoval) {
  const Ward ward;
  auto h = dwelling().at(hours{30}, test::removed());
  EXPECT_EQ(ward.due(h, test::start).size(), 1U);
  EXPECT_EQ(ward.item(Task::after_check, h, test::start)->due_at, test::after(hours{78}));
  h.at(hours{40}, test::after_checked(2, false));
  EXPECT_TRUE(ward.item(Task::response, h, test::start));
  h.at(hours{41}, test::after_checked(0, true));
  EXPECT_TRUE(ward.item(Task::response, h, test::start)) << "healed within the hour: to be confirmed";
  h.at(hours{42}, test::after_checked(0, true)).events.back().author = "B. Cole";
  EXPECT_TRUE(ward.due(h, test::start).empty()) << "closed";
  auto bleeding = test::removed();
  bleeding.bleeding_stopped = false;
  EXPECT_EQ(ward.item(Task::after_check, dwelling().at(hours{30}, bleeding), test::start)->due_at,
            test::after(hours{30}));
}

TEST(Due, EveryItemSaysWhyAndWhoseRule) {
  const Ward ward;
  auto started = test::infusion(50);
  started.delivery = line::Delivery::gravity;
  for (const auto& item :
       ward.due(dwelling().at(hours{1}, started).at(hours{2}, test::checked(3)), test::after(hours{90}))) {
    EXPECT_FALSE(item.title.empty());
    EXPECT_FALSE(item.why.empty()) << item.title.id();
    EXPECT_FALSE(item.source.text.empty()) << item.title.id();
  }
}

RC_GTEST_PROP(Due, TimeOnlyMakesAnItemMoreUrgent, ()) {
  const auto state = line::fold(test::any_history(), test::small_policy());
  const auto policy = test::small_policy();
  const auto now = test::any_moment();
  const auto later = now + minutes{*rc::gen::inRange(0, 600)};
  const auto before = due_items(state, policy, formulary(), now), after = due_items(state, policy, formulary(), later);
  for (const auto& item : before)
    for (const auto& again : after)
      if (again.task == item.task && again.due_at == item.due_at && again.title == item.title)
        RC_ASSERT(again.urgency >= item.urgency);
  RC_ASSERT(std::is_sorted(after.begin(), after.end(), [](auto& a, auto& b) { return a.urgency > b.urgency; }));
}

// ---- ward and visits ----

TEST(WardDue, OrdersByUrgencyThenBedAndLeavesClosedOut) {
  const Ward ward;
  std::vector<line::State> states;
  const auto add = [&](const char* bed, History h) {
    states.push_back(ward.folded(h));
    states.back().place.bed = bed;
    states.back().id = test::id(static_cast<unsigned>(states.size()));
  };
  add("7", running());
  add("3", running());
  add("9", running().at(hours{1}, test::checked(3)));
  add("1", dwelling().at(hours{1}, test::removed()).at(hours{2}, test::after_checked(0, true)));
  add("4", History{}.at(minutes{0}, test::opened()));
  const auto due = ward_due(states, ward.policy, formulary(), test::after(hours{4}));
  std::vector<std::string> beds;
  for (const auto& line : due) beds.push_back(line.bed);
  EXPECT_EQ(beds, (std::vector<std::string>{"9", "3", "7", "4"}));
  EXPECT_EQ(due[0].urgency, 800);
  EXPECT_EQ(due[1].next_at, test::after(hours{4}));
  EXPECT_FALSE(due[3].next_at);
  EXPECT_EQ(due[1].patient, line::display_name(test::opened().patient));
}

// ---- danger ----

/// A look that opened a card which is no emergency unless the policy says so.
line::SiteChecked inflamed() {
  auto look = test::checked(3);
  look.response = "phlebitis_remove";
  return look;
}

TEST(Danger, OfTwoAnswersTheEmergencyStandsFirst) {
  Ward ward;
  const auto h = running().at(hours{1}, inflamed());
  const auto plain = ward.item(Task::response, h, test::after(hours{2}));
  ASSERT_TRUE(plain);
  EXPECT_EQ(plain->danger, Danger::can_hurt);
  EXPECT_EQ(plain->urgency, 800);
  ASSERT_FALSE(plain->cards.empty());
  for (const auto& name : plain->cards) ward.policy.responses[name].emergency = true;
  const auto grave = ward.item(Task::response, h, test::after(hours{2}));
  ASSERT_TRUE(grave);
  EXPECT_EQ(grave->danger, Danger::emergency);
  EXPECT_EQ(grave->urgency, 950) << "before a line that left";
}

TEST(Danger, AnEmergencyFoundGoneTooSoonStaysOne) {
  Ward ward;
  ward.policy.responses["phlebitis_remove"].emergency = true;
  const auto h = running().at(hours{1}, inflamed()).at(hours{2}, test::checked(0));
  const auto item = ward.item(Task::response, h, test::after(hours{3}));
  ASSERT_TRUE(item);
  EXPECT_FALSE(item->cards.empty());
  EXPECT_EQ(item->danger, Danger::emergency);
}

TEST(Danger, ALookThatIsLateCanHurtWhereSomethingUnknownRuns) {
  const Ward ward;
  const auto h = dwelling().at(minutes{1}, test::infusion(125, "something nobody lists"));
  for (const auto& [now, danger] : {std::pair(minutes{2}, Danger::none), std::pair(minutes{600}, Danger::can_hurt)})
    EXPECT_EQ(ward.item(Task::site_check, h, test::after(now))->danger, danger) << now.count();
  EXPECT_EQ(ward.item(Task::site_check, dwelling(), test::after(hours{48}))->danger, Danger::none) << "only late";
}

TEST(Danger, OfACatheterThatIsNotWholeOrWentUnseenIsAnEmergencyByAnyPolicy) {
  const Ward ward;
  auto removed = test::removed();
  removed.tip_whole = false;
  const auto broken = running().at(minutes{60}, removed);
  EXPECT_EQ(ward.item(Task::catheter_missing_alarm, broken, test::after(minutes{62}))->danger, Danger::emergency);
  const auto left = dwelling().at(minutes{1}, line::Departed{});
  EXPECT_EQ(ward.item(Task::left_unseen, left, test::after(minutes{2}))->danger, Danger::emergency);
}

TEST(Danger, IsNeverMilderForMoreUrgency) {
  DueClock clock{Task::site_check, test::after(minutes{0}), test::after(minutes{15}), test::after(minutes{-5}), 0};
  for (const auto now : {minutes{-10}, minutes{0}, minutes{20}}) {
    Danger last = Danger::none;
    for (clock.weight = 0; clock.weight <= 1000; clock.weight += 5) {
      EXPECT_GE(danger_at(clock, test::after(now)), last);
      last = danger_at(clock, test::after(now));
    }
    EXPECT_EQ(last, Danger::emergency);
  }
}

TEST(Visits, OneABedWithWhatToTakeAlong) {
  const Ward ward;
  std::vector<line::State> states{ward.folded(running()), ward.folded(dwelling())};
  states[1].id = test::id(2);
  const auto due = ward_due(states, ward.policy, formulary(), test::after(hours{12}));
  const auto all = visits(due);
  ASSERT_EQ(all.size(), 1U);
  EXPECT_EQ(all[0].bed, "12");
  EXPECT_EQ(all[0].urgency, due[0].urgency);
  ASSERT_EQ(all[0].tasks.size(), 2U) << "the same task at the same site once, and the flush";
  EXPECT_EQ(all[0].take_along,
            (std::vector<Message>{say::take_ruler(), say::take_flush_in_date(), say::take_hub_wipe()}));
  EXPECT_TRUE(visits(ward_due(states, ward.policy, formulary(), test::start)).empty());
}

// ---- put off ----

line::PutOff put_off(Task task, Instant until, std::string reason = "asleep at last") {
  return {task, until, std::move(reason)};
}

TEST(PutOff, WaitsInSightAndThenStandsWhereItStood) {
  const Ward ward;
  auto h = running();
  h.at(minutes{235}, put_off(Task::site_check, test::after(minutes{300})));
  const auto waiting = ward.item(Task::site_check, h, test::after(minutes{260}));
  ASSERT_TRUE(waiting);
  EXPECT_EQ(waiting->state, DueState::later);
  EXPECT_EQ(waiting->due_at, test::after(hours{4})) << "when it was due is not rewritten";
  EXPECT_EQ(waiting->put_off_until, test::after(minutes{300}));
  EXPECT_EQ(waiting->put_off_because, "asleep at last");
  EXPECT_EQ(ward.item(Task::site_check, h, test::after(minutes{275}))->state, DueState::soon);
  const auto over = ward.item(Task::site_check, h, test::after(minutes{300}));
  EXPECT_EQ(over->state, DueState::overdue);
  EXPECT_FALSE(over->put_off_until);
}

TEST(PutOff, EndsWhenTheTaskIsDone) {
  const Ward ward;
  auto h = running();
  h.at(minutes{235}, put_off(Task::site_check, test::after(hours{20})));
  h.at(minutes{250}, test::checked(0));
  const auto next = ward.item(Task::site_check, h, test::after(minutes{260}));
  EXPECT_EQ(next->due_at, test::after(minutes{490}));
  EXPECT_FALSE(next->put_off_until) << "the wait was for the look before";
}

TEST(PutOff, NoTaskWaitsForLongerThanItsOwnInterval) {
  const Ward ward;
  auto h = dwelling();
  h.at(minutes{1}, test::infusion(5, "noradrenaline"));  // looked at every 15 min since placement
  h.at(minutes{10}, put_off(Task::site_check, test::after(minutes{75})));
  EXPECT_EQ(ward.item(Task::site_check, h, test::after(minutes{20}))->put_off_until, test::after(minutes{30}));
  EXPECT_EQ(ward.item(Task::site_check, h, test::after(minutes{30}))->state, DueState::overdue);
  h.at(minutes{29}, put_off(Task::site_check, test::after(minutes{44})));
  EXPECT_EQ(ward.item(Task::site_check, h, test::after(minutes{30}))->state, DueState::overdue) << "again and again";
  h.at(minutes{40}, put_off(Task::site_check, test::after(minutes{100})));
  EXPECT_EQ(ward.item(Task::site_check, h, test::after(minutes{41}))->state, DueState::overdue) << "late already";
  EXPECT_TRUE(ward.item(Task::site_check, h, test::after(minutes{29}))->may_wait);
  EXPECT_FALSE(ward.item(Task::site_check, h, test::after(minutes{41}))->may_wait) << "it would change nothing";
}

TEST(PutOff, AnAlarmDoesNotWait) {
  const Ward ward;
  auto h = running();
  auto removed = test::removed();
  removed.tip_whole = false;
  h.at(minutes{60}, removed);
  h.at(minutes{61}, put_off(Task::catheter_missing_alarm, test::after(hours{2})));
  const auto alarm = ward.item(Task::catheter_missing_alarm, h, test::after(minutes{62}));
  ASSERT_TRUE(alarm);
  EXPECT_EQ(alarm->urgency, 1000);
  EXPECT_FALSE(alarm->put_off_until);
}

// ---- the patient left ----

line::LeftWithLine on_purpose() { return {"antibiotic at home", "the daughter", "home nurses"}; }
line::Departed departed() { return {line::Departure::discharged, "home"}; }

TEST(LeftUnseen, AnOpenLineIsAnAlarmThatNothingButItsAnswerEnds) {
  const Ward ward;
  auto h = running();
  EXPECT_FALSE(ward.item(Task::left_unseen, h, test::after(minutes{60})));
  h.at(minutes{60}, departed());
  const auto alarm = ward.item(Task::left_unseen, h, test::after(minutes{60}));
  ASSERT_TRUE(alarm);
  EXPECT_EQ(alarm->urgency, 900);
  EXPECT_FALSE(alarm->may_wait);
  h.at(minutes{61}, put_off(Task::left_unseen, test::after(hours{2})));
  h.at(minutes{62}, test::checked(0));
  h.at(minutes{63}, line::Moved{{"Hill Hospital", "Ward 4", "2"}});
  h.at(minutes{64}, line::NotPlaced{});
  const auto still = ward.item(Task::left_unseen, h, test::after(hours{2000}));
  ASSERT_TRUE(still);
  EXPECT_FALSE(still->put_off_until);
  EXPECT_EQ(still->due_at, test::after(minutes{60}));
  h.at(minutes{70}, on_purpose());
  EXPECT_FALSE(ward.item(Task::left_unseen, h, test::after(hours{2000})));
}

TEST(LeftUnseen, ARemovalEndsItAndTheLastOfTwoCatheters) {
  const Ward ward;
  auto h = running().at(minutes{60}, departed());
  EXPECT_FALSE(ward.item(Task::left_unseen, History(h).at(minutes{61}, test::removed()), test::after(minutes{62})));
  auto two = dwelling().at(minutes{2}, test::placed()).at(minutes{60}, departed());
  two.at(minutes{61}, test::removed());
  EXPECT_TRUE(ward.item(Task::left_unseen, two, test::after(minutes{62}))) << "the other one is still in";
}

TEST(LeftUnseen, ACorrectionEndsIt) {
  const Ward ward;
  auto h = running();
  h.at(minutes{60}, departed());
  const auto entry = static_cast<unsigned>(h.events.size());
  h.at(minutes{61}, line::Retracted{"another patient"}).correcting(entry);
  EXPECT_FALSE(ward.item(Task::left_unseen, h, test::after(minutes{62})));
}

TEST(LeftUnseen, WhatWasSaidOfOneDepartureHoldsForNoLaterOne) {
  const Ward ward;
  auto h = running().at(minutes{60}, on_purpose()).at(minutes{61}, departed());
  EXPECT_TRUE(ward.item(Task::left_unseen, h, test::after(minutes{62}))) << "said before";
  h.at(minutes{63}, on_purpose());
  EXPECT_FALSE(ward.item(Task::left_unseen, h, test::after(minutes{64})));
  h.at(minutes{65}, departed());
  EXPECT_EQ(ward.item(Task::left_unseen, h, test::after(minutes{66}))->due_at, test::after(minutes{65}));
}

TEST(LeftUnseen, WhatMayBeInCountsAndWhatNeverWasDoesNot) {
  const Ward ward;
  const auto asks = [&](History h) {
    return ward.item(Task::left_unseen, h.at(hours{1}, departed()), test::after(hours{2})).has_value();
  };
  line::Attempted attempt;
  EXPECT_FALSE(asks(History{}.at(minutes{0}, test::opened())));
  EXPECT_FALSE(asks(History{}.at(minutes{0}, test::opened()).at(minutes{1}, attempt)));
  attempt.outcome = line::AttemptOutcome::placed;
  EXPECT_TRUE(asks(History{}.at(minutes{0}, test::opened()).at(minutes{1}, attempt))) << "no placement is charted";
  EXPECT_TRUE(asks(History{}.at(minutes{0}, test::opened()).at(minutes{1}, test::flushed(true)))) << "something was in";
}

// ---- whether it is needed ----

line::NeedReviewed needed_for(line::NeedGround ground, std::optional<Instant> next_use) {
  line::NeedReviewed fact;
  fact.ground = ground;
  fact.next_use = next_use;
  fact.in_case_by = "Dr T. Weller";
  return fact;
}

TEST(NeedReviewed, WithoutAPlannedUseTheLineIsIdleFromThatMoment) {
  const Ward ward;
  auto h = dwelling().at(hours{3}, needed_for(line::NeedGround::none, std::nullopt));
  EXPECT_EQ(ward.item(Task::need_review, h, test::after(hours{3}))->due_at, test::after(hours{3}));
}

TEST(NeedReviewed, APlannedUseHoldsUntilItShouldHaveComeAndForADayAtMost) {
  const Ward ward;
  auto h = dwelling().at(hours{3}, needed_for(line::NeedGround::volume, test::after(hours{7})));
  EXPECT_EQ(ward.item(Task::need_review, h, test::after(hours{3}))->due_at, test::after(hours{7}));
  h.at(hours{4}, needed_for(line::NeedGround::volume, test::after(hours{90})));
  EXPECT_EQ(ward.item(Task::need_review, h, test::after(hours{4}))->due_at, test::after(hours{28}));
}

TEST(NeedReviewed, UseAfterItCountsAgain) {
  const Ward ward;
  auto h = dwelling().at(hours{3}, needed_for(line::NeedGround::none, std::nullopt));
  h.at(hours{5}, test::infusion(100)).at(hours{6}, line::InfusionEnded{});
  EXPECT_EQ(ward.item(Task::need_review, h, test::after(hours{6}))->due_at, test::after(hours{30}));
}

TEST(NeedReviewed, InCaseEndsWithARemovalAfterAsLongAsAnIdleLine) {
  Ward ward;
  const auto h = dwelling().at(hours{1}, needed_for(line::NeedGround::in_case, std::nullopt));
  EXPECT_EQ(ward.item(Task::removal, h, test::after(hours{1}))->due_at, test::after(hours{25}));
  ward.policy.watch.idle = test::figure<Interval>(hours{12});
  EXPECT_EQ(ward.item(Task::removal, h, test::after(hours{1}))->due_at, test::after(hours{13}));
  auto before = History{}.at(minutes{0}, test::opened()).at(minutes{1}, needed_for(line::NeedGround::in_case, {}));
  before.at(minutes{30}, test::placed());
  EXPECT_EQ(ward.item(Task::removal, before, test::after(hours{1}))->due_at, test::after(minutes{750}));
  before.at(hours{2}, test::infusion(100)).at(hours{3}, line::InfusionEnded{});
  EXPECT_FALSE(ward.item(Task::removal, before, test::after(hours{4}))) << "it is used";
}

// ---- moved, add-ons ----

TEST(TubingTrace, IsDueAfterAMoveUntilItIsFoundAsMeant) {
  const Ward ward;
  auto h = running();
  EXPECT_FALSE(ward.item(Task::tubing_trace, h, test::after(minutes{60})));
  h.at(minutes{60}, line::Moved{{"Hill Hospital", "Ward 4", "2"}});
  EXPECT_EQ(ward.item(Task::tubing_trace, h, test::after(minutes{61}))->due_at, test::after(minutes{80}));
  h.at(minutes{65}, line::TubingTraced{false, "two lines crossed"});
  EXPECT_TRUE(ward.item(Task::tubing_trace, h, test::after(minutes{66})));
  h.at(minutes{67}, line::TubingTraced{true, ""});
  EXPECT_FALSE(ward.item(Task::tubing_trace, h, test::after(minutes{68})));
}

TEST(AddOns, CountFromPlacementOrTheirLastChange) {
  const Ward ward;
  auto h = running();
  EXPECT_EQ(ward.item(Task::add_on_change, h, test::start)->due_at, test::after(hours{120}));
  h.at(hours{30}, line::AddOnChanged{"connector", "blood in it"});
  EXPECT_EQ(ward.item(Task::add_on_change, h, test::after(hours{31}))->due_at, test::after(hours{150}));
}

// ---- the round ----

LineDue due_line(const char* bed, int urgency, const char* nurse = "") {
  LineDue line;
  line.line = std::string("line of ") + bed;
  line.bed = bed;
  line.nurse = nurse;
  line.urgency = urgency;
  DueItem item;
  item.title = say::check_the_site();
  item.state = urgency >= 300 ? DueState::overdue : urgency >= 200 ? DueState::due : DueState::soon;
  item.urgency = urgency;
  line.items = {item};
  return line;
}

TEST(Round, WalksByLatenessThenByBed) {
  const auto walk = visits({due_line("10", 380), due_line("9", 340), due_line("2", 280), due_line("11", 1000),
                            due_line("1", 180), due_line("10a", 330)},
                           RoundOrder::walk);
  std::vector<std::string> beds;
  for (const auto& visit : walk) beds.push_back(visit.bed);
  EXPECT_EQ(beds, (std::vector<std::string>{"11", "9", "10", "10a", "2", "1"}));
}

TEST(Round, IsMadeForOneNurse) {
  const std::vector<LineDue> ward{due_line("1", 380, "R. Ode"), due_line("2", 280), due_line("3", 180, "R. Ode")};
  EXPECT_EQ(lines_of(ward, "R. Ode").size(), 2u);
  EXPECT_EQ(lines_of(ward, "").size(), 1u) << "nobody's lines are somebody's worry";
  EXPECT_EQ(visits(ward).front().nurses, std::vector<std::string>{"R. Ode"});
}

}  // namespace
}  // namespace dwell::care
