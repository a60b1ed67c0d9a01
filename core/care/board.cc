#include "care/board.h"

#include <algorithm>
#include <tuple>

namespace dwell::care {

std::uint32_t Board::row_of(const std::string& line) {
  const auto [place, is_new] = index_.emplace(line, 0);
  if (!is_new) return place->second;
  if (free_.empty()) {
    rows_.emplace_back();
    place->second = static_cast<std::uint32_t>(rows_.size() - 1);
  } else {
    place->second = free_.back();
    free_.pop_back();
  }
  rows_[place->second].place.line = line;
  return place->second;
}

bool Board::InOrder::operator()(std::uint32_t a, std::uint32_t b) const {
  const Place &x = board->rows_[a].place, &y = board->rows_[b].place;
  return std::tie(x.unit, x.bed, x.line) < std::tie(y.unit, y.bed, y.line);
}

void Board::enter_bucket(std::uint32_t number) {
  Row& row = rows_[number];
  Bucket& bucket = buckets_[row.place.urgency];
  row.at = bucket.rows.size();
  bucket.rows.push_back(number);
  if (bucket.in_order) bucket.in_order->insert(number);
  row.used = true;
}

/// Before anything in the row's place changes: by that it is found.
void Board::leave_bucket(std::uint32_t number) {
  Row& row = rows_[number];
  if (!row.used) return;
  Bucket& bucket = buckets_[row.place.urgency];
  if (bucket.in_order) bucket.in_order->erase(number);
  rows_[bucket.rows.back()].at = row.at;
  std::swap(bucket.rows[row.at], bucket.rows.back());
  bucket.rows.pop_back();
  if (bucket.rows.empty()) buckets_.erase(row.place.urgency);
  row.used = false;
}

/// Reads the clocks of a row at now_ and sets the next strike.
void Board::settle(std::uint32_t number) {
  leave_bucket(number);
  Row& row = rows_[number];
  ++row.generation;
  row.place.urgency = 0;
  std::optional<Instant> next = row.hold_until;
  for (const auto& clock : row.clocks) {
    row.place.urgency = std::max(row.place.urgency, urgency_at(clock, now_));
    if (const auto change = next_change(clock, now_)) next = std::min(next.value_or(*change), *change);
  }
  enter_bucket(number);
  if (next) strikes_.push({*next, number, row.generation});
}

void Board::put(const line::State& state, Instant now) {
  now_ = std::max(now_, now);
  if (!is_listed(state, policy_, now_)) {
    const auto found = index_.find(state.id);
    if (found == index_.end()) return;
    leave_bucket(found->second);
    const std::uint32_t generation = rows_[found->second].generation;
    rows_[found->second] = Row{};
    rows_[found->second].generation = generation + 1;
    free_.push_back(found->second);
    index_.erase(found);
    return;
  }
  put({state.id, state.place.unit, state.place.bed, 0}, due_clocks(state, policy_, formulary_, now_), now);
}

void Board::put(Place place, DueClocks clocks, Instant now) {
  now_ = std::max(now_, now);
  const std::uint32_t number = row_of(place.line);
  leave_bucket(number);
  Row& row = rows_[number];
  row.place = std::move(place);
  clocks.clocks.shrink_to_fit();
  row.clocks = std::move(clocks.clocks);
  row.hold_until = clocks.hold_until;
  settle(number);
}

std::vector<std::string> Board::advance(Instant now) {
  now_ = std::max(now_, now);
  std::vector<std::string> stale;
  while (!strikes_.empty() && strikes_.top().when <= now_) {
    const Strike strike = strikes_.top();
    strikes_.pop();
    Row& row = rows_[strike.row];
    if (strike.generation != row.generation) continue;
    if (row.hold_until && *row.hold_until <= now_) {
      stale.push_back(row.place.line);
      row.hold_until.reset();
    }
    settle(strike.row);
  }
  return stale;
}

std::vector<Board::Place> Board::first(std::size_t most, std::string_view ward) {
  std::vector<Place> out;
  for (auto& [urgency, bucket] : buckets_) {
    if (!bucket.in_order) bucket.in_order.emplace(bucket.rows.begin(), bucket.rows.end(), InOrder{this});
    for (const auto number : *bucket.in_order) {
      if (out.size() >= most) return out;
      if (line::belongs_to(rows_[number].place.unit, ward)) out.push_back(rows_[number].place);
    }
  }
  return out;
}

}  // namespace dwell::care
