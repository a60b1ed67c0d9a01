#include "statistics/survival.h"

#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <limits>
#include <utility>

#include "quantity/display.h"
#include "say/statistics.h"

namespace dwell::statistics {
namespace {

/// The survival is a running floating-point product; comparisons with 1 − p need this much room (as R's).
constexpr double flat = 1.5e-8;

/// Distinct times with their counts, rising.
std::vector<SurvivalPoint> tally(const Lifetimes& rows, const Passage& passage, int group, std::optional<int> cause) {
  std::vector<SurvivalPoint> points;
  passage.each_time(group, [&](int time, int at_risk, const int* row, const int* last) {
    SurvivalPoint point;
    point.time = time;
    point.at_risk = at_risk;
    for (; row != last; ++row) {
      const int end = rows.cause[static_cast<std::size_t>(*row)];
      (cause ? end == *cause : end > 0) ? ++point.events : ++point.censored;
    }
    points.push_back(point);
  });
  return points;
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

/// Area under the curve to the horizon, and its standard error. Watching that ends before it says nothing beyond.
void add_restricted_mean(SurvivalCurve& curve, std::optional<int> horizon) {
  const auto& points = curve.points;
  const int to =
      horizon && (*horizon < points.back().time || points.back().survival <= 0) ? *horizon : points.back().time;
  curve.restricted_to = to;
  const auto within = [&](std::size_t i) { return std::min(points[i].time, to); };
  double right = 0, variance = 0;
  for (std::size_t i = points.size(); i-- > 0;) {
    const int next = i + 1 < points.size() ? within(i + 1) : to;
    right += points[i].survival * (next - within(i));
    const double left = points[i].at_risk - points[i].events;
    if (points[i].events > 0 && left > 0) variance += right * right * points[i].events / (points[i].at_risk * left);
  }
  curve.restricted_mean = within(0) + right;
  curve.restricted_mean_error = std::sqrt(variance);
}

/// Survival, hazard and limits along the points, and what is read off the curve.
void draw(SurvivalCurve& curve, const CurveWishes& wishes) {
  const double z = two_sided(wishes.confidence);
  double survival = 1, greenwood = 0, hazard = 0, hazard_variance = 0;
  for (auto& point : curve.points) {
    const double n = point.at_risk, d = point.events;
    curve.events += point.events;
    survival *= 1 - d / n;
    if (d > 0) greenwood += n > d ? d / (n * (n - d)) : std::numeric_limits<double>::infinity();
    hazard += d / n;
    hazard_variance += d / (n * n);
    point.survival = survival;
    point.standard_error = std::isfinite(greenwood) ? survival * std::sqrt(greenwood) : 0;
    point.cumulative_hazard = hazard;
    point.cumulative_hazard_error = std::sqrt(hazard_variance);
    const auto [low, high] = limits(survival, std::sqrt(greenwood), z, wishes.limits);
    point.low = low;
    point.high = high;
  }
  curve.median = half_time(curve.points, [](const SurvivalPoint& p) { return std::optional(p.survival); });
  curve.median_low = half_time(curve.points, [](const SurvivalPoint& p) { return p.low; });
  curve.median_high = half_time(curve.points, [](const SurvivalPoint& p) { return p.high; });
  add_restricted_mean(curve, wishes.horizon);
}

}  // namespace

Checked<std::vector<SurvivalCurve>> survival_curves(const Lifetimes& rows, const std::vector<int>& group,
                                                    const CurveWishes& wishes) {
  FieldErrors errors = check(rows, most_causes, "/rows");
  check_beside(group, rows, "/group", errors);
  check_confidence(wishes.confidence, "/wishes/confidence", errors);
  if (wishes.horizon && *wishes.horizon < 1)
    errors.push_back({"/wishes/horizon", std::to_string(*wishes.horizon), say::stop_after_start(0)});
  if (wishes.cause && (*wishes.cause < 1 || *wishes.cause > most_causes))
    errors.push_back({"/wishes/cause", std::to_string(*wishes.cause), say::known_cause(most_causes)});
  if (!errors.empty()) return refuse(std::move(errors));

  const Passage passage(rows, numbered(group));
  std::vector<SurvivalCurve> curves(static_cast<std::size_t>(passage.groups()));
  for (int k = 0; k < passage.groups(); ++k) {
    auto& curve = curves[static_cast<std::size_t>(k)];
    curve.points = tally(rows, passage, k, wishes.cause);
    curve.subjects = passage.rows(k);
    draw(curve, wishes);
  }
  return curves;
}

Checked<SurvivalCurve> kaplan_meier(const std::vector<Observation>& lines, double confidence, LimitKind limits) {
  FieldErrors errors = check(lines, "/lines");
  check_confidence(confidence, "/confidence", errors);
  if (!errors.empty()) return refuse(std::move(errors));
  Lifetimes rows;
  for (const auto& line : lines) {
    rows.stop.push_back(line.time);
    rows.cause.push_back(line.event ? 1 : 0);
  }
  auto curves = survival_curves(rows, {}, {confidence, limits, {}, {}});
  if (!curves) return refuse(std::move(curves.error()));
  return std::move(curves->front());
}

Limits limits(double share, double error_of_log, double z, LimitKind kind) {
  if (!std::isfinite(error_of_log)) return {};
  const double width = z * error_of_log;
  switch (kind) {
    case LimitKind::plain: return {std::max(0.0, share - share * width), std::min(1.0, share + share * width)};
    case LimitKind::log: return {share * std::exp(-width), std::min(1.0, share * std::exp(width))};
    case LimitKind::log_log: {
      if (share >= 1) return {1.0, 1.0};
      const double theta = width / std::log(share);  // negative
      return {std::pow(share, std::exp(-theta)), std::pow(share, std::exp(theta))};
    }
  }
  return {};
}

FieldErrors check(const std::vector<Observation>& lines, const std::string& path) {
  FieldErrors errors;
  if (lines.empty()) errors.push_back({path, "0", say::at_least_one_line()});
  for (std::size_t i = 0; i < lines.size() && errors.size() < most_errors; ++i) {
    const std::string at = path + "/" + std::to_string(i) + "/time";
    if (lines[i].time <= 0) errors.push_back({at, std::to_string(lines[i].time), say::stop_after_start(0)});
    if (lines[i].time > most_minutes)
      errors.push_back({at, std::to_string(lines[i].time), say::at_most_minutes(most_minutes)});
  }
  return errors;
}

double two_sided(double confidence) { return boost::math::quantile(boost::math::normal(), 1 - (1 - confidence) / 2); }

void check_confidence(double confidence, const std::string& path, FieldErrors& errors) {
  if (!(confidence > 0 && confidence < 1))
    errors.push_back({path, show_number(confidence), say::between_zero_and_one()});
}

}  // namespace dwell::statistics
