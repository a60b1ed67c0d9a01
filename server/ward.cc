#include "server/ward.h"

#include <algorithm>
#include <iostream>

#include "json/codec.h"
#include "ledger/projection.h"
#include "text/text_rule.h"

namespace dwell::server {

Ward::Ward(ledger::Ledger& ledger, const engine::Library& library, Instant now, std::size_t most_bytes)
    : ledger_(ledger), library_(library), most_bytes_(most_bytes) {
  begin(now, true);
}

void Ward::forget() {
  held_.clear();
  asked_.clear();
  bytes_held_ = 0;
  not_folded_.clear();
  stale_.clear();
  changed_.clear();
  open_.clear();
  by_unit_.clear();
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
      put_open(line.line, line.unit);
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
  auto entries = ledger_.read_line(line);
  if (entries.events.empty() && entries.set_aside.empty()) return nullptr;
  asked_.push_front(line);
  Held& held = held_.emplace(line, Held{line::LineFold(library_.policy, line), asked_.begin(), 0}).first->second;
  try {
    add(held, std::move(entries));
  } catch (const std::exception& e) {
    set_aside(line, e.what());
    return nullptr;
  }
  return &held;
}

bool Ward::lacks(const std::string& line) const { return !held_.contains(line) && !not_folded_.contains(line); }

Ward::ReadApart Ward::read_apart(ledger::Ledger& ledger, const engine::Library& library, const std::string& line,
                                 std::int64_t since) {
  ReadApart read{line, since, &library, std::nullopt};
  auto entries = ledger.read_line(line);
  if (entries.events.empty() && entries.set_aside.empty()) return read;
  try {
    line::LineFold fold(library.policy, line);
    fold.take(std::move(entries.events), entries.set_aside);
    read.fold = std::move(fold);
  } catch (const std::exception&) {
    // Whoever asks for it next finds out, and sets it aside with the reason.
  }
  return read;
}

/// Entries of the line that the ward has taken in since may lie behind what was read.
void Ward::take_over(ReadApart read) {
  if (!read.fold || read.library != &library_ || !lacks(read.line)) return;
  if (read.since != sequence_) {
    const auto gone_on = ledger_.lines_after(read.since);
    if (std::find(gone_on.begin(), gone_on.end(), read.line) != gone_on.end()) return;
  }
  asked_.push_front(read.line);
  const std::size_t bytes = read.fold->bytes();
  entries_folded_ += read.fold->steps();
  bytes_held_ += bytes;
  held_.emplace(read.line, Held{std::move(*read.fold), asked_.begin(), bytes});
}

void Ward::add(Held& held, Fresh fresh) {
  const std::size_t steps = held.line.steps();
  held.line.take(std::move(fresh.events), fresh.set_aside);
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
  const auto open = open_.find(line);
  const std::string unit = open == open_.end() ? "" : open->second;
  put_open(line, unit);
  const auto now = board_->now();
  const care::DueClocks clocks{{{care::Task::site_check, now, now, now, site_check_of_a_vesicant}}, now};
  not_kept_[line] = {line, true, unit, "", json::to_text(json::encode(clocks)), ""};
  board_->put({line, unit, "", 0}, clocks, now);
}

/// Takes the new entries of a line in, or reads it whole when it is not in memory.
void Ward::bring_up_to_date(const std::string& line, Fresh fresh, Instant now) {
  not_folded_.erase(line);
  const bool in_memory = held_.contains(line);
  auto* held = load(line);
  if (!held) return;
  try {
    if (in_memory) add(*held, std::move(fresh));
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
    take_off(state.id);
  else
    put_open(state.id, state.place.unit);
  if (const auto row = statistics::row_of(state))
    rows_[state.id] = *row;
  else
    rows_.erase(state.id);
  not_kept_[state.id] = ledger::project(state, library_.policy, library_.infusates, now);
}

void Ward::put_open(const std::string& line, const std::string& unit) {
  const auto known = open_.find(line);
  if (known != open_.end() && known->second == unit) return;
  take_off(line);
  open_[line] = unit;
  by_unit_[unit].insert(line);
}

void Ward::take_off(const std::string& line) {
  const auto known = open_.find(line);
  if (known == open_.end()) return;
  const auto unit = by_unit_.find(known->second);
  unit->second.erase(line);
  if (unit->second.empty()) by_unit_.erase(unit);
  open_.erase(known);
}

std::vector<std::string> Ward::catch_up(Instant now) {
  constexpr std::size_t at_once = 5000;
  for (;;) {
    let_go_of_the_oldest();
    auto entries = ledger_.read_after(sequence_, at_once);
    if (entries.empty()) break;
    const auto reached = entries.back().sequence;
    std::map<std::string, Fresh> fresh;
    for (auto& entry : entries) {
      if (entry.line.empty()) continue;  // a paper
      Fresh& of_line = fresh[entry.line];
      ledger::take_in(of_line, std::move(entry));
    }
    for (auto& [id, of_line] : fresh) {
      bring_up_to_date(id, std::move(of_line), now);
      changed_.insert(id);
    }
    sequence_ = reached;
  }
  std::vector<std::string> changed(changed_.begin(), changed_.end());
  changed_.clear();
  return changed;
}

bool Ward::keep() {
  if (not_kept_.empty() && kept_) return true;
  std::vector<ledger::ProjectedLine> lines;
  lines.reserve(not_kept_.size());
  for (const auto& [id, line] : not_kept_) lines.push_back(line);
  const ledger::ProjectionMark mark{made_with_, sequence_};
  if (!ledger_.keep_projection(mark, lines, kept_)) return false;
  for (const auto& line : lines)
    if (!line.open) let_go(line.line);
  not_kept_.clear();
  kept_ = mark;
  return true;
}

/// The next open lines by id. Of each unit whose lines belong there, those that may be among the first; few units do.
std::vector<std::string> Ward::open_lines(const std::string& unit, const std::string& after, std::size_t most) const {
  std::vector<std::string> lines;
  const auto add = [&](const auto& some, const auto& id_of) {
    std::size_t left = most;
    for (auto at = some.upper_bound(after); at != some.end() && left > 0; ++at, --left) lines.push_back(id_of(*at));
  };
  if (unit.empty()) {
    add(open_, [](const auto& line) { return line.first; });
  } else {
    for (const auto& [of, some] : by_unit_)
      if (line::belongs_to(of, unit) || some.size() == 1) add(some, [](const std::string& line) { return line; });
    std::sort(lines.begin(), lines.end());
  }
  lines.resize(std::min(lines.size(), most));
  return lines;
}

std::vector<const line::State*> Ward::open_states(const std::string& unit, const std::string& after, std::size_t most) {
  std::vector<const line::State*> states;
  std::string behind = after;
  // A line that cannot be folded takes nobody's place: fewer than `most` means that there are no more.
  while (states.size() < most) {
    const auto lines = open_lines(unit, behind, most - states.size());
    if (lines.empty()) break;
    for (const auto& line : lines)
      if (const auto* held = load(line)) states.push_back(&held->line.state());
    behind = lines.back();
  }
  return states;
}

bool Ward::is_alone_on(const std::string& unit, const std::string& line) const {
  const auto others_of = [&](const auto& lines) { return lines.size() - (lines.contains(line) ? 1 : 0); };
  if (text::is_blank(unit)) return false;  // of no ward, and so on the board of each
  bool others = false;
  for (const auto& [of, lines] : by_unit_) {
    if (others_of(lines) == 0) continue;
    if (of == unit) return false;
    others = others || !text::is_blank(of);
  }
  return others;
}

const line::State* Ward::find(const std::string& line) {
  const auto* held = load(line);
  return held ? &held->line.state() : nullptr;
}

const line::LineFold* Ward::entries(const std::string& line) {
  const auto* held = load(line);
  return held ? &held->line : nullptr;
}

void Ward::read_rows(Instant now) {
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
}

std::vector<statistics::LineRow> Ward::rows(Instant now) {
  read_rows(now);
  std::vector<statistics::LineRow> rows;
  rows.reserve(rows_.size());
  for (const auto& [id, row] : rows_) rows.push_back(row);
  return rows;
}

std::vector<line::State> Ward::closed_since(Instant since, const std::string& unit, std::size_t most, Instant now) {
  read_rows(now);
  std::vector<line::State> states;
  for (const auto& [id, row] : rows_) {
    if (states.size() >= most) break;
    if (open_.contains(id) || !row.ended_at || *row.ended_at < since || !line::belongs_to(row.unit, unit)) continue;
    const bool was_held = held_.contains(id);
    const auto* held = load(id);
    if (held) states.push_back(held->line.state());
    if (!was_held) let_go(id);
  }
  return states;
}

std::vector<std::string> Ward::struck_lines(Instant now) {
  for (auto& id : board_->advance(now)) stale_.insert(std::move(id));
  return {stale_.begin(), stale_.end()};
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
