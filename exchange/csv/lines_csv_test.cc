#include "exchange/csv/lines_csv.h"
#include "exchange/said/said.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <istream>
#include <streambuf>

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
  EXPECT_EQ(refused.error().front().found, "U+000A");
  EXPECT_EQ(refused.error().back().path, "line 6, column placed_at");
}

TEST(LinesCsv, ByteOrderMarkLastLineWithoutEndAndBlanksAreFine) {
  const auto rows = read_lines("\xEF\xBB\xBFid, placed_at\na, 2026-11-01T08:00:00Z");
  ASSERT_TRUE(rows.has_value());
  EXPECT_EQ(rows->front().id, "a");
}

TEST(LinesCsv, ABlankNumberOfAttemptsIsNotOne) {
  const auto rows =
      read_lines(std::string(header) + "a,W,2026-11-01T08:00:00Z,,,22,,,\nb,W,2026-11-01T08:00:00Z,,,22,,,1\n");
  ASSERT_TRUE(rows.has_value());
  EXPECT_FALSE(rows->front().attempts);
  EXPECT_EQ(rows->back().attempts, 1);
  EXPECT_EQ(read_lines(write_lines(*rows)).value(), *rows);
  EXPECT_FALSE(read_lines("id,placed_at\na,2026-11-01T08:00:00Z\n")->front().attempts) << "nor is a column left out";
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
  EXPECT_NE(said::in_english(latin1.error().front().expected).find("UTF-8"), std::string::npos);
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

/// A file that is made while it is read: a head, then the same piece so many times over. Counts what was read of it.
class Made : public std::streambuf {
 public:
  Made(std::string head, std::string piece, std::size_t times)
      : now_(std::move(head)), piece_(std::move(piece)), left_(times) {
    setg(now_.data(), now_.data(), now_.data() + now_.size());
  }
  std::size_t handed_out = 0;

 protected:
  int_type underflow() override {
    if (left_ == 0) return traits_type::eof();
    --left_;
    now_ = piece_;
    handed_out += now_.size();
    setg(now_.data(), now_.data(), now_.data() + now_.size());
    return traits_type::to_int_type(now_.front());
  }

 private:
  std::string now_, piece_;
  std::size_t left_;
};

// Attacks: files that never end a line, a field or themselves. Each is refused by its line long before it was all read.
TEST(LinesCsv, ALineWithoutEndIsRefusedBeforeItIsRead) {
  const std::string head = std::string(header) + "a,W,2026-11-01T08:00:00Z,,,22,,,1\n";
  for (const char* piece : {"x", "x,", "\"x\n", "\"\"", "  ", "\"a\",\n\"b"}) {
    std::string large;
    while (large.size() < 10000) large += piece;
    const bool quoted = std::string_view(piece) == "\"x\n";
    Made file(head + (quoted ? "\"" : "b"), quoted ? std::string(5000, 'x') + "\n" : large, 1'000'000);
    std::istream in(&file);
    int rows = 0;
    const auto refused = read_lines(in, [&](const statistics::LineRow&) { ++rows; });
    ASSERT_FALSE(refused) << piece;
    EXPECT_EQ(refused.error().front().path.substr(0, 6), "line 3") << piece;
    EXPECT_EQ(rows, 1) << piece;
    EXPECT_LT(file.handed_out, 1'000'000u) << piece;
  }
}

TEST(LinesCsv, ANulIsNamedByItsLine) {
  const auto refused =
      read_lines(std::string_view("id,placed_at\na,2026-11-01T08:00:00Z\n\0b,2026-11-01T08:00:00Z\n", 61));
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().path, "line 3");
  EXPECT_EQ(refused.error().front().found, "a NUL character");
}

TEST(LinesCsv, AFieldTooLongIsNamedAndNotRepeatedInFull) {
  const auto refused = read_lines("id,placed_at\n" + std::string(5000, 'a') + ",2026-11-01T08:00:00Z\nb," +
                                  std::string(5000, '1') + "\n");
  ASSERT_FALSE(refused);
  ASSERT_EQ(refused.error().size(), 2u);
  EXPECT_EQ(refused.error()[0].path, "line 2, column id");
  EXPECT_LT(refused.error()[1].found.size(), 300u);
}

TEST(LinesCsv, ManyRowsAreHandedOverOneByOne) {
  constexpr int times = 200, at_once = 100;
  std::string piece;
  for (int i = 0; i < at_once; ++i) piece += "a,Ward 7,2026-11-01T08:00:00Z,,,22,,,1\r\n";
  Made file(header, piece, times);
  std::istream in(&file);
  int rows = 0;
  ASSERT_TRUE(read_lines(in, [&](const statistics::LineRow& row) { rows += row.unit == "Ward 7" ? 1 : 0; }));
  EXPECT_EQ(rows, times * at_once);
}

// Each kind of line end, wherever the reader's buffer may cut it.
TEST(LinesCsv, LineEndsAreFoundAcrossEveryCut) {
  for (const char* end : {"\n", "\r\n", "\r"})
    for (std::size_t length : {65533u, 65534u, 65535u, 65536u, 65537u}) {
      std::string text = std::string("id,unit,placed_at") + end;
      while (text.size() + 100 < length) text += "a,W,2026-11-01T08:00:00Z" + std::string(end);
      const std::size_t fill = length - text.size() - std::string_view("b,,2026-11-01T08:00:00Z").size();
      text += "b," + std::string(fill, 'x') + ",2026-11-01T08:00:00Z" + end + "c,W,soon" + end;
      const auto refused = read_lines(text);
      ASSERT_FALSE(refused);
      const auto lines =
          2 + (length - fill - 23 - 17 - std::string_view(end).size()) / (24 + std::string_view(end).size());
      EXPECT_EQ(refused.error().front().path, "line " + std::to_string(lines + 1) + ", column placed_at") << length;
    }
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
