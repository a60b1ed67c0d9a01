// What a later entry may not hide: a catheter, a wound, a question.
#include <gtest/gtest.h>

#include <algorithm>

#include "line/findings.h"
#include "line/line_fold.h"
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
  static const policy::Policy policy = [] {
    auto p = test::small_policy();
    p.watch.heals_not_before = test::figure<Interval>(hours{24});
    policy::FollowUp days;
    days.text = "Look again";
    days.at = test::figure<std::vector<Interval>>({hours{24}, hours{72}});
    policy::Answering answering;
    answering.acts = {{"stopped", "Stopped"}, {"called", "Called"}};
    answering.also_answers = {"mild"};
    answering.follow_up = {days};
    p.responses["grave"].answering = answering;
    p.responses["mild"];
    return p;
  }();
  return policy;
}

History dwelling() { return History{}.at(minutes{0}, test::opened()).at(minutes{0}, test::placed()); }
History out() { return dwelling().at(hours{30}, test::removed()); }
State folded(const History& history) { return fold(history.events, ward()); }
bool says(const State& state, std::string_view id) {
  return std::any_of(state.contradictions.begin(), state.contradictions.end(),
                     [&](const Message& one) { return one.id() == id; });
}

// ---- catheters ----

TEST(Catheter, PlacedAgainUnderARemovedLineStaysOnTheWard) {
  auto h = out();
  auto second = test::placed();
  second.site.region = access::Region::hand_back;
  h.at(hours{31}, test::after_checked(0, true)).at(hours{40}, second);
  auto state = folded(h);
  EXPECT_EQ(state.stage, Stage::dwelling);
  EXPECT_EQ(state.placement->placed.site.region, access::Region::hand_back);
  EXPECT_TRUE(says(state, "placed_again_after_removal"));
  h.at(hours{41}, test::infusion());
  EXPECT_TRUE(folded(h).running) << "what runs into it is shown";
  state = folded(h.at(hours{50}, test::removed()));
  EXPECT_EQ(state.stage, Stage::removed);
  EXPECT_EQ(state.removal->at, test::after(hours{50}));
  EXPECT_EQ(folded(h.at(hours{51}, test::after_checked(0, true))).stage, Stage::removed)
      << "not closed while the record says two things";
}

TEST(Catheter, OfTwoPlacementsOneRemovalLeavesOne) {
  auto second = test::placed();
  second.site.side = access::Side::right;
  auto h = dwelling().at(hours{1}, second);
  EXPECT_EQ(folded(h).placement->placed.site.side, access::Side::left) << "the first is shown";
  const auto state = folded(h.at(hours{2}, test::removed()));
  EXPECT_EQ(state.stage, Stage::dwelling);
  EXPECT_EQ(state.placement->placed.site.side, access::Side::right);
  h.at(hours{3}, Retracted{"charted twice"}).correcting(3);
  EXPECT_EQ(folded(h).stage, Stage::removed);
}

TEST(Catheter, AnAttemptThatPlacedItWithoutAPlacementIsAContradiction) {
  Attempted attempt;
  attempt.outcome = AttemptOutcome::placed;
  auto h = History{}.at(minutes{0}, test::opened()).at(minutes{1}, attempt);
  EXPECT_TRUE(says(folded(h), "attempt_placed_no_placement"));
  EXPECT_FALSE(says(folded(h.at(minutes{2}, test::placed())), "attempt_placed_no_placement"));
}

TEST(Catheter, ItsFirstPieceIsNotForgottenWhenAnotherIsPlaced) {
  auto broken = test::removed();
  broken.length_found = 20.0 * millimetre;
  auto h = dwelling().at(hours{1}, broken).at(hours{2}, test::placed()).at(hours{3}, test::removed());
  const auto state = folded(h.at(hours{4}, test::after_checked(0, true)));
  EXPECT_NE(state.stage, Stage::closed);
  ASSERT_EQ(state.findings.size(), 1u);
  EXPECT_TRUE(state.findings.front().alarm);
  EXPECT_EQ(state.findings.front().what, say::length_missing(shown(5.0 * millimetre)));
}

// ---- closing ----

TEST(Closing, ALengthThatIsNotKnownIsAQuestionFirst) {
  auto unknown = test::removed();
  unknown.length_found.reset();
  auto h = dwelling().at(hours{30}, unknown).at(hours{31}, test::after_checked(0, true));
  EXPECT_EQ(folded(h).stage, Stage::removed);
  EXPECT_EQ(folded(h).findings.front().what, say::length_not_recorded_at_removal());
  EXPECT_EQ(folded(h.at(hours{32}, Responded{"catheter_fragment", {}, "", "measured now: whole"})).stage,
            Stage::closed);
}

TEST(Closing, HealedWithAGradeOrASignIsNotHealed) {
  EXPECT_EQ(folded(out().at(hours{31}, test::after_checked(2, true))).stage, Stage::removed);
  auto sore = test::after_checked(0, true);
  sore.signs.present = {site::Sign::pain};
  const auto state = folded(out().at(hours{31}, sore));
  EXPECT_EQ(state.stage, Stage::removed);
  EXPECT_TRUE(says(state, "healed_with_signs"));
}

