#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <tuple>

#include "line/clauses.h"
#include "line/failed_sites.h"
#include "line/invented/any.h"
#include "line/state.h"
#include "line/test_events.h"
#include "line/test_policy.h"
#include "quantity/display.h"
#include "say/line.h"

namespace dwell::line {
namespace {

using std::chrono::hours;
using std::chrono::minutes;
using test::History;

const policy::Policy& ward() {
  static const policy::Policy policy = test::small_policy();
  return policy;
}
State folded(const History& history) { return fold(history.events, ward()); }
std::string text_of(const State& state) { return json::to_text(json::encode(state)); }
double millilitres(Volume volume) { return in(volume, millilitre); }

bool says_one_of(const std::vector<Message>& messages, std::string_view id) {
  return std::any_of(messages.begin(), messages.end(), [&](const Message& one) { return one.id() == id; });
}
bool says(const std::vector<Message>& messages, const Message& message) {
  return std::find(messages.begin(), messages.end(), message) != messages.end();
}
bool deviates(const State& state, const Message& message) {
  return std::any_of(state.deviations.begin(), state.deviations.end(),
                     [&](const auto& deviation) { return deviation.text == message; });
}

History dwelling() { return History{}.at(minutes{0}, test::opened()).at(minutes{10}, test::placed()); }

/// Whose the line is and that a catheter is in stay known when the entry that said so is taken back.
bool is_kept_as_last_known(const Event& event) {
  return std::holds_alternative<Opened>(event.body) || puts_catheter_in(event.body);
}

// ---- properties ----

RC_GTEST_PROP(LineFold, OrderAndRepetitionDoNotMatter, ()) {
  const auto events = test::any_history();
  RC_ASSERT(text_of(fold(events, ward())) == text_of(fold(test::shuffled_with_repeats(events), ward())));
}

RC_GTEST_PROP(LineFold, AReplacedEntryLeavesNoTraceInTheState, ()) {
  // The history with a wrong entry and its correction, against the history with the right entry alone.
  auto events = test::any_history();
  for (auto& event : events) event.corrects.reset();
  const auto chosen = *rc::gen::inRange<std::size_t>(0, events.size());
  events[chosen].deviation_reason =
      "of another line";  // without one, a finding that is corrected to less is contradicted
  Event wrong = events[chosen];
  wrong.id = test::id(500);
  wrong.body = test::any<Body>();
  wrong.occurred_at = test::any_moment();
  auto corrected = events;
  corrected.push_back(wrong);
  corrected[chosen].corrects = wrong.id;

  RC_PRE(!std::holds_alternative<Retracted>(events[chosen].body));  // there is nothing to replace
  RC_PRE(!is_kept_as_last_known(wrong) || wrong.body.index() == events[chosen].body.index());
  State with = fold(test::shuffled_with_repeats(corrected), ward()), without = fold(events, ward());
  std::erase_if(with.history, [&](const HistoryEntry& entry) { return entry.id == wrong.id && entry.corrected; });
  RC_ASSERT(text_of(with) == text_of(without));
}

RC_GTEST_PROP(LineFold, TakingBackRestoresTheStateBefore, ()) {
  auto events = test::any_history();
  const State before = fold(events, ward());
  Event wrong = test::any_event(500, 0);
  wrong.corrects.reset();
  RC_PRE(!is_kept_as_last_known(wrong));
  Event back = test::any_event(501, 0);
  back.corrects = wrong.id;
  back.body = Retracted{"wrong patient"};
  events.push_back(back);
  events.push_back(wrong);
  State state = fold(test::shuffled_with_repeats(events), ward());
  std::erase_if(state.history, [&](const HistoryEntry& entry) { return entry.id == wrong.id || entry.id == back.id; });
  std::erase_if(state.deviations, [&](const Deviation& deviation) { return deviation.event == back.id; });
  RC_ASSERT(text_of(state) == text_of(before));
}

RC_GTEST_PROP(LineFold, EveryEntryIsInTheHistoryOnce, ()) {
  const auto events = test::any_history();
  const auto state = fold(test::shuffled_with_repeats(events), ward());
  RC_ASSERT(state.history.size() == events.size());
  RC_ASSERT(std::is_sorted(state.history.begin(), state.history.end(),
                           [](const auto& a, const auto& b) { return std::tie(a.at, a.id) < std::tie(b.at, b.id); }));
}

RC_GTEST_PROP(Running, NeverGivesMoreThanTheBagHolds, ()) {
  Running running;
  running.total = test::any<Volume>();
  running.given_before = std::min(running.total, test::any<Volume>());
  running.flow = test::any<Flow>();
  running.flow_since = test::any_moment();
  const auto now = test::any_moment();
  const auto state = running_state(running, now);
  RC_ASSERT((state.given >= running.given_before && state.given <= running.total));
  RC_ASSERT(state.left >= Volume::from_value(0));
  RC_ASSERT(state.empty_at.has_value());
  RC_ASSERT((*state.empty_at > now || state.left < running.flow * (1.0 * second)));
}

/// A history as it may come from a ward in haste: everything happens, anything is taken back, replaced or moved.
std::vector<Event> any_edited_history() {
  History history;
  history.at(minutes{0}, test::opened());
  const auto length = *rc::gen::inRange(1u, 14u);
  for (unsigned i = 0; i < length; ++i) {
    const minutes when{*rc::gen::inRange(0, 20) * 30};
    switch (*rc::gen::inRange(0, 9)) {
      case 0: history.at(when, test::placed()); break;
      case 1: history.at(when, Attempted{{}, Gauge{22}, "R. Ode", test::any<AttemptOutcome>(), ""}); break;
      case 2: history.at(when, test::infusion()); break;
      case 3: history.at(when, test::checked(*rc::gen::inRange(0, 3))); break;
      case 4: history.at(when, test::removed()); break;
      case 5: history.at(when, test::after_checked(0, true)); break;
      case 6:
        history.at(when, Moved{{"Hill Hospital", *rc::gen::element<std::string>("Ward 3", "Ward 4"), "1"}});
        break;
      case 7: history.at(when, test::opened()); break;
      default: history.at(when, test::any<Body>());
    }
    if (*rc::gen::inRange(0, 3) == 0) history.correcting(*rc::gen::inRange(1u, length + 2));
    if (*rc::gen::inRange(0, 3) == 0)
      history.at(when, Retracted{"wrong"}).correcting(*rc::gen::inRange(1u, length + 2));
  }
  return history.events;
}

RC_GTEST_PROP(LineFold, NothingIsTakenOffAWardByAnEdit, ()) {
  const auto events = any_edited_history();
  const State state = fold(test::shuffled_with_repeats(events), ward());
  const bool went_in =
      std::any_of(events.begin(), events.end(), [](const Event& event) { return puts_catheter_in(event.body); });
  const bool known = std::any_of(events.begin(), events.end(), [](const Event& event) {
    const auto* opened = std::get_if<Opened>(&event.body);
    return opened && opened->patient.family == "Marsh";
  });
  if (went_in && !state.removal) RC_ASSERT(state.stage != Stage::closed);
  RC_ASSERT(known);
  const bool named_anew = std::any_of(events.begin(), events.end(), [](const Event& event) {
    const auto* opened = std::get_if<Opened>(&event.body);
    return opened && opened->patient.family != "Marsh";
  });
  if (!named_anew) RC_ASSERT(state.patient.family == "Marsh");
}

// ---- what is taken back from under a line in use ----

TEST(TakenBack, AnOpeningLeavesPatientAndPlaceAsLastKnown) {
  const auto state = folded(dwelling().at(minutes{20}, Retracted{"wrong patient"}).correcting(1));
  EXPECT_EQ(state.patient.family, "Marsh");
  EXPECT_EQ(state.place.unit, "Ward 3");
  EXPECT_TRUE(says(state.contradictions, say::opening_taken_back()));
  EXPECT_TRUE(state.history.front().corrected);
}

TEST(TakenBack, TheLastOpeningKnownIsTheOneThatTheRecordTookInLast) {
  auto corrected = test::opened();
  corrected.patient.family = "Marsch";
  const auto state = folded(
      dwelling().at(minutes{0}, corrected).correcting(1).at(minutes{20}, Retracted{"wrong patient"}).correcting(1));
  EXPECT_EQ(state.patient.family, "Marsch");
}

TEST(TakenBack, AMoveAfterAnOpeningThatWasTakenBackStillCounts) {
  const auto state = folded(dwelling()
                                .at(minutes{15}, Moved{{"Hill Hospital", "Ward 4", "2"}})
                                .at(minutes{20}, Retracted{"wrong patient"})
                                .correcting(1));
  EXPECT_EQ(state.place.unit, "Ward 4");
}

TEST(TakenBack, APlacementOfALineInUseStaysAsLastKnown) {
  auto history = dwelling().at(minutes{30}, test::infusion()).at(minutes{40}, Retracted{"other line"}).correcting(2);
  const auto state = folded(history);
  EXPECT_EQ(state.stage, Stage::dwelling);
  EXPECT_TRUE(state.running.has_value());
  EXPECT_TRUE(says(state.contradictions, say::placement_taken_back()));
  history.at(minutes{50}, Retracted{"other line"}).correcting(3);
  EXPECT_FALSE(folded(history).placement.has_value()) << "nothing stands any more that needs a catheter";
}

TEST(TakenBack, AShortCatheterStaysAnAlarmWithoutItsPlacement) {
  auto out = test::removed();
  out.length_found = 10.0 * millimetre;
  const auto state = folded(dwelling().at(hours{1}, out).at(hours{2}, Retracted{"never placed here"}).correcting(2));
  ASSERT_TRUE(state.removal.has_value());
  EXPECT_TRUE(state.removal->catheter_short);
}

TEST(TakenBack, ALineThatWasNeverStartedEndsWhenAllOfItIsTakenBack) {
  History history;
  history.at(minutes{0}, test::opened()).at(minutes{1}, Retracted{"opened by mistake"}).correcting(1);
  EXPECT_EQ(folded(history).stage, Stage::closed);
  EXPECT_EQ(folded(history).patient.family, "Marsh") << "whose it was is still said";
  EXPECT_TRUE(folded(history).contradictions.empty());
  history.at(minutes{2}, Noted{"wanted after all"});
  EXPECT_EQ(folded(history).stage, Stage::planned);
}

TEST(TakenBack, AllOfALineIntoWhichACatheterWentDoesNotEndIt) {
  const auto state = folded(dwelling()
                                .at(minutes{20}, Retracted{"wrong patient"})
                                .correcting(1)
                                .at(minutes{20}, Retracted{"wrong patient"})
                                .correcting(2));
  EXPECT_NE(state.stage, Stage::closed) << "somebody has to say that it came out, or that it was never there";
  EXPECT_EQ(state.patient.family, "Marsh");
}

// ---- stages ----

TEST(LineFold, NothingIsPlanned) {
  EXPECT_EQ(fold({}, ward()).stage, Stage::planned);
  EXPECT_TRUE(fold({}, ward()).contradictions.empty());
}

TEST(LineFold, RefusesTwoLines) {
  auto events = dwelling().events;
  events[1].line = test::id(77);
  EXPECT_THROW((void)fold(events, ward()), std::invalid_argument);
}

TEST(LineFold, GoesThroughItsStages) {
  History h;
  h.at(minutes{0}, test::opened());
  EXPECT_EQ(folded(h).stage, Stage::planned);
  h.at(minutes{5}, Attempted{{}, Gauge{22}, "R. Ode", AttemptOutcome::no_flashback, ""});
  EXPECT_EQ(folded(h).stage, Stage::attempted);
  h.at(minutes{10}, test::placed());
  EXPECT_EQ(folded(h).stage, Stage::dwelling);
  h.at(hours{30}, test::removed());
  EXPECT_EQ(folded(h).stage, Stage::removed);
  h.at(hours{40}, test::after_checked(0, false));
  EXPECT_EQ(folded(h).stage, Stage::removed) << "sound, but the watch is not over";
  h.at(hours{78}, test::after_checked(1, false));
  EXPECT_EQ(folded(h).stage, Stage::removed) << "the watch is over, but the site is not sound";
  h.at(hours{80}, test::after_checked(0, false));
  EXPECT_EQ(folded(h).stage, Stage::closed);
  EXPECT_TRUE(folded(h).contradictions.empty());
}

TEST(LineFold, HealedClosesAtOnceAndATroubledSiteOpensAgain) {
  auto h = dwelling().at(hours{30}, test::removed()).at(hours{31}, test::after_checked(0, true));
  EXPECT_EQ(folded(h).stage, Stage::closed);
  h.at(hours{50}, test::after_checked(2, false));
  EXPECT_EQ(folded(h).stage, Stage::removed);
}

// ---- the running bag ----

TEST(LineFold, AddsUpAcrossRateChanges) {
  const auto h =
      dwelling().at(hours{1}, test::infusion(120)).at(hours{3}, RateChanged{60.0 * millilitre / hour, "order"});
  const auto state = folded(h);
  ASSERT_TRUE(state.running);
  EXPECT_NEAR(millilitres(state.running->given_before), 240, 1e-9);
  const auto later = running_state(*state.running, test::after(hours{5}));
  EXPECT_NEAR(millilitres(later.given), 360, 1e-9);
  EXPECT_NEAR(millilitres(later.left), 640, 1e-9);
  EXPECT_NEAR(later.share_left.value(), 0.64, 1e-12);
  ASSERT_TRUE(later.empty_at);
  EXPECT_EQ(*later.empty_at, test::after(hours{3}) + minutes{760});
}

TEST(LineFold, StoppedBagHasNoEnd) {
  const auto h = dwelling().at(hours{1}, test::infusion()).at(hours{2}, RateChanged{Flow::from_value(0), "held"});
  EXPECT_FALSE(running_state(*folded(h).running, test::after(hours{9})).empty_at);
}

TEST(LineFold, CountsAdditivesIntoTheBag) {
  auto started = test::infusion();
  started.mixture.additives = {{"potassium chloride 15 %", 10.0 * millilitre}};
  EXPECT_NEAR(millilitres(folded(dwelling().at(hours{1}, started)).running->total), 1010, 1e-9);
}

TEST(LineFold, EndsWithWhatWasMeasuredOrElseRateByTime) {
  auto h = dwelling().at(hours{1}, test::infusion(100)).at(hours{2}, InfusionEnded{{}, "held"});
  EXPECT_FALSE(folded(h).running);
  EXPECT_NEAR(millilitres(folded(h).given_in_all), 5 + 100, 1e-9);
  auto measured = dwelling().at(hours{1}, test::infusion(100)).at(hours{2}, InfusionEnded{80.0 * millilitre, "held"});
  EXPECT_NEAR(millilitres(folded(measured).given_in_all), 5 + 80, 1e-9);
  EXPECT_EQ(folded(measured).last_used_at, test::after(hours{2}));
}

TEST(LineFold, NextBagEndsTheOneBefore) {
  const auto state = folded(dwelling().at(hours{1}, test::infusion(100)).at(hours{3}, test::infusion(100)));
  EXPECT_NEAR(millilitres(state.given_in_all), 5 + 200, 1e-9);
  EXPECT_EQ(state.running->started_at, test::after(hours{3}));
  EXPECT_FALSE(state.set_intermittent);
  EXPECT_EQ(state.set_since, test::after(hours{1}));
}

TEST(LineFold, ASetThatWasDisconnectedIsIntermittent) {
  auto h = dwelling().at(hours{1}, test::infusion()).at(hours{2}, InfusionEnded{}).at(hours{2}, test::flushed(true));
  EXPECT_FALSE(folded(h).set_intermittent);
  h.at(hours{6}, test::infusion());
  EXPECT_TRUE(folded(h).set_intermittent);
  h.at(hours{7}, SetChanged{});
  EXPECT_FALSE(folded(h).set_intermittent);
  EXPECT_EQ(folded(h).set_since, test::after(hours{7}));
}

// ---- corrections ----

TEST(LineFold, AChainOfCorrectionsEndsAtTheLast) {
  auto second = test::placed(), third = test::placed();
  second.gauge = Gauge{20};
  third.gauge = Gauge{18};
  const auto state = folded(dwelling().at(minutes{10}, second).correcting(2).at(minutes{10}, third).correcting(3));
  EXPECT_EQ(state.placement->placed.gauge, Gauge{18});
  EXPECT_TRUE(state.contradictions.empty());
  EXPECT_EQ(std::count_if(state.history.begin(), state.history.end(), [](auto& e) { return e.corrected; }), 2);
}

TEST(LineFold, TakingBackATakingBackRestores) {
  auto h = dwelling().at(minutes{20}, Retracted{"wrong patient"}).correcting(2);
  EXPECT_EQ(folded(h).stage, Stage::planned);
  h.at(minutes{21}, Retracted{"it was right"}).correcting(3);
  EXPECT_EQ(folded(h).stage, Stage::dwelling);
}

TEST(LineFold, TakingBackACorrectionRestoresTheFirst) {
  auto second = test::placed();
  second.gauge = Gauge{20};
  const auto h = dwelling().at(minutes{10}, second).correcting(2).at(minutes{30}, Retracted{"no"}).correcting(3);
  EXPECT_EQ(folded(h).placement->placed.gauge, Gauge{22});
}

TEST(LineFold, TwoCorrectionsOfOneEntryAreShown) {
  auto second = test::placed(), third = test::placed();
  second.gauge = Gauge{20};
  third.gauge = Gauge{18};
  const auto state = folded(dwelling().at(minutes{12}, third).correcting(2).at(minutes{11}, second).correcting(2));
  EXPECT_EQ(state.placement->placed.gauge, Gauge{18}) << "the one recorded later";
  EXPECT_TRUE(says_one_of(state.contradictions, "corrected_twice"));
  EXPECT_FALSE(says(state.contradictions, say::two_placements()));
}

TEST(LineFold, UnknownTargetsCirclesAndTwoContentsAreShown) {
  EXPECT_TRUE(says_one_of(folded(dwelling().at(hours{1}, Noted{"late"}).correcting(40)).contradictions,
                          "corrects_unknown_entry"));
  EXPECT_TRUE(says_one_of(
      folded(dwelling().at(hours{1}, Noted{"a"}).correcting(4).at(hours{1}, Noted{"b"}).correcting(3)).contradictions,
      "corrections_in_circle"));
  auto h = dwelling().at(hours{1}, Noted{"a"}).at(hours{1}, Noted{"b"});
  h.events[3].id = h.events[2].id;
  EXPECT_TRUE(says_one_of(folded(h).contradictions, "entry_of_two_contents"));
  EXPECT_EQ(folded(h).history.size(), 3U);
}

TEST(LineFold, AVeryLongChainIsNoTrouble) {
  auto h = dwelling();
  for (unsigned i = 2; i < 20000; ++i) h.at(minutes{10}, test::placed()).correcting(i);
  EXPECT_TRUE(folded(h).contradictions.empty());
}

// ---- removal and catheter ----

State removed_with(std::optional<Length> found, std::optional<bool> tip) {
  auto fact = test::removed();
  fact.length_found = found;
  fact.tip_whole = tip;
  return folded(dwelling().at(hours{30}, fact));
}

TEST(LineFold, AShortCatheterIsAnAlarm) {
  EXPECT_FALSE(removed_with(25.0 * millimetre, true).removal->catheter_short);
  EXPECT_FALSE(removed_with(24.0 * millimetre, true).removal->catheter_short) << "within the tolerance of 1 mm";
  const auto state = removed_with(23.5 * millimetre, true);
  EXPECT_TRUE(state.removal->catheter_short);
  EXPECT_NEAR(in(*state.removal->missing, millimetre), 1.5, 1e-9);
  EXPECT_TRUE(removed_with(25.0 * millimetre, false).removal->catheter_short);
}

TEST(LineFold, UnknownIsNotWhole) {
  const auto state = removed_with({}, {});
  EXPECT_FALSE(state.removal->catheter_short);
  EXPECT_TRUE(deviates(state, say::catheter_length_not_recorded()));
  EXPECT_TRUE(deviates(state, say::catheter_tip_not_recorded()));
  EXPECT_TRUE(removed_with(25.0 * millimetre, true).deviations.empty());
}

TEST(LineFold, AShortCatheterKeepsTheLineOpenUntilItIsAnswered) {
  auto fact = test::removed();
  fact.tip_whole = false;
  auto h = dwelling().at(hours{30}, fact).at(hours{31}, test::after_checked(0, true));
  EXPECT_EQ(folded(h).stage, Stage::removed);
  h.at(hours{32}, Responded{"phlebitis_watch", {"Look for the cause."}, "", ""});
  EXPECT_EQ(folded(h).stage, Stage::removed);
  h.at(hours{32}, Responded{std::string(catheter_fragment_response), {}, "", ""});
  EXPECT_EQ(folded(h).stage, Stage::removed) << "nothing was done";
  h.at(hours{32}, Responded{std::string(catheter_fragment_response), {"Call now."}, "", ""});
  EXPECT_EQ(folded(h).stage, Stage::closed);
}

// ---- deviations ----

TEST(LineFold, MarksAttemptsBeyondTheLimits) {
  History h;
  h.at(minutes{0}, test::opened());
  const auto attempt = [&](const char* who) {
    h.at(minutes{1}, Attempted{{}, Gauge{22}, who, AttemptOutcome::no_flashback, ""});
  };
  attempt("R. Ode");
  attempt("R. Ode");
  attempt("T. Lind");
  attempt("T. Lind");
  EXPECT_TRUE(folded(h).deviations.empty());
  attempt("R. Ode");
  EXPECT_TRUE(deviates(folded(h), say::attempt_beyond_clinicians(3, "R. Ode", 2)));
  EXPECT_TRUE(deviates(folded(h), say::attempt_beyond_all(5, 4)));
}

TEST(LineFold, MarksWhatFellShortOfPolicy) {
  auto fact = test::placed();
  fact.dried_for = std::chrono::seconds{29};
  fact.asepsis = Asepsis::not_assured;
  auto out = test::removed();
  out.pressed_for = std::chrono::seconds{90};
  const auto state =
      folded(History{}
                 .at(minutes{0}, test::opened())
                 .at(minutes{1}, Planned{"22 gauge 25 mm", {}, "patient's wish"})
                 .at(minutes{5}, SupplyUsed{"flush", {}, "A7", Date{std::chrono::year{2026} / 11 / 24}, "none other"})
                 .at(minutes{6}, SupplyUsed{"set", {}, "B1", Date{std::chrono::year{2026} / 11 / 25}, {}})
                 .at(minutes{10}, fact)
                 .because("cardiac arrest")
                 .at(hours{9}, out));
  EXPECT_TRUE(deviates(state, say::antiseptic_dried_short(Interval{29}, Interval{30})));
  EXPECT_TRUE(deviates(state, say::placed_without_asepsis()));
  EXPECT_TRUE(deviates(state, say::expired_supply_used("flush", Date{std::chrono::year{2026} / 11 / 24})));
  EXPECT_FALSE(deviates(state, say::expired_supply_used("set", Date{std::chrono::year{2026} / 11 / 25})))
      << "the last day counts";
  EXPECT_TRUE(deviates(state, say::other_option_chosen()));
  EXPECT_TRUE(deviates(state, say::pressed_short(Interval{90}, Interval{120})));
  for (const auto& d : state.deviations) EXPECT_EQ(d.reason.has_value(), d.text.id() != "pressed_short") << d.text.id();
}

TEST(LineFold, PressesLongerWithAnticoagulant) {
  auto fact = test::opened();
  fact.patient.anticoagulant = true;
  const auto state =
      folded(History{}.at(minutes{0}, fact).at(minutes{10}, test::placed()).at(hours{9}, test::removed()));
  EXPECT_TRUE(deviates(state, say::pressed_short_anticoagulant(minutes{3}, minutes{5})));
}

TEST(LineFold, KeepsAReasonThatNoRuleAskedFor) {
  const auto state = folded(dwelling().at(hours{1}, test::checked(0)).because("early at the patient's wish"));
  ASSERT_EQ(state.deviations.size(), 1U);
  EXPECT_EQ(state.deviations[0].reason, "early at the patient's wish");
}

// ---- contradictions ----

TEST(LineFold, ShowsWhatContradictsItself) {
  EXPECT_TRUE(says(folded(dwelling().at(minutes{5}, test::removed())).contradictions, say::removed_before_placed()));
  EXPECT_EQ(folded(dwelling().at(minutes{5}, test::removed())).stage, Stage::dwelling) << "a catheter may be in an arm";
  EXPECT_TRUE(says(folded(History{}.at(minutes{0}, test::removed())).contradictions, say::removed_never_placed()));
  EXPECT_TRUE(says(folded(History{}.at(minutes{0}, test::infusion())).contradictions,
                   say::deed_without_placement(Deed::infusion_started)));
  EXPECT_TRUE(says(folded(dwelling().at(minutes{5}, test::infusion())).contradictions,
                   say::deed_before_placement(Deed::infusion_started)));
  EXPECT_TRUE(says(folded(dwelling().at(minutes{20}, test::placed())).contradictions, say::two_placements()));
  EXPECT_TRUE(says(folded(dwelling().at(hours{1}, InfusionEnded{})).contradictions, say::end_of_nothing()));
  const auto out = dwelling().at(hours{30}, test::removed());
  auto late = out;
  EXPECT_TRUE(says(folded(late.at(hours{31}, test::infusion())).contradictions,
                   say::deed_after_removal(Deed::infusion_started)));
  EXPECT_FALSE(folded(late).running);
  auto closed = out;
  closed.at(hours{31}, test::after_checked(0, true)).at(hours{32}, Moved{});
  EXPECT_TRUE(says(folded(closed).contradictions, say::move_after_closing()));
  auto odd = out;
  EXPECT_TRUE(says(folded(odd.at(hours{31}, test::after_checked(3, true))).contradictions, say::healed_with_grade(3)));
}

// ---- the rest of the state ----

TEST(LineFold, OnlyALookWithEveryGradeNoughtIsSound) {
  EXPECT_EQ(folded(dwelling().at(hours{1}, test::checked(0))).last_sound_check_at, test::after(hours{1}));
  EXPECT_FALSE(folded(dwelling().at(hours{1}, test::checked(1))).last_sound_check_at);
  auto unmatched = test::checked(0);
  unmatched.grades.push_back({"phlebitis 0 to 5", "1", {}, true});
  EXPECT_FALSE(folded(dwelling().at(hours{1}, unmatched)).last_sound_check_at);
  EXPECT_FALSE(folded(dwelling().at(hours{1}, SiteChecked{})).last_sound_check_at) << "not assessed is not none";
}

TEST(LineFold, LateEntriesFallIntoPlace) {
  const auto state = folded(History{}
                                .at(hours{3}, Moved{{"Hill Hospital", "Ward 4", "2"}})
                                .at(hours{2}, test::checked(2))
                                .at(hours{1}, test::checked(0))
                                .at(minutes{1}, test::placed())
                                .at(minutes{0}, test::opened()));
  EXPECT_EQ(state.place.unit, "Ward 4");
  EXPECT_EQ(state.last_check->at, test::after(hours{2}));
  EXPECT_EQ(state.history.front().kind, "opened");
  EXPECT_EQ(state.history[3].worst_grade, 2);
}

TEST(LineFold, TellsItsHistoryInPlainWords) {
  auto fact = test::infusion();
  fact.mixture.additives = {{"potassium chloride 15 %", 10.0 * millilitre}};
  const auto state =
      folded(dwelling().at(hours{1}, fact).at(hours{2}, test::checked(1)).at(hours{3}, test::flushed(true)));
  const auto mixture = say::fluid_with(say::fluid_volume("sodium chloride 0.9 %", shown(1000.0 * millilitre)),
                                       {say::fluid_volume("potassium chloride 15 %", shown(10.0 * millilitre))});
  EXPECT_EQ(state.history[2].text, say::infusion_started(mixture, shown(125.0 * millilitre / hour), Delivery::pump));
  EXPECT_EQ(state.history[3].text,
            say::site_checked(
                clauses({say::signs_seen({say::sign_seen(site::Sign::pain), say::sign_seen(site::Sign::redness)}),
                         say::scale_grade(say::scale_version("phlebitis 0 to 4", "2"), 1)})));
  EXPECT_EQ(state.history[4].text,
            clauses({say::flushed_with("sodium chloride 0.9 %", shown(5.0 * millilitre)), say::line_locked()}));
}

TEST(LineFold, TellsWhyALookHasNoFigureForPain) {
  auto look = test::checked(0);
  look.pain_unsaid = PainUnsaid::cannot_say;
  look.seen_before_gone = true;
  const auto state = folded(dwelling().at(hours{2}, look));
  const auto parts = clauses({say::no_signs(), say::scale_grade(say::scale_version("phlebitis 0 to 4", "2"), 0),
                              say::pain_unsaid(PainUnsaid::cannot_say), say::seen_before_gone()});
  EXPECT_EQ(state.history.back().text, say::site_checked(parts));
}

TEST(LineFold, WhatIsSaidToBeThereStillIsNotGoneByALookThatFindsNothing) {
  auto look = test::checked(0);
  const auto found = dwelling().at(hours{1}, test::checked(2));
  ASSERT_TRUE(folded(History(found).at(hours{90}, look)).findings.front().gone_at);
  look.seen_before_gone = false;
  const auto state = folded(History(found).at(hours{90}, look));
  ASSERT_EQ(state.findings.size(), 1U);
  EXPECT_FALSE(state.findings.front().gone_at);
  EXPECT_FALSE(state.last_sound_check_at);
}

// ---- the smaller things ----

TEST(FoldSmaller, TheNurseIsTheLastOneNamed) {
  auto h = History{}.at(minutes{0}, test::opened()).at(minutes{1}, Assigned{"R. Ode"});
  EXPECT_EQ(folded(h).nurse, "R. Ode");
  h.at(hours{8}, HandedOver{"R. Ode", "K. Lund", "second bag hangs"});
  EXPECT_EQ(folded(h).nurse, "K. Lund");
  EXPECT_EQ(folded(h).handover->handed_over.note, "second bag hangs");
}

TEST(FoldSmaller, LooksArePutInARow) {
  auto swollen = test::checked(1);
  swollen.signs.swelling_extent = 12.0 * millimetre;
  auto not_looked = test::checked(0);
  not_looked.signs = {};
  const auto h = History{}
                     .at(minutes{0}, test::opened())
                     .at(minutes{0}, test::placed())
                     .at(hours{1}, test::checked(0))
                     .at(hours{2}, not_looked)
                     .at(hours{3}, swollen);
  const auto looks = folded(h).looks;
  ASSERT_EQ(looks.size(), 2u) << "what was not looked at is no look";
  EXPECT_EQ(looks[0].grade, 0);
  EXPECT_EQ(looks[1].grade, 1);
  EXPECT_EQ(looks[1].swelling, 12.0 * millimetre);
}

TEST(FoldSmaller, AHoldLastsUntilItIsReleased) {
  auto h = History{}.at(minutes{0}, test::opened()).at(hours{1}, RetentionHeld{"complaint"});
  EXPECT_EQ(folded(h).held_because, "complaint");
  h.at(hours{2}, RetentionReleased{"settled"});
  EXPECT_FALSE(folded(h).held_because);
}

TEST(FoldSmaller, PuttingOffTooLongIsADeviationWithItsReason) {
  const auto h = History{}
                     .at(minutes{0}, test::opened())
                     .at(minutes{0}, test::placed())
                     .at(hours{1}, PutOff{care::Task::flush, test::after(hours{6}), "in theatre"});
  const auto state = folded(h);
  ASSERT_EQ(state.deviations.size(), 1u);
  EXPECT_EQ(state.deviations.front().text,
            say::put_off_too_long(say::task_name(care::Task::flush), hours{5}, hours{3}));
  EXPECT_EQ(state.deviations.front().reason, "in theatre");
}

TEST(FoldSmaller, CrossedTubingIsADeviation) {
  const auto h = History{}
                     .at(minutes{0}, test::opened())
                     .at(minutes{0}, test::placed())
                     .at(minutes{5}, TubingTraced{false, "on the wrong port"});
  ASSERT_EQ(folded(h).deviations.size(), 1u);
  EXPECT_FALSE(folded(h).traced_at);
}

TEST(FoldSmaller, WhatWasPreparedAndRefusedIsKept) {
  Prepared prepared;
  prepared.preferred_side = access::Side::left;
  prepared.topical_anaesthetic = "lidocaine";
  const auto h = History{}
                     .at(minutes{0}, test::opened())
                     .at(minutes{1}, prepared)
                     .at(minutes{2}, Refused{"a third attempt", "tired", "the practitioner"});
  const auto state = folded(h);
  EXPECT_EQ(state.prepared->preferred_side, access::Side::left);
  ASSERT_EQ(state.refusals.size(), 1u);
  EXPECT_EQ(state.history[1].text,
            clauses({say::prepared(), say::prefers_side(access::Side::left), say::skin_numbed("lidocaine")}));
  EXPECT_EQ(state.history[2].text, clauses({say::with_note(say::patient_refused("“a third attempt”"), "“tired”"),
                                            say::patient_told("“the practitioner”")}));
}

TEST(FailedSites, AreThoseOfThisPatientWhoseLinesFailed) {
  const auto line = [](RemovalReason reason, const char* number) {
    auto begun = test::opened();
    begun.patient.number = number;
    auto gone = test::removed();
    gone.reason = reason;
    return folded(History{}.at(minutes{0}, begun).at(minutes{0}, test::placed()).at(hours{5}, gone));
  };
  const std::vector states{line(RemovalReason::infiltration, "7"), line(RemovalReason::therapy_complete, "7"),
                           line(RemovalReason::phlebitis, "8")};
  const auto failed = failed_sites(states, "7");
  ASSERT_EQ(failed.size(), 1u);
  EXPECT_EQ(failed.front().failure, access::Failure::leaked);
  EXPECT_EQ(failed.front().site, test::placed().site);
  EXPECT_TRUE(failed_sites(states, "").empty());
}

// ---- not placed ----

TEST(NotPlaced, ClosesALineThatNeverWasUntilItIsTriedAfterAll) {
  auto h = History{}.at(minutes{0}, test::opened()).at(minutes{1}, NotPlaced{NotPlacedReason::another_route, ""});
  EXPECT_EQ(folded(h).stage, Stage::closed);
  EXPECT_EQ(folded(History(h).at(minutes{2}, Planned{})).stage, Stage::planned);
  EXPECT_EQ(folded(History(h).at(minutes{2}, test::placed())).stage, Stage::dwelling);
}

TEST(NotPlaced, NeverHidesWhatMayBeIn) {
  const NotPlaced never{NotPlacedReason::no_vein, ""};
  auto in = dwelling().at(minutes{20}, never);
  EXPECT_EQ(folded(in).stage, Stage::dwelling);
  EXPECT_TRUE(says(folded(in).contradictions, say::not_placed_and_in()));
  const auto flushed =
      History{}.at(minutes{0}, test::opened()).at(minutes{1}, never).at(minutes{2}, test::flushed(true));
  EXPECT_NE(folded(flushed).stage, Stage::closed);
  Attempted hurt;
  hurt.outcome = AttemptOutcome::nerve_pain;
  const auto found = History{}.at(minutes{0}, test::opened()).at(minutes{1}, hurt).at(minutes{2}, never);
  EXPECT_NE(folded(found).stage, Stage::closed) << "what the attempt did stands";
}

}  // namespace
}  // namespace dwell::line
