#include "statistics/log_rank.h"

#include <Eigen/Core>
#include <cmath>

#include "quantity/display.h"
#include "say/statistics.h"
#include "statistics/chi_square.h"

namespace dwell::statistics {
namespace {

void check_groups(std::size_t groups, const std::string& path, FieldErrors& errors) {
  if (groups < 2) errors.push_back({path, std::to_string(groups), say::at_least_two_groups()});
  if (groups > most_groups) errors.push_back({path, std::to_string(groups), say::at_most_groups(most_groups)});
}

/// The sums of one test over all strata. Only K − 1 groups are kept: what all together lack is nothing.
class Sums {
 public:
  Sums(const Lifetimes& rows, const Numbered& group, const LogRankWeight& weight)
      : rows_(rows),
        group_(group),
        weight_(weight),
        size_(group.count()),
        difference(Eigen::VectorXd::Zero(size_)),
        own(Eigen::VectorXd::Zero(size_)),
        shared(Eigen::MatrixXd::Zero(size_, size_)) {}

  void add(const Passage& passage, int stratum) {
    at_risk_ = Eigen::VectorXd::Zero(size_);
    passed_ = Eigen::VectorXd::Zero(size_);
    survival_ = 1;
    passage.each_row_at_start(stratum, [&](int row) { at_risk_(group(row)) += 1; });
    passage.each_time(
        stratum, [&](int, int n, const int* row, const int* last) { at_time(n, row, last); },
        [&](int row) {
          at_risk_(group(row)) += 1;
          shared.col(group(row)) -= passed_;
        });
  }

 private:
  const Lifetimes& rows_;
  const Numbered& group_;
  const LogRankWeight& weight_;
  const Eigen::Index size_;
  Eigen::VectorXd at_risk_;  // n_k
  /// ∫ n_l dC for each group l, C the running sum of weight² d (n − d) / ((n − 1) n²). A line's share of Σ n_k n_l dC
  /// is what passed while it was at risk, so each line adds it once, and no time costs K².
  Eigen::VectorXd passed_;
  double survival_ = 1;

  [[nodiscard]] Eigen::Index group(int row) const { return group_[static_cast<std::size_t>(row)]; }

  void at_time(int all_at_risk, const int* row, const int* last) {
    const int* const first = row;
    double d = 0;
    for (; row != last; ++row) d += ended(*row) ? 1 : 0;
    if (d > 0) {
      const double n = all_at_risk;
      const double w = std::pow(survival_, weight_.early) * std::pow(1 - survival_, weight_.late);
      const double variance = n > 1 ? w * w * d * (n - d) / (n - 1) : 0;
      for (row = first; row != last; ++row)
        if (ended(*row)) difference(group(*row)) += w;
      difference -= w * d / n * at_risk_;
      own += variance / n * at_risk_;
      passed_ += variance / (n * n) * at_risk_;
      scale += variance;
      survival_ *= 1 - d / n;
    }
    for (row = first; row != last; ++row) {
      at_risk_(group(*row)) -= 1;
      shared.col(group(*row)) += passed_;
    }
  }
  [[nodiscard]] bool ended(int row) const { return rows_.cause[static_cast<std::size_t>(row)] > 0; }

 public:
  Eigen::VectorXd difference;  ///< observed less expected
  Eigen::VectorXd own;         ///< Σ variance n_k / n
  Eigen::MatrixXd shared;      ///< Σ variance n_k n_l / n²
  double scale = 0;            ///< Σ variance: none of the groups has more
};

}  // namespace

Checked<LogRank> log_rank(const Lifetimes& rows, const std::vector<int>& group, const std::vector<int>& stratum,
                          const LogRankWeight& weight) {
  FieldErrors errors = check(rows, most_causes, "/rows");
  check_beside(group, rows, "/group", errors);
  check_beside(stratum, rows, "/stratum", errors);
  for (const auto& [path, value] : {std::pair{"/weight/early", weight.early}, std::pair{"/weight/late", weight.late}})
    if (!(value >= 0 && value <= 10))
      errors.push_back({path, show_number(value), say::number_from_to(shown_number(0), shown_number(10))});
  if (!errors.empty()) return refuse(std::move(errors));
  const Numbered groups = numbered(group);
  check_groups(static_cast<std::size_t>(groups.count()), "/group", errors);
  if (!errors.empty()) return refuse(std::move(errors));

  Sums sums(rows, groups, weight);
  const Passage passage(rows, numbered(stratum));
  for (int s = 0; s < passage.groups(); ++s) sums.add(passage, s);
  Eigen::MatrixXd v = -sums.shared;
  v.diagonal() += sums.own;
  const Eigen::Index free = groups.count() - 1;
  const auto test = chi_square(sums.difference.head(free), v.topLeftCorner(free, free), sums.scale);
  return LogRank{test.value, test.degrees_of_freedom, test.p_value};
}

Checked<LogRank> log_rank(const std::vector<std::vector<Observation>>& groups) {
  FieldErrors errors;
  check_groups(groups.size(), "/groups", errors);
  Lifetimes rows;
  std::vector<int> group;
  for (std::size_t k = 0; k < groups.size() && errors.size() < most_errors; ++k) {
    for (auto& error : check(groups[k], "/groups/" + std::to_string(k))) errors.push_back(std::move(error));
    for (const auto& line : groups[k]) {
      rows.stop.push_back(line.time);
      rows.cause.push_back(line.event ? 1 : 0);
      group.push_back(static_cast<int>(k));
    }
  }
  if (!errors.empty()) return refuse(std::move(errors));
  return log_rank(rows, group, {}, {});
}

}  // namespace dwell::statistics
