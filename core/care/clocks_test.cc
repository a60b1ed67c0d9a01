// Clocks that something charted once turned back, and what nobody asked about any more.
#include <gtest/gtest.h>

#include "care/test_ward.h"

namespace dwell::care {
namespace {

using std::chrono::hours;
using std::chrono::minutes;
using test::dwelling;
using test::History;
using test::item;

TEST(Clock, AVesicantThatWasPushedOrHasEndedIsStillUnderTheSkin) {
  auto h = dwelling().at(minutes{5}, test::pushed(test::vasopressor));
  EXPECT_EQ(item(Task::site_check, h, minutes{6})->due_at, test::after(minutes{15}));
  EXPECT_EQ(item(Task::site_check, h, minutes{6})->why, say::due_every(say::vesicant_went_in(), minutes{15}));
  auto locked = dwelling().at(minutes{1}, test::infusion(5, test::vasopressor)).at(minutes{10}, line::InfusionEnded{});
  locked.at(minutes{11}, test::flushed(true));
  EXPECT_EQ(item(Task::site_check, locked, minutes{12})->due_at, test::after(minutes{15}));
  locked.at(minutes{14}, test::all_normal());
  EXPECT_EQ(item(Task::site_check, locked, minutes{15})->due_at, test::after(minutes{14} + hours{8}));
}

TEST(Clock, APushWithoutANameIsNotHarmless) {
  EXPECT_EQ(item(Task::site_check, dwelling().at(minutes{5}, test::pushed("")), minutes{6})->why,
            say::due_every(say::unknown_went_in(), minutes{15}));
}

TEST(Clock, AFlushKeepsALineAndDoesNotUseIt) {
  auto h = dwelling();
  for (int i = 1; i < 4; ++i) h.at(hours{8 * i}, test::flushed(true));
  EXPECT_EQ(item(Task::need_review, h, hours{25})->due_at, test::after(hours{24}));
  EXPECT_EQ(item(Task::flush, h, hours{25})->due_at, test::after(hours{36})) << "but it was flushed";
  h.at(hours{25}, test::pushed("vancomycin 5 mg/mL"));
  EXPECT_EQ(item(Task::need_review, h, hours{26})->due_at, test::after(hours{49})) << "a dose is a use";
}

TEST(Clock, ALockedLineAtAJointIsNotAnAlarmAllNight) {
  auto placed = test::placed();
  placed.site.region = access::Region::antecubital;
  auto h = History{}.at(minutes{0}, test::opened()).at(minutes{0}, placed);
  EXPECT_EQ(item(Task::site_check, h, minutes{1})->due_at, test::after(hours{8}));
  h.at(minutes{2}, test::infusion());
  EXPECT_EQ(item(Task::site_check, h, minutes{3})->due_at, test::after(hours{1}));
}

TEST(Clock, ANeedAnsweredNoAndABrokenDressingAreNotForgotten) {
  auto found = test::all_normal();
  found.still_needed = false;
  found.dressing_intact = false;
  auto h = dwelling().at(hours{1}, found);
  auto next = test::all_normal();
  next.dressing_intact.reset();
  h.at(hours{2}, next);
  EXPECT_EQ(item(Task::need_review, h, hours{3})->due_at, test::after(hours{1}));
  EXPECT_EQ(item(Task::dressing_change, h, hours{3})->due_at, test::after(hours{1}));
  h.at(hours{3}, test::all_normal());
  EXPECT_EQ(item(Task::dressing_change, h, hours{4})->due_at, test::after(hours{1})) << "a dressing does not heal";
  h.at(hours{4}, line::DressingChanged{});
  EXPECT_EQ(item(Task::dressing_change, h, hours{4})->due_at, test::after(hours{4 + 7 * 24}));
  next.still_needed = true;
  EXPECT_EQ(item(Task::need_review, h.at(hours{5}, next), hours{6})->due_at, test::after(hours{24}));
}

TEST(Clock, ASetThatHeldBloodOrLipidIsNotCleanedByWhatFollows) {
  const auto due = [](const History& h) { return *item(Task::set_change, h, hours{3}); };
  for (const auto& [fluid, every] : {std::pair{"red cells", hours{4}}, std::pair{"lipid emulsion 20 %", hours{12}},
                                     std::pair{"propofol 1 %", hours{6}}, std::pair{"something new", hours{4}}}) {
    auto h = dwelling().at(minutes{0}, test::infusion(50, fluid)).at(hours{2}, test::infusion(50));
    EXPECT_EQ(due(h).due_at, test::after(every)) << fluid;
    EXPECT_FALSE(due(h).may_wait);
    EXPECT_EQ(due(h.at(hours{3}, line::SetChanged{})).due_at, test::after(hours{3 + 96})) << fluid;
  }
  auto added = test::infusion(50);
  added.mixture.additives = {{"lipid emulsion 20 %", 100.0 * millilitre}};
  EXPECT_EQ(due(dwelling().at(minutes{0}, added)).due_at, test::after(hours{12}));
}

TEST(Clock, AHardLimitHasNoGraceAndIsNotPutOff) {
  auto placed = test::placed();
  placed.asepsis = line::Asepsis::not_assured;
  auto h = History{}.at(minutes{0}, test::opened()).at(minutes{0}, placed);
  const auto state = [&](minutes now) { return item(Task::removal, h, now, say::replace_emergency_line())->state; };
  EXPECT_EQ(state(hours{24} - minutes{1}), DueState::soon);
  EXPECT_EQ(state(hours{24}), DueState::overdue);
  h.at(hours{23}, line::PutOff{Task::removal, test::after(hours{36}), "asleep"});
  EXPECT_EQ(state(hours{25}), DueState::overdue) << "it keeps its name and its place";
  EXPECT_EQ(item(Task::removal, h, hours{25})->title, say::replace_emergency_line());
}

TEST(Clock, AContradictionIsADueItemAndMayNotWait) {
  auto h = dwelling().at(minutes{20}, test::placed());
  const auto open = item(Task::contradiction, h, minutes{21});
  ASSERT_TRUE(open);
  EXPECT_EQ(open->why, say::two_placements());
  EXPECT_FALSE(open->may_wait);
}

TEST(SharedLimb, TwoLinesInOneArmSayIt) {
  auto first = test::folded(dwelling());
  auto second = first, other_arm = first, other_patient = first;
  first.id = "a";
  second.id = "b";
  second.placement->placed.site.region = access::Region::hand_back;
  other_arm.id = "c";
  other_arm.placement->placed.site.side = access::Side::right;
  other_patient.id = "d";
  other_patient.patient.number = "2";
  const auto& ward = test::standard_ward();
  const auto due = ward_due({first, second, other_arm, other_patient}, ward.policy, ward.infusates, test::start);
  for (const auto& line : due) {
    const bool shares = line.line == "a" || line.line == "b";
    ASSERT_EQ(line.findings.size(), shares ? 1u : 0u) << line.line;
    if (shares) {
      EXPECT_EQ(line.findings.front().code, "shared_limb");
    }
  }
}

}  // namespace
}  // namespace dwell::care
