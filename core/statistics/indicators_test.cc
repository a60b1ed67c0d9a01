#include "statistics/indicators.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "say/statistics.h"

namespace dwell::statistics {
namespace {

using R = line::RemovalReason;
constexpr Instant start{std::chrono::hours{24 * 365 * 50}};

LineRow row(const std::string& id, int placed_hours, std::optional<int> ended_hours, R reason = R::unknown) {
  LineRow out;
  out.id = id;
  out.placed_at = start + std::chrono::hours{placed_hours};
  if (ended_hours) out.ended_at = start + std::chrono::hours{*ended_hours};
  out.reason = reason;
  out.region = "forearm_middle";
  out.attempts = 1;
  out.charted = Charted{};
  return out;
}

Indicator find(const LearnInput& in, IndicatorKind kind) {
  const auto all = *indicators(in);
  for (const auto& one : all.indicators)
    if (one.kind == kind) return one;
  return {};
}

LearnInput ward(std::vector<LineRow> rows) {
  return {std::move(rows), start + std::chrono::hours{240}, GroupBy::none, true};
}

TEST(Indicators, FailuresAmongLinesThatEndedWithAReason) {
  const auto in = ward({row("a", 0, 48, R::phlebitis), row("b", 0, 48, R::therapy_complete),
                        row("c", 0, 72, R::unknown), row("d", 192, {})});
  const auto share = find(in, IndicatorKind::failure_share);
  EXPECT_EQ(share.events, 1);
  EXPECT_EQ(share.of, 2);
  EXPECT_EQ(*share.value, 0.5);
  EXPECT_EQ(share.lines, std::vector<std::string>{"a"});
  EXPECT_EQ(share.missing_lines, std::vector<std::string>{"c"});
  const auto rate = find(in, IndicatorKind::phlebitis_rate);
  EXPECT_EQ(rate.of, 2 + 2 + 3 + 2);  // days of the one without a reason too
  EXPECT_NEAR(*rate.value, 1000.0 / 9, 1e-9);
  EXPECT_EQ(rate.missing, 1);
  EXPECT_EQ(find(in, IndicatorKind::occlusion_rate).events, 0);
  EXPECT_EQ(*find(in, IndicatorKind::half_ended).value, 60 * 60);  // between the second end and the third
}

TEST(Indicators, AttemptsThatAreNotChartedAreNoSuccess) {
  auto in = ward({row("a", 0, {}), row("b", 0, {}), row("c", 0, {})});
  in.rows[1].attempts = 4;
  in.rows[2].attempts.reset();
  const auto first = find(in, IndicatorKind::first_attempt), four = find(in, IndicatorKind::four_attempts);
  EXPECT_EQ(first.events, 1);
  EXPECT_EQ(first.of, 2);
  EXPECT_EQ(first.missing, 1);
  EXPECT_EQ(four.lines, std::vector<std::string>{"b"});
}

TEST(Indicators, AnEmergencyLineCountsWhenItsTimeIsOver) {
  auto in = ward({row("out", 0, 40, R::emergency_line_due), row("late", 0, 60, R::emergency_line_due),
                  row("still in", 0, {}), row("young", 200, {}), row("assured", 0, {})});
  for (std::size_t i = 0; i < 4; ++i) in.rows[i].charted->asepsis_assured = false;
  const auto out = find(in, IndicatorKind::emergency_out);
  EXPECT_EQ(out.of, 3);
  EXPECT_EQ(out.lines, std::vector<std::string>{"out"});
}

TEST(Indicators, ALineWithoutChartedUseIsIdleAfterADay) {
  auto in = ward({row("never", 200, {}), row("young", 220, {}), row("running", 0, {}), row("used", 0, {}),
                  row("ended", 0, 100, R::idle)});
  in.rows[2].charted->running = true;
  in.rows[3].charted->last_used_at = start + std::chrono::hours{230};
  const auto idle = find(in, IndicatorKind::idle);
  EXPECT_EQ(idle.of, 4);
  EXPECT_EQ(idle.lines, std::vector<std::string>{"never"});
}

TEST(Indicators, DaysWithoutALookAreSeenThroughALaterLook) {
  auto in = ward({row("a", 0, 80, R::discharge), row("b", 0, 23, R::discharge)});
  in.rows[0].charted->looked_days = {0, 2, 3};  // the fourth day is not whole
  const auto looked = find(in, IndicatorKind::looked_daily);
  EXPECT_EQ(looked.events, 2);
  EXPECT_EQ(looked.of, 3);
  EXPECT_EQ(looked.lines, std::vector<std::string>{"a"});
}

TEST(Indicators, RowsFromElsewhereAreMissingWhereTheRecordIsAsked) {
  auto in = ward({row("a", 0, 80, R::discharge)});
  in.rows[0].charted.reset();
  in.rows[0].region = "somewhere";
  for (const auto kind : {IndicatorKind::emergency_out, IndicatorKind::looked_daily, IndicatorKind::placement_recorded,
                          IndicatorKind::removal_recorded, IndicatorKind::off_joints}) {
    const auto one = find(in, kind);
    EXPECT_EQ(one.missing, 1);
    EXPECT_EQ(one.missing_lines, std::vector<std::string>{"a"});
    EXPECT_FALSE(one.value);
  }
}

TEST(Indicators, WhatCannotBeCountedIsSetAside) {
  auto in = ward({row("good", 0, 48, R::pain), row("backwards", 48, 0, R::pain)});
  const auto all = *indicators(in);
  EXPECT_EQ(all.lines, 1);
  ASSERT_EQ(all.set_aside.size(), 1u);
  EXPECT_EQ(all.set_aside[0].id, "backwards");
  EXPECT_EQ(all.findings.back().code, "set_aside");
  in.set_aside_unusable = false;
  EXPECT_EQ(indicators(in).error().front().path, "/rows/1/ended_at");
  EXPECT_EQ(indicators(ward({})).error().front().path, "/rows");
}

RC_GTEST_PROP(IndicatorsProperty, CountsAreAmongWhatTheyAreCounted, ()) {
  std::vector<LineRow> rows;
  const int lines = *rc::gen::inRange(1, 20);
  for (int i = 0; i < lines; ++i) {
    const int placed = *rc::gen::inRange(0, 200), dwell = *rc::gen::inRange(1, 200);
    const bool ended = placed + dwell <= 240 && *rc::gen::arbitrary<bool>();
    rows.push_back(row(std::to_string(i), placed, ended ? std::optional(placed + dwell) : std::nullopt,
                       ended ? *rc::gen::element(R::pain, R::phlebitis, R::discharge, R::unknown) : R::unknown));
    if (*rc::gen::arbitrary<bool>()) rows.back().charted.reset();
    if (*rc::gen::arbitrary<bool>()) rows.back().attempts.reset();
  }
  const auto all = *indicators(ward(rows));
  RC_ASSERT(all.indicators.size() == 18u);
  for (const auto& one : all.indicators) {
    RC_ASSERT((one.events >= 0 && one.missing >= 0 && std::isfinite(one.of)));
    if (one.measure == IndicatorMeasure::share) RC_ASSERT(one.events <= one.of);
    if (one.kind != IndicatorKind::looked_daily && one.kind != IndicatorKind::half_ended)
      RC_ASSERT(static_cast<int>(one.lines.size()) == one.events);
    RC_ASSERT(static_cast<int>(one.missing_lines.size()) == one.missing);
    if (one.value && one.low) RC_ASSERT(*one.low <= *one.value);
    if (one.value && one.high) RC_ASSERT(*one.value <= *one.high);
  }
}

}  // namespace
}  // namespace dwell::statistics
