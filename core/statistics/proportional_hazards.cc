#include "statistics/proportional_hazards.h"

#include <algorithm>
#include <map>

#include "statistics/chi_square.h"

namespace dwell::statistics {
namespace {

/// 1 − S(t−) of all rows together, at each time at which one ends.
std::map<int, double> gone_before(const Lifetimes& rows, int cause) {
  std::map<int, double> out;
  double survival = 1;
  Passage(rows, {}).each_time(0, [&](int time, int at_risk, const int* row, const int* last) {
    int ended = 0;
    for (; row != last; ++row) ended += rows.cause[static_cast<std::size_t>(*row)] == cause;
    if (ended > 0) out.emplace_hint(out.end(), time, 1 - survival);
    survival *= 1 - static_cast<double>(ended) / at_risk;
  });
  return out;
}

/// Of all times at which a row ends, by whatever end; rows that end at one time share the middle of their ranks.
std::map<int, double> ranks(const Lifetimes& rows) {
  std::map<int, double> out;
  for (const int time : rows.stop) ++out[time];
  double before = 0;
  for (auto& [time, ends] : out) {
    const double all = ends;
    ends = before + (all + 1) / 2;
    before += all;
  }
  return out;
}

}  // namespace

std::vector<double> slot_times(const RiskSets& sets, const Lifetimes& rows, int cause, TimeScale scale) {
  std::map<int, double> of_time;
  if (scale == TimeScale::survival) of_time = gone_before(rows, cause);
  if (scale == TimeScale::rank) of_time = ranks(rows);
  std::vector<double> out;
  for (const int time : sets.time) switch (scale) {
      case TimeScale::survival:
      case TimeScale::rank: out.push_back(of_time.at(time)); break;
      case TimeScale::minutes: out.push_back(time); break;
      case TimeScale::log_minutes: out.push_back(std::log(time)); break;
    }
  // The test asks only how g runs, not in which unit.
  if (const double most = *std::max_element(out.begin(), out.end()); most > 0)
    for (double& g : out) g /= most;
  return out;
}

std::vector<ProportionalityTest> proportionality(const RiskSets& sets, const Patterns& patterns, const Maximum& model,
                                                 Ties ties, const std::vector<double>& time_of_slot,
                                                 const std::vector<int>& term) {
  std::vector<double> squared(time_of_slot);
  for (double& g : squared) g *= g;
  const auto mixed = evaluate(sets, patterns, model.beta, ties, time_of_slot);
  const auto own = evaluate(sets, patterns, model.beta, ties, squared);
  const Eigen::LDLT<Eigen::MatrixXd> information(model.at.information);
  const Eigen::MatrixXd variance = own.information - mixed.information * information.solve(mixed.information);

  std::map<int, std::vector<Eigen::Index>> terms;
  std::vector<Eigen::Index> all;
  for (Eigen::Index j = 0; j < patterns.columns(); ++j) {
    terms[term.empty() ? static_cast<int>(j) : term[static_cast<std::size_t>(j)]].push_back(j);
    all.push_back(j);
  }
  std::vector<ProportionalityTest> out;
  const auto test = [&](const std::string& name, const std::vector<Eigen::Index>& of) {
    // The variance is a difference of sums that may be the same: below 1e-9 of them it is rounding.
    const auto result = chi_square(mixed.score(of), variance(of, of), 1e4 * own.scale(of).maxCoeff());
    out.push_back({name, result.value, result.degrees_of_freedom, result.p_value});
  };
  for (const auto& [number, of] : terms) {
    std::string name;
    for (const auto j : of) name += (name.empty() ? "" : ", ") + patterns.names[static_cast<std::size_t>(j)];
    test(name, of);
  }
  test("", all);
  return out;
}

}  // namespace dwell::statistics
