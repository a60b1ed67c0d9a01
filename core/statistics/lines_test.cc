// What Learn counts: the cut, the groups, and rows that cannot be right.
#include "statistics/lines.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "say/statistics.h"

namespace dwell::statistics {
namespace {

using line::RemovalReason;
using std::chrono::hours;

Instant at(const char* text) { return *parse_instant(text); }

const Instant began = at("2026-11-01T08:00:00Z");
const Instant cut = at("2026-11-11T08:00:00Z");

LineRow row(hours dwell, RemovalReason reason, int gauge = 22) {
  LineRow r;
  r.attempts = 1;
  r.unit = "Ward 7";
  r.placed_at = began;
  r.ended_at = began + dwell;
  r.reason = reason;
  r.gauge = gauge;
  return r;
}

LineRow still_in() {
  auto r = row(hours(0), RemovalReason::unknown);
  r.ended_at.reset();
  return r;
}

LearnResult learned(std::vector<LineRow> rows, GroupBy by = GroupBy::none) {
  return *learn({std::move(rows), cut, by, {}});
}

bool has_finding(const LearnResult& result, std::string_view code) {
  return std::any_of(result.findings.begin(), result.findings.end(), [&](const Finding& f) { return f.code == code; });
}

TEST(IsFailure, TheEightComplicationsAndNothingElse) {
  int failures = 0;
  for (int r = 0; r <= static_cast<int>(RemovalReason::unknown); ++r)
    failures += is_failure(static_cast<RemovalReason>(r)) ? 1 : 0;
  EXPECT_EQ(failures, 8);
  EXPECT_TRUE(is_failure(RemovalReason::infiltration));
  EXPECT_FALSE(is_failure(RemovalReason::therapy_complete));
  EXPECT_FALSE(is_failure(RemovalReason::unknown));
}

TEST(Learn, OneGroupByHand) {
  // 2 d failed, 4 d done, 10 d still in: 16 catheter-days, 1 failure.
  const auto result =
      learned({row(hours(48), RemovalReason::phlebitis), row(hours(96), RemovalReason::therapy_complete), still_in()});
  ASSERT_EQ(result.groups.size(), 1u);
  const auto& g = result.groups.front();
  EXPECT_EQ(g.lines, 3);
  EXPECT_EQ(g.failures, 1);
  EXPECT_DOUBLE_EQ(g.failure_rate.catheter_days, 16);
  EXPECT_DOUBLE_EQ(g.failure_rate.rate, 62.5);
  EXPECT_EQ(result.still_in, 1);
  EXPECT_EQ(g.reasons.at(RemovalReason::phlebitis), 1);
  EXPECT_EQ(g.reasons.size(), 2u);  // the line still in has no reason yet
  EXPECT_DOUBLE_EQ(g.survival.points.front().survival, 2.0 / 3);
  EXPECT_TRUE(has_finding(result, "cause_specific"));
  EXPECT_FALSE(result.log_rank);
}

TEST(Learn, AReasonWithoutAnEndIsNamed) {
  auto open = still_in();
  open.reason = RemovalReason::phlebitis;
  const auto refused = learn({{open}, cut, GroupBy::none, {}});
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().path, "/rows/0/reason");
}

TEST(Learn, WhatHappenedAfterTheCutIsNotKnownYet) {
  const auto later = row(hours(20 * 24), RemovalReason::phlebitis);  // failed ten days after the cut
  const auto result = learned({later, row(hours(24), RemovalReason::discharge)});
  EXPECT_EQ(result.groups.front().failures, 0);
  EXPECT_EQ(result.still_in, 1);
  EXPECT_DOUBLE_EQ(result.groups.front().failure_rate.catheter_days, 11);
  EXPECT_FALSE(result.groups.front().reasons.contains(RemovalReason::phlebitis));
}

TEST(Learn, ALinePlacedAMomentAgoDoesNotStopTheRest) {
  auto now = still_in();
  now.placed_at = cut - std::chrono::seconds(20);
  const auto result = learned({now, row(hours(24), RemovalReason::pain)});
  EXPECT_EQ(result.groups.front().lines, 1);
  EXPECT_TRUE(has_finding(result, "placed_too_late"));
  EXPECT_FALSE(learn({{now}, cut, GroupBy::none, {}}));  // nothing left to count
}

TEST(Learn, AnUnknownReasonIsCensoredAndReported) {
  const auto result = learned({row(hours(24), RemovalReason::unknown), row(hours(48), RemovalReason::leakage)});
  EXPECT_EQ(result.unknown_reasons, 1);
  EXPECT_EQ(result.groups.front().failures, 1);
  EXPECT_TRUE(has_finding(result, "unknown_reasons"));
}

TEST(Learn, GroupsAreComparedAndTheUnrecordedIsAGroupOfItsOwn) {
  auto unrecorded = row(hours(24), RemovalReason::phlebitis, 0);
  const auto result = learned({row(hours(24), RemovalReason::phlebitis, 20), row(hours(72), RemovalReason::pain, 20),
                               row(hours(48), RemovalReason::phlebitis, 24), unrecorded},
                              GroupBy::gauge);
  ASSERT_EQ(result.groups.size(), 3u);
  EXPECT_EQ(result.groups[0].group, say::group_of_gauge(20));
  EXPECT_EQ(result.groups[2].group, say::group_not_recorded());
  ASSERT_TRUE(result.log_rank);
  EXPECT_EQ(result.log_rank->degrees_of_freedom, 2);
}

TEST(Learn, EveryWrongRowIsNamed) {
  auto backwards = row(hours(-1), RemovalReason::other);
  auto no_time = row(hours(0), RemovalReason::other);
  auto too_long = row(hours(24), RemovalReason::other);
  too_long.placed_at = at("2025-11-01T08:00:00Z");
  auto forgotten = still_in();
  forgotten.placed_at = at("2026-08-01T08:00:00Z");
  auto no_attempt = row(hours(24), RemovalReason::other);
  no_attempt.attempts = 0;
  const auto refused = learn({{backwards, no_time, too_long, forgotten, no_attempt}, cut, GroupBy::none, {}});
  ASSERT_FALSE(refused);
  ASSERT_EQ(refused.error().size(), 5u);
  EXPECT_EQ(refused.error()[0].path, "/rows/0/ended_at");
  EXPECT_EQ(refused.error()[1].path, "/rows/1/ended_at");
  EXPECT_EQ(refused.error()[2].path, "/rows/2/ended_at");
  EXPECT_EQ(refused.error()[3].path, "/rows/3/placed_at");
  EXPECT_EQ(refused.error()[4].path, "/rows/4/attempts");
  EXPECT_FALSE(learn({{}, cut, GroupBy::none, {}}));
}

TEST(Learn, ARowThatCannotBeRightIsSetAsideWhenAsked) {
  auto forgotten = still_in();
  forgotten.id = "forgotten";
  forgotten.placed_at = at("2026-08-01T08:00:00Z");
  const auto result = *learn({{forgotten, row(hours(24), RemovalReason::pain)}, cut, GroupBy::none, true});
  ASSERT_EQ(result.set_aside.size(), 1u);
  EXPECT_EQ(result.set_aside.front().id, "forgotten");
  EXPECT_EQ(result.groups.front().lines, 1);
  const auto said = std::find_if(result.findings.begin(), result.findings.end(),
                                 [](const Finding& f) { return f.code == "set_aside"; });
  ASSERT_NE(said, result.findings.end());
  EXPECT_EQ(said->text.id(), "lines_left_out");
  EXPECT_EQ(said->text.arguments().at(1), (message::Argument{"first", message::OwnWords{"forgotten"}}));
  EXPECT_FALSE(learn({{forgotten}, cut, GroupBy::none, true}));  // nothing left to count
}

TEST(Learn, AttemptsThatNobodyRecordedAreNoSuccessAtTheFirst) {
  auto unknown = row(hours(24), RemovalReason::pain), third = unknown;
  unknown.attempts.reset();
  third.attempts = 3;
  const auto result = learned({row(hours(24), RemovalReason::pain), unknown, third});
  ASSERT_TRUE(result.groups.front().first_attempt_success);
  EXPECT_EQ(result.groups.front().first_attempt_success->events, 1);
  EXPECT_EQ(result.groups.front().first_attempt_success->of, 2);
  EXPECT_TRUE(has_finding(result, "unknown_attempts"));
  EXPECT_FALSE(learned({unknown}).groups.front().first_attempt_success);
}

TEST(Learn, ALineCountsOnce) {
  auto one = row(hours(24), RemovalReason::pain), other = row(hours(48), RemovalReason::pain);
  one.id = other.id = "a";
  const auto refused = learn({{one, row(hours(24), RemovalReason::pain), other}, cut, GroupBy::none, {}});
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().path, "/rows/2/id");
  const auto rest = row(hours(72), RemovalReason::pain);
  const auto differ = *learn({{one, other, rest}, cut, GroupBy::none, true});
  EXPECT_EQ(differ.groups.front().lines, 1) << "nobody knows which is right";
  const auto alike = *learn({{one, one, one, rest}, cut, GroupBy::none, true});
  EXPECT_EQ(alike.groups.front().lines, 2) << "said three times, counted once";
  ASSERT_EQ(alike.set_aside.size(), 1u);
  EXPECT_EQ(alike.set_aside.front().id, "a");
}

