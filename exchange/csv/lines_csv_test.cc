#include "exchange/csv/lines_csv.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace dwell::csv {
namespace {

constexpr const char* header = "id,unit,placed_at,ended_at,reason,gauge,region,inserter,attempts\n";

TEST(LinesCsv, ReadsQuotedFieldsInAnyColumnOrder) {
  const auto rows = read_lines("placed_at,id,unit\n2026-11-01T08:00:00Z,a,\"Ward \"\"7\"\", east\"\n");
  ASSERT_TRUE(rows.has_value());
  EXPECT_EQ(rows->front().unit, "Ward \"7\", east");
  EXPECT_FALSE(rows->front().ended_at);
}

TEST(LinesCsv, NamesLineAndColumnOfEveryFault) {
  const auto refused =
      read_lines(std::string(header) + "a,W,2026-11-01,,,22,,,1\nb,W,2026-11-01T08:00:00Z,,unlucky,99,,,0\n");
  ASSERT_FALSE(refused);
  ASSERT_EQ(refused.error().size(), 4u);
  EXPECT_EQ(refused.error()[0].path, "line 2, column placed_at");
  EXPECT_EQ(refused.error()[1].path, "line 3, column reason");
}

TEST(LinesCsv, AnEmptyFileAndAMissingColumnAreRefused) {
  EXPECT_FALSE(read_lines(""));
  EXPECT_FALSE(read_lines(header));
  EXPECT_FALSE(read_lines("id,unit\na,b\n"));
}

RC_GTEST_PROP(LinesCsvProperty, WhatIsWrittenReadsBack, ()) {
  statistics::LineRow row;
  row.id = *rc::gen::container<std::string>(rc::gen::element('a', ',', '"', ' ', 'Z'));
  row.unit = *rc::gen::container<std::string>(rc::gen::element('x', '\\', '"', ','));
  row.placed_at = Instant(std::chrono::milliseconds(1'760'000'000'000 + *rc::gen::inRange(0, 1'000'000)));
  row.ended_at = row.placed_at + std::chrono::hours(5);
  row.reason = line::RemovalReason::phlebitis;
  row.gauge = 22;
  RC_ASSERT(read_lines(write_lines({row}))->front() == row);
}

RC_GTEST_PROP(LinesCsvProperty, AnyTextIsReadOrRefused, (const std::string& text)) {
  static_cast<void>(read_lines(header + text));
}

}  // namespace
}  // namespace dwell::csv
