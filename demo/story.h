#pragma once
// Writes the events of one invented line, moment by moment, backwards from now.
#include <random>
#include <string>
#include <vector>

#include "line/event.h"

namespace dwell::demo {

/// Random bytes for ids, repeatable by seed.
class IdSource {
 public:
  explicit IdSource(std::uint64_t seed) : generator_(seed) {}
  [[nodiscard]] std::string next(Instant at) {
    std::array<std::uint8_t, 10> bytes{};
    for (auto& b : bytes) b = static_cast<std::uint8_t>(generator_());
    return line::make_id(at, bytes);
  }
  [[nodiscard]] std::mt19937_64& generator() { return generator_; }

 private:
  std::mt19937_64 generator_;
};

class Story {
 public:
  Story(IdSource& ids, std::vector<line::Event>& out, Instant begins) : ids_(ids), out_(out), line_(ids.next(begins)) {}

  /// Appends what happened at a moment, charted a minute later.
  Story& at(Instant moment, line::Body body, std::string author) {
    line::Event event;
    event.id = ids_.next(moment);
    event.line = line_;
    event.occurred_at = moment;
    event.recorded_at = moment + std::chrono::minutes(1);
    event.author = std::move(author);
    event.device = "demo";
    event.body = std::move(body);
    out_.push_back(std::move(event));
    return *this;
  }

  [[nodiscard]] const std::string& line() const { return line_; }

 private:
  IdSource& ids_;
  std::vector<line::Event>& out_;
  std::string line_;
};

}  // namespace dwell::demo