line::State placed_state() {
  line::State state;
  state.id = "a line";
  state.place.unit = "Ward 7";
  state.placement.emplace();
  state.placement->at = began;
  state.placement->placed.gauge = Gauge{20};
  state.placement->placed.inserter = "R. Ode";
  state.placement->placed.site.region = access::Region::hand_back;
  line::AttemptMark missed, hit;
  missed.attempt.outcome = line::AttemptOutcome::no_flashback;
  hit.attempt.outcome = line::AttemptOutcome::placed;
  state.attempts = {missed, hit};
  return state;
}

TEST(RowOf, APlacedLineIsARow) {
  const auto open = *row_of(placed_state());
  EXPECT_EQ(open.id, "a line");
  EXPECT_EQ(open.unit, "Ward 7");
  EXPECT_EQ(open.gauge, 20);
  EXPECT_EQ(open.region, "hand_back");
  EXPECT_EQ(open.attempts, 2);
  EXPECT_FALSE(open.ended_at);
  EXPECT_FALSE(row_of(line::State{}));
}

TEST(RowOf, WhatTheRecordSaysStandsBesideIt) {
  auto state = placed_state();
  EXPECT_FALSE(row_of(state)->charted->placement_whole);  // no antiseptic
  state.placement->placed.antiseptic = "chlorhexidine";
  state.placement->placed.asepsis = line::Asepsis::not_assured;
  for (const int hours : {30, 5, 6}) state.looks.push_back({began + std::chrono::hours{hours}, 0, {}, {}, {}});
  state.last_used_at = began + std::chrono::hours{2};
  state.pushed = {{"saline", began + std::chrono::hours{9}}};
  auto charted = *row_of(state)->charted;
  EXPECT_TRUE(charted.placement_whole);
  EXPECT_FALSE(charted.asepsis_assured);
  EXPECT_EQ(charted.looked_days, (std::vector<int>{0, 1}));
  EXPECT_EQ(charted.last_used_at, began + std::chrono::hours{9});
  EXPECT_FALSE(charted.removal_whole);
  state.removal.emplace();
  state.removal->at = began + std::chrono::hours{40};
  state.removal->removed.reason = RemovalReason::pain;
  state.removal->removed.remover = "R. Ode";
  EXPECT_FALSE(row_of(state)->charted->removal_whole);
  state.removal->removed.tip_whole = true;
  EXPECT_TRUE(row_of(state)->charted->removal_whole);
}

TEST(RowOf, HowOftenOthersTriedElsewhereIsNotKnown) {
  auto state = placed_state();
  state.attempts.clear();
  EXPECT_EQ(row_of(state)->attempts, 1);
  state.placement->placed.origin = line::Origin::field;
  EXPECT_FALSE(row_of(state)->attempts);
}

TEST(RowOf, ARemovalEndsItEvenWhenChartedForTheSameMinute) {
  auto state = placed_state();
  state.removal.emplace();
  state.removal->at = began;
  state.removal->removed.reason = RemovalReason::infiltration;
  const auto ended = *row_of(state);
  ASSERT_TRUE(ended.ended_at);
  EXPECT_EQ(ended.reason, RemovalReason::infiltration);
}

}  // namespace
}  // namespace dwell::statistics
