#include "statistics/gray.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>

#include "quantity/display.h"
#include "say/statistics.h"
#include "statistics/chi_square.h"

namespace dwell::statistics {
namespace {

/// The test's sums, in the names of the source: Y at risk, S all-cause survival, F incidence, h = Y / S by group.
class Sums {
 public:
  explicit Sums(Eigen::Index groups, double early)
      : size_(groups),
        early_(early),
        at_risk(Eigen::VectorXd::Zero(groups)),
        survival_(Eigen::VectorXd::Ones(groups)),
        incidence_(at_risk),
        own_(at_risk),
        other_(at_risk),
        score(at_risk),
        c_(Eigen::MatrixXd::Zero(groups, groups)),
        v_(c_),
        v2_(c_),
        v3_(at_risk) {}

  void end(Eigen::Index group, bool by_cause) { (by_cause ? own_ : other_)(group) += 1; }

  /// Takes in what ended at one time.
  void close() {
    const double d = own_.sum();
    Eigen::VectorXd h = Eigen::VectorXd::Zero(size_), after = survival_;
    for (Eigen::Index k = 0; k < size_; ++k) {
      if (at_risk(k) <= 0) continue;
      h(k) = at_risk(k) / survival_(k);
      after(k) = survival_(k) * (at_risk(k) - own_(k) - other_(k)) / at_risk(k);
    }
    const double all = h.sum();
    if (d > 0) add_own(d, h, all, after);
    add_other(after);
    for (Eigen::Index k = 0; k < size_; ++k)
      if (at_risk(k) > 0) incidence_(k) += survival_(k) * own_(k) / at_risk(k);
    survival_ = after;
    own_.setZero();
    other_.setZero();
  }

  [[nodiscard]] Eigen::MatrixXd variance() const {
    return v_ + c_ * v3_.asDiagonal() * c_.transpose() + c_ * v2_.transpose() + v2_ * c_.transpose();
  }

 private:
  const Eigen::Index size_;
  const double early_;

 public:
  Eigen::VectorXd at_risk;

 private:
  Eigen::VectorXd survival_, incidence_, own_, other_;
  double pooled_ = 0;  // F of all groups together, were they one

 public:
  Eigen::VectorXd score;

 private:
  Eigen::MatrixXd c_, v_, v2_;
  Eigen::VectorXd v3_;

  void add_own(double d, const Eigen::VectorXd& h, double all, const Eigen::VectorXd& after) {
    const double w = std::pow(1 - pooled_, early_);
    const Eigen::VectorXd modified = h.cwiseProduct((1 - incidence_.array()).matrix());
    score += w * (own_ - d * modified / modified.sum());
    Eigen::MatrixXd a = -w * h * h.transpose() / all;
    a.diagonal() += w * h;
    c_ += a * d / (all * (1 - pooled_));
    pooled_ += d / all;
    for (Eigen::Index k = 0; k < size_; ++k) {
      if (at_risk(k) <= 0) continue;
      const double tied = d > 1 ? 1 - (d - 1) / (all * survival_(k) - 1) : 1;
      const double b = after(k) > 0 ? 1 - (1 - pooled_) / after(k) : 1;
      const double e = tied * survival_(k) * d / (all * at_risk(k));
      add(k, a.col(k) - b * c_.col(k), b, e, 1);
    }
  }
  void add_other(const Eigen::VectorXd& after) {
    for (Eigen::Index k = 0; k < size_; ++k) {
      const double d = other_(k), y = at_risk(k);
      if (d <= 0 || after(k) <= 0) continue;
      const double tied = d > 1 ? 1 - (d - 1) / (y - 1) : 1;
      const double b = (1 - pooled_) / after(k);
      add(k, b * c_.col(k), b, tied * survival_(k) * survival_(k) * d / (y * y), -1);
    }
  }
  void add(Eigen::Index k, const Eigen::VectorXd& a, double b, double e, double sign) {
    v_ += e * a * a.transpose();
    v2_.col(k) += sign * e * b * a;
    v3_(k) += b * b * e;
  }
};

}  // namespace

Checked<LogRank> gray(const Lifetimes& rows, const std::vector<int>& group, int cause, double early) {
  FieldErrors errors = check(rows, most_causes, "/rows");
  check_beside(group, rows, "/group", errors);
  if (!(early >= 0 && early <= 10))
    errors.push_back({"/early", show_number(early), say::number_from_to(shown_number(0), shown_number(10))});
  if (std::any_of(rows.start.begin(), rows.start.end(), [](int start) { return start > 0; }))
    errors.push_back({"/rows/start", std::to_string(*std::max_element(rows.start.begin(), rows.start.end())),
                      say::watched_from_placement()});
  if (std::find(rows.cause.begin(), rows.cause.end(), cause) == rows.cause.end() || cause < 1)
    errors.push_back({"/cause", std::to_string(cause), say::a_line_that_ended()});
  if (!errors.empty()) return refuse(std::move(errors));
  const Numbered groups = numbered(group);
  if (groups.count() < 2) return refuse("/group", std::to_string(groups.count()), say::at_least_two_groups());
  if (static_cast<std::size_t>(groups.count()) > most_groups_of_gray)
    return refuse("/group", std::to_string(groups.count()), say::at_most_groups(most_groups_of_gray));

  Sums sums(groups.count(), early);
  for (std::size_t i = 0; i < rows.stop.size(); ++i) sums.at_risk(groups[i]) += 1;
  Passage(rows, {}).each_time(0, [&](int, int, const int* row, const int* last) {
    const int* const first = row;
    bool any = false;
    for (; row != last; ++row) {
      const auto at = static_cast<std::size_t>(*row);
      if (rows.cause[at] == 0) continue;
      sums.end(groups[at], rows.cause[at] == cause);
      any = true;
    }
    if (any) sums.close();
    for (row = first; row != last; ++row) sums.at_risk(groups[static_cast<std::size_t>(*row)]) -= 1;
  });
  const Eigen::MatrixXd v = sums.variance();
  const Eigen::Index free = groups.count() - 1;
  const auto test = chi_square(sums.score.head(free), v.topLeftCorner(free, free), v.diagonal().maxCoeff());
  return LogRank{test.value, test.degrees_of_freedom, test.p_value};
}

}  // namespace dwell::statistics
