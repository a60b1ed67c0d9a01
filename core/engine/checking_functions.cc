// What is looked at before an entry is kept. The record looks itself, so the page's first part goes without.
#include "engine/define.h"
#include "line/event.h"

namespace dwell::engine {
namespace {

struct EventCheckInput {
  line::Event event;
  Instant now{};
};
BOOST_DESCRIBE_STRUCT(EventCheckInput, (), (event, now))

}  // namespace

std::vector<Function> checking_functions() {
  return {define(
      "line.check_event", "What is wrong with an event before it is kept; an empty list when nothing is.",
      [](const EventCheckInput& in, const Library&) -> Checked<FieldErrors> { return line::check(in.event, in.now); })};
}

}  // namespace dwell::engine
