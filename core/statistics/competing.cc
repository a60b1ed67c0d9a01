#include "statistics/competing.h"

#include <algorithm>
#include <cmath>

#include "say/statistics.h"

namespace dwell::statistics {
namespace {

/// The curve of one cause while time goes on. Its variance is kept as sums over [F(t) − F(t_j)] that are brought
/// forward whenever F rises, all of one sign, so that no small difference of large sums is taken.
class Rising {
 public:
  /// At a time: n at risk, d ended by any cause, own by this one, survival before.
  void add(double n, double d, double own, double survival) {
    const double step = survival * own / n;
    incidence_ += step;
    squares_ += step * (2 * firsts_ + step * all_);
    firsts_ += step * all_;
    shared_ += step * steps_;
    if (n > d) all_ += d / (n * (n - d));
    at_steps_ += survival * survival * own * (n - own) / (n * n * n);
    steps_ += survival * own / (n * n);
  }
  [[nodiscard]] double incidence() const { return incidence_; }
  [[nodiscard]] double variance() const { return std::max(0.0, squares_ + at_steps_ - 2 * shared_); }

 private:
  double incidence_ = 0;
  double all_ = 0, firsts_ = 0, squares_ = 0;  // Σ α, Σ (F − F_j) α, Σ (F − F_j)² α with α = d / (n (n − d))
  double at_steps_ = 0;
  double steps_ = 0, shared_ = 0;  // Σ γ, Σ (F − F_j) γ with γ = S d_k / n²
};

IncidencePoint point_of(int time, int events, const Rising& curve, double z, LimitKind kind) {
  IncidencePoint point{time, events, curve.incidence(), std::sqrt(curve.variance()), {}, {}};
  // At 0 there is no logarithm; at 1 nothing is left to err about.
  if (point.incidence > 0) {
    const auto between = limits(point.incidence, point.standard_error / point.incidence, z, kind);
    point.low = between.low;
    point.high = between.high;
  }
  return point;
}

void add_time_lost(IncidenceCurve& curve, int to) {
  for (std::size_t i = 0; i < curve.points.size() && curve.points[i].time < to; ++i) {
    const int next = i + 1 < curve.points.size() ? std::min(to, curve.points[i + 1].time) : to;
    curve.time_lost += curve.points[i].incidence * (next - curve.points[i].time);
  }
}

CompetingRisks risks_of(const Passage& passage, int group, const Numbered& causes, const CurveWishes& wishes) {
  CompetingRisks out;
  out.rows = passage.rows(group);
  for (const int cause : causes.values)
    if (cause > 0) out.causes.push_back({cause, 0, {}, 0});
  const std::size_t censored = causes.values.front() == 0 ? 1 : 0;
  std::vector<Rising> curves(out.causes.size());
  std::vector<int> ended(out.causes.size());
  const double z = two_sided(wishes.confidence);
  double survival = 1;
  int last_time = 0;
  passage.each_time(group, [&](int time, int at_risk, const int* row, const int* last) {
    std::fill(ended.begin(), ended.end(), 0);
    int all = 0;
    for (; row != last; ++row) {
      const auto number = static_cast<std::size_t>(causes[static_cast<std::size_t>(*row)]);
      if (number < censored) continue;
      ++ended[number - censored];
      ++all;
    }
    last_time = time;
    if (all == 0) return;
    for (std::size_t k = 0; k < curves.size(); ++k) {
      curves[k].add(at_risk, all, ended[k], survival);
      if (ended[k] == 0) continue;
      out.causes[k].events += ended[k];
      out.causes[k].points.push_back(point_of(time, ended[k], curves[k], z, wishes.limits));
    }
    survival *= 1 - static_cast<double>(all) / at_risk;
  });
  out.to = wishes.horizon && (*wishes.horizon < last_time || survival <= 0) ? *wishes.horizon : last_time;
  for (auto& curve : out.causes) add_time_lost(curve, out.to);
  return out;
}

}  // namespace

Checked<std::vector<CompetingRisks>> competing_risks(const Lifetimes& rows, const std::vector<int>& group,
                                                     const CurveWishes& wishes) {
  FieldErrors errors = check(rows, most_causes, "/rows");
  check_beside(group, rows, "/group", errors);
  check_confidence(wishes.confidence, "/wishes/confidence", errors);
  if (wishes.horizon && *wishes.horizon < 1)
    errors.push_back({"/wishes/horizon", std::to_string(*wishes.horizon), say::stop_after_start(0)});
  if (!errors.empty()) return refuse(std::move(errors));

  const Numbered groups = numbered(group), causes = numbered(rows.cause);
  const Passage passage(rows, groups);
  std::vector<CompetingRisks> out;
  for (int k = 0; k < passage.groups(); ++k) {
    out.push_back(risks_of(passage, k, causes, wishes));
    out.back().group = groups.of.empty() ? 0 : groups.values[static_cast<std::size_t>(k)];
  }
  return out;
}

}  // namespace dwell::statistics
