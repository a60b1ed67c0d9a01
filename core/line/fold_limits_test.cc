// The limits of the fold on both sides: what counts as a deviation, as missing, as healed, as running, as found.
#include <gtest/gtest.h>

#include "line/findings.h"
#include "line/newest.h"
#include "line/state.h"
#include "line/test_events.h"
#include "line/test_policy.h"
#include "say/line.h"

namespace dwell::line {
namespace {

using std::chrono::hours;
using std::chrono::milliseconds;
using std::chrono::minutes;
using test::after;
using test::History;

constexpr milliseconds moment{1};

const policy::Policy& ward() {
  static const policy::Policy policy = test::small_policy();
  return policy;
}
State folded(const History& history) { return fold(history.events, ward()); }
History dwelling() { return History{}.at(minutes{0}, test::opened()).at(minutes{0}, test::placed()); }

bool says(const std::vector<Deviation>& deviations, const Message& message) {
  return std::any_of(deviations.begin(), deviations.end(), [&](const Deviation& one) { return one.text == message; });
}
bool says(const std::vector<Message>& messages, const Message& message) {
  return std::find(messages.begin(), messages.end(), message) != messages.end();
}

// ---- deviations ----

TEST(FoldLimits, ASupplyIsGoodUntilItsDay) {
  const auto expired = [](std::optional<Date> expiry) {
    return folded(dwelling().at(minutes{1}, SupplyUsed{"catheter", {}, {}, expiry, {}})).deviations;
  };
  const Date today = utc_date(test::start);
  EXPECT_TRUE(expired(today).empty());
  EXPECT_TRUE(says(expired(Date(std::chrono::sys_days(today) - std::chrono::days{1})),
                   say::expired_supply_used("catheter", Date(std::chrono::sys_days(today) - std::chrono::days{1}))));
  EXPECT_TRUE(says(expired(std::nullopt), say::supply_without_expiry_used("catheter")));
}

TEST(FoldLimits, AntisepticDriesAsLongAsThePolicySays) {
  const auto dried = [](std::optional<Interval> time, const char* antiseptic) {
    auto placed = test::placed();
    placed.dried_for = time;
    placed.antiseptic = antiseptic;
    return time &&
           says(folded(History{}.at(minutes{0}, placed)).deviations, say::antiseptic_dried_short(*time, Interval{30}));
  };
  EXPECT_FALSE(dried(Interval{30}, "chlorhexidine_alcohol"));
  EXPECT_TRUE(dried(Interval{29}, "chlorhexidine_alcohol"));
  EXPECT_TRUE(dried(Interval{29}, "chlorhexidine 2 % in 70 % alcohol"));
  EXPECT_FALSE(dried(Interval{29}, "soap"));
  EXPECT_FALSE(dried(std::nullopt, "chlorhexidine_alcohol"));
}

TEST(FoldLimits, AttemptsUpToTheLimits) {
  const auto after_attempts = [](std::initializer_list<const char*> clinicians) {
    History h;
    for (const char* clinician : clinicians) {
      Attempted attempt;
      attempt.clinician = clinician;
      h.at(minutes{1}, attempt);
    }
    return folded(h).deviations;
  };
  EXPECT_TRUE(after_attempts({"A", "A", "B", "B"}).empty());
  EXPECT_TRUE(says(after_attempts({"A", "A", "A"}), say::attempt_beyond_clinicians(3, "A", 2)));
  EXPECT_TRUE(says(after_attempts({"A", "A", "B", "B", "C"}), say::attempt_beyond_all(5, 4)));
}

TEST(FoldLimits, APutOffUpToTheLongest) {
  const auto deviates = [](Interval wait) {
    return !folded(dwelling().at(minutes{0}, PutOff{care::Task::flush, test::start + wait, "asleep"}))
                .deviations.empty();
  };
  EXPECT_FALSE(deviates(hours{3}));
  EXPECT_TRUE(deviates(Interval{3 * 3600 + 1}));
}

TEST(FoldLimits, PressedAsLongAsThePolicySays) {
  const auto pressed = [](Interval time, std::optional<bool> thinned) {
    auto opened = test::opened();
    opened.patient.anticoagulant = thinned;
    auto removed = test::removed();
    removed.pressed_for = time;
    return says(
        folded(History{}.at(minutes{0}, opened).at(minutes{0}, test::placed()).at(minutes{1}, removed)).deviations,
        thinned == true ? say::pressed_short_anticoagulant(time, minutes{5}) : say::pressed_short(time, minutes{2}));
  };
  EXPECT_FALSE(pressed(minutes{2}, false));
  EXPECT_TRUE(pressed(Interval{119}, false));
  EXPECT_FALSE(pressed(minutes{5}, true));
  EXPECT_TRUE(pressed(Interval{299}, true));
  EXPECT_FALSE(pressed(minutes{2}, std::nullopt));
}

// ---- the catheter ----

TEST(FoldLimits, ACatheterIsShortBeyondWhatARulerCanTell) {
  const auto missing = [](double found) {
    auto removed = test::removed();
    removed.length_found = found * millimetre;
    return folded(dwelling().at(minutes{1}, removed)).removal->missing.has_value();
  };
  EXPECT_FALSE(missing(26));
  EXPECT_FALSE(missing(24));       // the tolerance, 1 mm
  EXPECT_FALSE(missing(23.9995));  // noise of a subtraction
  EXPECT_TRUE(missing(23.998));
}

TEST(FoldLimits, ATipThatIsNotWholeIsAnAlarmOneThatNobodySawIsNot) {
  const auto alarms = [](std::optional<bool> whole) {
    auto removed = test::removed();
    removed.tip_whole = whole;
    const auto state = folded(dwelling().at(minutes{1}, removed));
    return std::any_of(state.findings.begin(), state.findings.end(), [](const FoundMark& one) { return one.alarm; });
  };
  EXPECT_TRUE(alarms(false));
  EXPECT_FALSE(alarms(true));
  EXPECT_FALSE(alarms(std::nullopt));
}

TEST(FoldLimits, PlacedAtTheMomentOfTheRemoval) {
  const auto quarrel = [](milliseconds placed_at) {
    auto h = History{}.at(minutes{0}, test::opened()).at(minutes{10}, test::removed());
    h.at(minutes{10}, test::placed()).events.back().occurred_at = test::start + placed_at;
    return says(folded(h).contradictions, say::removed_before_placed());
  };
  EXPECT_TRUE(quarrel(minutes{10}));
  EXPECT_TRUE(quarrel(minutes{10} + moment));
  EXPECT_FALSE(quarrel(minutes{10} - moment));
}

TEST(FoldLimits, WhatIsDoneAtThePlacementAndAtTheRemovalIsInOrder) {
  const auto quarrels = [](milliseconds flushed_at) {
    auto h = History{}.at(minutes{0}, test::opened()).at(minutes{10}, test::placed()).at(minutes{60}, test::removed());
    h.at(minutes{0}, test::flushed(false)).events.back().occurred_at = test::start + flushed_at;
    return folded(h).contradictions;
  };
  EXPECT_TRUE(quarrels(minutes{10}).empty());
  EXPECT_TRUE(quarrels(minutes{60}).empty());
  EXPECT_TRUE(says(quarrels(minutes{10} - moment), say::deed_before_placement(Deed::flushed)));
  EXPECT_TRUE(says(quarrels(minutes{60} + moment), say::deed_after_removal(Deed::flushed)));
}

TEST(FoldLimits, TheFirstAndTheLastOfWhatWasDoneAreCompared) {
  auto h = dwelling().at(minutes{5}, test::flushed(false)).at(minutes{50}, test::flushed(false));
  h.at(minutes{30}, test::removed());
  EXPECT_TRUE(says(folded(h).contradictions, say::deed_after_removal(Deed::flushed)));
}

// ---- the bag ----

TEST(FoldLimits, ABagAtItsEnds) {
  Running running;
  running.total = 100.0 * millilitre;
  running.flow = 100.0 * millilitre / hour;
  running.flow_since = test::start;
  running.given_before = 20.0 * millilitre;
  const auto at = [&](Instant now) { return running_state(running, now); };
  EXPECT_NEAR(in(at(after(minutes{-5})).given, millilitre), 20, 1e-9) << "time does not run backwards";
  EXPECT_NEAR(in(at(after(minutes{30})).given, millilitre), 70, 1e-9);
  EXPECT_NEAR(double(at(after(minutes{30})).share_left), 0.3, 1e-9);
  EXPECT_EQ(at(after(minutes{30})).empty_at, after(minutes{48}));
  EXPECT_NEAR(in(at(after(minutes{90})).given, millilitre), 100, 1e-9);
  EXPECT_NEAR(in(at(after(minutes{90})).left, millilitre), 0, 1e-9);
  running.given_before = 120.0 * millilitre;
  EXPECT_EQ(at(after(minutes{1})).empty_at, test::start);
  running.flow = Flow();
  EXPECT_FALSE(at(after(minutes{1})).empty_at);
  running.total = Volume();
  EXPECT_EQ(double(at(after(minutes{1})).share_left), 0);
}

TEST(FoldLimits, AFlushOfUnknownVolumeWentInAllTheSame) {
  auto flushed = test::flushed(false);
  flushed.fluid = "something";
  flushed.volume = Volume();
  const auto nothing = folded(dwelling().at(minutes{1}, flushed)).ran_since_sound_check;
  ASSERT_FALSE(nothing.empty());
  EXPECT_NEAR(in(nothing.back().volume, millilitre), 1, 1e-12);
  flushed.volume = 3.0 * millilitre;
  EXPECT_NEAR(in(folded(dwelling().at(minutes{1}, flushed)).ran_since_sound_check.back().volume, millilitre), 3, 1e-12);
}

TEST(FoldLimits, GivenInAllIsEveryBagAndFlush) {
  auto h = dwelling().at(minutes{0}, test::infusion(60)).at(minutes{30}, InfusionEnded{});
  h.at(minutes{31}, test::flushed(false));
  EXPECT_NEAR(in(folded(h).given_in_all, millilitre), 5 + 30 + 5, 1e-9);
  auto soundly = dwelling().at(minutes{0}, test::infusion(60)).at(minutes{30}, test::checked(0));
  EXPECT_NEAR(in(folded(soundly).given_until_sound_check, millilitre), 5 + 30, 1e-9);
}

// ---- a sound site, a healed one ----

TEST(FoldLimits, OnlyAPainlessSiteIsSound) {
  const auto sound = [](std::optional<int> pain) {
    auto look = test::checked(0);
    look.signs.pain_score = pain;
    return folded(dwelling().at(minutes{1}, look)).last_sound_check_at.has_value();
  };
  EXPECT_TRUE(sound(std::nullopt));
  EXPECT_TRUE(sound(0));
  EXPECT_FALSE(sound(1));
}

TEST(FoldLimits, ASiteThatIsSoundWhenTheWatchEndsIsClosed) {
  const auto stage = [](milliseconds looked, int grade, bool healed) {
    auto h = dwelling().at(minutes{0}, test::removed());
    h.at(minutes{1}, test::after_checked(grade, healed)).events.back().occurred_at = test::start + looked;
    EXPECT_EQ(folded(h).contradictions.size(), healed && grade > 0 ? 1u : 0u);
    return folded(h).stage;
  };
  EXPECT_EQ(stage(hours{48}, 0, false), Stage::closed);
  EXPECT_EQ(stage(hours{48} - moment, 0, false), Stage::removed);
  EXPECT_EQ(stage(hours{1}, 0, true), Stage::closed);
  EXPECT_EQ(stage(hours{48}, 1, true), Stage::removed);
}

TEST(FoldLimits, AMoveAfterTheLineWasClosedIsAQuestion) {
  const auto asked = [](milliseconds moved) {
    auto h = dwelling().at(minutes{10}, test::removed()).at(minutes{20}, test::after_checked(0, true));
    h.at(minutes{20}, Moved{{"Hill Hospital", "Ward 4", "2"}}).events.back().occurred_at = test::start + moved;
    return says(folded(h).contradictions, say::move_after_closing());
  };
  EXPECT_FALSE(asked(minutes{20}));
  EXPECT_TRUE(asked(minutes{20} + moment));
}

TEST(FoldLimits, ACardIsFollowedUntilAMomentBeforeItsEnd) {
  auto policy = test::small_policy();
  auto& card = policy.responses["phlebitis_watch"];
  card.answering.emplace();
  policy::FollowUp days;
  days.at = test::figure<std::vector<Interval>>({hours{72}});
  card.answering->follow_up = {days};
  const auto stage = [&](milliseconds looked) {
    auto h = dwelling().at(minutes{0}, test::removed());
    h.at(minutes{0}, Responded{"phlebitis_watch", {"Looked."}, "", "", {}});
    h.at(minutes{1}, test::after_checked(0, true)).events.back().occurred_at = test::start + looked;
    return fold(h.events, policy).stage;
  };
  EXPECT_EQ(stage(hours{72} - minutes{30}), Stage::closed);
  EXPECT_EQ(stage(hours{72} - minutes{30} - moment), Stage::removed);
}

// ---- what was found ----

SiteChecked found(std::vector<site::Sign> signs, std::vector<GradeGiven> grades = {}) {
  SiteChecked fact;
  fact.signs.assessed = true;
  fact.signs.present = std::move(signs);
  fact.grades = std::move(grades);
  return fact;
}

TEST(FoldLimits, PainIsFoundFromOnePoint) {
  const auto count = [](int pain) {
    auto look = found({});
    look.signs.pain_score = pain;
    return folded(dwelling().at(minutes{1}, look)).findings.size();
  };
  EXPECT_EQ(count(0), 0u);
  EXPECT_EQ(count(1), 1u);
}

TEST(FoldLimits, AGradeIsFoundFromOneAndWhenItMatchesNothing) {
  const auto count = [](std::optional<int> grade, bool unmatched) {
    return folded(dwelling().at(minutes{1}, found({}, {{"phlebitis 0 to 4", "1", grade, unmatched}}))).findings.size();
  };
  EXPECT_EQ(count(0, false), 0u);
  EXPECT_EQ(count(1, false), 1u);
  EXPECT_EQ(count({}, false), 0u);
  EXPECT_EQ(count({}, true), 1u);
}

TEST(FoldLimits, WorseInAnythingAsksAnew) {
  auto mild = found({site::Sign::swelling, site::Sign::palpable_cord, site::Sign::pain},
                    {{"infiltration 0 to 4", "1", 2, false}});
  mild.signs.pain_score = 3;
  mild.signs.swelling_extent = 20.0 * millimetre;
  mild.signs.cord_length = 10.0 * millimetre;
  const auto as_now = [&](SiteChecked next) {
    const auto state = folded(dwelling().at(minutes{1}, mild).at(minutes{2}, next));
    EXPECT_EQ(state.findings.size(), 1u);
    EXPECT_EQ(state.findings.front().since, after(minutes{1}));
    EXPECT_EQ(state.findings.front().at, after(minutes{2}));
    return state.findings.front().as_now;
  };
  EXPECT_EQ(as_now(mild), after(minutes{1})) << "the same goes on";
  auto worse = mild;
  worse.signs.pain_score = 4;
  EXPECT_EQ(as_now(worse), after(minutes{2}));
  worse = mild;
  worse.signs.swelling_extent = 21.0 * millimetre;
  EXPECT_EQ(as_now(worse), after(minutes{2}));
  worse = mild;
  worse.signs.cord_length = 11.0 * millimetre;
  EXPECT_EQ(as_now(worse), after(minutes{2}));
  worse = mild;
  worse.grades.front().grade = 3;
  EXPECT_EQ(as_now(worse), after(minutes{2}));
  worse = mild;
  worse.signs.present.push_back(site::Sign::blanching);
  EXPECT_EQ(as_now(worse), after(minutes{2}));
}

TEST(FoldLimits, LessInAnythingLeavesTheWorseStanding) {
  auto grave = found({site::Sign::swelling, site::Sign::pain}, {{"infiltration 0 to 4", "1", 3, false}});
  grave.signs.swelling_extent = 20.0 * millimetre;
  auto milder = grave;
  milder.signs.swelling_extent = 19.0 * millimetre;
  auto state = folded(dwelling().at(minutes{1}, grave).at(minutes{2}, milder));
  EXPECT_EQ(state.findings.size(), 2u);
  milder = grave;
  milder.signs.swelling_extent.reset();
  EXPECT_EQ(folded(dwelling().at(minutes{1}, grave).at(minutes{2}, milder)).findings.size(), 2u);
  milder = grave;
  milder.grades.front().grade = 2;
  EXPECT_EQ(folded(dwelling().at(minutes{1}, grave).at(minutes{2}, milder)).findings.size(), 2u);
  milder = grave;
  milder.grades = {{"infiltration 0 to 4", "1", {}, true}};
  EXPECT_EQ(folded(dwelling().at(minutes{1}, grave).at(minutes{2}, milder)).findings.size(), 2u)
      << "no match may be anything";
}

TEST(FoldLimits, GoneIsWhatTheSameScaleFindsAtNought) {
  const auto gone = [](SiteChecked next) {
    const auto was = found({site::Sign::swelling}, {{"infiltration 0 to 4", "1", 2, false}});
    const auto state = folded(dwelling().at(minutes{1}, was).at(minutes{2}, next));
    return state.findings.front().gone_at.has_value();
  };
  EXPECT_TRUE(gone(found({})));
  const GradeGiven red{"phlebitis 0 to 4", "1", 1, false}, flat{"infiltration 0 to 4", "1", 0, false};
  EXPECT_TRUE(gone(found({site::Sign::redness}, {red, flat})));
  EXPECT_FALSE(gone(found({site::Sign::redness}, {red}))) << "nobody looked at that scale";
  EXPECT_FALSE(gone(found({site::Sign::swelling}, {red, flat}))) << "the sign is still there";
  EXPECT_FALSE(gone(found({site::Sign::redness}, {red, {"infiltration 0 to 4", "1", 1, false}})));
  auto hurts = found({});
  hurts.signs.pain_score = 1;
  EXPECT_FALSE(gone(hurts)) << "a look that found something has to look at the scale";
}

TEST(FoldLimits, WhatHadItsTimeToHealIsOver) {
  auto policy = test::small_policy();
  policy.watch.heals_not_before = test::figure<Interval>(hours{24});
  const auto left = [&](milliseconds looked) {
    auto h = dwelling().at(minutes{0}, found({site::Sign::swelling}, {{"infiltration 0 to 4", "1", 2, false}}));
    h.at(minutes{1}, found({})).events.back().occurred_at = test::start + looked;
    return fold(h.events, policy).findings.size();
  };
  EXPECT_EQ(left(hours{24}), 0u);
  EXPECT_EQ(left(hours{24} - moment), 1u);
}

TEST(FoldLimits, TwentyFourFindingsStandApart) {
  const auto apart = [](int many) {
    History h = dwelling();
    for (int i = 0; i < many; ++i) h.at(minutes{i + 1}, found({}, {{"scale " + std::to_string(i), "1", 2, false}}));
    return folded(h).findings;
  };
  EXPECT_EQ(apart(24).size(), 24u);
  const auto together = apart(25);
  ASSERT_EQ(together.size(), 24u);
  EXPECT_EQ(together.front().grades.size(), 2u);
  EXPECT_EQ(together.front().since, after(minutes{1}));
  EXPECT_EQ(together.front().at, after(minutes{2}));
  EXPECT_EQ(together.front().as_now, after(minutes{2}));
}

TEST(FoldLimits, WhichGradeAsksForAnAnswer) {
  site::Scale from_two, from_one;
  from_two.name = "from two";
  from_one.name = "from one";
  from_one.acted_on_from = 1;
  const std::vector<site::Scale> scales{from_two, from_one};
  const auto asks = [&](std::vector<GradeGiven> grades) -> std::string {
    const auto* given = needs_answer(grades, scales);
    return given ? given->scale : "";
  };
  EXPECT_EQ(asks({{"from two", "1", 1, false}}), "");
  EXPECT_EQ(asks({{"from two", "1", 2, false}}), "from two");
  EXPECT_EQ(asks({{"from one", "1", 0, false}}), "");
  EXPECT_EQ(asks({{"from one", "1", 1, false}}), "from one");
  EXPECT_EQ(asks({{"unknown", "1", 1, false}}), "");
  EXPECT_EQ(asks({{"unknown", "1", 2, false}}), "unknown");
  EXPECT_EQ(asks({{"from two", "1", 2, false}, {"from one", "1", 3, false}}), "from one");
  EXPECT_EQ(asks({{"from one", "1", 3, false}, {"from two", "1", 2, false}}), "from one");
  EXPECT_EQ(asks({{"from two", "1", 3, false}, {"from one", "1", 3, false}}), "from two") << "the first of two alike";
  EXPECT_EQ(asks({{"a", "1", {}, true}, {"from two", "1", 2, false}}), "from two");
  EXPECT_EQ(asks({{"from two", "1", 2, false}, {"a", "1", {}, true}}), "from two");
  EXPECT_EQ(asks({{"a", "1", {}, true}, {"b", "1", {}, true}}), "a");
}

TEST(FoldLimits, HowLongACardIsFollowed) {
  policy::ResponseCard card;
  EXPECT_EQ(followed_for(card), Interval{0});
  card.answering.emplace();
  EXPECT_EQ(followed_for(card), Interval{0});
  policy::FollowUp hourly, days;
  hourly.every = test::figure<Interval>(hours{1});
  hourly.until = test::figure<Interval>(hours{24});
  days.at = test::figure<std::vector<Interval>>({hours{12}, hours{48}});
  card.answering->follow_up = {hourly};
  EXPECT_EQ(followed_for(card), Interval{hours{24}});
  card.answering->follow_up = {days};
  EXPECT_EQ(followed_for(card), Interval{hours{48}});
  card.answering->follow_up = {days, hourly};
  EXPECT_EQ(followed_for(card), Interval{hours{48}});
}

TEST(FoldLimits, AnAnswerSaysSomething) {
  Responded nothing;
  EXPECT_FALSE(says_something(nothing));
  nothing.acts.emplace();
  EXPECT_FALSE(says_something(nothing));
  auto acts = nothing, done = nothing, called = nothing, note = nothing;
  acts.acts->push_back("stopped");
  done.done.push_back("Stop.");
  called.called = "the surgeon";
  note.note = "none needed";
  for (const auto& something : {acts, done, called, note}) EXPECT_TRUE(says_something(something));
}

// ---- the newest part of a long line ----

TEST(FoldLimits, TheNewestPartKeepsWhatIsOfItsFirstMoment) {
  auto h = dwelling();
  for (int i = 1; i < 4; ++i) h.at(minutes{i}, test::checked(0));
  const auto whole = folded(h);
  EXPECT_EQ(newest(whole, 5).earlier, 0u);
  EXPECT_EQ(newest(whole, 4).earlier, 1u);
  EXPECT_EQ(newest(whole, 2).state.looks.size(), 2u) << "the look at the very moment is kept";
  EXPECT_TRUE(newest(whole, 0).state.looks.empty());
  for (int i = 4; i < 6; ++i) {
    h.at(minutes{i}, Photographed{std::string(64, 'a'), "image/png", 1, ""});
    h.at(minutes{i}, SupplyUsed{"catheter", {}, {}, {}, {}});
  }
  const auto last = newest(folded(h), 2).state;
  EXPECT_EQ(last.photos.size(), 1u);
  EXPECT_EQ(last.deviations.size(), 1u);
  EXPECT_TRUE(newest(whole, 0).state.history.empty());
}

}  // namespace
}  // namespace dwell::line
