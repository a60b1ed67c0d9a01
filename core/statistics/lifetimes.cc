#include "statistics/lifetimes.h"

#include <algorithm>
#include <array>
#include <numeric>

#include "say/statistics.h"

namespace dwell::statistics {
namespace {

std::string place(const std::string& at, const char* column, std::size_t row) {
  return at + "/" + column + "/" + std::to_string(row);
}

void check_length(const std::vector<int>& column, std::size_t rows, const std::string& path, FieldErrors& errors) {
  if (column.size() != rows)
    errors.push_back({path, std::to_string(column.size()), say::as_many_as_the_lines(static_cast<std::int64_t>(rows))});
}

void check_row(const Lifetimes& rows, std::size_t i, int causes, const std::string& at, FieldErrors& errors) {
  const int start = rows.start.empty() ? 0 : rows.start[i];
  if (start < 0) errors.push_back({place(at, "start", i), std::to_string(start), say::minutes_from_zero()});
  if (rows.stop[i] <= start)
    errors.push_back({place(at, "stop", i), std::to_string(rows.stop[i]), say::stop_after_start(start)});
  else if (rows.stop[i] > most_minutes)
    errors.push_back({place(at, "stop", i), std::to_string(rows.stop[i]), say::at_most_minutes(most_minutes)});
  if (rows.cause[i] < 0 || rows.cause[i] > causes)
    errors.push_back({place(at, "cause", i), std::to_string(rows.cause[i]), say::known_cause(causes)});
}

/// Two rows of one line at one time would count it twice.
void check_apart(const Lifetimes& rows, const std::string& at, FieldErrors& errors) {
  const auto start = [&](int row) { return rows.start.empty() ? 0 : rows.start[static_cast<std::size_t>(row)]; };
  const auto order = by_rising(rows.line, rows.start.empty() ? by_rising(rows.stop) : by_rising(rows.start));
  for (std::size_t i = 1; i < order.size() && errors.size() < most_errors; ++i) {
    const auto before = static_cast<std::size_t>(order[i - 1]), after = static_cast<std::size_t>(order[i]);
    if (rows.line[before] == rows.line[after] && start(order[i]) < rows.stop[before])
      errors.push_back(
          {place(at, "line", after), std::to_string(rows.line[after]), say::rows_of_a_line_apart(order[i - 1])});
  }
}

}  // namespace

FieldErrors check(const Lifetimes& rows, int causes, const std::string& at) {
  FieldErrors errors;
  const std::size_t n = rows.stop.size();
  if (n == 0) errors.push_back({at + "/stop", "0", say::at_least_one_line()});
  check_length(rows.cause, n, at + "/cause", errors);
  if (!rows.start.empty()) check_length(rows.start, n, at + "/start", errors);
  if (!rows.line.empty()) check_length(rows.line, n, at + "/line", errors);
  if (!errors.empty()) return errors;
  for (std::size_t i = 0; i < n && errors.size() < most_errors; ++i) check_row(rows, i, causes, at, errors);
  if (errors.empty() && !rows.line.empty()) check_apart(rows, at, errors);
  return errors;
}

void check_beside(const std::vector<int>& column, const Lifetimes& rows, const std::string& path, FieldErrors& errors) {
  if (!column.empty()) check_length(column, rows.stop.size(), path, errors);
}

void check_cause(const Lifetimes& rows, int cause, FieldErrors& errors) {
  if (cause < 1 || cause > most_causes)
    errors.push_back({"/cause", std::to_string(cause), say::known_cause(most_causes)});
  else if (std::find(rows.cause.begin(), rows.cause.end(), cause) == rows.cause.end())
    errors.push_back({"/rows/cause", "0", say::a_line_that_ended()});
}

void check_watched_from_placement(const Lifetimes& rows, const std::string& at, FieldErrors& errors) {
  const auto latest = std::max_element(rows.start.begin(), rows.start.end());
  if (latest != rows.start.end() && *latest > 0)
    errors.push_back({at + "/start", std::to_string(*latest), say::watched_from_placement()});
}

std::vector<int> by_rising(const std::vector<int>& key, std::vector<int> places) {
  if (places.empty()) return places;
  // Digit by digit, the lowest first; what is the same in all keys costs nothing.
  constexpr int digit = 11;
  constexpr unsigned buckets = 1u << digit;
  const auto [least, most] = std::minmax_element(key.begin(), key.end());
  const auto low = static_cast<unsigned>(*least);
  const unsigned range = static_cast<unsigned>(*most) - low;
  std::vector<int> moved(places.size());
  for (int shift = 0; shift < 32 && (range >> shift) > 0; shift += digit) {
    const auto bucket = [&](int place) {
      return ((static_cast<unsigned>(key[static_cast<std::size_t>(place)]) - low) >> shift) & (buckets - 1);
    };
    std::array<int, buckets + 1> from{};
    for (const int place : places) ++from[bucket(place) + 1];
    std::partial_sum(from.begin(), from.end(), from.begin());
    for (const int place : places) moved[static_cast<std::size_t>(from[bucket(place)]++)] = place;
    places.swap(moved);
  }
  return places;
}

std::vector<int> by_rising(const std::vector<int>& key) {
  std::vector<int> places(key.size());
  std::iota(places.begin(), places.end(), 0);
  return by_rising(key, std::move(places));
}

Numbered numbered(const std::vector<int>& column) {
  Numbered out;
  out.of.resize(column.size());
  for (const int row : by_rising(column)) {
    const int value = column[static_cast<std::size_t>(row)];
    if (out.values.empty() || out.values.back() != value) out.values.push_back(value);
    out.of[static_cast<std::size_t>(row)] = static_cast<int>(out.values.size()) - 1;
  }
  return out;
}

Passage::Passage(const Lifetimes& rows, const Numbered& group) : rows_(&rows) {
  const auto lay = [&](std::vector<int> order, std::vector<int>& rows_in_order, std::vector<int>& from) {
    rows_in_order = group.of.empty() ? std::move(order) : by_rising(group.of, std::move(order));
    from.assign(static_cast<std::size_t>(group.count()) + 1, 0);
    for (const int row : rows_in_order) ++from[static_cast<std::size_t>(group[static_cast<std::size_t>(row)]) + 1];
    std::partial_sum(from.begin(), from.end(), from.begin());
  };
  lay(by_rising(rows.stop), leaving_, leaving_from_);
  std::vector<int> late;
  for (std::size_t i = 0; i < rows.start.size(); ++i)
    if (rows.start[i] > 0) late.push_back(static_cast<int>(i));
  lay(rows.start.empty() ? std::vector<int>() : by_rising(rows.start, std::move(late)), coming_, coming_from_);
}

}  // namespace dwell::statistics
