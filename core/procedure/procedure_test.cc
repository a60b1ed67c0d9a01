#include <gtest/gtest.h>

#include <algorithm>

#include "exchange/library.h"
#include "procedure/steps.h"
#include "procedure/words.h"
#include "say/access.h"
#include "say/common.h"
#include "say/procedure.h"

namespace dwell::procedure {
namespace {

using line::AgeBand;

const policy::Policy& standard() { return exchange::default_library().policy; }

PlacingInput placing() {
  PlacingInput in;
  in.patient.birth_date = *parse_date("1942-03-03");
  in.today = *parse_date("2026-11-25");
  return in;
}

const Step* find(const std::vector<Step>& steps, std::string_view id) {
  const auto found = std::find_if(steps.begin(), steps.end(), [&](const Step& s) { return s.id == id; });
  return found == steps.end() ? nullptr : &*found;
}

TEST(Placing, TheClocksCarryThePolicysTimes) {
  const auto steps = *placing_steps(placing(), standard());
  ASSERT_TRUE(find(steps, "let_dry") && find(steps, "let_dry")->clock);
  EXPECT_EQ(find(steps, "let_dry")->clock->limit, Interval{30});
  EXPECT_EQ(find(steps, "let_dry")->clock->rule, ClockRule::at_least);
  EXPECT_EQ(find(steps, "tourniquet")->clock->rule, ClockRule::at_most);
  EXPECT_EQ(find(steps, "tourniquet")->detail, say::tourniquet_above_the_site(shown_number(10), {{{"15", "cm"}}}));
}

TEST(Placing, AnotherAntisepticDriesLonger) {
  auto in = placing();
  in.antiseptic = "povidone_iodine";
  EXPECT_EQ(find(*placing_steps(in, standard()), "let_dry")->clock->limit, Interval{120});
  in.antiseptic = "lemon juice";
  EXPECT_EQ(placing_steps(in, standard()).error().front().path, "/antiseptic");
}

TEST(Placing, TheAngleFollowsTheAge) {
  const auto insert = [](const PlacingInput& input) {
    return find(*placing_steps(input, standard()), "insert")->detail;
  };
  const auto at = [](AgeBand band) {
    return say::anchor_and_insert(standard().place.insertion_angle.at(band).value, Advance::gauge_not_known);
  };
  EXPECT_EQ(insert(placing()), at(AgeBand::older_adult));
  auto in = placing();
  in.patient.birth_date.reset();
  EXPECT_EQ(insert(in), at(AgeBand::unknown));
}

TEST(Placing, CautionsStandWhereHarmIsPossible) {
  const auto steps = *placing_steps(placing(), standard());
  EXPECT_EQ(find(steps, "insert")->cautions.size(), 4u);
  EXPECT_FALSE(find(steps, "release")->cautions.empty());
}

TEST(Placing, TheOrderOfTheJob) {
  const auto steps = *placing_steps(placing(), standard());
  const char* order[]{"identity", "need",       "consent",   "wishes",       "allergies", "supplies",
                      "hands",    "tourniquet", "choose",    "scrub",        "let_dry",   "tourniquet_again",
                      "insert",   "release",    "scrub_hub", "blood_return", "flush",     "secure",
                      "dress",    "label",      "teach",     "trace",        "record"};
  ASSERT_EQ(steps.size(), std::size(order));
  for (std::size_t i = 0; i < steps.size(); ++i) EXPECT_EQ(steps[i].id, order[i]);
  for (const auto& s : steps) EXPECT_FALSE(s.title.empty() || s.detail.empty() || s.source.text.empty()) << s.id;
}

TEST(Placing, AFineCatheterIsAdvancedLess) {
  auto in = placing();
  in.gauge = Gauge{22};
  const Message angle = standard().place.insertion_angle.at(AgeBand::older_adult).value;
  EXPECT_EQ(find(*placing_steps(in, standard()), "insert")->detail, say::anchor_and_insert(angle, Advance::fine));
  in.gauge = Gauge{18};
  EXPECT_EQ(find(*placing_steps(in, standard()), "insert")->detail, say::anchor_and_insert(angle, Advance::other));
}

TEST(Placing, ChlorhexidineUnderTwoMonthsIsCautioned) {
  auto in = placing();
  in.patient.birth_date = *parse_date("2026-10-15");
  EXPECT_EQ(find(*placing_steps(in, standard()), "scrub")->cautions.front(),
            say::under_this_age(std::chrono::days{60},
                                *standard().place.antiseptics.at("chlorhexidine_alcohol").younger_note));
  in.patient.birth_date = *parse_date("2026-09-26");  // 60 days old
  EXPECT_TRUE(find(*placing_steps(in, standard()), "scrub")->cautions.empty());
  in.patient.birth_date = *parse_date("2026-09-27");
  EXPECT_FALSE(find(*placing_steps(in, standard()), "scrub")->cautions.empty());
}

TEST(Placing, AnAllergyToAntisepticAnaestheticLatexOrTapeStopsOnItsStep) {
  auto in = placing();
  in.patient.allergies_known = true;
  in.patient.allergies = {"Chlorhexidine (swollen eyes)", "lidocaine", "latex", "tape"};
  in.topical_anaesthetic = "lidocaine_prilocaine";
  const auto steps = *placing_steps(in, standard());
  EXPECT_EQ(find(steps, "scrub")->stops,
            std::vector<Message>{say::allergic_to_antiseptic({say::symbol("Chlorhexidine (swollen eyes)")})});
  EXPECT_EQ(find(steps, "numb")->stops, std::vector<Message>{say::allergic_to_anaesthetic({say::symbol("lidocaine")})});
  EXPECT_EQ(find(steps, "supplies")->stops.size(), 1u);
  EXPECT_EQ(find(steps, "dress")->stops.size(), 1u);
  in.antiseptic = "povidone_iodine";
  EXPECT_TRUE(find(*placing_steps(in, standard()), "scrub")->stops.empty());
  in.patient.allergies = {"iodine"};
  EXPECT_EQ(find(*placing_steps(in, standard()), "scrub")->stops.size(), 1u);
}

TEST(Placing, AllergiesToldButNotAskedReadAsTold) {
  auto in = placing();
  in.patient.allergies = {"penicillin"};
  EXPECT_EQ(find(*placing_steps(in, standard()), "allergies")->detail,
            say::allergies_told({say::symbol("penicillin")}));
  in.patient.allergies.clear();
  EXPECT_EQ(find(*placing_steps(in, standard()), "allergies")->detail, say::allergies_not_known());
}

TEST(Placing, ANewbornHasItsOwnFlushTourniquetAndComfort) {
  auto in = placing();
  in.patient.birth_date = *parse_date("2026-11-20");
  const auto steps = *placing_steps(in, standard());
  EXPECT_EQ(find(steps, "flush")->detail, say::flush_with(1.0 * millilitre));
  EXPECT_EQ(find(steps, "tourniquet")->detail, Message(standard().place.ages.at(AgeBand::neonate).tourniquet->value));
  EXPECT_TRUE(find(steps, "comfort"));
  EXPECT_EQ(find(*placing_steps(placing(), standard()), "comfort"), nullptr);
  EXPECT_EQ(find(*placing_steps(placing(), standard()), "flush")->detail, say::flush_with(5.0 * millilitre));
  auto policy = standard();
  policy.place.ages.clear();
  EXPECT_EQ(find(*placing_steps(in, policy), "flush")->detail, say::flush_as_the_ward_sets());
}

TEST(Placing, ACreamThatIsNotForThisAgeStops) {
  auto in = placing();
  in.topical_anaesthetic = "lidocaine_prilocaine";
  in.patient.birth_date = *parse_date("2026-11-11");
  EXPECT_EQ(find(*placing_steps(in, standard()), "numb")->stops.size(), 2u) << "weeks not recorded, and under a year";
  in.patient.weeks_at_birth = 36;
  EXPECT_EQ(find(*placing_steps(in, standard()), "numb")->stops.front(), say::born_too_early_for_it(36, 37));
  in.patient.weeks_at_birth = 37;
  EXPECT_EQ(find(*placing_steps(in, standard()), "numb")->stops.size(), 1u);
  in.patient.birth_date = *parse_date("2020-01-01");
  EXPECT_TRUE(find(*placing_steps(in, standard()), "numb")->stops.empty());
  in.patient.birth_date.reset();
  EXPECT_EQ(find(*placing_steps(in, standard()), "numb")->stops.size(), 1u) << "unknown is not old enough";
}

TEST(Placing, ALimbToLeaveAloneStandsInTheStep) {
  auto in = placing();
  in.patient.restrictions = {{access::Side::left, access::Limb::arm, access::RestrictionReason::fistula_or_graft, ""}};
  EXPECT_EQ(find(*placing_steps(in, standard()), "wishes")->stops,
            std::vector<Message>{say::leave_limb_alone(access::Side::left, access::Limb::arm,
                                                       say::restriction(access::RestrictionReason::fistula_or_graft))});
}

TEST(Placing, NoFistIsPumpedBeforeASample) {
  auto in = placing();
  EXPECT_EQ(find(*placing_steps(in, standard()), "choose")->detail, say::do_choose());
  in.samples = true;
  const auto steps = *placing_steps(in, standard());
  EXPECT_EQ(find(steps, "choose")->detail, say::do_choose_before_samples());
  EXPECT_EQ(find(steps, "samples")->detail, say::do_samples());
}

TEST(Placing, NothingComesOutUnderATightTourniquet) {
  const auto steps = *placing_steps(placing(), standard());
  for (const auto& out : {say::shooting_pain_or_stop(), say::pulsing_blood_is_an_artery()}) {
    const auto& all = find(steps, "insert")->cautions;
    EXPECT_NE(std::find(all.begin(), all.end(), out), all.end()) << "tourniquet off first: " << out.id();
  }
  EXPECT_EQ(find(steps, "blood_return")->why, say::why_blood_return());
  ASSERT_TRUE(find(steps, "scrub_hub")->clock);
  EXPECT_EQ(find(steps, "scrub_hub")->clock->limit, standard().place.hub_scrub->value);
}

bool cautions_of(const std::vector<Step>& steps, std::string_view id, std::string_view message) {
  auto all = find(steps, id)->cautions;
  const auto& stops = find(steps, id)->stops;
  all.insert(all.end(), stops.begin(), stops.end());
  return std::any_of(all.begin(), all.end(), [&](const Message& c) { return c.id() == message; });
}

TEST(Removing, ALeakOfWhatMayBeAVesicantComesOutOnlyAfterTheCall) {
  RemovingInput in;
  in.leak_suspected = true;
  for (const auto harm : {infusate::HarmClass::vesicant, infusate::HarmClass::unknown}) {
    in.running = harm;
    EXPECT_TRUE(cautions_of(removing_steps(in, standard()), "ground", "do_not_remove_yet"));
    EXPECT_TRUE(cautions_of(removing_steps(in, standard()), "press", "press_on_the_puncture_only"));
  }
  in.running = infusate::HarmClass::harmless;
  EXPECT_FALSE(cautions_of(removing_steps(in, standard()), "ground", "do_not_remove_yet"));
  in.leak_suspected = false;
  in.running = infusate::HarmClass::unknown;
  EXPECT_TRUE(cautions_of(removing_steps(in, standard()), "ground", "leave_it_in_if_it_leaks"));
}

TEST(Removing, AVesicantsLeakIsLeftInAndCalledFor) {
  RemovingInput in;
  in.leak_suspected = true;
  in.running = infusate::HarmClass::vesicant;
  const auto steps = removing_steps(in, standard());
  const auto place_of = [&](std::string_view id) { return find(steps, id) - steps.data(); };
  ASSERT_TRUE(find(steps, "leave_in") && find(steps, "call"));
  EXPECT_LT(place_of("stop"), place_of("leave_in"));
  EXPECT_LT(place_of("call"), place_of("withdraw"));
  EXPECT_FALSE(find(steps, "loosen")->stops.empty());
  in.running = infusate::HarmClass::harmless;
  EXPECT_EQ(find(removing_steps(in, standard()), "leave_in"), nullptr);
  EXPECT_EQ(find(steps, "withdraw")->detail, say::do_withdraw());
  EXPECT_EQ(find(steps, "teach")->detail, say::watch_the_site_for({{{"48", "h"}}})) << "a shift counts in hours";
}

TEST(Removing, ALeakIsToldByItsCardWhateverElseWasFoundWithIt) {
  RemovingInput in;
  in.running = infusate::HarmClass::vesicant;
  const auto stays = [&](std::vector<std::string> cards) {
    in.cards = std::move(cards);
    return find(removing_steps(in, standard()), "leave_in") != nullptr;
  };
  EXPECT_FALSE(stays({}));
  EXPECT_FALSE(stays({"phlebitis_remove", "infection"}));
  EXPECT_TRUE(stays({"leak_vesicant_vasopressor"}));
  EXPECT_TRUE(stays({"compartment", "leak_vesicant_other"})) << "the gravest card is not the leak's";
  EXPECT_TRUE(stays({"a card that this policy does not have"}));
}

TEST(Receiving, WhatRunsIsNotFlushedIn) {
  const auto steps = receiving_steps({}, standard());
  EXPECT_EQ(find(steps, "patency")->detail, say::do_patency());
  EXPECT_TRUE(cautions_of(steps, "patency", "swollen_cool_or_painful"));
  EXPECT_TRUE(find(steps, "pump"));
  EXPECT_EQ(find(transfer_steps(standard()), "enough")->detail, say::do_enough());
}

TEST(Checking, MoreIsAskedWhileSomethingHarmfulMayRun) {
  for (const auto harm : {infusate::HarmClass::vesicant, infusate::HarmClass::unknown, infusate::HarmClass::irritant})
    EXPECT_TRUE(cautions_of(checking_steps({{}, harm, true}), "flow", "signs_while_this_runs"));
  EXPECT_FALSE(cautions_of(checking_steps({{}, infusate::HarmClass::harmless, true}), "flow", "signs_while_this_runs"));
}

TEST(Removing, PressureIsLongerWithOrWithoutKnowingOfAnAnticoagulant) {
  RemovingInput in;
  EXPECT_EQ(find(removing_steps(in, standard()), "press")->clock->limit, Interval{300});
  in.patient.anticoagulant = true;
  EXPECT_EQ(find(removing_steps(in, standard()), "press")->clock->limit, Interval{300});
  in.patient.anticoagulant = false;
  EXPECT_EQ(find(removing_steps(in, standard()), "press")->clock->limit, Interval{120});
}

TEST(CatheterCheck, AShortOneRaisesTheAlarmWithItsCard) {
  const auto c = *check_catheter(25.0 * millimetre, 20.0 * millimetre, true, standard());
  EXPECT_TRUE(c.alarm);
  EXPECT_NEAR(in(*c.missing, millimetre), 5, 1e-9);
  ASSERT_TRUE(c.card.has_value());
}

TEST(CatheterCheck, TheToleranceItselfIsNoAlarm) {
  for (int placed = 14; placed <= 60; ++placed) {
    const double p = placed;
    EXPECT_FALSE(check_catheter(p * millimetre, (p - 1) * millimetre, true, standard())->alarm) << placed;
    EXPECT_TRUE(check_catheter(p * millimetre, (p - 1.1) * millimetre, true, standard())->alarm) << placed;
  }
}

TEST(CatheterCheck, UnknownIsNeverWhole) {
  const auto c = *check_catheter(25.0 * millimetre, std::nullopt, std::nullopt, standard());
  EXPECT_FALSE(c.alarm);
  EXPECT_EQ(c.findings.size(), 2u);
  EXPECT_TRUE(check_catheter(25.0 * millimetre, 25.0 * millimetre, true, standard())->findings.empty());
  EXPECT_TRUE(check_catheter(25.0 * millimetre, 25.0 * millimetre, false, standard())->alarm);
  EXPECT_FALSE(check_catheter(25.0 * millimetre, 2.0 * metre, true, standard()));
}

TEST(Placing, AnOrderedAnaestheticLiesItsTime) {
  auto in = placing();
  EXPECT_EQ(find(*placing_steps(in, standard()), "numb"), nullptr);
  in.topical_anaesthetic = "lidocaine_prilocaine";
  const auto steps = *placing_steps(in, standard());
  ASSERT_TRUE(find(steps, "numb") && find(steps, "numb")->clock);
  EXPECT_EQ(find(steps, "numb")->clock->limit, Interval{3600});
  EXPECT_EQ(find(steps, "numb")->source.mark, Mark::secondary) << "a figure at second hand says so";
  in.topical_anaesthetic = "ice";
  EXPECT_EQ(placing_steps(in, standard()).error().front().path, "/topical_anaesthetic");
}

TEST(Placing, SamplesAreDrawnBeforeTheFlush) {
  auto in = placing();
  in.samples = true;
  const auto steps = *placing_steps(in, standard());
  const auto place_of = [&](std::string_view id) { return find(steps, id) - steps.data(); };
  ASSERT_TRUE(find(steps, "samples"));
  EXPECT_LT(place_of("blood_return"), place_of("samples"));
  EXPECT_LT(place_of("samples"), place_of("flush"));
}

TEST(FailedAttempt, OpensItsCardAndBeginsAgainBeforeTheSkinIsCleaned) {
  using line::AttemptOutcome;
  const std::pair<AttemptOutcome, const char*> cards[]{{AttemptOutcome::arterial, "arterial_entry"},
                                                       {AttemptOutcome::nerve_pain, "nerve_pain"},
                                                       {AttemptOutcome::haematoma, "haematoma"},
                                                       {AttemptOutcome::infiltrated, "leak_harmless"}};
  for (const auto& [outcome, name] : cards) {
    const auto after = after_failed_attempt(outcome, standard());
    EXPECT_EQ(after.response, name);
    EXPECT_TRUE(after.card);
    EXPECT_EQ(after.go_on_at, "tourniquet");
  }
  EXPECT_FALSE(after_failed_attempt(AttemptOutcome::no_flashback, standard()).response);
  EXPECT_EQ(after_failed_attempt(AttemptOutcome::patient_stopped, standard()).go_on_at, "consent");
}

TEST(Transfer, TheTubingIsTracedWithinThePolicysTime) {
  const auto steps = transfer_steps(standard());
  ASSERT_TRUE(find(steps, "trace") && find(steps, "trace")->clock);
  EXPECT_EQ(find(steps, "trace")->clock->limit, standard().watch.trace_after_move.value);
  EXPECT_TRUE(find(steps, "hand_over"));
}

TEST(Receiving, UnknownAsepsisIsNotAssured) {
  ReceivingInput in;
  const auto steps = receiving_steps(in, standard());
  ASSERT_TRUE(find(steps, "replace"));
  EXPECT_EQ(find(steps, "replace")->detail.id(), "replace_asepsis_not_known");
  EXPECT_EQ(find(steps, "replace")->cautions.size(), 1u);
  in.asepsis = line::Asepsis::aseptic;
  EXPECT_EQ(find(receiving_steps(in, standard()), "replace"), nullptr);
  in.asepsis = line::Asepsis::not_assured;
  in.in_for = std::chrono::hours{50};
  EXPECT_EQ(find(receiving_steps(in, standard()), "replace")->cautions.front(), say::its_time_is_over());
}

}  // namespace
}  // namespace dwell::procedure
