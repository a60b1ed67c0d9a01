#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <bit>
#include <cmath>

#include "json/codec.h"
#include "say/json.h"
#include "say/quantity.h"
#include "say/wording.h"

namespace dwell::json {
namespace {

enum class Side { left, right };
BOOST_DESCRIBE_ENUM(Side, left, right)

struct Bag {
  static constexpr std::string_view kind = "bag";
  Flow flow;
  std::optional<Volume> volume;
  std::vector<Side> sides;
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

TEST(Codec, ATemperatureIsWhatItsUnitSays) {
  const auto read = [](const char* text) { return decode<Temperature>(*parse_text(text)); };
  EXPECT_NEAR(read(R"({"value":102.2,"unit":"[degF]"})")->celsius, 39, 1e-9);
  EXPECT_NEAR(read(R"("39 °C")")->celsius, 39, 1e-12);
  EXPECT_NEAR(read("39")->celsius, 39, 1e-12) << "a bare number is in degrees Celsius, as the schema says";
  EXPECT_LT(read(R"("39 degF")")->celsius, 4) << "never 39 °C";
  for (const char* text : {R"({"value":39})", R"({"value":39,"unit":"K"})", R"("39")", R"("39,5 °C")", "151"})
    EXPECT_FALSE(read(text)) << text;
}

TEST(Codec, ANumberMayBeTextAndIsThenReadAsTyped) {
  EXPECT_EQ(decode<double>(Value("0.5")).value(), 0.5);
  EXPECT_EQ(decode<int>(Value(" 12 ")).value(), 12);
  EXPECT_EQ(decode<double>(Value("1,000"), DecimalSign::point).value(), 1000);
  for (const char* text : {"0,5", "1.000", "1,000", "5 mg", "", "-", "inf", "0x10"})
    EXPECT_FALSE(decode<double>(Value(text))) << text;
  EXPECT_EQ(decode<double>(Value("0,5")).error().front().expected, say::is_that_meant("0.5"));
  EXPECT_FALSE(decode<int>(Value("1.5")));
}

TEST(Codec, ALoneCommaIsReadOnlyWhereDecimalsHaveAPoint) {
  const auto text = *parse_text(R"("1,000 mL")");
  EXPECT_TRUE(decode<Volume>(text, DecimalSign::point));
  EXPECT_FALSE(decode<Volume>(text, DecimalSign::comma));
  EXPECT_FALSE(decode<Volume>(text)) << "unknown is never a default";
}

TEST(Codec, ReadsTextAndValueWithUnit) {
  const auto bag = decode<Bag>(*parse_text(R"({"flow":"125 mL/h","volume":{"value":1,"unit":"L"},"sides":["left"]})"));
  ASSERT_TRUE(bag.has_value());
  EXPECT_EQ(
      to_text(encode(*bag)),
      R"({"flow":{"value":125,"unit":"mL/h","text":"125 mL/h"},"volume":{"value":1000,"unit":"mL","text":"1 000 mL"},"sides":["left"]})");
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
  EXPECT_EQ(errors_of("3").front().found, "");
}

TEST(Codec, SyntaxErrorsHaveAPlace) {
  const auto refused = parse_text("{\n  \"a\": }");
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().found, "2:8");
  EXPECT_FALSE(parse_text("{} x"));
  EXPECT_FALSE(parse_text(""));
}

TEST(Codec, SchemaNamesTheAlternatives) {
  const auto text = to_text(schema<Either>());
  EXPECT_NE(text.find("\"const\":\"bag\""), std::string::npos);
  EXPECT_NE(text.find("\"required\":[\"kind\",\"every\",\"gauge\",\"urgent\"]"), std::string::npos);
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

/// Any double that JSON can hold, the ends of the scale among them.
double any_double() {
  switch (*rc::gen::inRange(0, 4)) {
    case 0: return *rc::gen::element(0.0, -0.0, 1e308, -1e308, 5e-324, 1e-310, 9007199254740993.0, 9e15, 0.1 + 0.2);
    case 1: return std::bit_cast<double>(*rc::gen::arbitrary<std::uint64_t>());
    case 2: return static_cast<double>(*rc::gen::inRange(-100000, 100000)) / 1000;
    default: return std::ldexp(static_cast<double>(*rc::gen::inRange<std::int64_t>(0, 1LL << 53)), -48);
  }
}

/// What is read of `value` is written so that it is read again, and written alike.
template <class Decode, class Encode>
void reads_back(const Value& value, const Decode& decode_it, const Encode& encode_it) {
  const auto first = decode_it(value);
  if (!first) return;
  const std::string written = to_text(encode_it(*first));
  const auto parsed = parse_text(written);
  RC_ASSERT(parsed.has_value());
  const auto again = decode_it(*parsed);
  RC_ASSERT(again.has_value());
  RC_ASSERT(to_text(encode_it(*again)) == written);
}

RC_GTEST_PROP(CodecProperty, EveryKindOfQuantityReadsBack, ()) {
  const double value = any_double();
  boost::mp11::mp_for_each<boost::describe::describe_enumerators<QuantityKind>>([&](auto described) {
    const auto kind = described.value;
    const auto units = unit_names(kind);
    const auto& unit = units[*rc::gen::inRange<std::size_t>(0, units.size())];
    const auto read = [&](const Value& v) -> std::optional<double> {
      Reading reading;
      double si = 0;
      decode_quantity(kind, v, Path{}, reading, si);
      return reading.errors().empty() ? std::optional(si) : std::nullopt;
    };
    reads_back(Value(Object{{"value", value}, {"unit", boost::json::string_view(unit.ucum)}}), read,
               [&](double si) { return encode_quantity(kind, si); });
  });
}

template <class T>
void plain_reads_back(const Value& value) {
  reads_back(
      value, [](const Value& v) { return decode<T>(v); }, [](const T& v) { return encode(v); });
}

RC_GTEST_PROP(CodecProperty, EveryPlainNumberReadsBack, ()) {
  const double value = any_double();
  plain_reads_back<double>(Value(value));
  plain_reads_back<int>(Value(value));
  plain_reads_back<int>(Value(std::int64_t{*rc::gen::element(INT32_MIN, INT32_MAX)}));
  plain_reads_back<std::int64_t>(Value(*rc::gen::arbitrary<std::int64_t>()));
  plain_reads_back<Gauge>(Value(*rc::gen::inRange(0, 40)));
  plain_reads_back<Temperature>(Value(value));
  plain_reads_back<Temperature>(Value(*rc::gen::element(149.9999999999999, 150.0, -50.0, -49.99999999999999)));
  plain_reads_back<Interval>(Value(Object{{"value", value}, {"unit", "s"}}));
}

TEST(Codec, TheTextIsThatOfTheNumberBesideIt) {
  const auto flow = Flow(41.649999999999991 * millilitre / hour);
  EXPECT_EQ(to_text(encode(flow)), R"({"value":4.165E1,"unit":"mL/h","text":"41.7 mL/h"})");
}

TEST(Codec, AWordingIsPlainTextWhereOnlyEnglishIsThere) {
  const auto again = [](const char* text) { return to_text(encode(*decode<Wording>(*parse_text(text)))); };
  for (const char* text : {R"("Stop.")", R"("")", R"({"en":"Stop.","es":"Parar."})", R"({"es":"Parar."})"})
    EXPECT_EQ(again(text), text);
  EXPECT_EQ(again(R"({"en":"Stop."})"), R"("Stop.")");
}

TEST(Codec, AWordingIsRefusedByThePathOfItsLanguage) {
  const auto refused = [](const char* text) {
    const auto read = decode<std::vector<Wording>>(*parse_text(text));
    return read ? FieldError{"read", "", Message()} : read.error().front();
  };
  EXPECT_EQ(refused("[7]"), (FieldError{"/0", "7", say::text_or_text_by_language()}));
  EXPECT_EQ(refused("[{}]").path, "/0");
  EXPECT_EQ(refused(R"(["a",{"en":"Stop.","English":"x"}])"), (FieldError{"/1/English", "English", say::a_language()}));
  EXPECT_EQ(refused(R"([{"en":"Stop.","es":7}])"), (FieldError{"/0/es", "7", say::text_of_this_language()}));
  EXPECT_EQ(refused(R"([{"es":""}])").path, "/0/es");
}

TEST(Codec, WhatWasFoundIsNeverCutWithinACharacter) {
  for (std::size_t before = 100; before < 125; ++before)
    EXPECT_TRUE(parse_text(to_text(Value(found_text(Array{std::string(before, 'x') + "€€€€€€€€"})))).has_value());
}

RC_GTEST_PROP(CodecProperty, AnyTextIsReadOrRefused, (const std::string& text)) {
  if (const auto value = parse_text(text)) static_cast<void>(decode<Either>(*value));
}

}  // namespace
}  // namespace dwell::json
