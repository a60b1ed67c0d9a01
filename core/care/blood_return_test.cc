// A catheter from which no blood comes when it is drawn back may lie beside its vein.
#include <gtest/gtest.h>

#include "care/test_ward.h"

namespace dwell::care {
namespace {

using std::chrono::hours;
using std::chrono::minutes;
using test::dwelling;
using test::History;
using test::item;

const Message no_return = say::no_blood_return_do_not_give();

line::Flushed drawn_back(bool came) {
  auto fact = test::flushed(true);
  fact.blood_return = came;
  return fact;
}

line::SiteChecked check_with(std::optional<bool> blood_return) {
  auto fact = test::all_normal();
  fact.blood_return = blood_return;
  return fact;
}

line::Responded assessed() { return test::responded("no_blood_return", {"assessed"}); }

TEST(BloodReturn, NoneAtAFlushACheckOrThePlacementIsToBeAnswered) {
  auto placed = test::placed();
  placed.blood_return = false;
  for (const auto& h : {dwelling().at(minutes{5}, drawn_back(false)), dwelling().at(minutes{5}, check_with(false)),
                        History{}.at(minutes{0}, test::opened()).at(minutes{5}, placed)}) {
    const auto open = item(Task::response, h, minutes{6});
    ASSERT_TRUE(open);
    EXPECT_EQ(open->cards, std::vector<std::string>{"no_blood_return"});
    EXPECT_EQ(open->due_at, test::after(minutes{5}));
    EXPECT_FALSE(open->may_wait);
    EXPECT_FALSE(item(Task::response, History(h).at(minutes{7}, assessed()), minutes{8}));
  }
}

TEST(BloodReturn, ALookWithoutDrawingBackTakesNothingAway) {
  auto h = dwelling().at(minutes{5}, drawn_back(false)).at(minutes{6}, test::all_normal());
  h.at(minutes{7}, test::flushed(true)).events.back().author = "B. Cole";
  EXPECT_TRUE(item(Task::response, h, minutes{8}));
}

TEST(BloodReturn, BloodThatComesAgainEndsIt) {
  for (const bool at_flush : {true, false}) {
    auto h = dwelling().at(minutes{5}, drawn_back(false));
    at_flush ? h.at(minutes{7}, drawn_back(true)) : h.at(minutes{7}, check_with(true));
    EXPECT_FALSE(item(Task::response, h, minutes{8}));
    EXPECT_FALSE(item(Task::response, h.at(minutes{9}, test::infusion(5, test::vasopressor)), minutes{10}));
  }
}

TEST(BloodReturn, WithoutItNothingThatHarmsIsGivenHoweverItWasAnswered) {
  const auto answered = dwelling().at(minutes{5}, drawn_back(false)).at(minutes{6}, assessed());
  EXPECT_FALSE(item(Task::response, History(answered).at(minutes{7}, test::infusion(50)), minutes{8})) << "saline";
  for (const char* fluid : {test::vasopressor, "something new", ""}) {
    EXPECT_TRUE(item(Task::response, History(answered).at(minutes{7}, test::infusion(5, fluid)), minutes{8}, no_return))
        << fluid;
    EXPECT_TRUE(item(Task::response, History(answered).at(minutes{7}, test::pushed(fluid)), minutes{8}, no_return))
        << fluid;
  }
  auto h = History(answered).at(minutes{7}, test::infusion(5, test::vasopressor)).at(minutes{8}, assessed());
  EXPECT_FALSE(item(Task::response, h, minutes{9}));
}

TEST(BloodReturn, FoundMissingWhileAVasopressorRunsIsOneItemThatSaysSo) {
  auto h = dwelling().at(minutes{1}, test::infusion(5, test::vasopressor)).at(minutes{9}, check_with(false));
  const auto due = test::due_at(h, minutes{10});
  const auto responses =
      std::count_if(due.begin(), due.end(), [](const auto& one) { return one.task == Task::response; });
  EXPECT_EQ(responses, 1);
  EXPECT_EQ(item(Task::response, due)->title, no_return);
  EXPECT_EQ(item(Task::response, due)->due_at, test::after(minutes{9}));
}

TEST(BloodReturn, WithTheCatheterOutItAsksForNothing) {
  auto h = dwelling().at(minutes{5}, drawn_back(false)).at(hours{1}, test::removed());
  EXPECT_FALSE(item(Task::response, h, hours{2}));
  h.at(hours{50}, test::after_checked(0, true));
  EXPECT_EQ(test::folded(h).stage, line::Stage::closed);
}

}  // namespace
}  // namespace dwell::care
