#include "statistics/partial_likelihood.h"

#include <algorithm>

namespace dwell::statistics {
namespace {

/// Gathers rows v and takes Σ v v' from a matrix, many at a time.
class OuterProducts {
 public:
  OuterProducts(Eigen::Index size, double sign)
      : sum_(Eigen::MatrixXd::Zero(size, size)), rows_(size, most), sign_(sign) {}
  template <class Row>
  void add(const Row& row) {
    rows_.col(filled_++) = row;
    if (filled_ == most) empty();
  }
  [[nodiscard]] Eigen::MatrixXd sum() {
    empty();
    return sum_.selfadjointView<Eigen::Lower>();
  }

 private:
  static constexpr Eigen::Index most = 256;
  Eigen::MatrixXd sum_, rows_;
  Eigen::Index filled_ = 0;
  double sign_;

  void empty() {
    if (filled_ == 0) return;
    sum_.selfadjointView<Eigen::Lower>().rankUpdate(rows_.leftCols(filled_), sign_);
    filled_ = 0;
  }
};

/// What each slot's hazard comes to, weighted.
struct SlotHazard {
  std::vector<double> all, of_ended;
};

/// For each pattern: how often it ended, and the hazard that its rows passed through.
struct Passed {
  Eigen::VectorXd ends, hazard;
};

Passed passed_by(const RiskSets& sets, const SlotHazard& slots, const std::vector<double>& weight,
                 Eigen::Index patterns) {
  Passed out{Eigen::VectorXd::Zero(patterns), Eigen::VectorXd::Zero(patterns)};
  double passed = 0, shared = 0;  // Σ hazard, Σ share × hazard, to before this slot
  for (int k = 0; k < sets.slots(); ++k) {
    const auto at = static_cast<std::size_t>(k);
    if (sets.first_of_stratum(k)) passed = shared = 0;
    if (!sets.staying.empty())
      for (auto i = static_cast<std::size_t>(sets.staying_from[at]);
           i < static_cast<std::size_t>(sets.staying_from[at + 1]); ++i)
        out.hazard(sets.staying[i]) -= sets.factor[i] * shared;
    for (auto i = static_cast<std::size_t>(sets.coming_from[at]);
         i < static_cast<std::size_t>(sets.coming_from[at + 1]); ++i)
      out.hazard(sets.coming[i]) -= passed;
    const int first = sets.leaving_from[at], ends = first + sets.ends[at], last = sets.leaving_from[at + 1];
    for (int i = first; i < ends; ++i) {
      const int pattern = sets.leaving[static_cast<std::size_t>(i)];
      out.ends(pattern) += weight.empty() ? 1 : weight[at];
      out.hazard(pattern) += passed + slots.of_ended[at];
    }
    passed += slots.all[at];
    for (int i = ends; i < last; ++i) out.hazard(sets.leaving[static_cast<std::size_t>(i)]) += passed;
    if (sets.staying.empty()) continue;
    shared += sets.share[at] * slots.all[at];
    if (!sets.last_of_stratum(k)) continue;
    const int begin = sets.first_slot[static_cast<std::size_t>(sets.stratum[at])];
    for (auto i = static_cast<std::size_t>(sets.staying_from[static_cast<std::size_t>(begin)]);
         i < static_cast<std::size_t>(sets.staying_from[at + 1]); ++i)
      out.hazard(sets.staying[i]) += sets.factor[i] * shared;
  }
  return out;
}

}  // namespace

TieSums tie_sums(double s0, double e0, int ends, Ties ties) {
  TieSums out;
  const double d = ends;
  if (ties == Ties::breslow || ends == 1) {
    out.log_sum = d * std::log(s0);
    out.hazard = out.hazard_of_ended = d / s0;
    out.c0 = d / (s0 * s0);
    return out;
  }
  for (int l = 0; l < ends; ++l) {
    const double f = l / d, one = 1 / (s0 - f * e0), square = one * one;
    out.log_sum -= std::log(one);
    out.hazard += one;
    out.hazard_of_ended += (1 - f) * one;
    out.c0 += square;
    out.c1 += f * square;
    out.c2 += f * f * square;
  }
  return out;
}

Hazards::Hazards(const Patterns& patterns, const Eigen::VectorXd& beta) : linear(patterns.values * beta) {
  if (patterns.offset.size() > 0) linear += patterns.offset;
  shift = linear.maxCoeff();
  linear.array() -= shift;
  weighted.resize(patterns.values.rows(), patterns.columns() + 1);
  for (Eigen::Index p = 0; p < linear.size(); ++p) {
    const double r = std::exp(linear(p));
    weighted(p, 0) = r;
    weighted.row(p).tail(patterns.columns()) = r * patterns.values.row(p);
  }
}

Evaluation evaluate(const RiskSets& sets, const Patterns& patterns, const Eigen::VectorXd& beta, Ties ties,
                    const std::vector<double>& slot_weight) {
  const Hazards hazards(patterns, beta);
  const Eigen::Index columns = patterns.columns();
  Evaluation out;
  OuterProducts means(columns, -1), squares(columns, 1);
  SlotHazard slots;
  slots.all.resize(sets.time.size());
  slots.of_ended.resize(sets.time.size());
  each_risk_set(sets, hazards.weighted, [&](const AtSlot& at) {
    const auto k = static_cast<std::size_t>(at.slot);
    const double w = slot_weight.empty() ? 1 : slot_weight[k];
    const auto sums = tie_sums(at.risk(0), at.ended(0), sets.ends[k], ties);
    out.log_likelihood -= w * sums.log_sum;
    slots.all[k] = w * sums.hazard;
    slots.of_ended[k] = w * sums.hazard_of_ended;
    // Σ_l (s1 − f e1)(s1 − f e1)' / v² as two outer products: the square root of [c0 −c1; −c1 c2].
    const double root = std::sqrt(sums.c0);
    const double rest = sums.c2 - sums.c1 * sums.c1 / sums.c0;
    means.add(std::sqrt(w) * (root * at.risk.tail(columns) - sums.c1 / root * at.ended.tail(columns)));
    if (rest > 0) means.add(std::sqrt(w * rest) * at.ended.tail(columns));
  });
  const Passed passed = passed_by(sets, slots, slot_weight, patterns.values.rows());
  out.score = Eigen::VectorXd::Zero(columns);
  for (Eigen::Index p = 0; p < patterns.values.rows(); ++p) {
    const double expected = std::max(0.0, hazards.weighted(p, 0) * passed.hazard(p));
    out.log_likelihood += passed.ends(p) * hazards.linear(p);
    out.score += (passed.ends(p) - expected) * patterns.values.row(p).transpose();
    squares.add(std::sqrt(expected) * patterns.values.row(p).transpose());
  }
  out.information = squares.sum();
  out.scale = out.information.diagonal();
  out.information += means.sum();
  return out;
}

Passages passages(const RiskSets& sets, const Patterns& patterns, const Hazards& hazards, Ties ties) {
  const Eigen::Index columns = patterns.columns(), slots = sets.slots();
  Passages out;
  out.hazard.assign(sets.time.size() + 1, 0);
  out.hazard_variance.assign(sets.time.size() + 1, 0);
  out.spared.assign(sets.time.size(), 0);
  out.mean_hazard = Patterns::Values::Zero(slots + 1, columns);
  out.mean.resize(slots, columns);
  out.spared_mean.resize(slots, columns);
  each_risk_set(sets, hazards.weighted, [&](const AtSlot& at) {
    const auto k = static_cast<std::size_t>(at.slot);
    const auto sums = tie_sums(at.risk(0), at.ended(0), sets.ends[k], ties);
    const auto risk = at.risk.tail(columns).transpose(), ended = at.ended.tail(columns).transpose();
    out.hazard[k + 1] = sums.hazard;
    out.hazard_variance[k + 1] = sums.c0;
    out.spared[k] = sums.hazard - sums.hazard_of_ended;
    out.mean_hazard.row(at.slot + 1) = sums.c0 * risk - sums.c1 * ended;
    out.mean.row(at.slot) = (sums.hazard * risk - out.spared[k] * ended) / sets.ends[k];
    out.spared_mean.row(at.slot) = sums.c1 * risk - sums.c2 * ended;
  });
  for (std::size_t k = 0; k < sets.time.size(); ++k) {
    out.hazard[k + 1] += out.hazard[k];
    out.hazard_variance[k + 1] += out.hazard_variance[k];
    const auto row = static_cast<Eigen::Index>(k);
    out.mean_hazard.row(row + 1) += out.mean_hazard.row(row);
  }
  return out;
}

Checked<Maximum> maximise(const RiskSets& sets, const Patterns& patterns, Ties ties, const std::string& at) {
  Maximum from;
  from.beta = Eigen::VectorXd::Zero(patterns.columns());
  from.at_zero = from.at = evaluate(sets, patterns, from.beta, ties, {});
  if (auto errors = check_independent(from.at.information, from.at.scale, patterns.names, at); !errors.empty())
    return refuse(std::move(errors));
  return climb(
      std::move(from), [&](const Eigen::VectorXd& beta) { return evaluate(sets, patterns, beta, ties, {}); },
      [&](const Climbing& now) { return parting(patterns, now.step, now.gain, at); }, at);
}

}  // namespace dwell::statistics
