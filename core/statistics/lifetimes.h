#pragma once
// Lines by column: when each was watched from and until, and by what cause it ended. Whole minutes, so that what ended
// at one time is tied in fact, and not by how a floating-point day was rounded.
#include <boost/describe.hpp>
#include <string>
#include <vector>

#include "quantity/checked.h"

namespace dwell::statistics {

/// A row is at risk of what happens at t when start < t <= stop. One line may have several rows (its covariates
/// changed, or it failed more than once); they never overlap.
struct Lifetimes {
  std::vector<int> start;  ///< minutes; empty: every row from 0. Later than 0: a line that was in when watching began
  std::vector<int> stop;   ///< minutes, later than start
  std::vector<int> cause;  ///< 0: no end, or none that is known (censored); 1 and up: the cause
  std::vector<int> line;   ///< which line a row is of, by any number; empty: each row its own
};
BOOST_DESCRIBE_STRUCT(Lifetimes, (), (start, stop, cause, line))

/// Beyond this a count of minutes is a wrong date (some 190 years).
inline constexpr int most_minutes = 100'000'000;
/// More causes than a ward has reasons.
inline constexpr int most_causes = 99;
/// Of a column that is wrong throughout, the first faults say enough.
inline constexpr std::size_t most_errors = 20;

/// Every fault, by column and row: columns of unequal length, no row, a time below 0 or too large, a stop that is not
/// later than its start, a cause that is not one of `causes`, rows of one line that overlap. Paths begin with `at`.
[[nodiscard]] FieldErrors check(const Lifetimes& rows, int causes, const std::string& at);
/// A column beside them (group, stratum, patient): as long as they are, or empty.
void check_beside(const std::vector<int>& column, const Lifetimes& rows, const std::string& path, FieldErrors& errors);

/// A cause that can be, and at least one row that ended by it; paths /cause and /rows/cause.
void check_cause(const Lifetimes& rows, int cause, FieldErrors& errors);
/// For what has no form for rows that come late: each from 0.
void check_watched_from_placement(const Lifetimes& rows, const std::string& at, FieldErrors& errors);

/// The places 0 … n − 1 by rising key; equal keys in the order in which they stood in `places`. Cost: proportional to
/// n.
[[nodiscard]] std::vector<int> by_rising(const std::vector<int>& key, std::vector<int> places);
[[nodiscard]] std::vector<int> by_rising(const std::vector<int>& key);

/// Any numbers as 0 … count − 1, in rising order of the numbers. An empty column is one group.
struct Numbered {
  std::vector<int> of;      ///< of each row; empty when there is one group
  std::vector<int> values;  ///< what each number stood for
  [[nodiscard]] int operator[](std::size_t row) const { return of.empty() ? 0 : of[row]; }
  [[nodiscard]] int count() const { return of.empty() ? 1 : static_cast<int>(values.size()); }
};
[[nodiscard]] Numbered numbered(const std::vector<int>& column);

/// The rows of each group in the order in which they leave, and in which they come (those from 0 left out).
class Passage {
 public:
  Passage(const Lifetimes& rows, const Numbered& group);

  /// Calls take(time, at_risk, leaving…) for each distinct stop of a group, rising: how many were at risk just before,
  /// and which rows stop then (first and last pointer). Before it come(row), for each row that has come meanwhile.
  template <class Take, class Come>
  void each_time(int group, const Take& take, const Come& come) const {
    const auto [first, last] = rows_of(leaving_, leaving_from_, group);
    auto [coming, all_come] = rows_of(coming_, coming_from_, group);
    int at_risk = static_cast<int>(last - first) - static_cast<int>(all_come - coming);
    for (const int* row = first; row != last;) {
      const int time = stop(*row);
      for (; coming != all_come && start(*coming) < time; ++coming) {
        ++at_risk;
        come(*coming);
      }
      const int* const leave = row;
      while (row != last && stop(*row) == time) ++row;
      take(time, at_risk, leave, row);
      at_risk -= static_cast<int>(row - leave);
    }
  }
  /// The rows of a group that are watched from 0.
  template <class Take>
  void each_row_at_start(int group, const Take& take) const {
    const auto [first, last] = rows_of(leaving_, leaving_from_, group);
    for (const int* row = first; row != last; ++row)
      if (start(*row) == 0) take(*row);
  }
  template <class Take>
  void each_time(int group, const Take& take) const {
    each_time(group, take, [](int) {});
  }
  [[nodiscard]] int groups() const { return static_cast<int>(leaving_from_.size()) - 1; }
  [[nodiscard]] int rows(int group) const {
    const auto at = static_cast<std::size_t>(group);
    return leaving_from_[at + 1] - leaving_from_[at];
  }

 private:
  [[nodiscard]] int stop(int row) const { return rows_->stop[static_cast<std::size_t>(row)]; }
  [[nodiscard]] int start(int row) const {
    return rows_->start.empty() ? 0 : rows_->start[static_cast<std::size_t>(row)];
  }
  [[nodiscard]] static std::pair<const int*, const int*> rows_of(const std::vector<int>& order,
                                                                 const std::vector<int>& from, int group) {
    const auto at = static_cast<std::size_t>(group);
    return {order.data() + from[at], order.data() + from[at + 1]};
  }

  const Lifetimes* rows_;
  std::vector<int> leaving_, coming_;            // rows, group by group
  std::vector<int> leaving_from_, coming_from_;  // where each group begins, and the end
};

}  // namespace dwell::statistics
