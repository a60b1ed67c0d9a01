// A finding, once made, stands. Each of these histories once took a danger off the ward's list.
#include "care/findings.h"

#include <gtest/gtest.h>

#include "care/test_ward.h"
#include "say/care.h"
#include "say/common.h"
#include "say/line.h"

namespace dwell::care {
namespace {

using site::Sign;
using std::chrono::hours;
using std::chrono::minutes;
using test::dwelling;
using test::item;

test::History vesicant_runs() { return dwelling().at(minutes{1}, test::infusion(5, test::vasopressor)); }
test::History leak_found() { return vesicant_runs().at(minutes{10}, test::leak()); }

TEST(Stands, ACheckThatWasNoLookResetsNoClockAndErasesNothing) {
  auto h = vesicant_runs().at(minutes{5}, test::all_normal()).at(minutes{15}, test::not_looked());
  EXPECT_EQ(item(Task::site_check, h, minutes{16})->due_at, test::after(minutes{20}));
  EXPECT_EQ(item(Task::site_check, h, minutes{16})->why,
            line::clauses({say::due_every(say::vesicant_running(), minutes{15}), say::last_check_no_look()}));
  EXPECT_TRUE(item(Task::response, leak_found().at(minutes{12}, test::not_looked()), minutes{13}));
}

TEST(Stands, OneTapOnAllNormalErasesNoAlarm) {
  auto h = leak_found().at(minutes{12}, test::all_normal());
  const auto confirm = item(Task::response, h, minutes{13});
  ASSERT_TRUE(confirm);
  EXPECT_EQ(confirm->title, say::confirm_it_is_gone());
  EXPECT_EQ(confirm->why, line::clauses({say::scale_grade(say::listed_name("infiltration 0 to 4"), 4),
                                         say::found_gone_after(minutes{2}), say::no_response_charted()}));
  h.at(minutes{14}, test::all_normal());
  EXPECT_TRUE(item(Task::response, h, minutes{15})) << "the same person again";
  h.at(minutes{16}, test::all_normal()).events.back().author = "B. Cole";
  EXPECT_FALSE(item(Task::response, h, minutes{17})) << "a second person looked at the same things";
}

TEST(Stands, WhatHadTimeToHealIsOverAtTheNextLook) {
  auto h = leak_found();
  const auto day = minutes{24 * 60};
  EXPECT_TRUE(item(Task::response, test::History(h).at(minutes{9} + day, test::all_normal()), minutes{9} + day));
  EXPECT_FALSE(item(Task::response, test::History(h).at(minutes{10} + day, test::all_normal()), minutes{10} + day));
}

TEST(Stands, OnlyALookAtTheSameThingsSupersedes) {
  auto other = test::look({Sign::redness}, {{"phlebitis 0 to 4", "1", 1, false}});
  auto h = leak_found().at(minutes{12}, other);
  const auto why = line::key_of(item(Task::response, h, minutes{13}, say::act_on_found_before())->why);
  EXPECT_NE(why.find(line::key_of(say::scale_grade(say::listed_name("infiltration 0 to 4"), 4))), std::string::npos);
}

TEST(Stands, AnAnswerThatDoesNotFitIsNone) {
  auto h = leak_found();
  h.at(minutes{11}, line::Responded{"", {}, "", "", {}});
  EXPECT_TRUE(item(Task::response, h, minutes{12})) << "empty";
  h.at(minutes{12}, line::Responded{"occlusion", {"Look at clamps"}, "", "", {}});
  const auto open = item(Task::response, h, minutes{13});
  ASSERT_TRUE(open) << "of another kind";
  EXPECT_NE(line::key_of(open->why).find(line::key_of(say::response_in_vain())), std::string::npos);
  EXPECT_NE(line::key_of(open->why).find("card_to_open"), std::string::npos);
  EXPECT_EQ(open->cards, std::vector<std::string>{"leak_vesicant_vasopressor"});
  EXPECT_FALSE(open->may_wait);
  h.at(minutes{13}, test::responded("leak_harmless", {"stopped", "marked"}));
  EXPECT_TRUE(item(Task::response, h, minutes{14})) << "a milder card";
  h.at(minutes{14}, test::responded("leak_vesicant_vasopressor", {"stopped"}));
  EXPECT_TRUE(item(Task::response, h, minutes{15})) << "nobody called";
  h.at(minutes{15}, test::responded("leak_vesicant_vasopressor", {"called"}));
  EXPECT_FALSE(item(Task::response, h, minutes{16})) << "bit by bit";
  EXPECT_EQ(item(Task::removal, h, minutes{16})->title, say::decide_on_removal());
}

TEST(Stands, AnEntryFromBeforeActsWereAskedForAnswers) {
  auto h = leak_found().at(minutes{11}, line::Responded{"leak_vesicant_vasopressor", {"Stop here."}, "", "", {}});
  EXPECT_FALSE(item(Task::response, h, minutes{12}));
}

TEST(Stands, AnAnswerHoldsOnlyUntilSomethingGoesInAgain) {
  auto h = leak_found().at(minutes{11}, line::InfusionEnded{}).at(minutes{12}, test::answered_leak());
  EXPECT_FALSE(item(Task::response, h.at(minutes{70}, test::leak()), minutes{71})) << "the hourly look finds the same";
  h.at(minutes{80}, test::flushed(false)).at(minutes{81}, test::leak());
  EXPECT_TRUE(item(Task::response, h, minutes{82}));
}

TEST(Stands, WhatGrowsWorseAsksAnew) {
  auto h = vesicant_runs().at(minutes{2}, line::InfusionEnded{}).at(minutes{10}, test::leak());
  h.at(minutes{12}, test::answered_leak());
  auto worse = test::leak();
  worse.signs.present.push_back(Sign::blister_or_skin_loss);
  EXPECT_TRUE(item(Task::response, h.at(minutes{70}, worse), minutes{71}));
}

TEST(Stands, ItIsTakenBackWithAReason) {
  auto h = leak_found();
  h.at(minutes{12}, line::Retracted{"wrong patient"}).correcting(4);
  EXPECT_FALSE(item(Task::response, h, minutes{13}));
}

TEST(Stands, ManyDifferentFindingsAreDrawnTogetherAndNoneIsDropped) {
  auto h = vesicant_runs();
  for (int i = 0; i < 60; ++i) {
    auto found = test::look({static_cast<Sign>(i % 19), static_cast<Sign>((i * 7 + 3) % 19)});
    found.signs.pain_score = i % 10;
    h.at(minutes{10 + i}, found);
  }
  const auto state = test::folded(h);
  EXPECT_LE(state.findings.size(), 25u);
  EXPECT_TRUE(item(Task::response, h, minutes{80}));
}

// ---- a flush, an attempt, the tubing ----

TEST(Stands, AnAttemptThatHurtMakesAnAnswerDue) {
  for (const auto& [outcome, card] : {std::pair{line::AttemptOutcome::arterial, "arterial_entry"},
                                      std::pair{line::AttemptOutcome::nerve_pain, "nerve_pain"},
                                      std::pair{line::AttemptOutcome::haematoma, "haematoma"},
                                      std::pair{line::AttemptOutcome::infiltrated, "infiltrated_attempt"}}) {
    line::Attempted attempt;
    attempt.gauge = Gauge{22};
    attempt.outcome = outcome;
    auto h = test::History{}.at(minutes{0}, test::opened()).at(minutes{1}, attempt);
    const auto open = item(Task::response, h, minutes{2});
    ASSERT_TRUE(open) << card;
    EXPECT_EQ(open->cards, std::vector<std::string>{card});
    h.at(minutes{3}, test::placed()).at(minutes{4}, test::all_normal());
    EXPECT_TRUE(item(Task::response, h, minutes{5})) << "another vein does not heal this one";
    h.at(minutes{6}, test::responded(card, {"called", "limb_looked_at"}));
    EXPECT_FALSE(item(Task::response, h, minutes{7})) << card;
    EXPECT_TRUE(item(Task::follow_up, h, minutes{7})) << card;
  }
}

TEST(Stands, ResistanceAndCrossedTubing) {
  auto stiff = test::flushed(false);
  stiff.resistance = true;
  EXPECT_EQ(item(Task::response, dwelling().at(minutes{5}, stiff), minutes{6})->cards,
            std::vector<std::string>{"occlusion"});
  line::TubingTraced crossed;
  auto h = vesicant_runs().at(minutes{5}, crossed);
  EXPECT_TRUE(item(Task::tubing_trace, h, minutes{6})) << "nobody was moved";
  crossed.as_meant = true;
  EXPECT_FALSE(item(Task::tubing_trace, h.at(minutes{7}, crossed), minutes{8}));
}

// ---- what a card leaves behind ----

TEST(FollowUp, HourlyForADayAndThenTheDaysOfTheCard) {
  auto h = leak_found().at(minutes{11}, line::InfusionEnded{}).at(minutes{12}, test::answered_leak());
  const auto first = item(Task::follow_up, h, minutes{13});
  ASSERT_TRUE(first);
  EXPECT_EQ(first->due_at, test::after(minutes{72}));
  const Message card = test::standard_ward().policy.responses.at("leak_vesicant_vasopressor").title;
  EXPECT_EQ(first->why, say::card_asks_every(card, hours{1}, hours{24}));
  h.at(minutes{75}, test::leak());
  EXPECT_EQ(item(Task::follow_up, h, minutes{76})->due_at, test::after(minutes{135})) << "from the last look";
  h.at(minutes{12} + hours{24}, test::leak());
  EXPECT_EQ(item(Task::follow_up, h, minutes{13} + hours{24})->due_at, test::after(minutes{12} + hours{48}));
  h.at(hours{49}, test::removed());
  EXPECT_EQ(item(Task::follow_up, h, hours{49})->due_at, test::after(minutes{12} + hours{7 * 24}));
  h.at(hours{49 + 24}, test::after_checked(0, true));
  EXPECT_EQ(test::folded(h).stage, line::Stage::removed) << "a late blister is still to come";
  h.at(hours{7 * 24 + 1}, test::after_checked(0, false)).at(hours{14 * 24 + 1}, test::after_checked(0, true));
  EXPECT_EQ(test::folded(h).stage, line::Stage::closed);
}

TEST(FollowUp, ACheckThatWasNoLookDoesNotCount) {
  auto h = leak_found().at(minutes{12}, test::answered_leak()).at(minutes{30}, test::not_looked());
  EXPECT_EQ(item(Task::follow_up, h, minutes{31})->due_at, test::after(minutes{72}));
}

}  // namespace
}  // namespace dwell::care
