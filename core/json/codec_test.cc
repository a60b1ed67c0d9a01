#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "json/codec.h"

namespace dwell::json {
namespace {

enum class Side { left, right };
BOOST_DESCRIBE_ENUM(Side, left, right)

struct Bag {
  static constexpr std::string_view kind = "bag";
  Flow flow;
  std::optional<Volume> volume;
  std::vector<Side> sides;
  friend bool operator==(const Bag&, const Bag&) = default;
};
BOOST_DESCRIBE_STRUCT(Bag, (), (flow, volume, sides))

struct Wait {
  static constexpr std::string_view kind = "wait";
  Interval every{};
  Gauge gauge;
  std::map<Side, int> counts;
  bool urgent = false;
  friend bool operator==(const Wait&, const Wait&) = default;
};
BOOST_DESCRIBE_STRUCT(Wait, (), (every, gauge, counts, urgent))

using Either = std::variant<Bag, Wait>;

FieldErrors errors_of(const char* text) { return decode<Either>(*parse_text(text)).error(); }

TEST(Codec, ReadsTextAndValueWithUnit) {
  const auto bag = decode<Bag>(*parse_text(R"({"flow":"125 mL/h","volume":{"value":1,"unit":"L"},"sides":["left"]})"));
  ASSERT_TRUE(bag.has_value());
  EXPECT_EQ(
      to_text(encode(*bag)),
      R"({"flow":{"value":125,"unit":"mL/h","text":"125 mL/h"},"volume":{"value":1000,"unit":"mL","text":"1,000 mL"},"sides":["left"]})");
}

TEST(Codec, NamesEveryWrongFieldAtOnce) {
  const auto errors = errors_of(R"({"kind":"bag","flow":"fast","sides":["left","up"],"colour":1})");
  ASSERT_EQ(errors.size(), 3u);
  EXPECT_EQ(errors[0].path, "/flow");
  EXPECT_EQ(errors[1].path, "/sides/1");
  EXPECT_EQ(errors[2].path, "/colour");
}

TEST(Codec, AMissingFieldIsNamedAndHasNoDefault) {
  const auto errors = errors_of(R"({"kind":"wait","every":"4 h","gauge":22})");
  ASSERT_EQ(errors.size(), 1u);
  EXPECT_EQ(errors[0].path, "/urgent");
}

TEST(Codec, AnUnknownKindIsRefused) {
  EXPECT_EQ(errors_of(R"({"kind":"box"})").front().path, "/kind");
  EXPECT_EQ(errors_of("3").front().found, "nothing");
}

TEST(Codec, SyntaxErrorsHaveAPlace) {
  const auto refused = parse_text("{\n  \"a\": }");
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().found, "line 2, column 8");
  EXPECT_FALSE(parse_text("{} x"));
  EXPECT_FALSE(parse_text(""));
}

TEST(Codec, SchemaNamesTheAlternatives) {
  const auto text = to_text(schema<Either>());
  EXPECT_NE(text.find("\"const\":\"bag\""), std::string::npos);
  EXPECT_NE(text.find("\"required\":[\"every\",\"gauge\",\"urgent\"]"), std::string::npos);
}

TEST(Codec, PrettyTextReadsBack) {
  const auto value = *parse_text(R"({"a":[1,2,{}],"b":{"c":null},"d":"x"})");
  EXPECT_EQ(*parse_text(to_pretty_text(value)), value);
}

RC_GTEST_PROP(CodecProperty, RoundTrip, ()) {
  Wait wait;
  wait.every = Interval{*rc::gen::inRange(0, 1000000)};
  wait.gauge = Gauge{*rc::gen::inRange(13, 27)};
  wait.urgent = *rc::gen::arbitrary<bool>();
  wait.counts[Side::left] = *rc::gen::inRange(-1000, 1000);
  RC_ASSERT(std::get<Wait>(*decode<Either>(encode(Either(wait)))) == wait);
}

RC_GTEST_PROP(CodecProperty, AnyTextIsReadOrRefused, (const std::string& text)) {
  if (const auto value = parse_text(text)) static_cast<void>(decode<Either>(*value));
}

}  // namespace
}  // namespace dwell::json
