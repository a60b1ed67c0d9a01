#include "growth/weight_question.h"

#include <gtest/gtest.h>

#include "say/age.h"
#include "say/common.h"
#include "say/growth.h"

namespace dwell::growth {
namespace {

using namespace std::chrono;
using line::Sex;

constexpr Date today{year{2026} / November / 29};
constexpr Date before(int days_ago) { return Date{sys_days(today) - days{days_ago}}; }

line::Patient patient(double kilograms, int days_old, Sex sex = Sex::male) {
  line::Patient p;
  p.weight = kilograms * kilogram;
  p.birth_date = before(days_old);
  p.sex = sex;
  return p;
}

struct Case {
  const char* name;
  double kilograms;
  int days_old;
  std::optional<Severity> severity;
};
class WeightQuestion : public testing::TestWithParam<Case> {};

TEST_P(WeightQuestion, FollowsTheChart) {
  const auto& c = GetParam();
  const auto found = question_weight(patient(c.kilograms, c.days_old), today);
  ASSERT_EQ(found.has_value(), c.severity.has_value()) << (found ? found->code : "nothing");
  if (found) {
    EXPECT_EQ(found->severity, *c.severity);
    EXPECT_EQ(found->code, "weight_for_age");
  }
}

constexpr auto caution = Severity::caution, stop = Severity::stop;
INSTANTIATE_TEST_SUITE_P(
    Ages, WeightQuestion,
    testing::Values(Case{"a newborn", 3.4, 0, {}}, Case{"born early", 0.8, 0, caution},
                    Case{"born very early", 0.3, 3, caution}, Case{"a heavy newborn", 5.3, 0, caution},
                    Case{"grams for kilograms of another", 34, 0, stop}, Case{"five months", 7.5, 152, {}},
                    Case{"five months, born early", 3.2, 152, caution}, Case{"eight months, a tenth", 0.86, 243, stop},
                    Case{"a year", 9.6, 365, {}}, Case{"a year in pounds", 21.2, 365, stop},
                    Case{"two years, born early is over", 5.0, 731, stop}, Case{"five years", 18, 1826, {}},
                    Case{"five years, a tenth", 1.8, 1826, stop}, Case{"five years in pounds", 40.4, 1826, stop},
                    Case{"five years, thin", 12.0, 1826, caution}, Case{"nine years", 28, 3300, {}},
                    Case{"nine years, heavy", 55, 3300, caution}, Case{"twelve years", 40, 4383, {}},
                    Case{"twelve years, light", 19, 4383, caution}, Case{"twelve years, a tenth", 4.0, 4383, stop},
                    Case{"twelve years, heavy", 121, 4383, caution}, Case{"grown", 70, 15000, {}},
                    Case{"grown, light", 29, 15000, caution}, Case{"grown, a tenth", 7, 15000, stop},
                    Case{"grown, heavy", 251, 15000, caution}),
    [](const auto& one) {
      std::string name = one.param.name;
      for (char& c : name)
        if (c == ' ' || c == ',') c = '_';
      return name;
    });

/// What is asked, and what to do about it.
Message asked(Message question) { return say::sentences({std::move(question), say::weigh_again()}); }

TEST(WeightQuestion, SaysTheAgeAndTheLine) {
  EXPECT_EQ(question_weight(patient(1.8, 1826), today)->text,
            asked(say::weight_far_below_chart(1.8 * kilogram, say::age_in_years(5), 12.4 * kilogram)));
  EXPECT_EQ(question_weight(patient(0.8, 2), today)->text,
            asked(say::weight_below_chart_if_not_early(0.8 * kilogram, say::age_in_days(2), 2.08 * kilogram)));
  EXPECT_EQ(question_weight(patient(121, 4383), today)->text,
            asked(say::weight_unusually_high(121.0 * kilogram, say::age_in_years(12), 120.0 * kilogram)));
}

TEST(WeightQuestion, AnUnknownSexIsAskedByBothCurves) {
  // 2.05 kg at birth: below −3 of the boys' curve and above it of the girls'.
  EXPECT_FALSE(question_weight(patient(2.05, 0, Sex::female), today));
  EXPECT_TRUE(question_weight(patient(2.05, 0, Sex::male), today));
  EXPECT_TRUE(question_weight(patient(2.05, 0, Sex::unknown), today));
  EXPECT_TRUE(question_weight(patient(2.05, 0, Sex::other), today));
}

TEST(WeightQuestion, AgesInWholeMonthsAreAskedAtTheEndThatIsKinder) {
  // 5.1 kg fits 3 months to the day; in its fourth month a child of 8.7 kg fits the end.
  EXPECT_FALSE(question_weight(8.9 * kilogram, age_in_whole_months(3), Sex::male));
  EXPECT_TRUE(question_weight(9.8 * kilogram, age_in_whole_months(3), Sex::male));
  EXPECT_FALSE(question_weight(4.6 * kilogram, age_in_whole_months(3), Sex::male));
  EXPECT_TRUE(question_weight(4.2 * kilogram, age_in_whole_months(3), Sex::male));
}

TEST(WeightQuestion, NothingIsAskedOfWhatIsNotKnown) {
  auto p = patient(1.8, 1826);
  p.weight.reset();
  EXPECT_FALSE(question_weight(p, today));
  p = patient(1.8, 1826);
  p.birth_date.reset();
  EXPECT_FALSE(question_weight(p, today));
}

TEST(WeightLook, GivesTheLinesAndSaysWhatItCouldNotLookAt) {
  const auto look = look_at_weight({patient(9.6, 365), today});
  ASSERT_TRUE(look);
  EXPECT_TRUE(look->findings.empty());
  EXPECT_NEAR(*look->z, -0.04, 0.005);
  EXPECT_NEAR(in(*look->median, kilogram), 9.646, 1e-9);
  EXPECT_LT(*look->low, *look->median);
  auto unknown = patient(9.6, 365);
  unknown.birth_date.reset();
  EXPECT_EQ(look_at_weight({unknown, today})->findings.at(0).code, "weight_or_age_unknown");
}

TEST(BirthDate, OfADayToComeIsRefused) {
  FieldErrors errors;
  check_birth_date(std::optional<Date>(today), today, "/patient/birth_date", errors);
  check_birth_date(std::optional<Date>(), today, "/patient/birth_date", errors);
  EXPECT_TRUE(errors.empty());
  check_birth_date(std::optional(before(-1)), today, "/patient/birth_date", errors);
  ASSERT_EQ(errors.size(), 1U);
  EXPECT_EQ(errors[0].path, "/patient/birth_date");
  EXPECT_EQ(errors[0].found, "30 Nov 2026");
  EXPECT_FALSE(look_at_weight({patient(3, -1), today}));
}

TEST(BirthDate, OfTodayInTheEastIsNotToCome) {
  const Instant evening = sys_days(today) + hours{23}, morning = sys_days(today) + hours{8};
  FieldErrors errors;
  check_birth_date(std::optional(before(-1)), evening, "/patient/birth_date", errors);
  EXPECT_TRUE(errors.empty());
  check_birth_date(std::optional(before(-1)), morning, "/patient/birth_date", errors);
  EXPECT_EQ(errors.size(), 1U);
  EXPECT_TRUE(question_weight(patient(0.8, -1), evening));
}

}  // namespace
}  // namespace dwell::growth
