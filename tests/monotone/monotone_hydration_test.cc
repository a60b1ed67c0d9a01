// Water: more hazard, less knowledge or another order of the same entries never makes an answer milder.
#include "exchange/library.h"
#include "generated.h"
#include "hydration/balance.h"
#include "hydration/body_size.h"
#include "hydration/deficit.h"
#include "hydration/forecast.h"
#include "hydration/kidney.h"
#include "hydration/maintenance.h"
#include "hydration/osmolality.h"
#include "hydration/sodium.h"

namespace dwell::hydration {
namespace {

using monotone::Chance;
using monotone::each_case;
using monotone::gravest;
using monotone::gravity_of;

const policy::Hydration& ward() { return exchange::default_library().policy.hydration; }
const policy::OrderLimits& limits() { return exchange::default_library().policy.order; }

constexpr AmountConcentration mmol_per_litre = AmountConcentration::from_value(1.0);
/// A hair for binary noise.
constexpr double hair = 1e-12;
const std::vector<BodyWaterGroup> groups{BodyWaterGroup::child, BodyWaterGroup::man, BodyWaterGroup::woman,
                                         BodyWaterGroup::older_man, BodyWaterGroup::older_woman};

// ---- maintenance

TEST(MonotoneMaintenance, AHeavierChildGetsMoreAndLessForEachKilogram) {
  each_case([](Chance& chance) {
    const double light = chance.by_magnitude(0.3, 250), heavy = light * chance.by_magnitude(1, 4);
    for (const auto rule : {&four_two_one, &holliday_segar_daily}) {
      const double less = rule(light * kilogram).value(), more = rule(heavy * kilogram).value();
      EXPECT_GE(more, less * (1 - hair));
      EXPECT_LE(more / heavy, less / light * (1 + hair));
    }
  });
}

TEST(MonotoneMaintenance, TheFrailNeverGetMore) {
  each_case([](Chance& chance) {
    MaintenanceInput in;
    in.weight = chance.body_weight();
    const auto usual = maintenance(in, limits());
    in.frail = true;
    const auto frail = maintenance(in, limits());
    ASSERT_TRUE(usual && frail);
    EXPECT_LE(frail->low, usual->low);
    EXPECT_LE(frail->high, usual->high);
    EXPECT_LE(frail->low, frail->high);
  });
}

TEST(MonotoneMaintenance, LighterThanANewbornOrHeavierThanAChildIsNeverMilder) {
  each_case([](Chance& chance) {
    MaintenanceInput in;
    in.rule = chance.coin() ? MaintenanceRule::four_two_one : MaintenanceRule::holliday_segar_daily;
    const bool up = chance.coin();
    const double near = up ? chance.by_magnitude(20, 400) : chance.by_magnitude(0.3, 20);
    const double far = up ? chance.by_magnitude(near, 400) : chance.by_magnitude(0.3, near);
    in.weight = near * kilogram;
    const int nearer = gravest(maintenance(in, limits())->findings);
    in.weight = far * kilogram;
    EXPECT_GE(gravest(maintenance(in, limits())->findings), nearer) << near << " and " << far << " kg";
  });
}

// ---- deficit

std::vector<std::string> all_signs(policy::DehydrationGroup group) {
  std::vector<std::string> signs;
  for (const auto& grade : ward().dehydration)
    if (grade.group == group) signs.insert(signs.end(), grade.signs.begin(), grade.signs.end());
  return signs;
}

DeficitInput by_signs(Chance& chance) {
  DeficitInput in;
  in.weight = chance.body_weight();
  in.group = chance.one_of(std::vector{policy::DehydrationGroup::infant, policy::DehydrationGroup::older_child});
  in.signs = {chance.one_of(all_signs(in.group))};
  return in;
}

TEST(MonotoneDeficit, MoreSignsAreNeverADrynessLess) {
  each_case([](Chance& chance) {
    DeficitInput in = by_signs(chance);
    const auto few = deficit(in, ward());
    for (const auto& sign : chance.some_of(all_signs(in.group))) in.signs.push_back(sign);
    const auto many = deficit(in, ward());
    ASSERT_TRUE(few && many);
    EXPECT_GE(many->share_high, few->share_high);
    EXPECT_GE(many->replacement, few->replacement);
    EXPECT_GE(gravest(many->findings), gravest(few->findings));
  });
}

TEST(MonotoneDeficit, TheOrderOfTheSignsChangesNothing) {
  each_case([](Chance& chance) {
    DeficitInput in = by_signs(chance);
    in.signs = all_signs(in.group);
    const auto one = deficit(in, ward());
    in.signs = chance.shuffled(in.signs);
    const auto other = deficit(in, ward());
    ASSERT_TRUE(one && other);
    EXPECT_EQ(one->grade, other->grade);
    EXPECT_EQ(one->deficit_high, other->deficit_high);
    EXPECT_EQ(one->findings, other->findings);
  });
}

TEST(MonotoneDeficit, MoreMissingMoreSoonAndLessGivenAreNeverLess) {
  each_case([](Chance& chance) {
    DeficitInput in;
    in.weight = chance.body_weight();
    const double share = chance.between(0.005, 0.2);
    in.share = Ratio(share);
    in.over = chance.between(2, 96) * hour;
    in.given = chance.between(0, 1) * litre;
    const auto before = deficit(in, ward());
    ASSERT_TRUE(before);
    auto worse = in;
    worse.share = Ratio(chance.between(share, 0.2));
    worse.over = chance.between(1, static_cast<double>(*in.over / hour)) * hour;
    worse.given = chance.between(0, 1) * *in.given;
    const auto after = deficit(worse, ward());
    ASSERT_TRUE(after);
    EXPECT_GE(after->deficit_high, before->deficit_high);
    EXPECT_GE(after->remaining, before->remaining);
    EXPECT_GE(after->replacement, before->replacement);
    EXPECT_GE(before->remaining, Volume());
  });
}

TEST(MonotoneDeficit, TodaysWeightIsTakenForTheLesserPart) {
  each_case([](Chance& chance) {
    DeficitInput in;
    in.weight = chance.body_weight();
    in.share = Ratio(chance.between(0.005, 0.2));
    const auto before = deficit(in, ward());
    in.weight_is_today = true;
    const auto today = deficit(in, ward());
    ASSERT_TRUE(before && today);
    EXPECT_GT(today->deficit_high, before->deficit_high);
  });
}

TEST(MonotoneDiarrhoea, HeavierIsMoreAndAnInfantIsNeverFaster) {
  each_case([](Chance& chance) {
    const double light = chance.by_magnitude(2, 60), heavy = chance.by_magnitude(light, 60);
    const auto of = [](double kilograms, int months) {
      return *diarrhoea_plan({kilograms * kilogram, months, DiarrhoeaPlan::severe_dehydration});
    };
    const auto infant = of(light, chance.whole(0, 11)), child = of(light, chance.whole(12, 215));
    const auto heavier = of(heavy, chance.whole(12, 215));
    for (std::size_t i = 0; i < 2; ++i) {
      EXPECT_LE(infant.steps[i].flow, child.steps[i].flow);
      EXPECT_GE(heavier.steps[i].volume, child.steps[i].volume);
    }
  });
}

// ---- sodium

SodiumInput any_sodium(Chance& chance) {
  SodiumInput in;
  in.serum_sodium = chance.between(100, 180) * mmol_per_litre;
  in.weight = chance.body_weight();
  in.group = chance.one_of(groups);
  in.infusate_cations = chance.one_of(std::vector{0.0, 77.0, 130.0, 154.0, 513.0}) * mmol_per_litre;
  return in;
}

TEST(MonotoneSodium, MoreOfTheSameFluidIsNeverMilder) {
  each_case([](Chance& chance) {
    SodiumInput in = any_sodium(chance);
    const double litres = chance.by_magnitude(0.01, 10);
    in.volume = litres * litre;
    const auto less = sodium(in, ward());
    in.volume = litres * chance.between(1, 2) * litre;
    const auto more = sodium(in, ward());
    ASSERT_TRUE(less && more);
    EXPECT_GE(gravest(more->findings), gravest(less->findings));
    EXPECT_GE(std::abs(more->change->value()), std::abs(less->change->value()) * (1 - hair));
  });
}

TEST(MonotoneSodium, ALighterBodyIsNeverMilder) {
  each_case([](Chance& chance) {
    SodiumInput in = any_sodium(chance);
    in.volume = chance.by_magnitude(0.01, 10) * litre;
    const auto heavy = sodium(in, ward());
    in.weight = chance.between(0.5, 1) * in.weight;
    if (in.weight < 0.3 * kilogram) in.weight = 0.3 * kilogram;
    const auto light = sodium(in, ward());
    ASSERT_TRUE(heavy && light);
    EXPECT_GE(gravest(light->findings), gravest(heavy->findings));
  });
}

TEST(MonotoneSodium, WantingMoreIsNeverMilder) {
  each_case([](Chance& chance) {
    SodiumInput in = any_sodium(chance);
    const double wanted = chance.between(-30, 30);
    in.wanted = wanted * mmol_per_litre;
    const auto less = sodium(in, ward());
    in.wanted = wanted * chance.between(1, 2) * mmol_per_litre;
    const auto more = sodium(in, ward());
    ASSERT_TRUE(less && more);
    EXPECT_GE(gravest(more->findings), gravest(less->findings));
  });
}

// ---- forecast

ForecastInput any_forecast(Chance& chance) {
  ForecastInput in;
  in.serum_sodium = chance.between(105, 175) * mmol_per_litre;
  in.weight = chance.by_magnitude(3, 250) * kilogram;
  in.group = chance.one_of(groups);
  in.streams = {{"drip", Direction::in, chance.by_magnitude(0.0002, 0.006) * in.weight / kilogram * litre / hour,
                 chance.one_of(std::vector{0.0, 77.0, 154.0, 513.0}) * mmol_per_litre, Duration(), std::nullopt}};
  in.horizon = chance.by_magnitude(3, 36) * hour;
  return in;
}

TEST(MonotoneForecast, MoreOfTheSameFluidIsNeverMilder) {
  each_case([](Chance& chance) {
    auto in = any_forecast(chance);
    const auto less = forecast(in, ward());
    in.streams[0].flow = chance.between(1, 2) * in.streams[0].flow;
    const auto more = forecast(in, ward());
    if (!less || !more)
      return chance.does_not_apply();  // more than doubles the body's water: refused, and refused again
    EXPECT_GE(gravest(more->findings), gravest(less->findings));
    for (const auto& crossing : less->crossings)
      EXPECT_TRUE(std::any_of(more->crossings.begin(), more->crossings.end(), [&](const Crossing& c) {
        return c.code == crossing.code && c.at <= crossing.at;
      })) << crossing.code;
  });
}

TEST(MonotoneForecast, LookingFurtherLosesNoCrossing) {
  each_case([](Chance& chance) {
    auto in = any_forecast(chance);
    const auto near = forecast(in, ward());
    in.horizon = in.horizon * chance.between(1, 1.5);
    const auto far = forecast(in, ward());
    if (!near || !far) return chance.does_not_apply();
    EXPECT_GE(gravest(far->findings), gravest(near->findings));
    EXPECT_GE(far->crossings.size(), near->crossings.size());
  });
}

TEST(MonotoneForecast, TheOrderOfTheStreamsChangesNothing) {
  each_case([](Chance& chance) {
    auto in = any_forecast(chance);
    in.streams.push_back({"urine", Direction::out, 0.3 * in.streams[0].flow, 60.0 * mmol_per_litre, Duration(), {}});
    in.streams.push_back(
        {"breath", Direction::out, 0.1 * in.streams[0].flow, 0.0 * mmol_per_litre, 2.0 * hour, 5.0 * hour});
    const auto one = forecast(in, ward());
    in.streams = chance.shuffled(in.streams);
    const auto other = forecast(in, ward());
    ASSERT_EQ(one.has_value(), other.has_value());
    if (!one) return chance.does_not_apply();
    EXPECT_EQ(gravest(one->findings), gravest(other->findings));
    EXPECT_EQ(one->crossings.size(), other->crossings.size());
  });
}

// ---- balance

const Instant morning = *parse_instant("2026-11-25T06:00:00Z");

BalanceInput any_balance(Chance& chance) {
  BalanceInput in;
  in.from = morning;
  in.until = morning + std::chrono::hours{chance.whole(1, 72)};
  in.weight = chance.body_weight();
  in.child = chance.coin();
  const std::vector<FluidWay> ways{FluidWay::drink, FluidWay::ice,   FluidWay::infusion, FluidWay::blood,
                                   FluidWay::urine, FluidWay::vomit, FluidWay::drain};
  for (int i = chance.whole(1, 12); i > 0; --i)
    in.entries.push_back({morning + std::chrono::minutes{chance.whole(0, 70 * 60)}, chance.one_of(ways),
                          chance.by_magnitude(0.001, 2) * litre});
  in.entries.push_back({morning, FluidWay::urine, chance.by_magnitude(0.001, 2) * litre});
  return in;
}

TEST(MonotoneBalance, MoreInIsNeverMilder) {
  each_case([](Chance& chance) {
    auto in = any_balance(chance);
    const auto less = balance(in, ward());
    in.entries.push_back({morning, FluidWay::infusion, chance.by_magnitude(0.01, 5) * litre});
    const auto more = balance(in, ward());
    ASSERT_TRUE(less && more);
    EXPECT_GE(gravity_of(more->findings, "overload"), gravity_of(less->findings, "overload"));
    EXPECT_GE(gravest(more->findings), gravest(less->findings));
  });
}

TEST(MonotoneBalance, LessUrineAndNoneChartedAreNeverMilder) {
  each_case([](Chance& chance) {
    auto in = any_balance(chance);
    const auto full = balance(in, ward());
    for (auto& entry : in.entries)
      if (entry.way == FluidWay::urine) entry.volume = chance.between(0, 1) * entry.volume;
    const auto less = balance(in, ward());
    std::erase_if(in.entries, [](const FluidEntry& entry) { return entry.way == FluidWay::urine; });
    const auto none = balance(in, ward());
    ASSERT_TRUE(full && less && none);
    EXPECT_GE(gravest(less->findings), gravest(full->findings));
    EXPECT_GE(gravest(none->findings), gravest(less->findings));
    EXPECT_GE(gravest(none->findings), static_cast<int>(Severity::caution));
  });
}

TEST(MonotoneBalance, AnUnknownWeightIsSaid) {
  each_case([](Chance& chance) {
    auto in = any_balance(chance);
    in.weight.reset();
    EXPECT_GE(gravity_of(balance(in, ward())->findings, "no_weight"), static_cast<int>(Severity::caution));
  });
}

TEST(MonotoneBalance, ALighterBodyHasGainedMore) {
  each_case([](Chance& chance) {
    auto in = any_balance(chance);
    const auto heavy = balance(in, ward());
    in.weight = *in.weight * chance.between(0.3, 1);
    if (*in.weight < 0.3 * kilogram) in.weight = 0.3 * kilogram;
    const auto light = balance(in, ward());
    ASSERT_TRUE(heavy && light);
    EXPECT_GE(gravity_of(light->findings, "overload"), gravity_of(heavy->findings, "overload"));
  });
}

TEST(MonotoneBalance, AChildsKidneysAreAskedForMore) {
  each_case([](Chance& chance) {
    auto in = any_balance(chance);
    in.child = false;
    const auto grown = balance(in, ward());
    in.child = true;
    const auto child = balance(in, ward());
    ASSERT_TRUE(grown && child);
    EXPECT_GE(gravity_of(child->findings, "little_urine"), gravity_of(grown->findings, "little_urine"));
  });
}

TEST(MonotoneBalance, TheOrderOfTheEntriesChangesNothing) {
  each_case([](Chance& chance) {
    auto in = any_balance(chance);
    const auto one = balance(in, ward());
    in.entries = chance.shuffled(in.entries);
    const auto other = balance(in, ward());
    ASSERT_TRUE(one && other);
    EXPECT_NEAR(one->balance.value(), other->balance.value(), 1e-15);
    EXPECT_EQ(gravest(one->findings), gravest(other->findings));
  });
}

// ---- osmolality, size, kidneys

TEST(MonotoneOsmolality, MoreInTheSerumIsNeverLessDry) {
  each_case([](Chance& chance) {
    OsmolalityInput in{chance.between(120, 160) * mmol_per_litre,
                       chance.between(2, 7) * mmol_per_litre,
                       chance.between(2, 30) * mmol_per_litre,
                       chance.between(1, 30) * mmol_per_litre,
                       {}};
    const bool measured = chance.coin();
    const double osmoles = chance.between(270, 320);
    if (measured) in.measured = osmoles * milliosmole_per_litre;
    const auto before = osmolality(in, ward());
    in.sodium = in.sodium + chance.between(0, 20) * mmol_per_litre;
    in.potassium = in.potassium + chance.between(0, 4) * mmol_per_litre;
    in.glucose = in.glucose + chance.between(0, 30) * mmol_per_litre;
    in.urea = in.urea + chance.between(0, 30) * mmol_per_litre;
    if (measured) in.measured = (osmoles + chance.between(0, 30)) * milliosmole_per_litre;
    const auto after = osmolality(in, ward());
    ASSERT_TRUE(before && after);
    EXPECT_GE(static_cast<int>(after->reading), static_cast<int>(before->reading));
    EXPECT_GE(gravest(after->findings), gravest(before->findings));
  });
}

TEST(MonotoneBodySize, MoreBodyIsMoreSurfaceAndWater) {
  each_case([](Chance& chance) {
    BodySizeInput in;
    const double centimetres = chance.between(45, 200);
    in.height = centimetres * centimetre;
    in.weight = chance.body_weight();
    in.sex = chance.coin() ? FormulaSex::female : FormulaSex::male;
    in.age_years = chance.whole(18, 100);
    const auto small = body_size(in);
    in.height = centimetres * chance.between(1, 1.2) * centimetre;
    in.weight = in.weight * chance.between(1, 1.5);
    const auto large = body_size(in);
    ASSERT_TRUE(small && large);
    EXPECT_GE(large->surface_mosteller, small->surface_mosteller);
    EXPECT_GE(large->surface_du_bois, small->surface_du_bois);
    EXPECT_GE(*large->body_water, *small->body_water);
    if (large->adjusted_weight) {
      EXPECT_GE(*large->adjusted_weight, *large->ideal_weight);
      EXPECT_LE(*large->adjusted_weight, in.weight);
    }
  });
}

TEST(MonotoneKidney, MoreCreatinineOrMoreYearsIsNeverABetterKidney) {
  each_case([](Chance& chance) {
    KidneyInput in;
    in.age_years = chance.whole(18, 110);
    in.weight = chance.by_magnitude(20, 250) * kilogram;
    in.sex = chance.coin() ? FormulaSex::female : FormulaSex::male;
    const double creatinine = chance.by_magnitude(0.1, 15);
    in.creatinine = creatinine * MassConcentration::from_value(0.01);
    const auto before = kidney(in);
    in.age_years += chance.whole(0, 15);
    in.creatinine = creatinine * chance.between(1, 2) * MassConcentration::from_value(0.01);
    const auto after = kidney(in);
    ASSERT_TRUE(before && after);
    EXPECT_LE(after->clearance.value(), before->clearance.value() * (1 + hair));
    EXPECT_LE(after->filtration_for_1_73_m2.value(), before->filtration_for_1_73_m2.value() * (1 + hair));
  });
}

TEST(MonotoneKidney, MilligramsAndMicromolesAreOneCreatinine) {
  each_case([](Chance& chance) {
    KidneyInput in;
    in.age_years = chance.whole(18, 110);
    in.weight = chance.by_magnitude(20, 250) * kilogram;
    const double creatinine = chance.by_magnitude(0.2, 15);
    in.creatinine = creatinine * MassConcentration::from_value(0.01);
    const auto by_mass = kidney(in);
    in.creatinine.reset();
    in.creatinine_by_amount = creatinine * 88.4 * AmountConcentration::from_value(0.001);
    const auto by_amount = kidney(in);
    ASSERT_TRUE(by_mass && by_amount);
    EXPECT_NEAR(by_mass->clearance / by_amount->clearance, 1, 1e-9);
    EXPECT_EQ(gravest(by_mass->findings), gravest(by_amount->findings));
  });
}

}  // namespace
}  // namespace dwell::hydration
