// A quantity in another unit is the same quantity: each function of the engine, asked twice with its example's
// quantities changed by chance, once in their own units and once in smaller ones, says the same. Also with the members
// of the input in another order.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>

#include "engine/engine.h"
#include "exchange/library.h"
#include "quantity/display.h"
#include "tests/monotone/generated.h"

namespace dwell::engine {
namespace {

using monotone::Chance;
using monotone::each_case;

struct Example {
  std::string name;
  json::Value input;
};

const std::vector<Example>& examples() {
  static const auto all = [] {
    std::vector<Example> found;
    for (const auto& entry : std::filesystem::directory_iterator(EXAMPLES)) {
      std::ostringstream text;
      text << std::ifstream(entry.path()).rdbuf();
      found.push_back({entry.path().stem().string(), *json::parse_text(text.str())});
    }
    std::sort(found.begin(), found.end(), [](const Example& a, const Example& b) { return a.name < b.name; });
    return found;
  }();
  return all;
}

struct Smaller {
  const char* unit;
  int of;
};
const std::map<std::string, Smaller> smaller{{"kg", {"g", 1000}},         {"L", {"mL", 1000}}, {"h", {"min", 60}},
                                             {"min", {"s", 60}},          {"cm", {"mm", 10}},  {"mL/min", {"mL/h", 60}},
                                             {"L/h", {"mL/h", 1000}},     {"g", {"mg", 1000}}, {"mg/min", {"mg/h", 60}},
                                             {"mol/L", {"mmol/L", 1000}}, {"mg", {"ug", 1000}}};

/// Plain digits, as a person types them, without a group mark.
std::string digits(double value) {
  std::ostringstream out;
  out.precision(12);
  out << value;
  return out.str();
}

/// Changes the quantities of `value` by chance, and writes the same ones in smaller units into `other`.
void write_twice(json::Value& value, json::Value& other, Chance& chance) {
  if (auto* object = value.if_object()) {
    for (auto& member : *object) write_twice(member.value(), other.as_object().at(member.key()), chance);
  } else if (auto* array = value.if_array()) {
    for (std::size_t i = 0; i < array->size(); ++i) write_twice((*array)[i], other.as_array()[i], chance);
  } else if (value.is_string()) {
    const std::string text(value.as_string());
    char* end = nullptr;
    const double was = std::strtod(text.c_str(), &end);
    const auto unit = *end == ' ' ? smaller.find(end + 1) : smaller.end();
    if (end == text.c_str() || unit == smaller.end()) return;
    // Whole for intervals, which know no fractions, and at most two decimals: three could be a group of thousands.
    const bool whole = was == std::floor(was);
    const double now = std::max(whole ? 1.0 : 0.01, round_half_up(was * chance.between(0.5, 2), whole ? 0 : 2));
    value = digits(now) + " " + unit->first;
    if (chance.coin())
      other = digits(round_half_up(now * unit->second.of, 2)) + " " + unit->second.unit;
    else
      other = value;
  }
}

bool same(const json::Value& a, const json::Value& b) {
  if (a.is_number() && b.is_number()) {
    const double x = a.to_number<double>(), y = b.to_number<double>();
    return std::abs(x - y) <= 1e-9 * std::max({1.0, std::abs(x), std::abs(y)});
  }
  if (const auto* object = a.if_object()) {
    const auto* other = b.if_object();
    return other && object->size() == other->size() &&
           std::all_of(object->begin(), object->end(), [&](const auto& member) {
             const auto* found = other->if_contains(member.key());
             return found && same(member.value(), *found);
           });
  }
  if (const auto* array = a.if_array()) {
    const auto* other = b.if_array();
    return other && array->size() == other->size() && std::equal(array->begin(), array->end(), other->begin(), same);
  }
  return a == b;
}

std::vector<std::string> paths(const FieldErrors& errors) {
  std::vector<std::string> all;
  for (const auto& error : errors) all.push_back(error.path);
  std::sort(all.begin(), all.end());
  return all;
}

void expect_same_answer(const std::string& name, const json::Value& one, const json::Value& other) {
  const auto first = call(name, one, exchange::default_library()),
             second = call(name, other, exchange::default_library());
  const std::string asked = name + " " + json::to_text(one) + "\nand " + json::to_text(other);
  ASSERT_EQ(first.has_value(), second.has_value()) << asked;
  if (first)
    EXPECT_TRUE(same(*first, *second)) << asked << "\n" << json::to_text(*first) << "\n" << json::to_text(*second);
  else
    EXPECT_EQ(paths(first.error()), paths(second.error())) << asked;
}

TEST(Forms, TheSameInSmallerUnitsIsAnsweredTheSame) {
  int changed = 0;
  each_case([&](Chance& chance) {
    const Example& example = chance.one_of(examples());
    json::Value one = example.input, other = example.input;
    write_twice(one, other, chance);
    changed += one != other;
    expect_same_answer(example.name, one, other);
  });
  EXPECT_GT(changed, monotone::cases / 4) << "about a third of the examples hold a quantity";
}

json::Value reversed(const json::Value& value) {
  if (const auto* object = value.if_object()) {
    json::Object out;
    std::vector<const boost::json::key_value_pair*> members;
    for (const auto& member : *object) members.push_back(&member);
    std::reverse(members.begin(), members.end());
    for (const auto* member : members) out[member->key()] = reversed(member->value());
    return out;
  }
  return value;
}

TEST(Forms, TheOrderOfTheMembersChangesNothing) {
  for (const auto& example : examples()) expect_same_answer(example.name, example.input, reversed(example.input));
}

}  // namespace
}  // namespace dwell::engine
