#include "line/newest.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "line/test_events.h"
#include "line/test_policy.h"

namespace dwell::line {
namespace {

State some_line() {
  static const policy::Policy policy = test::small_policy();
  return fold(test::any_history(), policy);
}

std::string text_of(const State& state) { return json::to_text(json::encode(state)); }

RC_GTEST_PROP(Newest, LeavesOutTheOldestOfTheLongListsAlone, ()) {
  State whole = some_line();
  const auto most = *rc::gen::inRange<std::size_t>(0, whole.history.size() + 2);
  Newest cut = newest(whole, most);
  RC_ASSERT(cut.state.history.size() == std::min(most, whole.history.size()));
  RC_ASSERT(cut.earlier + cut.state.history.size() == whole.history.size());
  if (!cut.state.history.empty()) {
    const auto since = cut.state.history.front().at;
    for (const auto& look : cut.state.looks) RC_ASSERT((cut.earlier == 0 || look.at >= since));
    std::erase_if(whole.looks, [&](const auto& one) { return cut.earlier > 0 && one.at < since; });
    RC_ASSERT(cut.state.looks == whole.looks);
  }
  for (State* state : {&whole, &cut.state}) {
    state->history.clear();
    state->looks.clear();
    state->photos.clear();
    state->deviations.clear();
  }
  RC_ASSERT(text_of(cut.state) == text_of(whole));
}

TEST(Newest, IsTheWholeOfAShortLine) {
  static const policy::Policy policy = test::small_policy();
  const auto history = test::History{}
                           .at(std::chrono::minutes{0}, test::opened())
                           .at(std::chrono::minutes{1}, test::placed())
                           .at(std::chrono::minutes{2}, test::checked(0));
  const State whole = fold(history.events, policy);
  EXPECT_EQ(text_of(newest(whole, 3).state), text_of(whole));
  const auto last = newest(whole, 1);
  EXPECT_EQ(last.earlier, 2u);
  EXPECT_EQ(last.state.history.front().kind, "site_checked");
  EXPECT_EQ(last.state.looks.size(), 1u);
}

}  // namespace
}  // namespace dwell::line
