// The limits of a dilution on both sides: of what is typed, and of the entry of its medicine.
#include <gtest/gtest.h>

#include "dosing/dilution.h"
#include "dosing/test_order.h"

namespace dwell::dosing {
namespace {

using namespace test;

Checked<DilutionPlan> planned(const DilutionInput& in, const infusate::Formulary& list) {
  return dilution(in, list, exchange::default_library().policy);
}

TEST(DilutionLimits, OfWhatIsTyped) {
  const auto refuses = [](Mass dose, std::optional<Volume> volume, std::optional<Duration> duration) -> std::string {
    DilutionInput in;
    in.medicine = name;
    in.dose = dose;
    in.volume = volume;
    in.duration = duration;
    const auto plan = planned(in, list_of(medicine()));
    return plan ? "" : plan.error().front().path;
  };
  const Mass dose = 1.0 * gram;
  EXPECT_EQ(refuses(1.0 * milligram, {}, {}), "");
  EXPECT_EQ(refuses(Mass(), {}, {}), "/dose");
  EXPECT_EQ(refuses(100.0 * gram, {}, {}), "");
  EXPECT_EQ(refuses(100.0 * gram * beyond, {}, {}), "/dose");
  EXPECT_EQ(refuses(dose, 1.0 * millilitre, {}), "");
  EXPECT_EQ(refuses(dose, 1.0 * millilitre * within, {}), "/volume");
  EXPECT_EQ(refuses(dose, 5.0 * litre, {}), "");
  EXPECT_EQ(refuses(dose, 5.0 * litre * beyond, {}), "/volume");
  EXPECT_EQ(refuses(dose, {}, 10.0 * second), "");
  EXPECT_EQ(refuses(dose, {}, 10.0 * second * within), "/duration");
  EXPECT_EQ(refuses(dose, {}, 48.0 * hour), "");
  EXPECT_EQ(refuses(dose, {}, 48.0 * hour * beyond), "/duration");
}

TEST(DilutionLimits, OfTheEntry) {
  constexpr Volume some = 64.0 * millilitre;
  const Mass in_all = 64.0 * milligram;
  constexpr MassRate at_one = 1.0 * milligram / minute;
  auto entry = medicine();
  entry.giving->highest_concentration = 1.0 * milligram / millilitre;
  entry.giving->highest_concentration_restricted = 2.0 * milligram / millilitre;
  entry.giving->highest_rate = at_one;
  entry.giving->highest_rate_frail = at_one * 0.5;
  entry.giving->shortest = 1.0 * hour;
  entry.giving->note = "A note.";
  DilutionInput in;
  in.medicine = name;
  in.dose = in_all;
  const auto plan = [&] { return *planned(in, list_of(entry)); };
  const auto told_of = [&](const char* code) -> std::string {
    for (const auto& finding : plan().findings)
      if (finding.code == code) return std::string(json::name_of(finding.severity));
    return "";
  };
  EXPECT_NEAR(double(*plan().least_volume / some), 1, 1e-12);
  EXPECT_NEAR(in_all.value() / plan().least_time->value(), at_one.value(), 1e-18);
  EXPECT_NEAR(double(*plan().flow / (1.0 * millilitre / minute)), 1, 1e-12);
  EXPECT_EQ(told_of("too_strong"), "") << "nothing was typed";
  EXPECT_EQ(told_of("too_fast"), "");
  in.fluid_restricted = true;
  EXPECT_NEAR(double(*plan().least_volume / some), 0.5, 1e-12);
  in.fluid_restricted = false;
  in.frail = true;
  EXPECT_NEAR(double(*plan().least_time / minute), 128, 1e-9);
  in.frail = false;
  in.volume = some;
  in.duration = 64.0 * minute;
  EXPECT_EQ(told_of("too_strong"), "");
  EXPECT_EQ(told_of("too_fast"), "");
  EXPECT_EQ(told_of("note"), "information");
  EXPECT_NEAR(double(*plan().concentration / (1.0 * milligram / millilitre)), 1, 1e-12);
  EXPECT_NEAR(double(*plan().rate / at_one), 1, 1e-12);
  in.volume = some * within;
  EXPECT_EQ(told_of("too_strong"), "stop");
  EXPECT_EQ(told_of("too_fast"), "");
  in.volume = some;
  in.duration = 64.0 * minute * within;
  EXPECT_EQ(told_of("too_fast"), "stop");
  EXPECT_EQ(told_of("too_strong"), "");
  // A small dose still takes the shortest time.
  in.dose = in_all * 0.5;
  in.duration = 1.0 * hour;
  EXPECT_EQ(told_of("too_fast"), "");
  in.duration = 1.0 * hour * within;
  EXPECT_EQ(told_of("too_fast"), "stop");
  entry.giving.reset();
  EXPECT_EQ(told_of("limits_unknown"), "caution");
}

}  // namespace
}  // namespace dwell::dosing
