#include "server/ward.h"

#include "json/codec.h"
#include "ledger/projection.h"

namespace dwell::server {

Ward::Ward(ledger::Ledger& ledger, const engine::Library& library, Instant now, std::size_t most_bytes)
    : ledger_(ledger), library_(library), most_bytes_(most_bytes) {
  begin(now);
}

void Ward::begin_again(Instant now) {
  held_.clear();
  asked_.clear();
  bytes_held_ = 0;
  not_folded_.clear();
  stale_.clear();
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
    bring_up_to_date(line, {}, now);
    if (!open_.contains(line)) let_go(line);
    let_go_of_the_oldest();
  }
}

/// From the record, when it is not in memory. Nothing when there is no such line, or none that can be folded.
Ward::Held* Ward::load(const std::string& line) {
  if (const auto found = held_.find(line); found != held_.end()) {
    asked_.splice(asked_.begin(), asked_, found->second.asked);
    return &found->second;
  }
  if (not_folded_.contains(line)) return nullptr;
  auto events = ledger_.read_line(line);
  if (events.empty()) return nullptr;
  asked_.push_front(line);
  Held& held = held_.emplace(line, Held{line::LineFold(library_.policy), asked_.begin(), 0}).first->second;
  try {
    add(held, std::move(events));
  } catch (const std::exception& e) {
    set_aside(line, e.what());
    return nullptr;
  }
  return &held;
}

void Ward::add(Held& held, std::vector<line::Event> events) {
  const std::size_t steps = held.line.steps();
  held.line.take(std::move(events));
  entries_folded_ += held.line.steps() - steps;
  bytes_held_ += held.line.bytes() - held.bytes;
  held.bytes = held.line.bytes();
}

void Ward::let_go(const std::string& line) {
  const auto found = held_.find(line);
  if (found == held_.end()) return;
  bytes_held_ -= found->second.bytes;
  asked_.erase(found->second.asked);
  held_.erase(found);
}

void Ward::let_go_of_the_oldest() {
  while (bytes_held_ > most_bytes_ && asked_.size() > 1) let_go(std::string(asked_.back()));
}

/// What cannot be folded is taken for the worst that it may be: a vesicant, and nobody has looked in time. The cache of
/// lines says so too, and that it is to be tried again at once.
void Ward::set_aside(const std::string& line, const char* reason) {
  constexpr int site_check_of_a_vesicant = 90;
  let_go(line);
  not_folded_[line] = reason;
  const std::string unit = open_[line];
  const auto now = board_->now();
  const care::DueClocks clocks{{{care::Task::site_check, now, now, now, site_check_of_a_vesicant}}, now};
  not_kept_[line] = {line, true, unit, "", json::to_text(json::encode(clocks)), ""};
  board_->put({line, unit, "", 0}, clocks, now);
}

/// Takes the new entries of a line in, or reads it whole when it is not in memory.
void Ward::bring_up_to_date(const std::string& line, std::vector<line::Event> events, Instant now) {
  not_folded_.erase(line);
  const auto known = held_.find(line);
  const bool in_memory = known != held_.end();
  const auto* held = load(line);
  if (!held) return;
  try {
    if (in_memory) add(known->second, std::move(events));
    take_in(held->line.state(), now);
  } catch (const ledger::Unreachable&) {
    throw;
  } catch (const std::exception& e) {
    set_aside(line, e.what());
  }
}

void Ward::take_in(const line::State& state, Instant now) {
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
    let_go_of_the_oldest();
    auto entries = ledger_.read_after(sequence_, at_once);
    if (entries.empty()) break;
    std::map<std::string, std::vector<line::Event>> fresh;
    for (auto& entry : entries) fresh[entry.event.line].push_back(std::move(entry.event));
    for (auto& [id, events] : fresh) {
      bring_up_to_date(id, std::move(events), now);
      changed.insert(id);
    }
    sequence_ = entries.back().sequence;
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
    if (!line.open) let_go(line.line);
  not_kept_.clear();
  keep_afresh_ = false;
  return {};
}

std::vector<const line::State*> Ward::open_states(const std::string& unit) {
  std::vector<const line::State*> states;
  for (const auto& [id, where] : open_) {
    if (!unit.empty() && where != unit) continue;
    if (const auto* held = load(id)) states.push_back(&held->line.state());
  }
  return states;
}

const line::State* Ward::find(const std::string& line) {
  const auto* held = load(line);
  return held ? &held->line.state() : nullptr;
}

const std::deque<line::Event>* Ward::events(const std::string& line) {
  const auto* held = load(line);
  return held ? &held->line.events() : nullptr;
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
    if (const auto* held = load(row.id)) states.push_back(&held->line.state());
  }
  return states;
}

std::vector<care::Board::Place> Ward::first(std::size_t most, Instant now) {
  for (auto& id : board_->advance(now)) stale_.insert(std::move(id));
  while (!stale_.empty()) {
    if (const auto* held = load(*stale_.begin())) board_->put(held->line.state(), now);
    stale_.erase(stale_.begin());
    let_go_of_the_oldest();
  }
  return board_->first(most);
}

}  // namespace dwell::server
