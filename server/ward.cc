#include "server/ward.h"

#include <set>

namespace dwell::server {

Ward::Ward(ledger::Ledger& ledger, const engine::Library& library) : ledger_(ledger), library_(library) { catch_up(); }

std::vector<std::string> Ward::catch_up() {
  constexpr std::size_t at_once = 5000;
  std::set<std::string> changed;
  for (;;) {
    auto entries = ledger_.read_after(sequence_, at_once);
    if (entries.empty()) break;
    sequence_ = entries.back().sequence;
    for (auto& entry : entries) {
      changed.insert(entry.event.line);
      lines_[entry.event.line].events.push_back(std::move(entry.event));
    }
  }
  for (const auto& id : changed) {
    auto& held = lines_[id];
    held.state = line::fold(held.events, library_.policy);
  }
  return {changed.begin(), changed.end()};
}

Checked<ledger::Appended> Ward::append(const std::vector<line::Event>& events, Instant now) {
  return ledger_.append(events, now);
}

std::vector<const line::State*> Ward::open_states() const {
  std::vector<const line::State*> open;
  for (const auto& [id, held] : lines_)
    if (held.state.stage != line::Stage::closed) open.push_back(&held.state);
  return open;
}

const line::State* Ward::find(const std::string& line) const {
  const auto found = lines_.find(line);
  return found == lines_.end() ? nullptr : &found->second.state;
}

const std::vector<line::Event>* Ward::events(const std::string& line) const {
  const auto found = lines_.find(line);
  return found == lines_.end() ? nullptr : &found->second.events;
}

std::vector<statistics::LineRow> Ward::rows() const {
  std::vector<statistics::LineRow> rows;
  for (const auto& [id, held] : lines_)
    if (auto row = statistics::row_of(held.state)) rows.push_back(std::move(*row));
  return rows;
}

}  // namespace dwell::server
