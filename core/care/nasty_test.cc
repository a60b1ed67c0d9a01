// Histories as a busy ward charts them: two nurses at once, late, twice, corrected and corrected back. In each of them
// somebody is in danger, and each has to end with an item on the list that says so.
#include <gtest/gtest.h>

#include "care/test_ward.h"

namespace dwell::care {
namespace {

using line::AttemptOutcome;
using std::chrono::days;
using std::chrono::hours;
using std::chrono::minutes;
using test::dwelling;
using test::History;
using test::item;

History vasopressor() { return dwelling().at(minutes{5}, test::infusion(5, test::vasopressor)); }
History leak() { return vasopressor().at(minutes{20}, test::leak()); }
History& by(History& history, const char* author) {
  history.events.back().author = author;
  return history;
}
/// Where the last entry lies in the record, when it came at another time than it happened.
History& came(History& history, std::int64_t sequence) {
  history.events.back().receipt = line::Receipt{sequence, std::nullopt};
  return history;
}

line::Removed removal(std::optional<Length> length, std::optional<bool> tip = true) {
  auto fact = test::removed();
  fact.length_found = length;
  fact.tip_whole = tip;
  return fact;
}
line::Attempted attempt(AttemptOutcome outcome) {
  line::Attempted fact;
  fact.site = test::placed().site;
  fact.gauge = Gauge{22};
  fact.outcome = outcome;
  return fact;
}
line::AfterChecked sound_after() { return test::after_checked(0, true); }

struct Nasty {
  const char* told;
  History history;
  minutes now;
  Task on_the_list;
};

void stands(const Nasty& nasty) {
  EXPECT_TRUE(item(nasty.on_the_list, nasty.history, nasty.now)) << nasty.told;
  const auto& ward = test::standard_ward();
  EXPECT_TRUE(is_listed(test::folded(nasty.history), ward.policy, test::after(nasty.now))) << nasty.told;
}

TEST(Nasty, TwoAtOnce) {
  auto same_minute = leak().at(minutes{20}, test::all_normal());
  by(same_minute, "B. Cole");
  auto tap_first = vasopressor().at(minutes{20}, test::all_normal()).at(minutes{20}, test::leak());
  auto both_answer_elsewhere = leak().at(minutes{21}, test::responded("occlusion", {}));
  by(both_answer_elsewhere, "B. Cole").at(minutes{21}, test::responded("fever", {"called"}));
  auto both_remove = vasopressor().at(minutes{30}, removal(25.0 * millimetre));
  both_remove.at(minutes{30}, removal(20.0 * millimetre));
  auto second_says_broken =
      dwelling().at(minutes{30}, removal(std::nullopt)).at(minutes{31}, removal(25.0 * millimetre, false));
  auto both_place =
      History{}.at(minutes{0}, test::opened()).at(minutes{1}, test::placed()).at(minutes{1}, test::placed());
  auto one_of_both_out = both_place;
  one_of_both_out.at(hours{1}, removal(25.0 * millimetre));
  auto starts_while_other_answers = leak().at(minutes{25}, test::answered_leak());
  starts_while_other_answers.at(minutes{26}, test::infusion(5, test::vasopressor));
  auto flushes_what_leaks = leak().at(minutes{24}, line::InfusionEnded{}).at(minutes{25}, test::answered_leak());
  flushes_what_leaks.at(minutes{40}, test::flushed(true));
  for (const auto& nasty :
       {Nasty{"leak and all normal in one minute", same_minute, minutes{21}, Task::response},
        Nasty{"all normal and leak in one minute", tap_first, minutes{21}, Task::response},
        Nasty{"two answers, neither to this", both_answer_elsewhere, minutes{22}, Task::response},
        Nasty{"removed twice, the second time short", both_remove, minutes{31}, Task::catheter_missing_alarm},
        Nasty{"removed twice, the second time broken", second_says_broken, minutes{32}, Task::catheter_missing_alarm},
        Nasty{"placed twice", both_place, minutes{2}, Task::contradiction},
        Nasty{"placed twice, removed once", one_of_both_out, hours{2}, Task::site_check},
        Nasty{"started again after the answer", starts_while_other_answers, minutes{27}, Task::response},
        Nasty{"flushed after the answer", flushes_what_leaks, minutes{41}, Task::response}})
    stands(nasty);
}

TEST(Nasty, Corrections) {
  auto corrected_to_normal = leak().at(minutes{25}, test::all_normal()).correcting(4);
  auto corrected_to_no_look = leak().at(minutes{25}, test::not_looked()).correcting(4);
  auto corrected_to_a_note = leak().at(minutes{25}, line::Noted{"see above"}).correcting(4);
  auto through_two =
      leak().at(minutes{25}, test::leak()).correcting(4).at(minutes{26}, test::all_normal()).correcting(5);
  auto without_reason = leak().at(minutes{25}, line::Retracted{" "}).correcting(4);
  auto taking_back_taken_back = leak().at(minutes{25}, line::Retracted{"wrong patient"}).correcting(4);
  taking_back_taken_back.at(minutes{26}, line::Retracted{"was right"}).correcting(5);
  auto answer_taken_back = leak().at(minutes{25}, test::answered_leak());
  answer_taken_back.at(minutes{26}, line::Retracted{"nobody was called"}).correcting(5);
  auto second_look_taken_back = leak().at(minutes{25}, test::all_normal()).at(minutes{26}, test::all_normal());
  by(second_look_taken_back, "B. Cole").at(minutes{27}, line::Retracted{"another arm"}).correcting(6);
  auto placement_taken_back = leak().at(minutes{25}, line::Retracted{"wrong line"}).correcting(2);
  auto opening_taken_back = leak().at(minutes{25}, line::Retracted{"wrong patient"}).correcting(1);
  auto removal_taken_back = vasopressor().at(hours{1}, removal(25.0 * millimetre));
  removal_taken_back.at(hours{2}, line::Retracted{"it is still in"}).correcting(4);
  auto whole_after_all = dwelling().at(hours{1}, removal(25.0 * millimetre, false));
  whole_after_all.at(hours{2}, removal(25.0 * millimetre, true)).correcting(3);
  auto no_nerve_pain = History{}.at(minutes{0}, test::opened()).at(minutes{1}, attempt(AttemptOutcome::nerve_pain));
  no_nerve_pain.at(minutes{2}, attempt(AttemptOutcome::no_flashback)).correcting(2);
  auto flush = test::flushed(true);
  flush.resistance = true;
  auto no_resistance = dwelling().at(minutes{5}, flush).at(minutes{6}, test::flushed(true)).correcting(3);
  auto circle =
      leak().at(minutes{25}, line::Retracted{"a"}).correcting(6).at(minutes{26}, line::Retracted{"b"}).correcting(5);
  for (const auto& nasty : {Nasty{"corrected to all normal", corrected_to_normal, minutes{26}, Task::contradiction},
                            Nasty{"corrected to no look", corrected_to_no_look, minutes{26}, Task::contradiction},
                            Nasty{"corrected to a note", corrected_to_a_note, minutes{26}, Task::contradiction},
                            Nasty{"corrected twice in a row", through_two, minutes{27}, Task::contradiction},
                            Nasty{"taken back without a reason", without_reason, minutes{26}, Task::contradiction},
                            Nasty{"the taking back taken back", taking_back_taken_back, minutes{27}, Task::response},
                            Nasty{"the answer taken back", answer_taken_back, minutes{27}, Task::response},
                            Nasty{"the second look taken back", second_look_taken_back, minutes{28}, Task::response},
                            Nasty{"the placement taken back", placement_taken_back, minutes{26}, Task::response},
                            Nasty{"the opening taken back", opening_taken_back, minutes{26}, Task::response},
                            Nasty{"the removal taken back", removal_taken_back, hours{3}, Task::site_check},
                            Nasty{"broken, corrected to whole", whole_after_all, hours{3}, Task::contradiction},
                            Nasty{"nerve pain corrected away", no_nerve_pain, minutes{3}, Task::contradiction},
                            Nasty{"resistance corrected away", no_resistance, minutes{7}, Task::contradiction},
                            Nasty{"taken back in a circle", circle, minutes{27}, Task::response}})
    stands(nasty);
}

TEST(Nasty, ACorrectionWithItsReasonIsOne) {
  auto said_why = leak().at(minutes{25}, test::all_normal()).correcting(4).because("the other arm");
  EXPECT_FALSE(item(Task::contradiction, said_why, minutes{26}));
  auto worse = dwelling().at(minutes{5}, test::all_normal()).at(minutes{6}, test::leak()).correcting(3);
  EXPECT_FALSE(item(Task::contradiction, worse, minutes{7})) << "to more";
  auto back_and_forth = leak().at(minutes{25}, test::all_normal()).correcting(4);
  back_and_forth.at(minutes{26}, line::Retracted{"it had leaked"}).correcting(5);
  EXPECT_FALSE(item(Task::contradiction, back_and_forth, minutes{27}));
  EXPECT_TRUE(item(Task::response, back_and_forth, minutes{27}));
}

TEST(Nasty, LateEntries) {
  // The record had both looks that found nothing before anybody charted the leak of the morning.
  auto late = vasopressor();
  came(late, 3).at(hours{5}, test::all_normal());
  came(late, 4).at(hours{6}, test::all_normal());
  came(by(late, "B. Cole"), 5).at(minutes{20}, test::leak());
  came(late, 6);
  auto by_days = dwelling();
  came(by_days, 2).at(days{2}, test::all_normal());
  came(by_days, 3).at(minutes{30}, test::leak());
  auto looked_again = late;
  looked_again.at(hours{7}, test::all_normal());
  came(looked_again, 7).at(hours{8}, test::all_normal());
  came(by(looked_again, "B. Cole"), 8);
  EXPECT_FALSE(item(Task::response, looked_again, hours{9})) << "two who could know it";
  auto answer_before_it_was_found = vasopressor().at(minutes{10}, test::answered_leak()).at(minutes{20}, test::leak());
  auto removed_before_it_was_placed = History{}.at(minutes{0}, test::opened()).at(minutes{10}, test::placed());
  removed_before_it_was_placed.at(minutes{5}, removal(25.0 * millimetre));
  auto pushed_after_the_end = dwelling().at(hours{2}, test::pushed(test::vasopressor)).at(hours{1}, test::all_normal());
  auto never_placed = History{}.at(minutes{0}, test::opened()).at(minutes{5}, test::infusion(5, test::vasopressor));
  for (const auto& nasty :
       {Nasty{"a leak charted after the looks", late, hours{7}, Task::response},
        Nasty{"a leak charted days late", by_days, days{2} + hours{1}, Task::response},
        Nasty{"answered before it was found", answer_before_it_was_found, minutes{21}, Task::response},
        Nasty{"removed before it was placed", removed_before_it_was_placed, hours{1}, Task::site_check},
        Nasty{"a push charted before an earlier look", pushed_after_the_end, hours{2}, Task::site_check},
        Nasty{"runs into a line that nobody placed", never_placed, hours{1}, Task::contradiction}})
    stands(nasty);
  EXPECT_EQ(item(Task::site_check, pushed_after_the_end, hours{2})->due_at, test::after(hours{1} + minutes{15}));
}

TEST(Nasty, MovesAndEnds) {
  auto moved = leak().at(minutes{30}, line::Moved{{"Hill Hospital", "Ward 9", "2"}});
  moved.at(minutes{31}, line::HandedOver{"R. Ode", "B. Cole", ""});
  auto put_off = leak().at(minutes{21}, line::PutOff{Task::response, test::after(hours{20}), "later"});
  auto look_put_off = vasopressor();
  for (int i = 1; i < 12; ++i)
    look_put_off.at(minutes{10 + 5 * i}, line::PutOff{Task::site_check, test::after(minutes{25 + 5 * i}), "busy"});
  auto broken_then_no_length = dwelling().at(hours{1}, removal(std::nullopt, false)).at(hours{60}, sound_after());
  auto discharged = leak();
  auto out = removal(25.0 * millimetre);
  out.reason = line::RemovalReason::discharge;
  discharged.at(hours{1}, out).at(hours{10}, sound_after());
  auto after_look_while_in =
      vasopressor().at(minutes{6}, attempt(AttemptOutcome::haematoma)).at(minutes{30}, sound_after());
  auto after_look_at_leak = leak().at(minutes{30}, sound_after()).at(minutes{31}, sound_after());
  by(after_look_at_leak, "B. Cole");
  auto healed_then_worse = dwelling().at(hours{1}, removal(25.0 * millimetre)).at(hours{2}, sound_after());
  healed_then_worse.at(hours{30}, test::after_checked(3, false));
  auto no_then_yes = dwelling().at(minutes{5}, test::leak());
  auto needed = test::all_normal();
  needed.still_needed = false;
  no_then_yes.at(minutes{6}, needed);
  needed.still_needed = true;
  no_then_yes.at(minutes{7}, needed);
  auto placed_again = dwelling().at(hours{1}, removal(20.0 * millimetre)).at(hours{2}, test::placed());
  placed_again.at(hours{3}, removal(25.0 * millimetre)).at(days{3}, sound_after());
  auto tried_again = dwelling().at(hours{1}, removal(25.0 * millimetre)).at(hours{2}, sound_after());
  tried_again.at(hours{3}, attempt(AttemptOutcome::arterial));
  auto gave_way = dwelling().at(minutes{6}, attempt(AttemptOutcome::infiltrated));
  for (const auto& nasty :
       {Nasty{"moved and handed over", moved, minutes{32}, Task::response},
        Nasty{"the answer put off", put_off, minutes{22}, Task::response},
        Nasty{"broken, and then nobody measured it", broken_then_no_length, days{90}, Task::catheter_missing_alarm},
        Nasty{"discharged with a leak", discharged, hours{11}, Task::response},
        Nasty{"looked at the place of an attempt", after_look_while_in, minutes{31}, Task::site_check},
        Nasty{"looked at another place", after_look_at_leak, minutes{32}, Task::response},
        Nasty{"healed, then worse", healed_then_worse, hours{31}, Task::response},
        Nasty{"no longer needed, needed again", no_then_yes, minutes{8}, Task::response},
        Nasty{"short, placed again, whole", placed_again, days{4}, Task::catheter_missing_alarm},
        Nasty{"tried again after it was closed", tried_again, hours{4}, Task::response},
        Nasty{"gave way at an attempt", gave_way, minutes{7}, Task::response}})
    stands(nasty);
  EXPECT_EQ(item(Task::site_check, look_put_off, minutes{70})->state, DueState::overdue) << "put off again and again";
  EXPECT_EQ(item(Task::site_check, after_look_while_in, minutes{31})->due_at, test::after(minutes{15}));
}

TEST(Nasty, OnePatientWithAndWithoutANumber) {
  auto numbered = test::folded(dwelling()), unnumbered = numbered;
  numbered.id = "a";
  unnumbered.id = "b";
  unnumbered.patient.number.clear();
  const auto& ward = test::standard_ward();
  for (const auto& line : ward_due({unnumbered, numbered}, ward.policy, ward.infusates, test::start))
    EXPECT_EQ(line.findings.size(), 1u) << line.line;
}

}  // namespace
}  // namespace dwell::care
