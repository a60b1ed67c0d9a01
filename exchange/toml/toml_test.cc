#include "exchange/toml/toml.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

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
  EXPECT_NE(refused.error().front().found.find("w.toml, line 2"), std::string::npos);
}

RC_GTEST_PROP(TomlProperty, AnyTextIsReadOrRefused, (const std::string& text)) {
  static_cast<void>(read<Ward>(text, "w.toml"));
}

}  // namespace
}  // namespace dwell::toml_text
