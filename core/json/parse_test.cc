#include "json/parse.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "json/told_errors.h"
#include "say/json.h"
#include "say/quantity.h"

namespace dwell::json {
namespace {

struct Grain {
  int size = 0;
  std::string colour;
};
BOOST_DESCRIBE_STRUCT(Grain, (), (size, colour))

FieldError refused(std::string_view text, const Limits& limits = {}) {
  const auto value = parse_text(text, limits);
  return value ? FieldError{"accepted", "", Message()} : value.error().front();
}

// RFC 8259, section 4: "When the names within an object are not unique, the behavior of software that receives such an
// object is unpredictable."
TEST(Parse, ANameThatStandsTwiceIsRefusedWithItsPath) {
  EXPECT_EQ(refused(R"({"rate":125,"rate":1250})").path, "/rate");
  EXPECT_EQ(refused(R"([1,{"a":{"b":[{},{"x":1,"y":2,"x":3}]}}])").path, "/1/a/b/1/x");
  EXPECT_EQ(refused(R"({"a":{"k":1},"b":{"k":1},"\u0061":2})").path, "/a") << "the name, not how it is written";
  EXPECT_TRUE(parse_text(R"([{"k":1},{"k":1},{"k":{"k":{"k":1}}}])"));
}

TEST(Parse, ATextBeyondItsLimitsIsGivenUp) {
  EXPECT_TRUE(parse_text("[1,2,[3]]", {2, 5}));
  EXPECT_EQ(refused("[1,2,[3]]", {2, 4}).found, "5");
  EXPECT_EQ(refused("[1,2,[3]]", {2, 4}).path, "/2");
  EXPECT_FALSE(parse_text("[1,2,[3]]", {1, 5}));
  EXPECT_FALSE(parse_text(std::string(100'000, '['))) << "and not by the stack";
}

TEST(Parse, KeepsTextsAndNumbersAsTheyAre) {
  const std::string longer(10'000, 'x');
  const auto value = *parse_text("{\"" + longer + "\":[\"" + longer + "\\n\",-1,18446744073709551615,1.5,true,null]}");
  const auto& list = value.at(longer).as_array();
  EXPECT_EQ(list[0].as_string(), longer + "\n");
  EXPECT_EQ(list[1].as_int64(), -1);
  EXPECT_EQ(list[2].as_uint64(), 18446744073709551615u);
  EXPECT_EQ(list[3].as_double(), 1.5);
}

TEST(Parse, TheFirstErrorsAreToldAndTheRestIsCounted) {
  std::string text = "[{}";
  for (int i = 1; i < 1000; ++i) text += ",{}";
  const auto grains = decode<std::vector<Grain>>(*parse_text(text + "]"));
  ASSERT_FALSE(grains);
  ASSERT_EQ(grains.error().size(), most_told_errors + 1);
  EXPECT_EQ(grains.error().front().path, "/0/size");
  EXPECT_EQ(grains.error().back().expected, say::the_same_care_for_more());
  FieldErrors many(1000, FieldError{"/x", "1", say::a_number()});
  EXPECT_EQ(told(many).size(), most_told_errors + 1);
  EXPECT_EQ(told(many).back().found, "950");
  EXPECT_EQ(told(told(many)), told(many));
  many.resize(3);
  EXPECT_EQ(told(many), many);
}

// What Boost.JSON's own reader takes, this takes too, with the same value, but for names that stand twice.
RC_GTEST_PROP(ParseProperty, ReadsWhatTheLibraryReads, (const std::vector<std::pair<std::string, double>>& members)) {
  Object object;
  for (const auto& [name, number] : members) object[std::to_string(object.size()) + name.substr(0, 3)] = number;
  const std::string text = boost::json::serialize(object);
  boost::json::error_code failure;
  const auto theirs = boost::json::parse(text, failure);
  const auto ours = parse_text(text);
  RC_ASSERT(ours.has_value() == !failure);
  if (ours) RC_ASSERT(*ours == theirs);
}

}  // namespace
}  // namespace dwell::json
