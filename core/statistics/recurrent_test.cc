#include "statistics/recurrent.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <map>

#include "statistics/test_rows.h"

namespace dwell::statistics {
namespace {

/// Lines with one or two rows, the second beginning where the first ended, or later.
Lifetimes any_lines() {
  auto rows = any_rows(20, 1);
  const auto count = rows.stop.size();
  for (std::size_t i = 0; i < count; ++i) rows.line.push_back(static_cast<int>(3 * i));
  for (std::size_t i = 0; i < count; ++i) {
    const int start = rows.stop[i] + *rc::gen::inRange(0, 2);
    if (start >= latest) continue;
    rows.start.push_back(start);
    rows.stop.push_back(*rc::gen::inRange(start + 1, latest + 1));
    rows.cause.push_back(*rc::gen::inRange(0, 2));
    rows.line.push_back(rows.line[i]);
  }
  return rows;
}

RC_GTEST_PROP(RecurrenceProperty, AgreesWithSumsLineByLine, ()) {
  const auto rows = any_lines();
  const auto found = mean_cumulative(rows, {}, 0.95)->front();
  std::map<int, double> beyond;
  double mean = 0;
  std::size_t point = 0;
  for (int t = 1; t <= latest; ++t) {
    double n = 0, d = 0;
    for (std::size_t i = 0; i < rows.stop.size(); ++i) {
      n += rows.start[i] < t && t <= rows.stop[i];
      d += rows.stop[i] == t && rows.cause[i] > 0;
    }
    if (d == 0) continue;
    mean += d / n;
    double variance = 0;
    for (std::size_t i = 0; i < rows.stop.size(); ++i)
      if (rows.start[i] < t && t <= rows.stop[i])
        beyond[rows.line[i]] += ((rows.stop[i] == t && rows.cause[i] > 0 ? 1 : 0) - d / n) / n;
    for (const auto& [line, residual] : beyond) variance += residual * residual;
    RC_ASSERT(point < found.points.size());
    RC_ASSERT(found.points[point].time == t);
    RC_ASSERT(std::abs(found.points[point].mean - mean) < 1e-12);
    RC_ASSERT(std::abs(found.points[point].standard_error - std::sqrt(variance)) < 1e-7);
    ++point;
  }
  RC_ASSERT(point == found.points.size());
}

TEST(Recurrence, WhoseRowsTheyAreMustBeSaid) {
  EXPECT_EQ(mean_cumulative({{}, {3, 5}, {1, 0}, {}}, {}, 0.95).error().front().path, "/rows/line");
  EXPECT_EQ(mean_cumulative({{0, 3}, {3, 5}, {1, 0}, {4, 4}}, {1, 2}, 0.95).error().front().path, "/group/1");
}

}  // namespace
}  // namespace dwell::statistics
