// The range of every number that is typed: what stands at its end is taken, a hair beyond is refused by its name.
#include <gtest/gtest.h>

#include "dosing/order.h"
#include "dosing/push.h"
#include "dosing/rate.h"
#include "dosing/secondary.h"
#include "dosing/transfusion.h"
#include "exchange/library.h"
#include "quantity/display.h"

namespace dwell::dosing {
namespace {

constexpr double beyond = 1 + 1e-6, within = 1 - 1e-6;

const auto& ward() { return exchange::default_library(); }

template <class Answer>
bool refuses(const Answer& answer, const std::string& path) {
  return !answer && std::any_of(answer.error().begin(), answer.error().end(),
                                [&](const FieldError& error) { return error.path == path; });
}

/// ask(value) answers with the value in its field.
template <class Quantity, class Ask>
void expect_from(Quantity low, const char* path, Ask ask) {
  EXPECT_FALSE(refuses(ask(low), path)) << path;
  EXPECT_TRUE(refuses(ask(Quantity(low * within)), path)) << path;
}
template <class Quantity, class Ask>
void expect_to(Quantity high, const char* path, Ask ask) {
  EXPECT_FALSE(refuses(ask(high), path)) << path;
  EXPECT_TRUE(refuses(ask(Quantity(high * beyond)), path)) << path;
}
template <class Quantity, class Ask>
void expect_range(Quantity low, Quantity high, const char* path, Ask ask) {
  expect_from(low, path, ask);
  expect_to(high, path, ask);
}
template <class Quantity, class Ask>
void expect_above_nothing(Quantity little, const char* path, Ask ask) {
  EXPECT_FALSE(refuses(ask(little), path)) << path;
  EXPECT_TRUE(refuses(ask(Quantity()), path)) << path;
}

TEST(InputLimits, Rate) {
  const auto of = [](std::optional<Volume> volume, std::optional<Duration> duration, std::optional<Flow> flow) {
    return rate({volume, duration, flow, std::nullopt, std::nullopt});
  };
  expect_range(0.1 * millilitre, 20.0 * litre, "/volume", [&](Volume v) { return of(v, 1.0 * hour, {}); });
  expect_range(10.0 * second, 14.0 * day, "/duration", [&](Duration d) { return of(1.0 * litre, d, {}); });
  expect_range(0.1 * millilitre / hour, 60.0 * litre / hour, "/flow", [&](Flow f) { return of(1.0 * litre, {}, f); });
  expect_range(5.0 * drop / millilitre, 100.0 * drop / millilitre, "/drop_factor", [](DropFactor f) {
    return rate({1.0 * litre, 8.0 * hour, std::nullopt, f, std::nullopt});
  });
  EXPECT_EQ(of({}, {}, 1.0 * litre / hour).error().size(), 2u);
  EXPECT_EQ(of({}, {}, {}).error().size(), 3u);
}

TEST(InputLimits, AllThreeOfARateAgreeWithinOneInAHundred) {
  const auto of = [](double share) {
    return rate({1.0 * litre, 8.0 * hour, share * (1.0 * litre / (8.0 * hour)), std::nullopt, std::nullopt});
  };
  for (const double share : {0.9901, 1.0099}) EXPECT_TRUE(of(share)) << share;
  for (const double share : {0.9899, 1.0101}) EXPECT_FALSE(of(share)) << share;
}

TEST(InputLimits, Dose) {
  DoseInput in;
  in.dose = 5;
  in.dose_unit = DoseUnit::mcg_per_kg_min;
  in.bag.mass = 200.0 * milligram;
  in.bag.volume = 250.0 * millilitre;
  in.weight = 70.0 * kilogram;
  expect_range(0.3 * kilogram, 400.0 * kilogram, "/weight", [&](BodyWeight weight) {
    in.weight = weight;
    return dose_rate(in);
  });
  in.weight = 70.0 * kilogram;
  expect_range(0.5 * millilitre, 10.0 * litre, "/bag/volume", [&](Volume volume) {
    auto other = in;
    other.bag.volume = volume;
    return dose_rate(other);
  });
  auto back = in;
  back.dose.reset();
  expect_range(0.05 * millilitre / hour, 2000.0 * millilitre / hour, "/flow", [&](Flow flow) {
    back.flow = flow;
    return dose_rate(back);
  });
  in.dose = 0;
  EXPECT_TRUE(refuses(dose_rate(in), "/dose"));
  in.dose = 1;
  in.flow = 10.0 * millilitre / hour;
  EXPECT_TRUE(refuses(dose_rate(in), "/dose"));
  in.dose.reset();
  in.flow.reset();
  EXPECT_TRUE(refuses(dose_rate(in), "/dose"));
}

TEST(InputLimits, ADoseMayRunUpToTheFastestRateOfAPump) {
  DoseInput in;
  in.dose_unit = DoseUnit::mg_per_h;
  in.bag.mass = 1000.0 * milligram;
  in.bag.volume = 1.0 * litre;
  in.dose = 1999.999;
  EXPECT_TRUE(dose_rate(in));
  in.dose = 2000.001;
  EXPECT_TRUE(refuses(dose_rate(in), "/dose"));
}

TEST(InputLimits, ABagHoldsOneAmountOfTheDosesKind) {
  const auto of = [](DoseUnit unit, std::optional<Mass> mass, std::optional<BiologicalUnits> units,
                     std::optional<Amount> amount) {
    DoseInput in;
    in.dose = 1;
    in.dose_unit = unit;
    in.bag = {mass, units, amount, 1.0 * litre};
    return dose_rate(in);
  };
  const auto mass = 1000.0 * milligram;
  const auto units = 1000.0 * biological_unit;
  const auto amount = 1000.0 * millimole;
  EXPECT_TRUE(of(DoseUnit::mg_per_h, mass, {}, {}));
  EXPECT_TRUE(of(DoseUnit::units_per_h, {}, units, {}));
  EXPECT_TRUE(of(DoseUnit::mmol_per_h, {}, {}, amount));
  for (const auto unit : {DoseUnit::mg_per_h, DoseUnit::units_per_h, DoseUnit::mmol_per_h}) {
    EXPECT_TRUE(refuses(of(unit, {}, {}, {}), "/bag"));
    EXPECT_TRUE(refuses(of(unit, mass, units, {}), "/bag"));
    EXPECT_TRUE(refuses(of(unit, mass, {}, amount), "/bag"));
    EXPECT_TRUE(refuses(of(unit, {}, units, amount), "/bag"));
    EXPECT_TRUE(refuses(of(unit, mass, units, amount), "/bag"));
    EXPECT_EQ(refuses(of(unit, mass, {}, {}), "/bag"), unit != DoseUnit::mg_per_h);
    EXPECT_EQ(refuses(of(unit, {}, units, {}), "/bag"), unit != DoseUnit::units_per_h);
    EXPECT_EQ(refuses(of(unit, {}, {}, amount), "/bag"), unit != DoseUnit::mmol_per_h);
  }
  EXPECT_TRUE(refuses(of(DoseUnit::mg_per_h, Mass(), {}, {}), "/bag"));
  EXPECT_TRUE(refuses(of(DoseUnit::units_per_h, {}, BiologicalUnits(), {}), "/bag"));
  EXPECT_TRUE(refuses(of(DoseUnit::mmol_per_h, {}, {}, Amount()), "/bag"));
  EXPECT_EQ(of(DoseUnit::mg_per_h, {}, {}, {}).error().front().found, "");
  EXPECT_EQ(of(DoseUnit::mg_per_h, {}, units, {}).error().front().found, show(units));
}

TEST(InputLimits, Push) {
  const PushInput usual{10.0 * millilitre, 5.0 * minute, 1.0 * millilitre, std::nullopt, std::nullopt};
  const auto of = [&](auto change) {
    auto in = usual;
    change(in);
    return push_plan(in);
  };
  expect_range(0.1 * millilitre, 100.0 * millilitre, "/volume",
               [&](Volume volume) { return of([&](PushInput& in) { in.volume = volume; }); });
  expect_range(5.0 * second, 1.0 * hour, "/over",
               [&](Duration over) { return of([&](PushInput& in) { in.over = over; }); });
  expect_range(0.05 * millilitre, 10.0 * millilitre, "/step",
               [&](Volume step) { return of([&](PushInput& in) { in.step = step; }); });
  expect_range(0.3 * kilogram, 400.0 * kilogram, "/weight",
               [&](BodyWeight weight) { return of([&](PushInput& in) { in.weight = weight; }); });
  expect_above_nothing(1.0 * milligram, "/dose", [&](Mass dose) { return of([&](PushInput& in) { in.dose = dose; }); });
  expect_above_nothing(1.0 * milligram / minute, "/highest_rate", [&](MassRate rate) {
    return of([&](PushInput& in) {
      in.dose = 1.0 * milligram;
      in.highest_rate = rate;
    });
  });
  EXPECT_TRUE(refuses(of([](PushInput& in) { in.highest_rate = 1.0 * milligram / minute; }), "/dose"));
  // At most 200 steps; a step of the least size is never too large for a syringe that holds little.
  EXPECT_TRUE(refuses(of([](PushInput& in) { in.volume = 20.1 * millilitre, in.step = 0.1 * millilitre; }), "/step"));
  const auto most = of([](PushInput& in) { in.volume = 16.0 * millilitre, in.step = 0.08 * millilitre; });
  ASSERT_TRUE(most);
  EXPECT_EQ(most->steps.size(), 200u);
}

TEST(InputLimits, Secondary) {
  SecondaryInput usual;
  usual.primary_left = 500.0 * millilitre;
  usual.primary_flow = 125.0 * millilitre / hour;
  usual.secondary_volume = 100.0 * millilitre;
  usual.secondary_flow = 200.0 * millilitre / hour;
  const auto volume = [&](Volume SecondaryInput::*field, const char* path) {
    expect_range(0.1 * millilitre, 20.0 * litre, path, [&](Volume value) {
      auto in = usual;
      in.*field = value;
      return secondary_plan(in);
    });
  };
  const auto flow = [&](Flow SecondaryInput::*field, const char* path) {
    expect_range(0.1 * millilitre / hour, 60.0 * litre / hour, path, [&](Flow value) {
      auto in = usual;
      in.*field = value;
      return secondary_plan(in);
    });
  };
  volume(&SecondaryInput::primary_left, "/primary_left");
  volume(&SecondaryInput::secondary_volume, "/secondary_volume");
  flow(&SecondaryInput::primary_flow, "/primary_flow");
  flow(&SecondaryInput::secondary_flow, "/secondary_flow");
}

TEST(InputLimits, Transfusion) {
  TransfusionInput usual;
  usual.volume = 350.0 * millilitre;
  usual.over = 3.0 * hour;
  const auto of = [&](auto change) {
    auto in = usual;
    change(in);
    return transfusion_plan(in, ward().policy.order);
  };
  expect_to(1.0 * litre, "/volume", [&](Volume volume) { return of([&](auto& in) { in.volume = volume; }); });
  expect_from(10.0 * millilitre, "/volume", [&](Volume volume) { return of([&](auto& in) { in.volume = volume; }); });
  expect_range(5.0 * minute, 12.0 * hour, "/over",
               [&](Duration over) { return of([&](auto& in) { in.over = over; }); });
  expect_range(0.3 * kilogram, 400.0 * kilogram, "/weight",
               [&](BodyWeight weight) { return of([&](auto& in) { in.weight = weight; }); });
  expect_range(5.0 * drop / millilitre, 100.0 * drop / millilitre, "/drop_factor",
               [&](DropFactor factor) { return of([&](auto& in) { in.drop_factor = factor; }); });
  // The period is short where the flow is high: only the range of the flow itself is asked here.
  expect_above_nothing(1.0 * millilitre / hour, "/first_flow",
                       [&](Flow flow) { return of([&](auto& in) { in.first_flow = flow; }); });
  expect_to(60.0 * litre / hour, "/first_flow",
            [&](Flow flow) { return of([&](auto& in) { in.first_flow = flow, in.first_period = 1.0 * second; }); });
}

TEST(InputLimits, ASlowStartIsShorterAndLessThanTheWhole) {
  TransfusionInput usual;
  usual.volume = 350.0 * millilitre;
  usual.over = 3.0 * hour;
  const auto of = [&](Duration period, Flow flow) {
    auto in = usual;
    in.first_period = period;
    in.first_flow = flow;
    return transfusion_plan(in, ward().policy.order);
  };
  EXPECT_TRUE(of(Duration(), 50.0 * millilitre / hour));
  EXPECT_TRUE(refuses(of(-1.0 * second, 50.0 * millilitre / hour), "/first_period"));
  EXPECT_TRUE(of(3.0 * hour * within, 50.0 * millilitre / hour));
  EXPECT_TRUE(refuses(of(3.0 * hour, 50.0 * millilitre / hour), "/first_period"));
  EXPECT_TRUE(of(1.0 * hour, 349.0 * millilitre / hour));
  EXPECT_TRUE(refuses(of(1.0 * hour, 351.0 * millilitre / hour), "/first_flow"));
  // A whole that both sides hold without a remainder.
  usual.volume = Volume::from_value(0.0009765625);
  EXPECT_TRUE(refuses(of(Duration::from_value(4096), Flow::from_value(0.0009765625 / 4096)), "/first_flow"));
}

TEST(InputLimits, ATransfusionDoesNotStartBeforeItLeftStorage) {
  TransfusionInput in;
  in.volume = 350.0 * millilitre;
  in.over = 3.0 * hour;
  in.start = *parse_instant("2026-11-25T12:00:00Z");
  in.left_storage = in.start;
  EXPECT_TRUE(transfusion_plan(in, ward().policy.order));
  *in.left_storage += std::chrono::milliseconds{1};
  EXPECT_TRUE(refuses(transfusion_plan(in, ward().policy.order), "/start"));
}

TEST(InputLimits, TheWeightOfAnOrder) {
  OrderCheckInput in;
  in.order.mixture = {"sodium chloride 0.9 %", 100.0 * millilitre, {}};
  in.order.duration = 8.0 * hour;
  in.now = *parse_instant("2026-11-25T12:00:00Z");
  expect_range(0.3 * kilogram, 400.0 * kilogram, "/patient/weight", [&](BodyWeight weight) {
    in.patient.weight = weight;
    return check_order(in, ward().infusates, ward().policy);
  });
}

}  // namespace
}  // namespace dwell::dosing
