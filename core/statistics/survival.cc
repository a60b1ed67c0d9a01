#include "statistics/survival.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <limits>
#include <tuple>
#include <utility>

#include "quantity/display.h"
#include "say/statistics.h"

namespace dwell::statistics {
namespace {

/// The survival is a running floating-point product; comparisons with 1 − p need this much room (as R's).
constexpr double flat = 1.5e-8;

FieldErrors check_times(const std::vector<Observation>& lines, const std::string& path) {
  FieldErrors errors;
  if (lines.empty()) errors.push_back({path, "0", say::a_line_at_least()});
  constexpr std::size_t most_errors = 20;
  for (std::size_t i = 0; i < lines.size() && errors.size() < most_errors; ++i)
    if (lines[i].time <= 0)
      errors.push_back(
          {path + "/" + std::to_string(i) + "/time", std::to_string(lines[i].time), say::a_time_above_zero()});
  return errors;
}

/// Distinct times with their counts, rising.
std::vector<SurvivalPoint> tally(std::vector<Observation> lines) {
  std::sort(lines.begin(), lines.end(), [](const Observation& a, const Observation& b) { return a.time < b.time; });
  std::vector<SurvivalPoint> points;
  int at_risk = static_cast<int>(lines.size());
  for (std::size_t i = 0; i < lines.size();) {
    SurvivalPoint point;
    point.time = lines[i].time;
    point.at_risk = at_risk;
    for (; i < lines.size() && lines[i].time == point.time; ++i) lines[i].event ? ++point.events : ++point.censored;
    at_risk -= point.events + point.censored;
    points.push_back(point);
  }
  return points;
}

void add_limits(SurvivalPoint& point, double greenwood, double z, LimitKind kind) {
  const double s = point.survival;
  const double sigma = std::sqrt(greenwood);
  if (!std::isfinite(greenwood)) return;
  switch (kind) {
    case LimitKind::plain:
      point.low = std::max(0.0, s - z * s * sigma);
      point.high = std::min(1.0, s + z * s * sigma);
      return;
    case LimitKind::log:
      point.low = s * std::exp(-z * sigma);
      point.high = std::min(1.0, s * std::exp(z * sigma));
      return;
    case LimitKind::log_log: {
      if (s >= 1) {
        point.low = point.high = 1.0;
        return;
      }
      const double theta = z * sigma / std::log(s);  // negative
      point.low = std::pow(s, std::exp(-theta));
      point.high = std::pow(s, std::exp(theta));
      return;
    }
  }
}

/// First time at which the curve is at or below a half; the middle of the stretch on which it is exactly a half. A
/// stretch that nothing ends runs to the last time.
template <class Curve>
std::optional<double> half_time(const std::vector<SurvivalPoint>& points, const Curve& curve) {
  for (std::size_t i = 0; i < points.size(); ++i) {
    const auto value = curve(points[i]);
    if (!value || *value > 0.5 + flat) continue;
    if (*value < 0.5 - flat) return points[i].time;
    for (std::size_t j = i + 1; j < points.size(); ++j) {
      const auto later = curve(points[j]);
      if (!later || *later < 0.5 - flat) return (points[i].time + points[j].time) / 2.0;
    }
    return (points[i].time + points.back().time) / 2.0;
  }
  return std::nullopt;
}

/// Area under the curve to the last time, and its standard error.
void add_restricted_mean(SurvivalCurve& curve) {
  const auto& points = curve.points;
  std::vector<double> area_right(points.size(), 0.0);
  for (std::size_t i = points.size(); i-- > 1;)
    area_right[i - 1] = area_right[i] + points[i - 1].survival * (points[i].time - points[i - 1].time);
  curve.restricted_mean = points.front().time + area_right.front();
  double variance = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double left = points[i].at_risk - points[i].events;
    if (points[i].events > 0 && left > 0)
      variance += area_right[i] * area_right[i] * points[i].events / (points[i].at_risk * left);
  }
  curve.restricted_mean_error = std::sqrt(variance);
}

FieldErrors check_groups(const std::vector<std::vector<Observation>>& groups) {
  FieldErrors errors;
  if (groups.size() < 2) errors.push_back({"/groups", std::to_string(groups.size()), say::two_groups_at_least()});
  if (groups.size() > most_groups)
    errors.push_back({"/groups", std::to_string(groups.size()), say::groups_at_most(most_groups)});
  constexpr std::size_t most_errors = 20;
  for (std::size_t k = 0; k < groups.size() && errors.size() < most_errors; ++k)
    for (auto& e : check_times(groups[k], "/groups/" + std::to_string(k))) errors.push_back(std::move(e));
  return errors;
}

/// What a line adds up to while it is at risk, by its time, over the times t of events: d of n lines failed.
class RiskSums {
 public:
  explicit RiskSums(const std::vector<SurvivalPoint>& points) {
    for (const auto& point : points) {
      const double n = point.at_risk, d = point.events;
      const double weight = n > 1 ? d * (n - d) / (n - 1) : 0;
      scale_ += weight;
      const Sum& before = sums_.empty() ? Sum{} : sums_.back();
      sums_.push_back({point.time, before.expected + d / n, before.own + weight / n, before.shared + weight / (n * n)});
    }
  }

