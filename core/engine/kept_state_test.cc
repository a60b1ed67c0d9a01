// A state that an older program kept lacks members: they count as not known, and the rest is worked out.
#include <gtest/gtest.h>

#include "engine/engine.h"
#include "exchange/library.h"
#include "json/codec.h"
#include "line/state.h"
#include "line/test_events.h"

namespace dwell::engine {
namespace {

const Library& library() { return exchange::default_library(); }

json::Object state() {
  test::History h;
  h.at(std::chrono::minutes{0}, test::opened()).at(std::chrono::minutes{0}, test::placed());
  return json::encode(line::fold(h.events, library().policy)).as_object();
}

json::Value ward_of(json::Array states) {
  const auto answer =
      call("care.ward", json::Object{{"states", std::move(states)}, {"now", "2026-11-25T09:00:00Z"}}, library());
  EXPECT_TRUE(answer.has_value());
  return answer.value_or(json::Value());
}

TEST(KeptState, OneThatLacksNothingSaysNothing) {
  const auto text = json::to_text(ward_of({state()}));
  EXPECT_EQ(text.find("look_not_all_is_known"), std::string::npos);
}

TEST(KeptState, WhatItLacksIsNamedAndTheOthersAreShown) {
  for (const char* member : {"findings", "set_intermittent", "given_until_sound_check", "pushed", "contradictions"}) {
    auto old = state();
    old["id"] = "019abb2c-2222-7222-8222-222222222222";
    old.erase(member);
    const auto lines = ward_of({state(), old}).at("lines").as_array();
    ASSERT_EQ(lines.size(), 2u) << member;
    for (const auto& line : lines) {
      const auto text = json::to_text(line);
      const bool says = text.find("look_not_all_is_known") != std::string::npos;
      EXPECT_EQ(says, line.at("line").as_string() == "019abb2c-2222-7222-8222-222222222222") << member;
      EXPECT_NE(text.find("site_check"), std::string::npos) << "the rest is worked out";
      EXPECT_EQ(says, text.find(R"("own_words":")" + std::string(member) + "\"") != std::string::npos);
    }
  }
}

TEST(KeptState, OneFromBeforeDoubtsWereKeptIsNamedToo) {
  auto old = state();
  old.erase("doubt");
  EXPECT_NE(json::to_text(ward_of({old})).find(R"("own_words":"no_blood_return_at")"), std::string::npos);
}

TEST(KeptState, WhatWentInIsThenNotHarmless) {
  auto old = state();
  old.erase("ran_since_sound_check");
  const auto answer = call("care.exposure", json::Object{{"state", old}, {"now", "2026-11-25T09:00:00Z"}}, library());
  ASSERT_TRUE(answer.has_value());
  EXPECT_EQ(answer->at("harm").as_string(), "unknown");
}

TEST(KeptState, WhoseLineItIsIsAskedFor) {
  auto nobody = state();
  nobody.erase("stage");
  EXPECT_FALSE(
      call("care.ward", json::Object{{"states", json::Array{nobody}}, {"now", "2026-11-25T09:00:00Z"}}, library())
          .has_value());
}

}  // namespace
}  // namespace dwell::engine
