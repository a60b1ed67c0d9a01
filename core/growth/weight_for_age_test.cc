#include "growth/weight_for_age.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace dwell::growth {
namespace {

using std::chrono::days;

Lms at(Curve curve, int day) { return *weight_for_age(curve, days{day}); }

TEST(WeightForAge, KnowsEveryDayOfTenYearsAndNoOther) {
  for (const Curve curve : {Curve::girls, Curve::boys}) {
    EXPECT_FALSE(weight_for_age(curve, days{-1}));
    EXPECT_FALSE(weight_for_age(curve, last_day + days{1}));
    for (int day = 0; day <= last_day.count(); ++day) {
      const auto row = weight_for_age(curve, days{day});
      ASSERT_TRUE(row) << day;
      ASSERT_GT(row->m, 3.0 * kilogram);
      ASSERT_GT(row->s, 0.1);
    }
  }
}

TEST(WeightForAge, TheMedianGrowsAfterTheFirstDays) {
  for (const Curve curve : {Curve::girls, Curve::boys})
    for (int day = 3; day < last_day.count(); ++day)
      // Where the standard of 2006 meets the reference of 2007 the curves step by 1 % at most.
      EXPECT_GT(at(curve, day + 1).m, at(curve, day).m * (day == 1826 ? 0.99 : 1.0)) << day;
}

TEST(WeightForAge, TheMedianIsZero) {
  EXPECT_NEAR(z_score(at(Curve::girls, 0), 3.2322 * kilogram), 0, 1e-12);
  EXPECT_NEAR(z_score(at(Curve::boys, 1826), 18.3352 * kilogram), 0, 1e-12);
}

TEST(WeightForAge, BeyondThreeTheStepsAreEven) {
  const Lms row = at(Curve::boys, 365);
  const Weight step = weight_at(row, 3) - weight_at(row, 2);
  EXPECT_NEAR((weight_at(row, 7) - weight_at(row, 6)) / step, 1, 1e-9);
  EXPECT_NEAR(z_score(row, weight_at(row, 3) + 2.5 * step), 5.5, 1e-9);
  const Weight below = weight_at(row, -2) - weight_at(row, -3);
  EXPECT_NEAR(z_score(row, weight_at(row, -3) - 0.5 * below), -3.5, 1e-9);
}

// Where the skewness crosses zero the power turns into a logarithm: no jump there.
TEST(WeightForAge, GoesOnSmoothlyWhereTheSkewnessIsZero) {
  const Weight weight = 12.0 * kilogram;
  const Lms zero{0, 11.5 * kilogram, 0.11}, hardly{1e-7, 11.5 * kilogram, 0.11};
  EXPECT_NEAR(z_score(zero, weight), z_score(hardly, weight), 1e-6);
}

RC_GTEST_PROP(WeightForAge, WeightAndDeviationsAreInverses, ()) {
  const Lms row = at(*rc::gen::element(Curve::girls, Curve::boys), *rc::gen::inRange(0, 3653));
  const double z = *rc::gen::inRange(-6000, 9001) / 1000.0;
  const Weight weight = weight_at(row, z);
  RC_PRE(weight > 0.1 * kilogram);
  RC_ASSERT(std::abs(z_score(row, weight) - z) < 1e-9);
}

}  // namespace
}  // namespace dwell::growth
