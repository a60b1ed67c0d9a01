#include "statistics/survival.h"

#include <Eigen/QR>
#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <limits>

#include "quantity/display.h"

namespace dwell::statistics {
namespace {

/// The survival is a running floating-point product; comparisons with 1 − p need this much room (as R's).
constexpr double flat = 1.5e-8;

FieldErrors check_times(const std::vector<Observation>& lines, const std::string& path) {
  FieldErrors errors;
  if (lines.empty()) errors.push_back({path, "no lines", "at least one line"});
  constexpr std::size_t most_errors = 20;
  for (std::size_t i = 0; i < lines.size() && errors.size() < most_errors; ++i)
    if (lines[i].time <= 0)
      errors.push_back({path + "/" + std::to_string(i) + "/time", std::to_string(lines[i].time),
                        "above 0; a line that began and ended in the same minute must be mended, not dropped"});
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

}  // namespace

Checked<SurvivalCurve> kaplan_meier(const std::vector<Observation>& lines, double confidence, LimitKind limits) {
  FieldErrors errors = check_times(lines, "/lines");
  if (!(confidence > 0 && confidence < 1))
    errors.push_back({"/confidence", show_number(confidence), "between 0 and 1, such as 0.95"});
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
  FieldErrors errors;
  if (groups.size() < 2) errors.push_back({"/groups", std::to_string(groups.size()), "at least two groups"});
  for (std::size_t k = 0; k < groups.size(); ++k)
    for (auto& e : check_times(groups[k], "/groups/" + std::to_string(k))) errors.push_back(std::move(e));
  if (!errors.empty()) return refuse(std::move(errors));

  std::vector<Observation> all;
  std::vector<std::vector<SurvivalPoint>> tallies;
  for (const auto& group : groups) {
    all.insert(all.end(), group.begin(), group.end());
    tallies.push_back(tally(group));
  }
  const std::size_t free_groups = groups.size() - 1;
  const auto size = static_cast<Eigen::Index>(free_groups);
  Eigen::VectorXd u = Eigen::VectorXd::Zero(size);
  Eigen::MatrixXd v = Eigen::MatrixXd::Zero(size, size);
  std::vector<std::size_t> at(groups.size(), 0);
  for (const auto& point : tally(all)) {
    std::vector<double> n_k(groups.size(), 0), d_k(groups.size(), 0);
    for (std::size_t k = 0; k < groups.size(); ++k) {
      while (at[k] < tallies[k].size() && tallies[k][at[k]].time < point.time) ++at[k];
      if (at[k] == tallies[k].size()) continue;
      n_k[k] = tallies[k][at[k]].at_risk;
      if (tallies[k][at[k]].time == point.time) d_k[k] = tallies[k][at[k]].events;
    }
    const double n = point.at_risk, d = point.events;
    if (d == 0) continue;
    for (std::size_t k = 0; k < free_groups; ++k) {
      const auto row = static_cast<Eigen::Index>(k);
      u(row) += d_k[k] - d * n_k[k] / n;
      if (n > 1)
        for (std::size_t l = 0; l < free_groups; ++l)
          v(row, static_cast<Eigen::Index>(l)) +=
              d * (n - d) / (n - 1) * n_k[k] / n * ((k == l ? 1.0 : 0.0) - n_k[l] / n);
    }
  }
  // A group that is never at risk together with others adds nothing: the rank says how many do.
  const Eigen::ColPivHouseholderQR<Eigen::MatrixXd> decomposed(v);
  const int rank = static_cast<int>(decomposed.rank());
  LogRank out;
  out.chi_square = rank > 0 ? u.dot(decomposed.solve(u)) : 0.0;
  out.degrees_of_freedom = rank;
  out.p_value =
      rank > 0 ? boost::math::cdf(boost::math::complement(boost::math::chi_squared(rank), out.chi_square)) : 1.0;
  return out;
}

}  // namespace dwell::statistics
