#include "server/ward.h"

#include <set>

#include "ledger/projection.h"

namespace dwell::server {

Ward::Ward(ledger::Ledger& ledger, const engine::Library& library, Instant now) : ledger_(ledger), library_(library) {
  begin(now);
}

void Ward::begin_again(Instant now) {
  held_.clear();
  open_.clear();
  not_kept_.clear();
  rows_.clear();
  rows_read_ = false;
  begin(now);
}

void Ward::begin(Instant now) {
  made_with_ = ledger::made_with(library_.policy, library_.infusates);
  board_.emplace(library_.policy, library_.infusates);
  const auto mark = ledger_.projection_mark();
  sequence_ = ledger_.last_sequence();
  const bool fits = mark.made_with == made_with_ && mark.sequence <= sequence_;
  keep_afresh_ = !fits;
  auto behind = ledger_.lines_after(fits ? mark.sequence : 0);
  if (fits) {
    for (const auto& line : ledger_.projected(true)) {
      auto clocks = ledger::clocks_of(line);
      if (!clocks) {
        behind.push_back(line.line);
        continue;
      }
      open_[line.line] = line.unit;
      board_->put({line.line, line.unit, line.bed, 0}, std::move(*clocks), now);
    }
  }
  for (const auto& line : behind) {
    if (const auto* held = load(line)) take_in(*held, now);
    if (!open_.contains(line)) held_.erase(line);
  }
}

/// From the record, when it is not in memory.
Ward::Held* Ward::load(const std::string& line) {
  const auto found = held_.find(line);
  if (found != held_.end()) return &found->second;
  auto events = ledger_.read_line(line);
  if (events.empty()) return nullptr;
  Held& held = held_[line];
  held.events = std::move(events);
  held.state = line::fold(held.events, library_.policy);
  return &held;
}

void Ward::take_in(const Held& held, Instant now) {
  const auto& state = held.state;
  board_->put(state, now);
  if (state.stage == line::Stage::closed)
    open_.erase(state.id);
  else
    open_[state.id] = state.place.unit;
  if (const auto row = statistics::row_of(state))
    rows_[state.id] = *row;
  else
    rows_.erase(state.id);
  not_kept_[state.id] = ledger::project(state, library_.policy, library_.infusates, now);
}

std::vector<std::string> Ward::catch_up(Instant now) {
  constexpr std::size_t at_once = 5000;
  std::set<std::string> changed;
  for (;;) {
    auto entries = ledger_.read_after(sequence_, at_once);
    if (entries.empty()) break;
    sequence_ = entries.back().sequence;
    for (auto& entry : entries) {
      changed.insert(entry.event.line);
      // A line that is not in memory is read whole below.
      const auto held = held_.find(entry.event.line);
      if (held != held_.end()) held->second.events.push_back(std::move(entry.event));
    }
  }
  for (const auto& id : changed) {
    const auto known = held_.find(id);
    if (known != held_.end()) known->second.state = line::fold(known->second.events, library_.policy);
    if (const auto* held = load(id)) take_in(*held, now);
  }
  return {changed.begin(), changed.end()};
}

Checked<void> Ward::keep() {
  if (not_kept_.empty() && !keep_afresh_) return {};
  std::vector<ledger::ProjectedLine> lines;
  lines.reserve(not_kept_.size());
  for (const auto& [id, line] : not_kept_) lines.push_back(line);
  auto kept = ledger_.keep_projection({made_with_, sequence_}, lines, keep_afresh_);
  if (!kept) return kept;
  for (const auto& line : lines)
    if (!line.open) held_.erase(line.line);
  not_kept_.clear();
  keep_afresh_ = false;
  return {};
}

std::vector<const line::State*> Ward::open_states(const std::string& unit) {
  std::vector<const line::State*> states;
  for (const auto& [id, where] : open_) {
    if (!unit.empty() && where != unit) continue;
    if (const auto* held = load(id)) states.push_back(&held->state);
  }
  return states;
}

const line::State* Ward::find(const std::string& line) {
  const auto* held = load(line);
  return held ? &held->state : nullptr;
}

const std::vector<line::Event>* Ward::events(const std::string& line) {
  const auto* held = load(line);
  return held ? &held->events : nullptr;
}

std::vector<statistics::LineRow> Ward::rows() {
  if (!rows_read_) {
    for (const auto& line : ledger_.projected(false))
      if (auto row = ledger::row_of(line); row && *row && !not_kept_.contains(line.line))
        rows_.emplace(line.line, std::move(**row));
    rows_read_ = true;
  }
  std::vector<statistics::LineRow> rows;
  rows.reserve(rows_.size());
  for (const auto& [id, row] : rows_) rows.push_back(row);
  return rows;
}

std::vector<const line::State*> Ward::closed_since(Instant since) {
  std::vector<const line::State*> states;
  for (const auto& row : rows()) {
    if (open_.contains(row.id) || !row.ended_at || *row.ended_at < since) continue;
    if (const auto* held = load(row.id)) states.push_back(&held->state);
  }
  return states;
}

std::vector<care::Board::Place> Ward::first(std::size_t most, Instant now) {
  for (const auto& id : board_->advance(now))
    if (const auto* held = load(id)) board_->put(held->state, now);
  return board_->first(most);
}

}  // namespace dwell::server
