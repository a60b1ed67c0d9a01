#pragma once
// An invented ward with invented people, made anew around `now`, so that the demo always looks alive; and an invented
// history of closed lines for Learn. Nobody and nothing in it is real. The history's failure pattern follows published
// directions (hand and narrow catheters fail sooner; see docs/sources.md#failure-patterns), its numbers are made up.
#include <cstdint>
#include <vector>

#include "line/event.h"

namespace dwell::demo {

[[nodiscard]] line::Place demo_place();

/// The open ward: 15 beds, 16 lines in different states, all events before `now`.
[[nodiscard]] std::vector<line::Event> demo_ward(Instant now, std::uint64_t seed);

/// Closed lines over the last 18 months, four or five events each.
[[nodiscard]] std::vector<line::Event> demo_history(Instant now, std::uint64_t seed, int lines);

}  // namespace dwell::demo
