#include "line/line_fold.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>

#include "line/test_events.h"
#include "line/test_policy.h"

namespace dwell::line {
namespace {

using std::chrono::minutes;
using test::History;

const policy::Policy& ward() {
  static const policy::Policy policy = test::small_policy();
  return policy;
}

std::string text_of(const State& state) { return json::to_text(json::encode(state)); }

/// Takes in, part by part, what `parts` says; after each part the state is that of fold() over all that came.
void expect_as_folded(const std::vector<std::vector<Event>>& parts, const std::vector<SetAside>& set_aside = {}) {
  LineFold line(ward());
  std::vector<Event> all;
  std::size_t part = 0;
  for (const auto& events : parts) {
    const bool cannot_read_now = part++ == parts.size() / 2;
    line.take(events, cannot_read_now ? set_aside : std::vector<SetAside>());
    all.insert(all.end(), events.begin(), events.end());
    const bool known = part > parts.size() / 2;
    RC_ASSERT(text_of(line.state()) == text_of(fold(all, ward(), known ? set_aside : std::vector<SetAside>())));
  }
}

std::vector<std::vector<Event>> split(const std::vector<Event>& events, std::size_t most) {
  std::vector<std::vector<Event>> parts;
  for (std::size_t at = 0; at < events.size();) {
    const auto size = std::min(*rc::gen::inRange<std::size_t>(1, most + 1), events.size() - at);
    const auto from = events.begin() + static_cast<std::ptrdiff_t>(at);
    parts.emplace_back(from, from + static_cast<std::ptrdiff_t>(size));
    at += size;
  }
  return parts;
}

/// Some are in the record already; some of these come without their receipt too, from a device.
std::vector<Event> with_receipts(std::vector<Event> events) {
  std::vector<Event> out;
  std::int64_t sequence = 0;
  for (auto& event : events) {
    const auto how = *rc::gen::inRange(0, 4);
    if (how < 2) out.push_back(event);
    if (how > 0) {
      event.receipt = Receipt{++sequence, std::nullopt};
      out.push_back(event);
    }
  }
  return out;
}

RC_GTEST_PROP(LineFolded, IsWhatFoldSaysInAnyOrderAndParts, ()) {
  const auto events = test::shuffled_with_repeats(with_receipts(test::any_history()));
  expect_as_folded(split(events, 3));
}

RC_GTEST_PROP(LineFolded, IsWhatFoldSaysBesideEntriesThatCannotBeRead, ()) {
  const auto events = test::shuffled_with_repeats(test::any_history());
  std::vector<SetAside> set_aside{{test::id(900), 5, "kind"}, {test::id(901), 6, "kind"}};
  auto answered = events;
  if (*rc::gen::arbitrary<bool>()) answered.front().corrects = test::id(900);
  expect_as_folded(split(answered, 3), set_aside);
}

RC_GTEST_PROP(LineFolded, IsWhatFoldSaysWithTwoContentsUnderOneId, ()) {
  auto events = test::any_history();
  auto other = events[*rc::gen::inRange<std::size_t>(0, events.size())];
  other.author = "somebody else";
  events.push_back(other);
  expect_as_folded(split(test::shuffled_with_repeats(events), 3));
}

/// A long line: entries of a few generated kinds over and over, each a little later than the one before.
std::vector<Event> long_history(unsigned length) {
  const auto some = test::any_history();
  std::vector<Event> events;
  for (unsigned i = 0; i < length; ++i) {
    Event event = some[i % some.size()];
    event.id = test::id(i + 1);
    event.occurred_at = event.recorded_at = test::after(minutes{i});
    event.corrects.reset();
    events.push_back(std::move(event));
  }
  return events;
}

RC_GTEST_PROP(LineFolded, GoesBackFarWhenALateEntryOrACorrectionComes, ()) {
  constexpr unsigned length = 200;
  const auto events = long_history(length);
  LineFold line(ward());
  line.take(events);
  std::vector<Event> all = events;
  const auto changes = *rc::gen::inRange(1u, 5u);
  for (unsigned i = 0; i < changes; ++i) {
    Event event = test::any_event(length + 1 + i, 1);
    event.corrects.reset();
    event.occurred_at = test::after(minutes{*rc::gen::inRange(-2, static_cast<int>(length) + 2)});
    if (*rc::gen::arbitrary<bool>()) event.corrects = test::id(*rc::gen::inRange(1u, length + i));
    all.push_back(event);
    line.take({event});
    RC_ASSERT(text_of(line.state()) == text_of(fold(all, ward())));
  }
}

TEST(LineFolded, IsEmptyAtFirst) {
  LineFold line(ward());
  EXPECT_EQ(text_of(line.state()), text_of(fold({}, ward())));
  line.take({});
  EXPECT_EQ(text_of(line.state()), text_of(fold({}, ward())));
}

TEST(LineFolded, RefusesAnotherLineAndStaysAsItWas) {
  auto history = History{}.at(minutes{0}, test::opened()).at(minutes{10}, test::placed());
  LineFold line(ward());
  line.take(history.events);
  const auto before = text_of(line.state());
  auto strange = history.events.back();
  strange.id = test::id(50);
  strange.line = test::id(77);
  EXPECT_THROW(line.take({strange}), std::invalid_argument);
  EXPECT_EQ(text_of(line.state()), before);
}

TEST(LineFolded, LetsTheBagRunOnWhenARemovalIsTakenBack) {
  auto history = History{}
                     .at(minutes{0}, test::opened())
                     .at(minutes{10}, test::placed())
                     .at(minutes{20}, test::removed())
                     .at(minutes{30}, test::infusion())
                     .at(minutes{40}, RateChanged{60.0 * millilitre / hour, "order"})
                     .at(minutes{50}, Retracted{"another patient"})
                     .correcting(3);
  LineFold line(ward());
  std::vector<Event> all;
  for (const auto& event : history.events) {
    all.push_back(event);
    line.take({event});
    EXPECT_EQ(text_of(line.state()), text_of(fold(all, ward())));
  }
  EXPECT_TRUE(line.state().running);
}

// ---- what it costs, counted in entries to which the rules are applied ----

History watched(int checks) {
  auto history = History{}.at(minutes{0}, test::opened()).at(minutes{1}, test::placed());
  for (int i = 0; i < checks; ++i) history.at(minutes{2 + i}, test::checked(0));
  return history;
}

constexpr unsigned entries = 5000;
/// A checkpoint lies at most this far back: they are 64 entries apart while a state is small.
constexpr std::size_t near = 200;

TEST(LineFolded, TakesEachEntryOnceInOrder) {
  const auto history = watched(entries - 2);
  LineFold line(ward());
  for (const auto& event : history.events) line.take({event});
  EXPECT_EQ(line.steps(), entries);
}

TEST(LineFolded, GoesBackLittleForAnEntryThatIsALittleLate) {
  auto history = watched(entries - 2);
  LineFold line(ward());
  line.take(history.events);
  const auto before = line.steps();
  history.at(minutes{entries - 20}, test::flushed(false));
  line.take({history.events.back()});
  EXPECT_LE(line.steps() - before, near);
  history.at(minutes{entries + 5}, test::checked(1)).correcting(entries - 30);
  line.take({history.events.back()});
  EXPECT_LE(line.steps() - before, 2 * near);
  EXPECT_EQ(text_of(line.state()), text_of(fold(history.events, ward())));
}

TEST(LineFolded, ManyLateEntriesThatComeTogetherCostOneWayBack) {
  auto history = watched(entries - 2);
  LineFold line(ward());
  line.take(history.events);
  const auto before = line.steps();
  std::vector<Event> late;
  for (int i = 0; i < 1000; ++i) late.push_back(history.at(minutes{3}, test::flushed(false)).events.back());
  line.take(late);
  EXPECT_LE(line.steps() - before, entries + 1000 + near);
  EXPECT_EQ(text_of(line.state()), text_of(fold(history.events, ward())));
}

TEST(LineFolded, CheckpointsTakeNoMoreMemoryThanTheEntries) {
  const auto history = watched(entries - 2);
  LineFold line(ward());
  std::size_t small = 0;
  for (const auto& event : history.events) {
    line.take({event});
    if (line.events().size() == entries / 10) small = line.bytes();
  }
  EXPECT_LE(line.bytes(), 11 * small);
  EXPECT_LE(line.bytes(), entries * 4 * sizeof(Event));
}

}  // namespace
}  // namespace dwell::line
