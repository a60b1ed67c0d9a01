#include "statistics/segments.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>

#include "quantity/display.h"
#include "say/quantity.h"
#include "say/statistics.h"
#include "statistics/newton.h"
#include "statistics/survival.h"

namespace dwell::statistics {
namespace {

constexpr Eigen::Index terms = 4;
constexpr double most_figure = 1e12;

int points_of(const SegmentsInput& input) {
  return static_cast<int>(input.kind == SeriesKind::level ? input.value.size() : input.events.size());
}

void check_points(const SegmentsInput& input, FieldErrors& errors) {
  const bool counts = input.kind == SeriesKind::counts;
  const auto number = [&](const char* path, std::size_t i, double found, double least) {
    if (!(found >= least && found <= most_figure))
      errors.push_back({path + std::to_string(i), show_number(found),
                        say::number_from_to(shown_number(least), shown_number(most_figure))});
  };
  for (std::size_t i = 0; i < static_cast<std::size_t>(points_of(input)) && errors.size() < most_errors; ++i) {
    if (!counts) number("/value/", i, input.value[i], -most_figure);
    if (counts) number("/events/", i, input.events[i], 0);
    if (counts && i < input.of.size()) number("/of/", i, input.of[i], 1e-6);
  }
}

FieldErrors check(const SegmentsInput& input) {
  FieldErrors errors;
  const int points = points_of(input);
  const bool counts = input.kind == SeriesKind::counts;
  const char* const path = counts ? "/events" : "/value";
  check_confidence(input.confidence, "/confidence", errors);
  if (points < 2 * least_points_a_side || points > most_series_points) {
    errors.push_back({path, std::to_string(points),
                      say::number_from_to(shown_number(2 * least_points_a_side), shown_number(most_series_points))});
    return errors;
  }
  if (counts && input.of.size() != input.events.size())
    errors.push_back({"/of", std::to_string(input.of.size()), say::as_many_as_the_points(points)});
  if (input.change < least_points_a_side || input.change > points - least_points_a_side)
    errors.push_back(
        {"/change", std::to_string(input.change),
         say::number_from_to(shown_number(least_points_a_side), shown_number(points - least_points_a_side))});
  const int most_lags = points / 3;
  if (input.lags && (*input.lags < 1 || *input.lags > most_lags))
    errors.push_back(
        {"/lags", std::to_string(*input.lags), say::number_from_to(shown_number(1), shown_number(most_lags))});
  check_points(input, errors);
  return errors;
}

/// The columns, times in units of the whole series so that the sums are well behaved.
struct Design {
  Eigen::Matrix<double, Eigen::Dynamic, terms> x;
  Eigen::Array<double, terms, 1> unit;
};

Design design(int points, int change) {
  Design out;
  out.unit << 1, points, 1, points;
  out.x.resize(points, terms);
  for (int t = 0; t < points; ++t) {
    const double after = t >= change ? 1 : 0;
    out.x.row(t) << 1, static_cast<double>(t) / points, after, after * (t - change) / points;
  }
  return out;
}

struct Fit {
  Eigen::VectorXd beta, foretold, left, weight;  // left: value less foretold, of the counts themselves
};

Fit least_squares(const Eigen::VectorXd& y, const Design& design) {
  Fit out;
  out.beta = (design.x.transpose() * design.x).ldlt().solve(design.x.transpose() * y);
  out.foretold = design.x * out.beta;
  out.left = y - out.foretold;
  out.weight = Eigen::VectorXd::Ones(y.size());
  return out;
}

Checked<Fit> poisson(const Eigen::VectorXd& events, const Eigen::VectorXd& of, const Design& design) {
  const Eigen::VectorXd log_of = of.array().log().matrix();
  if (!(events.sum() > 0)) return refuse("/events", "0", say::events_at_several_points());
  const auto at = [&](const Eigen::VectorXd& beta) {
    const Eigen::VectorXd linear = design.x * beta + log_of, expected = linear.array().exp().matrix();
    Evaluation out;
    out.log_likelihood = events.dot(linear) - expected.sum();
    out.score = design.x.transpose() * (events - expected);
    out.information = design.x.transpose() * expected.asDiagonal() * design.x;
    return out;
  };
  Patterns columns;
  columns.names = {"", "", "", ""};
  columns.values = design.x;
  Maximum from;
  from.beta = Eigen::VectorXd::Zero(terms);
  from.beta(0) = std::log(events.sum() / of.sum());
  from.at = at(from.beta);
  const auto top = climb(
      std::move(from), at,
      [&](const Climbing& now) {
        if (parting(columns, now.step, now.gain, "").empty()) return FieldErrors{};
        return FieldErrors{{"/events", show_number(events.sum()), say::events_at_several_points()}};
      },
      "/events");
  if (!top) return refuse(top.error());
  Fit out;
  out.beta = top->beta;
  out.foretold = out.weight = (design.x * out.beta + log_of).array().exp().matrix();
  out.left = events - out.foretold;
  return out;
}

/// Newey and West's middle part: the scores of points up to so many apart, weighed down by their distance.
Eigen::MatrixXd between_points(const Fit& fit, const Design& design, int lags) {
  const Eigen::MatrixXd scores = fit.left.asDiagonal() * design.x;
  Eigen::MatrixXd out = scores.transpose() * scores;
  const Eigen::Index n = scores.rows();
  for (int lag = 1; lag <= lags; ++lag) {
    const Eigen::MatrixXd with = scores.bottomRows(n - lag).transpose() * scores.topRows(n - lag);
    out += (1 - lag / (lags + 1.0)) * (with + with.transpose());
  }
  return out;
}

SeriesTerm term(double coefficient, double variance, double t, double degrees) {
  SeriesTerm out;
  out.coefficient = coefficient;
  out.standard_error = std::sqrt(variance);
  out.low = coefficient - t * out.standard_error;
  out.high = coefficient + t * out.standard_error;
  out.p_value = 2 * cdf(complement(boost::math::students_t(degrees), std::abs(coefficient) / out.standard_error));
  return out;
}

/// What is left, each on the scale of its own chance.
Eigen::VectorXd standard(const Fit& fit) { return fit.left.cwiseQuotient(fit.weight.cwiseSqrt()); }

void add_points(const Fit& fit, const Design& design, const Eigen::VectorXd& of, const SegmentsInput& input,
                Segments& out) {
  for (Eigen::Index t = 0; t < fit.left.size(); ++t) {
    SeriesPoint one;
    one.value = (fit.foretold(t) + fit.left(t)) / of(t);
    one.foretold = fit.foretold(t) / of(t);
    const double change = design.x.row(t).tail(2).dot(fit.beta.tail(2));
    if (t >= input.change)
      one.without_change = input.kind == SeriesKind::counts ? one.foretold / std::exp(change) : one.foretold - change;
    out.points.push_back(one);
  }
}

void say_what_it_shows(const SegmentsInput& input, const Eigen::VectorXd& left, Segments& out) {
  const double nothing = input.kind == SeriesKind::counts ? 1 : 0;
  out.answer = out.effect_high < nothing  ? say::series_lower()
               : out.effect_low > nothing ? say::series_higher()
                                          : say::series_not_shown();
  const Source note{"sources.md#segments", Mark::memory};
  const Eigen::Index n = left.size();
  out.goes_with_the_last = left.tail(n - 1).dot(left.head(n - 1)) / left.squaredNorm();
  constexpr int advised = 8;  // a side: value from memory
  if (!input.lags && out.goes_with_the_last > 2 / std::sqrt(static_cast<double>(n)))
    out.findings.push_back({Severity::caution, "points_go_together", say::points_go_together(), note});
  if (std::min(input.change, static_cast<int>(n) - input.change) < advised)
    out.findings.push_back({Severity::caution, "few_points", say::few_points_a_side(advised), note});
}

}  // namespace

Checked<Segments> segments(const SegmentsInput& input) {
  if (auto errors = check(input); !errors.empty()) return refuse(std::move(errors));
  const int points = points_of(input);
  const bool counts = input.kind == SeriesKind::counts;
  const Design columns = design(points, input.change);
  const Eigen::VectorXd of = counts ? Eigen::VectorXd(Eigen::Map<const Eigen::VectorXd>(input.of.data(), points))
                                    : Eigen::VectorXd(Eigen::VectorXd::Ones(points));
  const Eigen::VectorXd y =
      counts ? Eigen::VectorXd(Eigen::Map<const Eigen::VectorXi>(input.events.data(), points).cast<double>())
             : Eigen::VectorXd(Eigen::Map<const Eigen::VectorXd>(input.value.data(), points));
  const Checked<Fit> fit = counts ? poisson(y, of, columns) : Checked<Fit>(least_squares(y, columns));
  if (!fit) return refuse(fit.error());

  const double degrees = points - static_cast<double>(terms);
  const Eigen::VectorXd left = standard(*fit);
  Segments out;
  out.dispersion = left.squaredNorm() / degrees;
  const double size = std::max(1e-12, y.cwiseAbs().maxCoeff());
  if (!counts && out.dispersion <= 1e-20 * size * size)
    return refuse("/value", std::to_string(points), say::scatter_about_the_model());
  if (counts) out.dispersion = std::max(1.0, out.dispersion);
  const Eigen::MatrixXd bread = (columns.x.transpose() * fit->weight.asDiagonal() * columns.x)
                                    .ldlt()
                                    .solve(Eigen::MatrixXd::Identity(terms, terms));
  const Eigen::MatrixXd covariance = input.lags
                                         ? Eigen::MatrixXd(bread * between_points(*fit, columns, *input.lags) * bread)
                                         : Eigen::MatrixXd(out.dispersion * bread);
  const double t = quantile(complement(boost::math::students_t(degrees), (1 - input.confidence) / 2));
  SeriesTerm* const each[] = {&out.start, &out.trend, &out.step, &out.trend_change};
  for (Eigen::Index j = 0; j < terms; ++j)
    *each[j] = term(fit->beta(j) / columns.unit(j), covariance(j, j) / (columns.unit(j) * columns.unit(j)), t, degrees);
  const Eigen::Vector2d last = columns.x.row(points - 1).tail(2).transpose();
  const SeriesTerm effect =
      term(last.dot(fit->beta.tail(2)), last.dot(covariance.bottomRightCorner(2, 2) * last), t, degrees);
  const auto shown = [&](double value) { return counts ? std::exp(value) : value; };
  out.effect = shown(effect.coefficient);
  out.effect_low = shown(effect.low);
  out.effect_high = shown(effect.high);
  add_points(*fit, columns, of, input, out);
  say_what_it_shows(input, left, out);
  return out;
}

}  // namespace dwell::statistics
