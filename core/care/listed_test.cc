// How long a ward lists a line that was taken out. What may hide a catheter never leaves the list.
#include <gtest/gtest.h>

#include "care/board.h"
#include "care/test_ward.h"

namespace dwell::care {
namespace {

using std::chrono::days;
using std::chrono::hours;
using std::chrono::minutes;
using test::dwelling;
using test::History;

bool listed(const History& history, minutes now) {
  const auto& ward = test::standard_ward();
  const auto state = test::folded(history);
  const bool on_the_list = is_listed(state, ward.policy, test::after(now));
  EXPECT_EQ(ward_due({state}, ward.policy, ward.infusates, test::after(now)).size(), on_the_list ? 1u : 0u);
  Board board(ward.policy, ward.infusates);
  board.put(state, test::after(now));
  EXPECT_EQ(board.size(), on_the_list ? 1u : 0u);
  return on_the_list;
}

line::Removed without_length() {
  auto fact = test::removed();
  fact.length_found.reset();
  return fact;
}

History out_without_length() { return dwelling().at(hours{10}, without_length()); }

TEST(Listed, ARemovedLineThatOnlyWaitsForAnAnswerLeavesAtItsTime) {
  auto h = out_without_length().at(hours{60}, test::after_checked(0, true));
  ASSERT_EQ(test::folded(h).stage, line::Stage::removed) << "nobody measured it";
  EXPECT_TRUE(listed(h, hours{60} + days{30} - minutes{1}));
  EXPECT_FALSE(listed(h, hours{60} + days{30}));
  EXPECT_TRUE(test::item(Task::response, h, hours{60} + days{60})) << "and stands on its own page";
}

TEST(Listed, HealedWithAGradeTooAndANewEntryBringsItBack) {
  auto h = dwelling().at(hours{10}, test::removed()).at(hours{60}, test::after_checked(2, true));
  EXPECT_TRUE(listed(h, hours{60} + days{29}));
  EXPECT_FALSE(listed(h, hours{60} + days{31}));
  EXPECT_TRUE(listed(h.at(hours{60} + days{40}, line::Noted{"it hurts again"}), hours{60} + days{41}));
}

TEST(Listed, NotBeforeTheLastLookThatACardAsksFor) {
  auto h = dwelling().at(minutes{5}, test::infusion(5, test::vasopressor)).at(minutes{20}, test::leak());
  h.at(hours{1}, test::answered_leak()).at(hours{2}, without_length());
  EXPECT_TRUE(listed(h, hours{1} + days{14 + 30} - minutes{1}));
  EXPECT_FALSE(listed(h, hours{1} + days{14 + 30}));
}

TEST(Listed, ACatheterThatIsNotWholeNeverLeaves) {
  auto broken = test::removed();
  broken.tip_whole = false;
  EXPECT_TRUE(listed(dwelling().at(hours{10}, broken), days{400}));
  auto short_of_it = test::removed();
  short_of_it.length_found = 20.0 * millimetre;
  EXPECT_TRUE(listed(dwelling().at(hours{10}, short_of_it), days{400}));
}

TEST(Listed, WhatMayHideACatheterNeverLeaves) {
  EXPECT_TRUE(listed(dwelling(), days{400}));
  EXPECT_TRUE(listed(out_without_length().at(hours{20}, test::placed()), days{400})) << "placed again";
  EXPECT_TRUE(listed(out_without_length().at(hours{20}, test::infusion(50)), days{400})) << "it runs";
  EXPECT_TRUE(listed(out_without_length().at(hours{20}, test::removed()), days{400})) << "removed twice";
  auto kept = test::folded(out_without_length());
  kept.doubt.reset();
  EXPECT_TRUE(is_listed(kept, test::standard_ward().policy, test::after(days{400}))) << "an older program's state";
}

TEST(Listed, APolicyThatSaysNothingListsUntilItIsAnswered) {
  auto policy = test::standard_ward().policy;
  policy.remove.stays_listed.reset();
  EXPECT_TRUE(is_listed(test::folded(out_without_length()), policy, test::after(days{400})));
}

TEST(Listed, TheBoardLetsGoWhenTheTimeComes) {
  const auto& ward = test::standard_ward();
  const auto state = test::folded(out_without_length());
  Board board(ward.policy, ward.infusates);
  board.put(state, test::after(days{1}));
  const auto over = test::after(hours{10} + days{30});
  EXPECT_TRUE(board.advance(over - minutes{1}).empty());
  EXPECT_EQ(board.advance(over), std::vector<std::string>{state.id});
  board.put(state, over);
  EXPECT_EQ(board.size(), 0u);
  // As a server finds it in its cache.
  const auto clocks = due_clocks(state, ward.policy, ward.infusates, over);
  EXPECT_EQ(clocks.hold_until, over);
}

}  // namespace
}  // namespace dwell::care
