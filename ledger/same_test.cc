#include "ledger/same.h"

#include <gtest/gtest.h>

#include "ledger/chain.h"
#include "line/invented/any.h"
#include "line/test_events.h"

namespace dwell::ledger {
namespace {

/// What an accepted entry is spared by it, a second writing, would say the same: no two events that are written
/// differently are the same. Whatever is left out of the comparison is found by the pair that differs in it alone.
TEST(Same, WhatIsTheSameIsWrittenAlike) {
  int same = 0, different = 0;
  EXPECT_TRUE(rc::check([&] {
    constexpr unsigned many = 6;
    std::vector<line::Event> events;
    for (unsigned i = 1; i <= many; ++i) {
      events.push_back(test::any_event(i, many));
      auto other = events.back();  // one that differs in its fact, mostly in a fact of the same kind
      const auto index = other.body.index();
      for (int tries = 0; tries < 60 && (tries == 0 || other.body.index() != index); ++tries)
        other.body = test::any<line::Body>();
      events.push_back(other);
      other = events.back();
      other.corrects = test::any<std::optional<std::string>>();
      events.push_back(other);
    }
    for (const auto& one : events)
      for (const auto& other : events) {
        const bool is = is_same(one, other);
        if (is) RC_ASSERT(canonical_json(one) == canonical_json(other));
        ++(is ? same : different);
      }
  }));
  EXPECT_GT(same, 0);
  EXPECT_GT(different, 0);
}

/// Numbers that are equal and written in two ways are not the same here.
TEST(Same, JsonIsComparedAsItIsWritten) {
  EXPECT_TRUE(is_same(json::Value(1.5), json::Value(1.5)));
  EXPECT_FALSE(is_same(json::Value(1), json::Value(1.0)));
  EXPECT_FALSE(is_same(json::Value(json::Object{{"a", 1}, {"b", 2}}), json::Value(json::Object{{"b", 2}, {"a", 1}})));
}

}  // namespace
}  // namespace dwell::ledger
