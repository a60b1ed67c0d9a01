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

TEST(LinesCsv, ANameWithALineBreakIsRefusedAndLinesAreStillCounted) {
  const auto refused = read_lines("id,unit,placed_at\n\na,\"Ward 7\neast\",2026-11-01T08:00:00Z\n\nb,W,soon\n");
  ASSERT_FALSE(refused);
  ASSERT_EQ(refused.error().size(), 2u);
  EXPECT_EQ(refused.error().front().path, "line 3, column unit");
  EXPECT_EQ(refused.error().front().found, "U+000A as character 7");
  EXPECT_EQ(refused.error().back().path, "line 6, column placed_at");
}

TEST(LinesCsv, ByteOrderMarkLastLineWithoutEndAndBlanksAreFine) {
  const auto rows = read_lines("\xEF\xBB\xBFid, placed_at\na, 2026-11-01T08:00:00Z");
  ASSERT_TRUE(rows.has_value());
  EXPECT_EQ(rows->front().id, "a");
}

TEST(LinesCsv, AnEndBeforeItsBeginningIsNamed) {
  const auto refused = read_lines("id,placed_at,ended_at\na,2026-11-02T08:00:00Z,2026-11-01T08:00:00Z\n");
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().path, "line 2, column ended_at");
}

TEST(LinesCsv, RowsOfAnotherLengthAreNamed) {
  const auto refused = read_lines("id,unit,placed_at\na,2026-11-01T08:00:00Z\nb,W,2026-11-01T08:00:00Z,4\n");
  ASSERT_FALSE(refused);
  ASSERT_EQ(refused.error().size(), 2u);
  EXPECT_EQ(refused.error()[0].path, "line 2");
  EXPECT_EQ(refused.error()[1].found, "4 fields");
}

TEST(LinesCsv, AColumnTwiceOrUnknownIsNamed) {
  const auto refused = read_lines("id,id,colour,placed_at\na,b,c,2026-11-01T08:00:00Z\n");
  ASSERT_FALSE(refused);
  ASSERT_EQ(refused.error().size(), 2u);
  EXPECT_EQ(refused.error()[0].path, "line 1, column id");
  EXPECT_EQ(refused.error()[1].path, "line 1, column colour");
}

TEST(LinesCsv, QuotesOutOfPlaceAndForeignLettersAreNamedByLine) {
  const auto quotes = read_lines("id,placed_at\na,2026-11-01T08:00:00Z\n\"b\" c,2026-11-01T08:00:00Z\n");
  ASSERT_FALSE(quotes);
  EXPECT_EQ(quotes.error().front().path, "line 3");
  EXPECT_FALSE(read_lines("id,placed_at\n\"never closed,2026-11-01T08:00:00Z\n"));
  const auto latin1 = read_lines(
      "id,unit,placed_at\na,S\xFC"
      "d,2026-11-01T08:00:00Z\n");
  ASSERT_FALSE(latin1);
  EXPECT_NE(latin1.error().front().expected.find("UTF-8"), std::string::npos);
}

TEST(LinesCsv, AtMostTwentyFaultsAtOnce) {
  std::string text = header;
  for (int i = 0; i < 30; ++i) text += "a,W,never,never,unlucky,99,,,0\n";
  EXPECT_EQ(read_lines(text).error().size(), 20u);
}

TEST(LinesCsv, AnEmptyFileAndAMissingColumnAreRefused) {
  EXPECT_FALSE(read_lines(""));
  EXPECT_FALSE(read_lines(header));
  EXPECT_FALSE(read_lines("id,unit\na,b\n"));
}

RC_GTEST_PROP(LinesCsvProperty, WhatIsWrittenReadsBack, ()) {
  statistics::LineRow row;
  row.id = "a" + *rc::gen::container<std::string>(rc::gen::element('a', ',', '"', ' ', 'Z')) + "z";
  row.unit = "\"" + *rc::gen::container<std::string>(rc::gen::element('x', '\\', '"', ',', ' ')) + ",";
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
