#include "server/ward.h"

#include <set>

#include "ledger/projection.h"

namespace dwell::server {

Ward::Ward(ledger::Ledger& ledger, const engine::Library& library, Instant now) : ledger_(ledger), library_(library) {
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
  for (;;) {
    auto entries = ledger_.read_after(sequence_, at_once);
    if (entries.empty()) break;
    sequence_ = entries.back().sequence;
    for (auto& entry : entries) {
      behind_.insert(entry.event.line);
      // A line that is not in memory is read whole below.
      const auto held = held_.find(entry.event.line);
      if (held != held_.end()) held->second.events.push_back(std::move(entry.event));
    }
  }
  std::exception_ptr fault;
  for (const auto& id : behind_) {
    try {
      const auto known = held_.find(id);
      if (known != held_.end()) known->second.state = line::fold(known->second.events, library_.policy);
      if (const auto* held = load(id)) take_in(*held, now);
    } catch (const ledger::Unreachable&) {
      throw;
    } catch (const std::exception&) {
      fault = std::current_exception();
    }
  }
  if (fault) std::rethrow_exception(fault);
  std::vector<std::string> changed(behind_.begin(), behind_.end());
  behind_.clear();
  return changed;
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

std::vector<const line::State*> Ward::open_states(const std::string& unit, const std::string& after, std::size_t most) {
  std::vector<const line::State*> states;
  for (auto at = open_.upper_bound(after); at != open_.end() && states.size() < most; ++at) {
    if (!line::belongs_to(at->second, unit)) continue;
    if (const auto* held = load(at->first)) states.push_back(&held->state);
  }
  return states;
}

const line::State* Ward::find(const std::string& line) {
  const auto* held = load(line);
  return held ? &held->state : nullptr;
}

const std::vector<line::SetAside>* Ward::set_aside(const std::string& line) {
  const auto* held = load(line);
  return held ? &held->set_aside : nullptr;
}

const std::vector<line::Event>* Ward::events(const std::string& line) {
  const auto* held = load(line);
  return held ? &held->events : nullptr;
}

void Ward::read_rows() {
  if (rows_read_) return;
  for (const auto& line : ledger_.projected(false))
    if (auto row = ledger::row_of(line); row && *row && !not_kept_.contains(line.line))
      rows_.emplace(line.line, std::move(**row));
  rows_read_ = true;
}

std::vector<statistics::LineRow> Ward::rows() {
  read_rows();
  std::vector<statistics::LineRow> rows;
  rows.reserve(rows_.size());
  for (const auto& [id, row] : rows_) rows.push_back(row);
  return rows;
}

std::vector<line::State> Ward::closed_since(Instant since, const std::string& unit, std::size_t most) {
  read_rows();
  std::vector<line::State> states;
  for (const auto& [id, row] : rows_) {
    if (states.size() >= most) break;
    if (open_.contains(id) || !row.ended_at || *row.ended_at < since || !line::belongs_to(row.unit, unit)) continue;
    const bool was_held = held_.contains(id);
    const auto* held = load(id);
    if (held) states.push_back(held->state);
    if (!was_held) held_.erase(id);
  }
  return states;
}

std::vector<care::Board::Place> Ward::first(std::size_t most, Instant now) {
  for (const auto& id : board_->advance(now))
    if (const auto* held = load(id)) board_->put(held->state, now);
  return board_->first(most);
}

}  // namespace dwell::server