TEST(Closing, ALineThatWasOrderedOrTriedAgainNeedsALineOfItsOwn) {
  auto h = out();
  h.at(hours{31}, Ordered{}).at(hours{32}, test::after_checked(0, true));
  EXPECT_EQ(folded(h).stage, Stage::removed);
  EXPECT_TRUE(says(folded(h), "order_after_removal"));
  auto used = out();
  used.at(hours{31}, test::infusion()).at(hours{32}, test::after_checked(0, true));
  EXPECT_EQ(folded(used).stage, Stage::removed) << "something runs, and nobody knows into what";
}

TEST(Closing, WaitsForTheLooksThatACardAsksFor) {
  auto h = out();
  h.at(hours{31}, Responded{"grave", {"Stop."}, "the doctor", ""});
  EXPECT_EQ(folded(History(h).at(hours{80}, test::after_checked(0, true))).stage, Stage::removed);
  EXPECT_EQ(folded(h.at(hours{31 + 72}, test::after_checked(0, true))).stage, Stage::closed);
}

// ---- answers ----

bool is_answered(std::vector<Responded> responses, std::string_view card) {
  State state;
  for (auto& response : responses) state.responses.push_back({test::after(minutes{1}), "R. Ode", std::move(response)});
  return answered(state, card, test::start, ward());
}
Responded with_acts(const char* card, std::vector<std::string> acts) { return {card, {}, "", "", std::move(acts)}; }

TEST(Answered, ByItsOwnCardOrAGraverOneWithItsActs) {
  EXPECT_TRUE(is_answered({with_acts("grave", {"stopped", "called"})}, "grave"));
  EXPECT_TRUE(is_answered({with_acts("grave", {"stopped", "called"})}, "mild"));
  EXPECT_FALSE(is_answered({with_acts("grave", {"stopped"})}, "grave"));
  EXPECT_FALSE(is_answered({with_acts("grave", {"stopped"})}, "mild"));
  EXPECT_TRUE(is_answered({with_acts("grave", {"stopped"}), with_acts("grave", {"called"})}, "grave"));
  EXPECT_TRUE(is_answered({with_acts("mild", {"looked"})}, "mild"));
  EXPECT_FALSE(is_answered({with_acts("mild", {"looked"})}, "grave"));
  EXPECT_FALSE(is_answered({with_acts("grave", {})}, "grave"));
  EXPECT_FALSE(is_answered({Responded{"mild", {}, "", "", {}}}, "mild")) << "says nothing";
  EXPECT_TRUE(is_answered({Responded{"grave", {"Stop."}, "", "", {}}}, "grave")) << "from before acts were asked for";
}

TEST(Answered, OnlyByWhatCameAfter) {
  State state;
  state.responses.push_back({test::after(minutes{1}), "R. Ode", with_acts("mild", {"looked"})});
  EXPECT_TRUE(answered(state, "mild", test::after(minutes{1}), ward()));
  EXPECT_FALSE(answered(state, "mild", test::after(minutes{2}), ward()));
}

// ---- looks ----

SiteChecked swollen(double size) {
  SiteChecked check = test::checked(2);
  check.signs.present = {site::Sign::swelling};
  check.signs.swelling_extent = size * millimetre;
  return check;
}

TEST(Found, TheSameGoesOnAndWorseTakesItsPlace) {
  auto h = dwelling().at(hours{1}, swollen(20)).at(hours{2}, swollen(20));
  auto state = folded(h);
  ASSERT_EQ(state.findings.size(), 1u);
  EXPECT_EQ(state.findings[0].since, test::after(hours{1}));
  EXPECT_EQ(state.findings[0].as_now, test::after(hours{1}));
  EXPECT_EQ(state.findings[0].at, test::after(hours{2}));
  state = folded(h.at(hours{3}, swollen(30)));
  ASSERT_EQ(state.findings.size(), 1u);
  EXPECT_EQ(state.findings[0].since, test::after(hours{1}));
  EXPECT_EQ(state.findings[0].as_now, test::after(hours{3}));
  EXPECT_EQ(folded(h.at(hours{4}, swollen(10))).findings.size(), 2u) << "less is not gone";
}

TEST(Found, GoneTooSoonIsNotGone) {
  auto h = dwelling().at(hours{1}, swollen(20)).at(hours{2}, test::checked(0));
  EXPECT_EQ(folded(h).findings.at(0).gone_at, test::after(hours{2}));
  EXPECT_FALSE(folded(History(h).at(hours{3}, swollen(20))).findings.at(0).gone_at) << "there it is again";
  EXPECT_TRUE(folded(h.at(hours{25}, test::checked(0))).findings.empty()) << "24 h after it was last seen";
}

TEST(Found, ALookThatWasNoneFindsNothingGone) {
  auto no_look = test::checked(0);
  no_look.signs = {};
  EXPECT_FALSE(folded(dwelling().at(hours{1}, swollen(20)).at(hours{2}, no_look)).findings.at(0).gone_at);
}

TEST(Found, WhileMoreAndMoreIsFoundTheStateStaysSmall) {
  LineFold line(ward());
  line.take(dwelling().events);
  History h = dwelling();
  for (int i = 0; i < 300; ++i) line.take({h.at(hours{1} + minutes{i}, swollen(300 - i)).events.back()});
  EXPECT_LE(line.state().findings.size(), 25u);
  EXPECT_EQ(line.state().findings.front().signs.swelling_extent, 300.0 * millimetre) << "the worst is kept";
  EXPECT_EQ(json::to_text(json::encode(line.state())), json::to_text(json::encode(folded(h))));
}

}  // namespace
}  // namespace dwell::line
