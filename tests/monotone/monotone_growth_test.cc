// Weight for age: further from the chart is never milder, nor is knowing less; older is never milder for a light child.
#include "engine/engine.h"
#include "exchange/library.h"
#include "exchange/said/said.h"
#include "generated.h"
#include "growth/weight_question.h"
#include "quantity/display.h"
#include "say/growth.h"

namespace dwell::growth {
namespace {

using line::Sex;
using monotone::Chance;
using monotone::each_case;
using std::chrono::days;

constexpr Date today{std::chrono::year{2026} / 11 / 29};
const std::vector<Sex> sexes{Sex::female, Sex::male, Sex::other, Sex::unknown};

int gravity(const std::optional<Finding>& found) { return found ? static_cast<int>(found->severity) : -1; }

Age exactly(int day) { return {days{day}, days{day}, say::age_in_days(day)}; }
/// Newborns and infants as often as the rest.
Age any_age(Chance& chance) { return exactly(chance.coin() ? chance.whole(0, 730) : chance.whole(0, 35000)); }
/// A weight at which nobody of that age is asked about.
double usual(const Age& age) {
  if (age.least >= last_day) return 45;
  const auto girls = weight_for_age(Curve::girls, age.least), boys = weight_for_age(Curve::boys, age.least);
  return (in(girls->m, kilogram) + in(boys->m, kilogram)) / 2;
}

TEST(MonotoneGrowth, LighterThanUsualIsNeverMilder) {
  each_case([](Chance& chance) {
    const Age age = any_age(chance);
    const Sex sex = chance.one_of(sexes);
    const double heavier = chance.by_magnitude(0.3, usual(age)), lighter = chance.by_magnitude(0.3, heavier);
    EXPECT_GE(gravity(question_weight(lighter * kilogram, age, sex)),
              gravity(question_weight(heavier * kilogram, age, sex)))
        << lighter << " and " << heavier << " kg at " << said::in_english(age.text);
  });
}

TEST(MonotoneGrowth, HeavierThanUsualIsNeverMilder) {
  each_case([](Chance& chance) {
    const Age age = any_age(chance);
    const Sex sex = chance.one_of(sexes);
    const double lighter = chance.by_magnitude(usual(age), 400), heavier = chance.by_magnitude(lighter, 400);
    EXPECT_GE(gravity(question_weight(heavier * kilogram, age, sex)),
              gravity(question_weight(lighter * kilogram, age, sex)))
        << lighter << " and " << heavier << " kg at " << said::in_english(age.text);
  });
}

TEST(MonotoneGrowth, AnUnknownSexIsNeverMilder) {
  each_case([](Chance& chance) {
    const Age age = any_age(chance);
    const auto weight = chance.body_weight();
    const int unknown = gravity(question_weight(weight, age, Sex::unknown));
    EXPECT_GE(unknown, gravity(question_weight(weight, age, Sex::female)));
    EXPECT_GE(unknown, gravity(question_weight(weight, age, Sex::male)));
    EXPECT_EQ(unknown, gravity(question_weight(weight, age, Sex::other)));
  });
}

// From the third week on; in the first days children lose weight.
TEST(MonotoneGrowth, ALightChildIsNotJudgedMilderForBeingOlder) {
  each_case([](Chance& chance) {
    const int day = chance.whole(14, 3650), later = day + chance.whole(1, 2000);
    const Sex sex = chance.one_of(sexes);
    const auto weight = chance.by_magnitude(0.3, usual(exactly(day))) * kilogram;
    EXPECT_GE(gravity(question_weight(weight, exactly(later), sex)),
              gravity(question_weight(weight, exactly(day), sex)))
        << in(weight, kilogram) << " kg at " << day << " and " << later << " d";
  });
}

TEST(MonotoneGrowth, ALightNewbornIsAskedAboutAndNeverStopped) {
  each_case([](Chance& chance) {
    const Age age = exactly(chance.whole(0, 139));
    const auto weight = chance.by_magnitude(0.3, 1.4) * kilogram;
    EXPECT_EQ(gravity(question_weight(weight, age, chance.one_of(sexes))), static_cast<int>(Severity::caution));
  });
}

TEST(MonotoneGrowth, MoreWeightIsMoreDeviations) {
  each_case([](Chance& chance) {
    const auto at = weight_for_age(chance.coin() ? Curve::girls : Curve::boys, days{chance.whole(0, 3652)});
    const double lighter = chance.by_magnitude(0.3, 200), heavier = lighter * chance.by_magnitude(1.001, 10);
    EXPECT_GT(z_score(*at, heavier * kilogram), z_score(*at, lighter * kilogram));
  });
}

TEST(MonotoneGrowth, WhatIsNotKnownIsSaid) {
  each_case([](Chance& chance) {
    line::Patient patient;
    patient.sex = chance.one_of(sexes);
    if (chance.coin())
      patient.weight = chance.body_weight();
    else if (chance.coin())
      patient.birth_date = Date{std::chrono::sys_days(today) - days{chance.whole(0, 35000)}};
    const auto look = look_at_weight({patient, today});
    ASSERT_TRUE(look);
    EXPECT_GE(monotone::gravest(look->findings), static_cast<int>(Severity::caution));
  });
}

TEST(MonotoneGrowth, KilogramsAndGramsAreOneWeight) {
  each_case([](Chance& chance) {
    const int grams = 10 * chance.whole(30, 25000);
    const auto asked = [&](const std::string& weight) {
      line::Patient patient;
      patient.birth_date = Date{std::chrono::sys_days(today) - days{grams % 4000}};
      json::Value input = json::encode(WeightInput{patient, today});
      input.as_object().at("patient").as_object()["weight"] = weight;
      return engine::call_text("growth.weight", json::to_text(input), exchange::default_library());
    };
    EXPECT_EQ(asked(std::to_string(grams) + " g"), asked(show_number(grams / 1000.0, 2) + " kg"));
  });
}

}  // namespace
}  // namespace dwell::growth
