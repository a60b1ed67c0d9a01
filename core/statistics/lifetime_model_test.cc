#include "statistics/lifetime_model.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "say/quantity.h"
#include "say/statistics.h"
#include "statistics/stretches.h"
#include "statistics/test_rows.h"

namespace dwell::statistics {
namespace {

constexpr LifetimeShape shapes[] = {LifetimeShape::exponential, LifetimeShape::weibull, LifetimeShape::log_normal,
                                    LifetimeShape::log_logistic};

LifetimeModelInput some_lines(LifetimeShape shape) {
  LifetimeModelInput in;
  in.rows.stop = {3, 9, 14, 25, 40, 41, 60, 90, 120, 200};
  in.rows.cause = {1, 1, 0, 1, 1, 0, 1, 1, 0, 1};
  in.covariates = {{"x"}, {{1, 0, 1, 1, 0, 0, 1, 0, 0, 1}}};
  in.shape = shape;
  in.profiles = {{0}, {1}};
  in.at = {30};
  in.shares = {0.5};
  return in;
}

std::string path(const LifetimeModelInput& in) { return lifetime_model(in).error().front().path; }
Message expected(const LifetimeModelInput& in) { return lifetime_model(in).error().front().expected; }

TEST(LifetimeModel, HalfOfTheLinesHaveEndedAtTheMedian) {
  for (const auto shape : shapes) {
    auto in = some_lines(shape);
    const auto median = lifetime_model(in)->times[1].time;
    in.at = {static_cast<int>(std::floor(median)), static_cast<int>(std::ceil(median))};
    const auto fit = *lifetime_model(in);
    EXPECT_GE(fit.survival[2].survival, 0.5);
    EXPECT_LE(fit.survival[3].survival, 0.5);
    EXPECT_LT(fit.survival[2].low, fit.survival[2].survival);
    EXPECT_GT(fit.survival[2].high, fit.survival[2].survival);
  }
}

TEST(LifetimeModel, TimesTenTimesAsLongMoveTheInterceptAlone) {
  for (const auto shape : shapes) {
    auto in = some_lines(shape);
    const auto before = *lifetime_model(in);
    for (int& stop : in.rows.stop) stop *= 10;
    const auto after = *lifetime_model(in);
    EXPECT_NEAR(after.intercept, before.intercept + std::log(10.0), 1e-9);
    EXPECT_NEAR(after.coefficients[0].coefficient, before.coefficients[0].coefficient, 1e-9);
    EXPECT_NEAR(after.log_scale, before.log_scale, 1e-9);
  }
}

RC_GTEST_PROP(LifetimeModelProperty, AnswersWithNumbersOrNamesAColumn, ()) {
  auto rows = any_rows(30, 1);
  rows.start.clear();
  LifetimeModelInput in;
  in.rows = rows;
  in.shape = shapes[*rc::gen::inRange(0, 4)];
  const auto group = any_column(rows, 2), other = any_column(rows, 3);
  in.covariates = {{"group", "other"}, {{group.begin(), group.end()}, {other.begin(), other.end()}}};
  in.profiles = {{1, 0}};
  in.at = {5};
  in.shares = {0.9};
  const auto fit = lifetime_model(in);
  if (!fit) {
    RC_ASSERT(!fit.error().empty());
    for (const auto& error : fit.error())
      RC_ASSERT((error.path.starts_with("/covariates/columns/") || error.path == "/rows/stop" ||
                 error.path == "/rows/cause"));
    return;
  }
  RC_ASSERT(std::isfinite(fit->log_likelihood));
  RC_ASSERT(fit->log_likelihood >= fit->log_likelihood_without - 1e-8);
  for (const auto& one : fit->coefficients) RC_ASSERT((std::isfinite(one.coefficient) && one.standard_error > 0));
  RC_ASSERT((fit->survival[0].low <= fit->survival[0].high && fit->survival[0].low >= 0 && fit->survival[0].high <= 1));
  RC_ASSERT(std::isfinite(fit->times[0].time));
}

/// One rate throughout is the exponential model, turned round.
RC_GTEST_PROP(StretchesProperty, OneStretchIsTheExponentialModel, ()) {
  auto rows = any_rows(30, 1);
  rows.start.clear();
  LifetimeModelInput in;
  in.rows = rows;
  in.shape = LifetimeShape::exponential;
  const auto group = any_column(rows, 2);
  in.covariates = {{"group"}, {{group.begin(), group.end()}}};
  const auto shaped = lifetime_model(in);
  const auto cut = stretches({rows, 1, {}, in.covariates, 0.95});
  RC_ASSERT(shaped.has_value() == cut.has_value());
  if (!shaped) {
    RC_ASSERT(shaped.error().front().path == cut.error().front().path);
    return;
  }
  RC_ASSERT(std::abs(shaped->log_likelihood - cut->log_likelihood) < 1e-7);
  RC_ASSERT(std::abs(shaped->coefficients[0].coefficient + cut->coefficients[0].coefficient) < 1e-6);
  RC_ASSERT(std::abs(*shaped->coefficients[0].hazard_ratio - cut->coefficients[0].hazard_ratio) <
            1e-6 * cut->coefficients[0].hazard_ratio);
}

/// Rows cut in two where nothing happens tell the same.
RC_GTEST_PROP(StretchesProperty, RowsCutInPiecesTellTheSame, ()) {
  const auto rows = any_rows(30, 1);
  const int at = *rc::gen::inRange(1, latest);
  Lifetimes pieces;
  for (std::size_t i = 0; i < rows.stop.size(); ++i) {
    const bool both = rows.start[i] < at && at < rows.stop[i];
    if (both) {
      pieces.start.push_back(rows.start[i]);
      pieces.stop.push_back(at);
      pieces.cause.push_back(0);
    }
    pieces.start.push_back(both ? at : rows.start[i]);
    pieces.stop.push_back(rows.stop[i]);
    pieces.cause.push_back(rows.cause[i]);
  }
  const auto whole = stretches({rows, 1, {7, 15}, {}, 0.95}), cut = stretches({pieces, 1, {7, 15}, {}, 0.95});
  RC_ASSERT(whole.has_value() == cut.has_value());
  if (!whole) return;
  RC_ASSERT(std::abs(whole->log_likelihood - cut->log_likelihood) < 1e-9);
  for (std::size_t k = 0; k < 3; ++k) {
    RC_ASSERT(whole->stretches[k].events == cut->stretches[k].events);
    RC_ASSERT(std::abs(whole->stretches[k].per_thousand_days - cut->stretches[k].per_thousand_days) <
              1e-9 * whole->stretches[k].per_thousand_days);
  }
}

TEST(LifetimeModel, NamesWhatItCannotCount) {
  for (const auto shape : shapes) {
    auto in = some_lines(shape);
    in.rows.cause.assign(10, 0);
    EXPECT_EQ(expected(in), say::a_line_that_ended());  // all censored
    in = some_lines(shape);
    in.rows.stop[4] = -3;
    EXPECT_EQ(path(in), "/rows/stop/4");
    in = some_lines(shape);
    in.covariates.columns[0][2] = std::nan("");
    EXPECT_EQ(path(in), "/covariates/columns/0/2");
    in = some_lines(shape);
    in.covariates = {{"same"}, {std::vector<double>(10, 4)}};
    EXPECT_EQ(expected(in), say::values_that_differ());
    in = some_lines(shape);
    in.covariates.names.push_back("twice");
    in.covariates.columns.push_back(in.covariates.columns[0]);
    for (double& value : in.covariates.columns[1]) value = 3 - 2 * value;
    in.profiles.clear();
    EXPECT_EQ(expected(in), say::column_of_its_own("x"));
    in = some_lines(shape);
    for (std::size_t i = 0; i < 10; ++i) in.covariates.columns[0][i] = in.rows.cause[i];  // parts them completely
    EXPECT_EQ(expected(in), say::a_finite_coefficient());
    in = some_lines(shape);
    in.rows.start = {0, 0, 2, 0, 0, 0, 0, 0, 0, 0};
    EXPECT_EQ(expected(in), say::watched_from_placement());
    in = some_lines(shape);
    in.profiles = {{1, 2}};
    EXPECT_EQ(path(in), "/profiles/0");
    in = some_lines(shape);
    in.at = {0};
    EXPECT_EQ(path(in), "/at/0");
    in = some_lines(shape);
    in.shares = {1};
    EXPECT_EQ(path(in), "/shares/0");
  }
}

TEST(LifetimeModel, WithoutScatterThereIsNoScale) {
  LifetimeModelInput in;
  in.rows = {{}, {5, 9, 20}, {0, 0, 1}, {}};  // one that ended, the last
  for (const auto shape : {LifetimeShape::weibull, LifetimeShape::log_normal, LifetimeShape::log_logistic}) {
    in.shape = shape;
    EXPECT_EQ(expected(in), say::scatter_about_the_model());
  }
  in.shape = LifetimeShape::exponential;
  EXPECT_NEAR(lifetime_model(in)->intercept, std::log(34.0), 1e-9);
  in.rows = {{}, {7, 7, 7}, {1, 1, 1}, {}};
  in.shape = LifetimeShape::weibull;
  EXPECT_EQ(expected(in), say::scatter_about_the_model());
}

TEST(Stretches, NameWhatTheyCannotCount) {
  const Lifetimes rows{{}, {3, 9, 14, 25}, {1, 1, 0, 1}, {}};
  EXPECT_EQ(stretches({rows, 1, {9, 9}, {}, 0.95}).error().front().path, "/cuts/1");
  EXPECT_EQ(stretches({rows, 1, {0}, {}, 0.95}).error().front().path, "/cuts/0");
  EXPECT_EQ(stretches({rows, 1, {10, 20}, {}, 0.95}).error().front().expected, say::an_end_in_each_stretch(10));
  EXPECT_EQ(stretches({rows, 1, {30}, {}, 0.95}).error().front().expected, say::an_end_in_each_stretch(30));
  EXPECT_EQ(stretches({rows, 1, std::vector<int>(21, 5), {}, 0.95}).error().front().path, "/cuts");
  EXPECT_EQ(stretches({{{}, {3}, {0}, {}}, 1, {}, {}, 0.95}).error().front().expected, say::a_line_that_ended());
}

}  // namespace
}  // namespace dwell::statistics
