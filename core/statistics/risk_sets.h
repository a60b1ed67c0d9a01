#pragma once
// Who is at risk whenever a line ends by the cause: for each such time of a stratum (a slot) the rows that leave it and
// the rows that came into it, by pattern. A start-stop row costs two entries, however many slots it passes.
#include <Eigen/Core>
#include <cstddef>
#include <vector>

#include "statistics/covariates.h"
#include "statistics/lifetimes.h"

namespace dwell::statistics {

/// Slots stand stratum by stratum, in each by rising time. A row is at risk in the slots from[row] to before to[row].
struct RiskSets {
  std::vector<int> time, stratum, ends;  ///< of each slot; ends: how many rows end in it by the cause
  std::vector<int> first_slot;           ///< of each stratum, and the number of slots
  std::vector<int> from, to;             ///< of each row

  /// Patterns of the rows whose last slot is k: leaving[leaving_from[k]] and on, those that end by the cause first.
  std::vector<int> leaving, leaving_from;
  /// Patterns of the rows whose first slot is k, unless that is the first of the stratum.
  std::vector<int> coming, coming_from;

  /// Rows that stay with a weight after another cause ended them (subdistribution hazard): patterns and factors of
  /// those that do so from slot k on. At slot k each counts factor × share[k]. Empty otherwise.
  std::vector<int> staying, staying_from;
  std::vector<double> factor;
  std::vector<double> share;

  RiskSets(const Lifetimes& rows, int cause, const Numbered& stratum, const std::vector<int>& pattern);
  [[nodiscard]] int slots() const { return static_cast<int>(time.size()); }
  [[nodiscard]] bool first_of_stratum(int slot) const {
    return first_slot[static_cast<std::size_t>(stratum[static_cast<std::size_t>(slot)])] == slot;
  }
  [[nodiscard]] bool last_of_stratum(int slot) const { return slot + 1 == slots() || first_of_stratum(slot + 1); }
};

/// The sums over a risk set of hazard and hazard × columns: element 0 of a sum is Σ r, the rest Σ r x.
struct AtSlot {
  int slot = 0;
  const Eigen::VectorXd& risk;   ///< over all who are at risk
  const Eigen::VectorXd& ended;  ///< over those who end
};

/// A running sum that gains and loses: what rounding drops is kept beside it, so that a small rest of a large sum is
/// right.
class RunningSum {
 public:
  explicit RunningSum(Eigen::Index size) : sum_(Eigen::VectorXd::Zero(size)), rest_(sum_), next_(sum_) {}
  void add(const Eigen::VectorXd& what) {
    next_ = sum_ + what;
    rest_.array() += (sum_.array() - (next_.array() - (next_ - sum_).array())) + (what - (next_ - sum_)).array();
    sum_.swap(next_);
  }
  void clear() {
    sum_.setZero();
    rest_.setZero();
  }
  void into(Eigen::VectorXd& out) const { out = sum_ + rest_; }

 private:
  Eigen::VectorXd sum_, rest_, next_;
};

/// Calls take(AtSlot) for each slot, the latest of each stratum first. `weighted` holds r and r x of each pattern.
/// Cost: rows × columns.
template <class Take>
void each_risk_set(const RiskSets& sets, const Patterns::Values& weighted, const Take& take) {
  const Eigen::Index size = weighted.cols();
  RunningSum risk(size), stays(size);
  Eigen::VectorXd ended(size), change(size), at_risk(size), staying(size);
  const auto add = [&](const std::vector<int>& patterns, int first, int last) {
    for (int i = first; i < last; ++i) change += weighted.row(patterns[static_cast<std::size_t>(i)]).transpose();
  };
  const auto add_staying = [&](int slot, double sign) {
    change.setZero();
    for (int i = sets.staying_from[static_cast<std::size_t>(slot)];
         i < sets.staying_from[static_cast<std::size_t>(slot) + 1]; ++i)
      change += sign * sets.factor[static_cast<std::size_t>(i)] *
                weighted.row(sets.staying[static_cast<std::size_t>(i)]).transpose();
    stays.add(change);
  };
  long long count = 0;
  for (int k = sets.slots() - 1; k >= 0; --k) {
    const auto at = static_cast<std::size_t>(k);
    if (sets.last_of_stratum(k)) {
      risk.clear();
      stays.clear();
      count = 0;
      if (!sets.staying.empty())
        for (int j = sets.first_slot[static_cast<std::size_t>(sets.stratum[at])]; j <= k; ++j) add_staying(j, 1);
    } else {
      const int first = sets.coming_from[at + 1], last = sets.coming_from[at + 2];
      count -= last - first;
      change.setZero();
      add(sets.coming, first, last);
      if (count == 0)
        risk.clear();
      else if (last > first)
        risk.add(-change);
      if (!sets.staying.empty()) add_staying(k + 1, -1);
    }
    const int first = sets.leaving_from[at], last = sets.leaving_from[at + 1], ends = first + sets.ends[at];
    count += last - first;
    change.setZero();
    add(sets.leaving, first, ends);
    ended = change;
    add(sets.leaving, ends, last);
    risk.add(change);
    risk.into(at_risk);
    if (!sets.staying.empty()) {
      stays.into(staying);
      at_risk += sets.share[at] * staying;
    }
    take(AtSlot{k, at_risk, ended});
  }
}

}  // namespace dwell::statistics
