#include "server/ward.h"

#include <iostream>
#include <set>

#include "ledger/projection.h"

namespace dwell::server {

Ward::Ward(ledger::Ledger& ledger, const engine::Library& library, Instant now) : ledger_(ledger), library_(library) {
  begin(now, true);
}

void Ward::begin_again(Instant now) {
  forget();
  begin(now, true);
}

void Ward::forget() {
  held_.clear();
  open_.clear();
  not_kept_.clear();
  rows_.clear();
  rows_read_ = false;
}

bool Ward::believed(const ledger::Projection& cache) const {
  if (cache.mark.made_with != made_with_) return false;
  if (!cache.as_kept) std::cerr << "the cache of lines is not what was kept; it is made again from the record\n";
  return cache.as_kept;
}

void Ward::begin(Instant now, bool believe_cache) {
  made_with_ = ledger::made_with(library_.policy, library_.infusates);
  board_.emplace(library_.policy, library_.infusates);
  const auto cache = believe_cache ? ledger_.projected(true) : ledger::Projection{};
  sequence_ = ledger_.last_sequence();
  const bool fits = believe_cache && cache.mark.sequence <= sequence_ && believed(cache);
  kept_ = fits ? std::optional(cache.mark) : std::nullopt;
  auto behind = ledger_.lines_after(fits ? cache.mark.sequence : 0);
  if (fits) {
    for (const auto& line : cache.lines) {
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
  auto entries = ledger_.read_line(line);
  if (entries.events.empty() && entries.set_aside.empty()) return nullptr;
  Held& held = held_[line];
  held.entries = std::move(entries);
  held.state = ledger::folded(line, held.entries, library_.policy);
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
      if (entry.line.empty()) continue;  // a paper
      changed.insert(entry.line);
      // A line that is not in memory is read whole below.
      const auto held = held_.find(entry.line);
      if (held != held_.end()) ledger::take_in(held->second.entries, std::move(entry));
    }
  }
  for (const auto& id : changed) {
    const auto known = held_.find(id);
    if (known != held_.end()) known->second.state = ledger::folded(id, known->second.entries, library_.policy);
    if (const auto* held = load(id)) take_in(*held, now);
  }
  return {changed.begin(), changed.end()};
}

bool Ward::keep() {
  if (not_kept_.empty() && kept_) return true;
  std::vector<ledger::ProjectedLine> lines;
  lines.reserve(not_kept_.size());
  for (const auto& [id, line] : not_kept_) lines.push_back(line);
  const ledger::ProjectionMark mark{made_with_, sequence_};
  if (!ledger_.keep_projection(mark, lines, kept_)) return false;
  for (const auto& line : lines)
    if (!line.open) held_.erase(line.line);
  not_kept_.clear();
  kept_ = mark;
  return true;
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

const ledger::LineEntries* Ward::entries(const std::string& line) {
  const auto* held = load(line);
  return held ? &held->entries : nullptr;
}

std::vector<statistics::LineRow> Ward::rows(Instant now) {
  // What was begun from the record itself knows every row already.
  if (!rows_read_ && kept_) {
    const auto cache = ledger_.projected(false);
    if (believed(cache)) {
      for (const auto& line : cache.lines)
        if (auto row = ledger::row_of(line); row && *row && !not_kept_.contains(line.line))
          rows_.emplace(line.line, std::move(**row));
    } else {
      // What came meanwhile is told to the pages at the next look, as always.
      const auto heard = sequence_;
      forget();
      begin(now, false);
      sequence_ = heard;
    }
  }
  rows_read_ = true;
  std::vector<statistics::LineRow> rows;
  rows.reserve(rows_.size());
  for (const auto& [id, row] : rows_) rows.push_back(row);
  return rows;
}

std::vector<const line::State*> Ward::closed_since(Instant since, Instant now) {
  std::vector<const line::State*> states;
  for (const auto& row : rows(now)) {
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
