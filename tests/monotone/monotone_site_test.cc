// The site as looked at: another sign, a wider swelling, a worse drug, more of it or less knowledge is never milder.
// Asked as every host asks, through the engine.
#include "engine/engine.h"
#include "exchange/library.h"
#include "generated.h"
#include "site/grade.h"

namespace dwell::site {
namespace {

using infusate::HarmClass;
using monotone::Chance;
using monotone::each_case;

const std::vector<HarmClass> harms{HarmClass::harmless, HarmClass::irritant, HarmClass::vesicant, HarmClass::unknown};

std::vector<Sign> all_signs() {
  std::vector<Sign> all;
  boost::mp11::mp_for_each<boost::describe::describe_enumerators<Sign>>([&](auto sign) { all.push_back(sign.value); });
  return all;
}

struct Looked {
  Signs signs;
  Exposure exposure;
};

Looked any_look(Chance& chance) {
  Looked look;
  look.signs.assessed = true;
  for (int i = chance.whole(0, 4); i > 0; --i) {
    const Sign sign = chance.one_of(all_signs());
    if (std::find(look.signs.present.begin(), look.signs.present.end(), sign) == look.signs.present.end())
      look.signs.present.push_back(sign);
  }
  const auto has = [&](Sign sign) {
    return std::find(look.signs.present.begin(), look.signs.present.end(), sign) != look.signs.present.end();
  };
  if (has(Sign::swelling) && chance.coin()) look.signs.swelling_extent = chance.between(1, 300) * millimetre;
  if (has(Sign::palpable_cord) && chance.coin()) look.signs.cord_length = chance.between(1, 200) * millimetre;
  look.exposure.harm = chance.one_of(harms);
  if (chance.coin()) look.exposure.flow = chance.by_magnitude(1, 500) * millilitre / hour;
  if (chance.coin()) look.exposure.since_last_sound_check = Interval{chance.whole(60, 12 * 3600)};
  return look;
}

json::Object assessed(const Looked& look) {
  const auto answer = engine::call(
      "site.assess", json::Object{{"signs", json::encode(look.signs)}, {"exposure", json::encode(look.exposure)}},
      exchange::default_library());
  EXPECT_TRUE(answer.has_value());
  return answer ? answer->as_object() : json::Object{};
}

/// The grade of each scale; 100 where no grade describes the signs and a person must judge.
std::vector<int> grades(const json::Object& assessment) {
  std::vector<int> out;
  for (const auto& one : assessment.at("grades").as_array()) {
    const auto* grade = one.as_object().if_contains("grade");
    out.push_back(grade && grade->is_int64() ? static_cast<int>(grade->as_int64()) : 100);
  }
  EXPECT_FALSE(out.empty());
  return out;
}

int gravest(const json::Object& assessment) {
  int worst = -1;
  for (const auto& finding : assessment.at("findings").as_array()) {
    const auto severity = finding.at("severity").as_string();
    worst = std::max(worst, severity == "stop" ? 2 : severity == "caution" ? 1 : 0);
  }
  return worst;
}

TEST(MonotoneSite, AnotherSignNeverLowersAGrade) {
  each_case([](Chance& chance) {
    Looked look = any_look(chance);
    const auto before = grades(assessed(look));
    look.signs.present.push_back(chance.one_of(all_signs()));
    const auto after = grades(assessed(look));
    ASSERT_EQ(before.size(), after.size());
    for (std::size_t i = 0; i < before.size(); ++i)
      if (before[i] < 100) {
        EXPECT_GE(after[i], before[i]) << json::to_text(json::encode(look.signs));
      }
  });
}

TEST(MonotoneSite, AnotherSignNeverTakesAWarningAway) {
  each_case([](Chance& chance) {
    Looked look = any_look(chance);
    const auto before = assessed(look);
    look.signs.present.push_back(chance.one_of(
        std::vector{Sign::numbness, Sign::poor_circulation, Sign::pus, Sign::blister_or_skin_loss, Sign::streak}));
    const auto after = assessed(look);
    if (before.if_contains("response")) {
      EXPECT_TRUE(after.if_contains("response"));
    }
    if (gravest(before) == 2) {
      EXPECT_EQ(gravest(after), 2);
    }
  });
}

TEST(MonotoneSite, TheOrderOfTheSignsChangesNothing) {
  each_case([](Chance& chance) {
    Looked look = any_look(chance);
    const auto one = assessed(look);
    look.signs.present = chance.shuffled(look.signs.present);
    const auto other = assessed(look);
    EXPECT_EQ(grades(one), grades(other));
    EXPECT_EQ(gravest(one), gravest(other));
    EXPECT_EQ(one.contains("response"), other.contains("response"));
    if (one.contains("response")) {
      EXPECT_EQ(one.at("response"), other.at("response"));
    }
  });
}

TEST(MonotoneSite, AWiderSwellingIsNeverALowerGrade) {
  each_case([](Chance& chance) {
    Looked look = any_look(chance);
    look.signs.present = {Sign::swelling, chance.one_of(all_signs())};
    const double millimetres = chance.between(1, 200);
    look.signs.cord_length.reset();
    look.signs.swelling_extent = millimetres * millimetre;
    const auto narrow = grades(assessed(look));
    look.signs.swelling_extent = millimetres * chance.between(1, 4) * millimetre;
    const auto wide = grades(assessed(look));
    for (std::size_t i = 0; i < narrow.size(); ++i)
      if (narrow[i] < 100) {
        EXPECT_GE(wide[i], narrow[i]);
      }
  });
}

TEST(MonotoneSite, AVesicantIsNeverALowerGradeThanWater) {
  each_case([](Chance& chance) {
    Looked look = any_look(chance);
    look.exposure.harm = HarmClass::harmless;
    const auto water = grades(assessed(look));
    look.exposure.harm = HarmClass::vesicant;
    const auto vesicant = grades(assessed(look));
    for (std::size_t i = 0; i < water.size(); ++i)
      if (water[i] < 100) {
        EXPECT_GE(vesicant[i], water[i]);
      }
  });
}

TEST(MonotoneSite, MoreRanMoreCanHaveLeaked) {
  each_case([](Chance& chance) {
    Looked look = any_look(chance);
    look.signs.present = {Sign::swelling};
    look.signs.swelling_extent.reset();
    look.signs.cord_length.reset();
    const double rate = chance.by_magnitude(1, 500);
    const int seconds = chance.whole(60, 40000);
    const auto leaked = [&](double per_hour, int over) {
      look.exposure.flow = per_hour * millilitre / hour;
      look.exposure.since_last_sound_check = Interval{over};
      return assessed(look).at("worst_leaked_volume").at("value").to_number<double>();
    };
    const double less = leaked(rate, seconds);
    EXPECT_GE(leaked(rate * chance.between(1, 3), seconds + chance.whole(0, 40000)), less);
  });
}

TEST(MonotoneSite, NotLookedAtIsNeverGradeNought) {
  each_case([](Chance& chance) {
    Looked look = any_look(chance);
    look.signs = {};
    for (const int grade : grades(assessed(look))) EXPECT_EQ(grade, 100);
  });
}

}  // namespace
}  // namespace dwell::site
