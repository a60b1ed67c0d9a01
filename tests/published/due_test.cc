// The intervals that guidance gives, put in as policy, must come out as the moments at which work falls due.
//   [INS site]   Infusion Nurses Society on frequency of site checks, 2012 and 2016, as reported by a web page (weak)
//   [locked]     one hospital's rule, reported at iv-therapy.net (weak)
//   [INS 2021]   Infusion Therapy Standards of Practice 2021, as reported by a skills textbook (secondary)
//   [sets]       set-change charts that cite INS and CDC 2011 (secondary)
//   [CDC 2011]   Guidelines for the Prevention of Intravascular Catheter-Related Infections: emergency lines by 48 h
//                (value from memory)
//   [idle]       INS 2016 and 2021: not used for 24 h, take it out (value from memory)
//   [flush]      INS 2016 and 2021: at least every 24 h (value from memory)
//   [after]      Rickard 2012, pubmed 22998716: phlebitis up to 48 h after removal (read)
//   [VIP]        the visual infusion phlebitis score (A. Jackson): removal from score 2 (read on the card)
#include "care/due.h"

#include <gtest/gtest.h>

#include "line/test_events.h"

namespace dwell::care {
namespace {

using policy::SiteCheckClass;
using std::chrono::hours;
using std::chrono::minutes;
using test::History;

Figure<Interval> figure(hours value, const char* source, Mark mark) { return {value, source, mark}; }

policy::Policy guidance() {
  policy::Policy p;
  auto& checks = p.watch.site_check;
  checks[SiteCheckClass::adult_infusing] = figure(hours{4}, "[INS site]", Mark::weak);
  checks[SiteCheckClass::cannot_report] = figure(hours{2}, "[INS site]", Mark::weak);
  checks[SiteCheckClass::child] = figure(hours{1}, "[INS site]", Mark::weak);
  checks[SiteCheckClass::locked] = figure(hours{8}, "[locked]", Mark::weak);
  p.watch.film_dressing = figure(hours{7 * 24}, "[INS 2021]", Mark::secondary);
  p.watch.gauze_dressing = figure(hours{48}, "[INS 2021]", Mark::secondary);
  p.watch.set_continuous = figure(hours{96}, "[sets]", Mark::secondary);
  p.watch.set_intermittent = figure(hours{24}, "[sets]", Mark::secondary);
  p.watch.set_blood = figure(hours{4}, "[sets]", Mark::secondary);
  p.watch.emergency_dwell = figure(hours{48}, "[CDC 2011]", Mark::memory);
  p.watch.idle = figure(hours{24}, "[idle]", Mark::memory);
  p.watch.flush_locked = figure(hours{24}, "[flush]", Mark::memory);
  p.watch.soon = figure(hours{1}, "common practice, no source", Mark::practice);
  p.watch.drip_recount = figure(hours{1}, "common practice, no source", Mark::practice);
  p.remove.after_watch = figure(hours{48}, "[after]", Mark::read);
  p.remove.length_tolerance = {1.0 * millimetre, "common practice, no source", Mark::practice};
  return p;
}

infusate::Formulary fluids() {
  infusate::Formulary all;
  all["sodium chloride 0.9 %"].harm = infusate::HarmClass::harmless;
  all["red cells"].harm = infusate::HarmClass::harmless;
  all["red cells"].kind = infusate::FluidKind::blood;
  return all;
}

struct Expected {
  hours after;
  const char* source;
  Mark mark;
};

/// The item's moment, and that its ground and the mark of that ground travel with it.
void expect_due(Task task, const History& history, const Expected& expected) {
  for (const auto& item : due_items(line::fold(history.events, guidance()), guidance(), fluids(), test::start)) {
    if (item.task != task) continue;
    EXPECT_EQ(item.due_at, test::after(expected.after)) << item.why.id();
    EXPECT_EQ(item.source.text, expected.source);
    EXPECT_EQ(item.source.mark, expected.mark);
    return;
  }
  ADD_FAILURE() << "no such item";
}

History placed(line::Placed fact = test::placed(), line::Opened opened = test::opened()) {
  return History{}.at(minutes{0}, opened).at(minutes{0}, fact);
}

TEST(PublishedDue, SiteCheck) {
  expect_due(Task::site_check, placed().at(minutes{0}, test::infusion()), {hours{4}, "[INS site]", Mark::weak});
  auto sedated = test::opened();
  sedated.patient.can_report_pain = false;
  expect_due(Task::site_check, placed(test::placed(), sedated), {hours{2}, "[INS site]", Mark::weak});
  auto child = test::opened();
  child.patient.birth_date = Date{std::chrono::year{2021} / 6 / 1};
  expect_due(Task::site_check, placed(test::placed(), child), {hours{1}, "[INS site]", Mark::weak});
  expect_due(Task::site_check, placed(), {hours{8}, "[locked]", Mark::weak});
}

TEST(PublishedDue, Dressing) {
  expect_due(Task::dressing_change, placed(), {hours{7 * 24}, "[INS 2021]", Mark::secondary});
  auto gauze = test::placed();
  gauze.dressing = line::Dressing::gauze;
  expect_due(Task::dressing_change, placed(gauze), {hours{48}, "[INS 2021]", Mark::secondary});
}

TEST(PublishedDue, Set) {
  expect_due(Task::set_change, placed().at(minutes{0}, test::infusion()), {hours{96}, "[sets]", Mark::secondary});
  expect_due(Task::set_change, placed().at(minutes{0}, test::infusion(200, "red cells")),
             {hours{4}, "[sets]", Mark::secondary});
  expect_due(Task::set_change,
             placed().at(minutes{0}, test::infusion()).at(hours{1}, test::flushed(true)).at(hours{6}, test::infusion()),
             {hours{24}, "[sets]", Mark::secondary});
}

TEST(PublishedDue, FlushAndIdle) {
  expect_due(Task::flush, placed(), {hours{24}, "[flush]", Mark::memory});
  expect_due(Task::need_review, placed(), {hours{24}, "[idle]", Mark::memory});
}

TEST(PublishedDue, EmergencyLineAndAfterRemoval) {
  auto emergency = test::placed();
  emergency.asepsis = line::Asepsis::not_assured;
  expect_due(Task::removal, placed(emergency), {hours{48}, "[CDC 2011]", Mark::memory});
  expect_due(Task::after_check, placed().at(hours{10}, test::removed()), {hours{58}, "[after]", Mark::read});
}

TEST(PublishedDue, ALitreAt125AnHourLastsEightHours) {
  // The worked example of every drip-rate lesson: 1,000 mL over 8 h is 125 mL/h (common practice, no source).
  expect_due(Task::bag_change, placed().at(minutes{0}, test::infusion(125)),
             {hours{8}, "volume left / rate", Mark::computed});
}

TEST(PublishedDue, PhlebitisScoreFromWhichTheLineComesOut) {
  // [VIP] 0 and 1: observe; from 2: resite.
  for (const int score : {0, 1, 2, 3, 4, 5}) {
    auto look = test::checked(score);
    look.grades.front().scale = "phlebitis 0 to 5";
    const auto state = line::fold(placed().at(minutes{1}, look).events, guidance());
    const auto items = due_items(state, guidance(), fluids(), test::after(minutes{1}));
    EXPECT_EQ(items.front().task == Task::response, score >= 2) << score;
  }
}

}  // namespace
}  // namespace dwell::care