  /// Observed less expected events of a group, and the part of its variance that it has by itself: Σ weight n_k / n.
  [[nodiscard]] std::pair<double, double> of(const std::vector<Observation>& group) const {
    double difference = 0, own = 0;
    for (const auto& line : group) {
      difference += (line.event ? 1 : 0) - at(line.time).expected;
      own += at(line.time).own;
    }
    return {difference, own};
  }
  /// Σ weight / n² up to a time.
  [[nodiscard]] double shared(int time) const { return at(time).shared; }
  /// Σ weight: no variance is larger.
  [[nodiscard]] double scale() const { return scale_; }

 private:
  struct Sum {
    int time = 0;
    double expected = 0, own = 0, shared = 0;
  };
  [[nodiscard]] const Sum& at(int time) const {
    return *std::lower_bound(sums_.begin(), sums_.end(), time, [](const Sum& sum, int t) { return sum.time < t; });
  }

  std::vector<Sum> sums_;
  double scale_ = 0;
};

/// Σ weight n_k n_l / n² for each pair of groups. Each pair of lines shares the risk up to the earlier of their times,
/// so the lines are taken by rising time: with those gone before it a line shares their whole time, with those still in
/// its own.
Eigen::MatrixXd shared_risk(const std::vector<std::vector<Observation>>& groups, const RiskSums& sums,
                            Eigen::Index size) {
  std::vector<std::pair<int, Eigen::Index>> lines;  // time and group
  Eigen::VectorXd gone = Eigen::VectorXd::Zero(size), still_in(size);
  for (Eigen::Index k = 0; k < size; ++k) {
    const auto& group = groups[static_cast<std::size_t>(k)];
    still_in(k) = static_cast<double>(group.size());
    for (const auto& line : group) lines.emplace_back(line.time, k);
  }
  std::sort(lines.begin(), lines.end());
  Eigen::MatrixXd shared = Eigen::MatrixXd::Zero(size, size);
  for (const auto& [time, k] : lines) {
    const double own = sums.shared(time);
    shared.col(k) += gone + own * still_in;
    gone(k) += own;
    still_in(k) -= 1;
  }
  return shared;
}

/// u' V⁻ u by one pivoted LDLᵀ. A group that is never at risk together with others adds nothing: the rank says how many
/// do, and a pivot below the noise of the sums is none.
LogRank tested(const Eigen::VectorXd& u, const Eigen::MatrixXd& v, double scale) {
  constexpr double noise = 1e-13;
  const Eigen::LDLT<Eigen::MatrixXd> decomposed(v);
  Eigen::VectorXd y = decomposed.transpositionsP() * u;
  decomposed.matrixL().solveInPlace(y);
  LogRank out;
  out.degrees_of_freedom = 0;
  for (Eigen::Index i = 0; i < y.size(); ++i) {
    const double pivot = decomposed.vectorD()(i);
    if (!(pivot > noise * scale)) continue;
    out.chi_square += y(i) * y(i) / pivot;
    ++out.degrees_of_freedom;
  }
  if (out.degrees_of_freedom > 0)
    out.p_value =
        boost::math::cdf(boost::math::complement(boost::math::chi_squared(out.degrees_of_freedom), out.chi_square));
  return out;
}

}  // namespace

Checked<SurvivalCurve> kaplan_meier(const std::vector<Observation>& lines, double confidence, LimitKind limits) {
  FieldErrors errors = check_times(lines, "/lines");
  if (!(confidence > 0 && confidence < 1))
    errors.push_back({"/confidence", show_number(confidence), say::a_confidence()});
  if (!errors.empty()) return refuse(std::move(errors));

  const double z = boost::math::quantile(boost::math::normal(), 1 - (1 - confidence) / 2);
  SurvivalCurve curve;
  curve.points = tally(lines);
  curve.subjects = static_cast<int>(lines.size());
  double survival = 1, greenwood = 0, hazard = 0;
  for (auto& point : curve.points) {
    const double n = point.at_risk, d = point.events;
    curve.events += point.events;
    survival *= 1 - d / n;
    if (d > 0) greenwood += n > d ? d / (n * (n - d)) : std::numeric_limits<double>::infinity();
    hazard += d / n;
    point.survival = survival;
    point.standard_error = std::isfinite(greenwood) ? survival * std::sqrt(greenwood) : 0;
    point.cumulative_hazard = hazard;
    add_limits(point, greenwood, z, limits);
  }
  curve.median = half_time(curve.points, [](const SurvivalPoint& p) { return std::optional(p.survival); });
  curve.median_low = half_time(curve.points, [](const SurvivalPoint& p) { return p.low; });
  curve.median_high = half_time(curve.points, [](const SurvivalPoint& p) { return p.high; });
  add_restricted_mean(curve);
  return curve;
}

Checked<LogRank> log_rank(const std::vector<std::vector<Observation>>& groups) {
  if (auto errors = check_groups(groups); !errors.empty()) return refuse(std::move(errors));
  std::vector<Observation> all;
  for (const auto& group : groups) all.insert(all.end(), group.begin(), group.end());
  const RiskSums sums(tally(std::move(all)));
  // One group too many: what all together lack is nothing.
  const auto free_groups = static_cast<Eigen::Index>(groups.size() - 1);
  Eigen::VectorXd u(free_groups), own(free_groups);
  for (Eigen::Index k = 0; k < free_groups; ++k) std::tie(u(k), own(k)) = sums.of(groups[static_cast<std::size_t>(k)]);
  Eigen::MatrixXd v = -shared_risk(groups, sums, free_groups);
  v.diagonal() += own;
  return tested(u, v, sums.scale());
}

}  // namespace dwell::statistics
