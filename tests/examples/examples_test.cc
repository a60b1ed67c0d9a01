// Every number of every example replaced by an absurd one: the engine refuses with a path, or answers with numbers. It
// never throws, and never lets a not-a-number or an infinity out.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <functional>
#include <sstream>

#include "engine/engine.h"
#include "exchange/library.h"

namespace dwell::engine {
namespace {

struct Example {
  std::string name;
  json::Value input;
};

std::vector<Example> examples() {
  std::vector<Example> all;
  for (const auto& entry : std::filesystem::directory_iterator(EXAMPLES)) {
    std::ostringstream text;
    text << std::ifstream(entry.path()).rdbuf();
    all.push_back({entry.path().stem().string(), *json::parse_text(text.str())});
  }
  return all;
}

/// Calls `visit` for each number, and each text that begins with one, wherever it stands.
void each_number(json::Value& value, const std::string& path,
                 const std::function<void(json::Value&, const std::string&)>& visit) {
  if (auto* object = value.if_object()) {
    for (auto& member : *object) each_number(member.value(), path + "/" + std::string(member.key()), visit);
  } else if (auto* array = value.if_array()) {
    for (std::size_t i = 0; i < array->size(); ++i) each_number((*array)[i], path + "/" + std::to_string(i), visit);
  } else if (value.is_number()) {
    visit(value, path);
  } else if (value.is_string() && !value.as_string().empty()) {
    const char first = value.as_string().front();
    const bool quantity = (first >= '0' && first <= '9') && value.as_string().find(' ') != std::string_view::npos;
    if (quantity) visit(value, path);
  }
}

/// The same quantity with another number, in its own unit.
json::Value with_number(const json::Value& was, const std::string& number) {
  if (was.is_number()) return *json::parse_text(number);
  const std::string text(was.as_string());
  return json::Value(number + text.substr(text.find(' ')));
}

/// A quantity without its number, or a number that is none.
bool has_hole(const json::Value& value) {
  if (const auto* array = value.if_array()) return std::any_of(array->begin(), array->end(), has_hole);
  if (const auto* object = value.if_object()) {
    const auto* number = object->contains("unit") ? object->if_contains("value") : nullptr;
    if (number && number->is_null()) return true;
    return std::any_of(object->begin(), object->end(), [](const auto& member) { return has_hole(member.value()); });
  }
  if (const auto* number = value.if_double()) return !std::isfinite(*number);
  if (value.is_string()) {
    const std::string text = " " + std::string(value.as_string()) + " ";
    return text.find("nan ") != text.npos || text.find(" inf ") != text.npos || text.find("-inf ") != text.npos;
  }
  return false;
}

TEST(Examples, EachIsAFunctionAndRuns) {
  EXPECT_GE(examples().size(), 45u);
  for (const auto& example : examples()) {
    const auto answer = call(example.name, example.input, exchange::default_library());
    ASSERT_TRUE(answer.has_value()) << example.name << ": " << answer.error().front().path << " "
                                    << answer.error().front().expected.id();
    EXPECT_FALSE(has_hole(*answer)) << example.name;
  }
}

TEST(Examples, AbsurdNumbersAreRefusedOrAnsweredNeverPassedOn) {
  int tried = 0, refused = 0;
  for (auto& example : examples())
    each_number(example.input, "", [&](json::Value& place, const std::string& path) {
      const json::Value was = place;
      for (const char* absurd : {"-1", "0", "1e-300", "1e300", "-1e300", "123456789"}) {
        place = with_number(was, absurd);
        ++tried;
        Checked<json::Value> answer;
        ASSERT_NO_THROW(answer = call(example.name, example.input, exchange::default_library()))
            << example.name << path << " " << absurd;
        if (!answer) {
          ++refused;
          EXPECT_FALSE(answer.error().front().expected.empty()) << example.name << path;
        } else {
          EXPECT_FALSE(has_hole(*answer)) << example.name << path << " " << absurd;
        }
      }
      place = was;
    });
  std::cout << tried << " spoiled inputs, " << refused << " refused\n";
  EXPECT_GT(refused, tried / 2);
}

}  // namespace
}  // namespace dwell::engine
