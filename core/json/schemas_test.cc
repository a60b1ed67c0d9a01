#include <gtest/gtest.h>

#include "json/codec.h"

namespace dwell::json {

enum class Hand { left, right };
BOOST_DESCRIBE_ENUM(Hand, left, right)

/// Read and written alike.
struct Spot {
  Hand hand = Hand::left;
  bool seen = false;
};
BOOST_DESCRIBE_STRUCT(Spot, (), (hand, seen))

struct Trial {
  Spot spot;
  Flow flow;
  std::optional<int> grade;
  std::vector<Spot> others;
};
BOOST_DESCRIBE_STRUCT(Trial, (), (spot, flow, grade, others))

template <class T>
struct Boxed {
  T value{};
  BOOST_DESCRIBE_CLASS(Boxed, (), (value), (), ())
};

namespace {

Object gathered(bool written = true, bool read = true) {
  Object definitions;
  Schemas in(Form::read, definitions), out(Form::written, definitions);
  if (read) (void)Codec<Trial>::schema(in);
  if (written) (void)Codec<Trial>::schema(out);
  Object document{{"$defs", std::move(definitions)}};
  join_forms(document);
  return document.at("$defs").as_object();
}

std::string reference(const Value& schema) { return std::string(schema.at("$ref").as_string()); }

TEST(Schemas, ATypeIsNamedByItsRoom) {
  EXPECT_EQ(type_name<Trial>(), "json.Trial");
  EXPECT_EQ(type_name<Boxed<int>>(), "") << "no name of its own";
  EXPECT_EQ(name_in_schemas("dwell::Finding"), "Finding");
  EXPECT_EQ(name_in_schemas("dwell::engine::{anonymous}::DueInput"), "engine.DueInput");
  EXPECT_EQ(name_in_schemas("dwell::engine::(anonymous namespace)::DueInput"), "engine.DueInput");
  EXPECT_EQ(name_in_schemas("dwell::document::LocalTime::Change"), "document.LocalTime.Change");
}

TEST(Schemas, WhatIsReadInMoreWaysThanItIsWrittenHasTwoForms) {
  const Object all = gathered();
  const auto& written = all.at("json.Trial");
  const auto& read = all.at("json.TrialIn");
  EXPECT_EQ(written.at("required"), (Array{"spot", "flow", "others"})) << "a list is always written";
  EXPECT_EQ(read.at("required"), (Array{"spot", "flow"}));
  EXPECT_EQ(reference(written.at("properties").at("flow")), "#/$defs/Flow");
  EXPECT_EQ(reference(read.at("properties").at("flow")), "#/$defs/FlowIn");
  EXPECT_EQ(written.at("properties").at("grade"), (Object{{"type", "integer"}})) << "what is not known is not written";
  EXPECT_EQ(read.at("properties").at("grade").at("anyOf").at(1), (Object{{"type", "null"}}));
  EXPECT_EQ(all.at("Flow").at("properties").at("unit"), (Object{{"const", "mL/h"}}));
  EXPECT_EQ(all.at("FlowIn").at("anyOf").at(0), (Object{{"type", "string"}}));
}

TEST(Schemas, WhatIsReadAsItIsWrittenHasOne) {
  const Object all = gathered();
  EXPECT_FALSE(all.contains("json.SpotIn"));
  EXPECT_FALSE(all.contains("json.HandIn"));
  EXPECT_EQ(reference(all.at("json.TrialIn").at("properties").at("spot")), "#/$defs/json.Spot");
  EXPECT_EQ(reference(all.at("json.Spot").at("properties").at("hand")), "#/$defs/json.Hand");
}

TEST(Schemas, WhatIsOnlyReadBearsItsPlainName) {
  const Object all = gathered(false);
  EXPECT_TRUE(all.contains("json.Trial"));
  EXPECT_FALSE(all.contains("json.TrialIn"));
  EXPECT_EQ(reference(all.at("json.Trial").at("properties").at("flow")), "#/$defs/Flow");
}

TEST(Schemas, TwoTypesOfOneNameAreABrokenPromise) {
  Object definitions;
  Schemas schemas(Form::written, definitions);
  const int one = 0, other = 0;
  const auto make = [] { return Object{{"type", "string"}}; };
  (void)schemas.named("line.State", &one, make);
  EXPECT_NO_THROW((void)schemas.named("line.State", &one, make));
  EXPECT_THROW((void)schemas.named("line.State", &other, make), std::logic_error);
}

}  // namespace
}  // namespace dwell::json
