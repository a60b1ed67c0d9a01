#include "exchange/toml/toml.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "quantity/figure.h"

namespace dwell::toml_text {
namespace {

struct Line {
  Interval every{};
  int attempts = 0;
};
BOOST_DESCRIBE_STRUCT(Line, (), (every, attempts))
struct Ward {
  std::vector<Line> lines;
  Date since;
};
BOOST_DESCRIBE_STRUCT(Ward, (), (lines, since))

struct Share {
  Figure<Ratio> limit;
};
BOOST_DESCRIBE_STRUCT(Share, (), (limit))

TEST(Toml, ReadsTablesArraysAndDates) {
  const auto ward = read<Ward>("since = 2026-11-25\n[[lines]]\nevery = \"4 h\"\nattempts = 2\n", "w.toml");
  ASSERT_TRUE(ward.has_value()) << ward.error().front().found;
  EXPECT_EQ(ward->lines.front().every, Interval{14400});
  EXPECT_EQ(iso(ward->since), "2026-11-25");
}

TEST(Toml, AWrongFigureHasItsPlace) {
  const auto refused = read<Ward>("since = 2026-11-25\n[[lines]]\nevery = \"soon\"\nattempts = 2\n", "w.toml");
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().path, "/lines/0/every");
  EXPECT_EQ(refused.error().front().found, "w.toml, line 3, column 9: soon");
}

TEST(Toml, AMissingFieldPointsAtItsTable) {
  const auto refused = read<Ward>("since = 2026-11-25\n\n[[lines]]\nevery = \"4 h\"\n", "w.toml");
  ASSERT_FALSE(refused);
  EXPECT_NE(refused.error().front().found.find("w.toml, line 3"), std::string::npos);
}

TEST(Toml, ASyntaxErrorHasItsPlace) {
  const auto refused = parse("a = 1\nb = \n", "w.toml");
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().found.find("w.toml, line 2, column "), 0u);
  EXPECT_NE(refused.error().front().found.find(": b ="), std::string::npos);
}

TEST(Toml, NanAndInfinityAreRefusedByName) {
  for (const char* word : {"nan", "inf", "-inf"}) {
    const auto refused =
        read<Share>("limit = { value = " + std::string(word) + ", source = \"s\", mark = \"practice\" }\n", "w.toml");
    ASSERT_FALSE(refused) << word;
    EXPECT_EQ(refused.error().front().path, "/limit/value");
    EXPECT_NE(refused.error().front().found.find(word), std::string::npos);
  }
}

TEST(Toml, AFieldThatNobodyKnowsIsRefusedWhereItStands) {
  const auto refused = read<Line>("attempts = 2\nevery = \"4 h\"\natempts = 3\n", "w.toml");
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().found, "w.toml, line 3, column 11: 3");
}

/// `piece` so many times.
std::string many(std::string_view piece, int times) {
  std::string all;
  for (int i = 0; i < times; ++i) all += piece;
  return all;
}

// Attacks: each of these ended the program before the depth was looked at.
TEST(Toml, WhatIsDeeperThanAnybodyWritesIsRefusedWithItsLine) {
  constexpr int deep = 100'000;
  for (const auto& line :
       {"a" + many(".a", deep) + " = 1", "[a" + many(".a", deep) + "]", "[[a" + many(" . a", deep) + "]]",
        "a" + many(".\"b.c\"", deep) + " = 1", "a = " + many("[", deep), "a = " + many("{a=", deep),
        "a = {b" + many(".b", deep) + " = 1}"}) {
    const auto refused = parse("x = 1 # a [ \" .\ny = \"\"\"\n[ { # \\\" '\"\"\"\n" + line + "\n", "w.toml");
    ASSERT_FALSE(refused) << line.substr(0, 20);
    EXPECT_EQ(refused.error().front().found.find("w.toml, line 4: "), 0u) << refused.error().front().found;
    EXPECT_LT(refused.error().front().found.size(), 200u);
  }
}

TEST(Toml, DotsAndBracketsInTextsAndCommentsHaveNoDepth) {
  const std::string dots = many(".[{", 1000);
  const auto read = parse("# " + dots + "\na = \"" + dots + "\" # " + dots + "\nb = '" + dots + "'\nc = \"\"\"\n" +
                              dots + "\n\"\"\"\nd = '''" + dots + "'''\ne = [" + many("1.5, ", 1000) + "]\n",
                          "w.toml");
  EXPECT_TRUE(read.has_value()) << read.error().front().found;
}

RC_GTEST_PROP(TomlProperty, AnyTextIsReadOrRefused, (const std::string& text)) {
  static_cast<void>(read<Ward>(text, "w.toml"));
}

}  // namespace
}  // namespace dwell::toml_text
