#include "statistics/recurrent.h"

#include <algorithm>
#include <cmath>

#include "say/statistics.h"
#include "statistics/survival.h"

namespace dwell::statistics {
namespace {

/// Σ over lines of the square of what each had beyond what was expected of it, kept while time goes on. What was
/// expected grows alike for all who are at risk, so it is kept once, and a line is touched only when it comes, leaves
/// or has an event.
class Residuals {
 public:
  explicit Residuals(int lines) : of_(static_cast<std::size_t>(lines), 0) {}

  void come(int line) {
    double& own = of(line);
    gone_ -= own * own;
    own += expected_;
    sum_ += own;
    squares_ += own * own;
    ++at_risk_;
  }
  void leave(int line) {
    double& own = of(line);
    sum_ -= own;
    squares_ -= own * own;
    --at_risk_;
    own -= expected_;
    gone_ += own * own;
  }
  /// Of those at risk.
  void had_one(int line, double share) {
    double& own = of(line);
    sum_ += share;
    squares_ += share * (2 * own + share);
    own += share;
  }
  void expect(double share) { expected_ += share; }
  [[nodiscard]] double squares() const {
    return std::max(0.0, gone_ + squares_ - expected_ * (2 * sum_ - at_risk_ * expected_));
  }

 private:
  std::vector<double> of_;  // of a line at risk: with what was expected when it came
  double expected_ = 0, gone_ = 0, sum_ = 0, squares_ = 0;
  int at_risk_ = 0;
  double& of(int line) { return of_[static_cast<std::size_t>(line)]; }
};

Recurrence recurrence_of(const Lifetimes& rows, const Numbered& lines, const Passage& passage, int group, double z) {
  Recurrence out;
  Residuals residuals(lines.count());
  const auto line = [&](int row) { return lines[static_cast<std::size_t>(row)]; };
  double mean = 0;
  passage.each_row_at_start(group, [&](int row) { residuals.come(line(row)); });
  passage.each_time(
      group,
      [&](int time, int at_risk, const int* first, const int* last) {
        const double n = at_risk;
        int events = 0;
        for (const int* row = first; row != last; ++row)
          if (rows.cause[static_cast<std::size_t>(*row)] > 0) {
            residuals.had_one(line(*row), 1 / n);
            ++events;
          }
        if (events > 0) {
          residuals.expect(events / (n * n));
          mean += events / n;
          const double error = std::sqrt(residuals.squares());
          const double width = std::exp(z * error / mean);
          out.points.push_back({time, at_risk, events, mean, error, mean / width, mean * width});
          out.events += events;
        }
        for (const int* row = first; row != last; ++row) residuals.leave(line(*row));
      },
      [&](int row) { residuals.come(line(row)); });
  return out;
}

void check_one_group(const Lifetimes& rows, const std::vector<int>& group, FieldErrors& errors) {
  const auto order = by_rising(rows.line);
  for (std::size_t i = 1; i < order.size() && errors.size() < most_errors; ++i) {
    const auto before = static_cast<std::size_t>(order[i - 1]), row = static_cast<std::size_t>(order[i]);
    if (rows.line[before] == rows.line[row] && group[before] != group[row])
      errors.push_back(
          {"/group/" + std::to_string(row), std::to_string(group[row]), say::one_group_a_line(group[before])});
  }
}

}  // namespace

Checked<std::vector<Recurrence>> mean_cumulative(const Lifetimes& rows, const std::vector<int>& group,
                                                 double confidence) {
  FieldErrors errors = check(rows, most_causes, "/rows");
  check_beside(group, rows, "/group", errors);
  check_confidence(confidence, "/confidence", errors);
  if (rows.line.empty())
    errors.push_back({"/rows/line", "0", say::as_many_as_the_lines(static_cast<std::int64_t>(rows.stop.size()))});
  if (errors.empty() && !group.empty()) check_one_group(rows, group, errors);
  if (!errors.empty()) return refuse(std::move(errors));

  const Numbered groups = numbered(group), lines = numbered(rows.line);
  const Passage passage(rows, groups);
  const double z = two_sided(confidence);
  std::vector<Recurrence> out;
  for (int k = 0; k < passage.groups(); ++k) {
    out.push_back(recurrence_of(rows, lines, passage, k, z));
    out.back().group = groups.of.empty() ? 0 : groups.values[static_cast<std::size_t>(k)];
  }
  return out;
}

}  // namespace dwell::statistics
