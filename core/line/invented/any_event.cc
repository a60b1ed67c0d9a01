#include "line/invented/any.h"

namespace dwell::test {

template line::Body any<line::Body>();

std::string any_text() {
  return *rc::gen::element<std::string>("", "sodium chloride 0.9 %", "as ordered", "quote \" and \\ slash", "π ≈ 3 mL",
                                        "R. Ode");
}

Instant any_moment() { return after(std::chrono::minutes{*rc::gen::inRange(0, 8) * 30}); }

line::Event any_event(unsigned number, unsigned of) {
  line::Event event;
  event.id = id(number);
  event.line = line_id;
  event.occurred_at = any_moment();
  event.recorded_at = any_moment();
  event.author = any_text();
  event.device = any_text();
  if (*rc::gen::inRange(0, 3) == 0) event.corrects = id(*rc::gen::inRange(1u, of + 2));
  event.deviation_reason = any<std::optional<std::string>>();
  event.body = any<line::Body>();
  return event;
}

std::vector<line::Event> any_history() {
  const auto length = *rc::gen::inRange(1u, 12u);
  std::vector<line::Event> events;
  for (unsigned i = 1; i <= length; ++i) events.push_back(any_event(i, length));
  return events;
}

std::vector<line::Event> shuffled_with_repeats(const std::vector<line::Event>& events) {
  std::vector<line::Event> out = events;
  const auto repeats = *rc::gen::inRange<std::size_t>(0, 4);
  for (std::size_t i = 0; i < repeats; ++i) out.push_back(events[*rc::gen::inRange<std::size_t>(0, events.size())]);
  for (std::size_t i = out.size(); i > 1; --i) std::swap(out[i - 1], out[*rc::gen::inRange<std::size_t>(0, i)]);
  return out;
}

}  // namespace dwell::test
