#include <gtest/gtest.h>

#include "engine/engine.h"
#include "engine/notes.h"
#include "exchange/library.h"

namespace dwell::engine {
namespace {

std::string call(std::string_view name, std::string_view input) {
  return call_text(name, input, exchange::default_library());
}

TEST(Engine, EveryFunctionHasAnOwnNameASummaryAndSchemas) {
  ASSERT_GE(functions().size(), 30u);
  for (std::size_t i = 0; i < functions().size(); ++i) {
    const auto& f = functions()[i];
    EXPECT_FALSE(f.summary.empty()) << f.name;
    EXPECT_TRUE(input_in_place(f).is_object()) << f.name;
    EXPECT_TRUE(output_in_place(f).is_object()) << f.name;
    if (i > 0) {
      EXPECT_LT(functions()[i - 1].name, f.name);
    }
  }
}

TEST(Engine, EveryFunctionHasAFullNoteAndEveryNoteAFunction) {
  EXPECT_EQ(notes().size(), functions().size());
  for (const auto& f : functions()) {
    const auto* note = find_note(f.name);
    ASSERT_TRUE(note) << f.name;
    for (const auto part : {note->formula, note->symbols, note->refuses, note->source})
      EXPECT_FALSE(part.empty()) << f.name;
  }
}

TEST(Engine, CallsByName) {
  const auto out = call("dosing.rate", R"({"volume":"1 L","duration":"8 h","drop_factor":"20 {drop}/mL"})");
  EXPECT_NE(out.find("\"ok\":true"), std::string::npos);
  EXPECT_NE(out.find("\"drops_per_minute\":42"), std::string::npos);
}

TEST(Engine, RefusesWithEveryField) {
  const auto out = call("dosing.rate", R"({"volume":"much","duration":"soon"})");
  EXPECT_NE(out.find("\"ok\":false"), std::string::npos);
  EXPECT_NE(out.find("/volume"), std::string::npos);
  EXPECT_NE(out.find("/duration"), std::string::npos);
}

TEST(Engine, AnUnknownNameAndBadTextAreRefusedToo) {
  EXPECT_NE(call("no.such", "{}").find("/name"), std::string::npos);
  EXPECT_NE(call("dosing.rate", "{").find("\"ok\":false"), std::string::npos);
}

TEST(Engine, AnyFunctionRefusesAnEmptyOrForeignInputWithoutThrowing) {
  for (const auto& f : functions())
    for (const char* input : {"{}", "[]", "null", "3", R"({"a":{"b":[1]}})"})
      EXPECT_NO_THROW(call(f.name, input)) << f.name << input;
}

// A thousand where the ward writes a decimal point, one where the page's language writes a comma.
TEST(PageSign, WhatTheTwoReadApartIsAQuestion) {
  auto library = exchange::default_library();
  const std::string typed = R"({"volume":"1,000 mL","duration":"8 h"})";
  const std::string read = R"({"quantity":"volume","text":"1,000 mL"})";
  const auto is_read = [&](std::string_view name, const std::string& input, std::optional<DecimalSign> page) {
    return call_text(name, input, library, page).starts_with("{\"ok\":true");
  };
  library.policy.decimal_sign = Figure<DecimalSign>{DecimalSign::point, "", Mark::practice};
  EXPECT_TRUE(is_read("dosing.rate", typed, std::nullopt));
  EXPECT_TRUE(is_read("dosing.rate", typed, DecimalSign::point));
  EXPECT_FALSE(is_read("dosing.rate", typed, DecimalSign::comma));
  EXPECT_TRUE(is_read("quantity.read", read, DecimalSign::point));
  EXPECT_FALSE(is_read("quantity.read", read, DecimalSign::comma));
  // The same where neither is a thousand, and never milder than the ward alone.
  library.policy.decimal_sign = Figure<DecimalSign>{DecimalSign::comma, "", Mark::practice};
  for (const auto page : {DecimalSign::point, DecimalSign::comma}) EXPECT_FALSE(is_read("dosing.rate", typed, page));
  EXPECT_TRUE(is_read("dosing.rate", R"({"volume":"1 L","duration":"8 h"})", DecimalSign::comma));
}

TEST(Engine, TheLibraryGoesThroughItsOwnCodec) {
  const auto& library = exchange::default_library();
  const auto text = json::to_text(json::encode(library));
  const auto back = json::parse_text(text).and_then([](const json::Value& v) { return json::decode<Library>(v); });
  ASSERT_TRUE(back.has_value());
  EXPECT_EQ(json::to_text(json::encode(*back)), text);
}

}  // namespace
}  // namespace dwell::engine
