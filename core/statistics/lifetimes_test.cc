#include "statistics/lifetimes.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <numeric>

#include "say/statistics.h"
#include "statistics/test_rows.h"

namespace dwell::statistics {
namespace {

std::vector<std::string> paths(const FieldErrors& errors) {
  std::vector<std::string> out;
  for (const auto& error : errors) out.push_back(error.path);
  return out;
}

TEST(Lifetimes, EveryFaultIsNamedByColumnAndRow) {
  const Lifetimes rows{{-1, 5, 0, 0}, {4, 5, most_minutes + 1, 7}, {1, 0, 1, 4}, {}};
  const auto errors = check(rows, 3, "/rows");
  EXPECT_EQ(paths(errors),
            (std::vector<std::string>{"/rows/start/0", "/rows/stop/1", "/rows/stop/2", "/rows/cause/3"}));
  EXPECT_EQ(errors[1].expected, say::stop_after_start(5));
  EXPECT_EQ(errors[3].expected, say::known_cause(3));
}

TEST(Lifetimes, ColumnsAreOfOneLength) {
  EXPECT_EQ(paths(check({{0}, {4, 5}, {1}, {7, 8, 9}}, 1, "")),
            (std::vector<std::string>{"/cause", "/start", "/line"}));
  EXPECT_EQ(paths(check({}, 1, "")), (std::vector<std::string>{"/stop"}));
  FieldErrors errors;
  check_beside({1}, {{}, {4, 5}, {1, 1}, {}}, "/group", errors);
  EXPECT_EQ(paths(errors), (std::vector<std::string>{"/group"}));
}

TEST(Lifetimes, RowsOfOneLineDoNotOverlap) {
  EXPECT_TRUE(check({{0, 4, 9}, {4, 9, 12}, {0, 0, 1}, {7, 7, 7}}, 1, "").empty());
  const auto twice = check({{4, 0, 3}, {9, 4, 12}, {0, 0, 1}, {7, 7, 7}}, 1, "");
  EXPECT_EQ(paths(twice), (std::vector<std::string>{"/line/2", "/line/0"}));
  // Without starts each is in from 0: a line that stands twice.
  EXPECT_EQ(paths(check({{}, {4, 5}, {1, 1}, {7, 7}}, 1, "")), (std::vector<std::string>{"/line/1"}));
}

TEST(Lifetimes, OfAColumnWrongThroughoutTheFirstFaultsAreSaid) {
  Lifetimes rows;
  rows.stop.assign(1000, 0);
  rows.cause.assign(1000, 0);
  EXPECT_EQ(check(rows, 1, "").size(), most_errors);
}

RC_GTEST_PROP(RisingProperty, OrdersAsAStableSortDoes, (const std::vector<int>& key)) {
  std::vector<int> expected(key.size());
  std::iota(expected.begin(), expected.end(), 0);
  std::stable_sort(expected.begin(), expected.end(),
                   [&](int a, int b) { return key[static_cast<std::size_t>(a)] < key[static_cast<std::size_t>(b)]; });
  RC_ASSERT(by_rising(key) == expected);
}

RC_GTEST_PROP(PassageProperty, CountsWhoIsAtRisk, ()) {
  const auto rows = any_rows(40, 2);
  const auto group = numbered(any_column(rows, 3));
  const Passage passage(rows, group);
  for (int g = 0; g < passage.groups(); ++g)
    passage.each_time(g, [&](int time, int at_risk, const int* row, const int* last) {
      int expected = 0, leaving = 0;
      for (std::size_t i = 0; i < rows.stop.size(); ++i) {
        if (group[i] != g) continue;
        expected += rows.start[i] < time && time <= rows.stop[i];
        leaving += rows.stop[i] == time;
      }
      RC_ASSERT(at_risk == expected);
      RC_ASSERT(last - row == leaving);
    });
}

}  // namespace
}  // namespace dwell::statistics
