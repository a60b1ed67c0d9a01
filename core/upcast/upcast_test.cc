#include "upcast/upcast.h"

#include <gtest/gtest.h>

namespace dwell::upcast {
namespace {

using json::Value;

Value read(std::string_view text) { return json::parse_text(text).value(); }

std::string today(Kept of, std::string_view text) {
  Value room;
  return json::to_text(in_todays_form(of, read(text), room));
}

TEST(Upcast, TodaysFormIsGivenBackAsItIs) {
  const Value kept = read(R"({"body":{"kind":"noted","text":"slept well"}})");
  Value room;
  EXPECT_EQ(&in_todays_form(Kept::event, kept, room), &kept) << "and nothing is copied";
}

TEST(Upcast, WhatIsNoObjectIsLeftToTheCodec) {
  for (const Kept of : {Kept::event, Kept::policy_change, Kept::practice})
    for (const char* text : {"null", "7", "[]", R"("text")", "{}", R"({"score":3,"policy":[]})",
                             R"({"policy":{"order":{"by_age":7}},"score":{"steps":[1,null]}})"})
      EXPECT_EQ(today(of, text), json::to_text(read(text)));
}

TEST(Upcast, OfNoStepWasTheDoingAFaultBeforeThereWereSuch) {
  EXPECT_EQ(today(Kept::practice, R"({"score":{"steps":[{"step":"a"},{"step":"b","must_not":true}]}})"),
            R"({"score":{"steps":[{"step":"a","must_not":false},{"step":"b","must_not":true}]}})");
}

TEST(Upcast, GlucoseWasAlwaysForEachKilogram) {
  const std::string before =
      R"({"policy":{"order":{"by_age":{"child":{"glucose_caution":{"value":{"value":300,"unit":"mg/h","text":"300 mg/h"}}}}}}})";
  const std::string after =
      R"({"policy":{"order":{"by_age":{"child":{"glucose_caution":{"value":{"value":300,"unit":"mg/kg/h"}}}}}}})";
  EXPECT_EQ(today(Kept::policy_change, before), after);
  EXPECT_EQ(today(Kept::policy_change, after), after) << "what says so already is left alone";
  EXPECT_EQ(today(Kept::event, before), before) << "and so is what is something else";
}

}  // namespace
}  // namespace dwell::upcast
