// Flow through catheters and lines: the regression table of the model, and published measurements from outside.
// The model's constants are not fitted to any of them. Errors found are printed; docs/flow.md tabulates them.
#include <gtest/gtest.h>

#include <cmath>
#include <iostream>

#include "flow/path.h"
#include "quantity/display.h"

namespace dwell::flow {
namespace {

constexpr Flow mL_per_min = millilitre / minute;

Path line(double bore_mm, double length_mm, double height_m, bool with_set) {
  Path path;
  path.fluid = with_set ? Fluid{1.02 * millipascal_second, 1004.6 * kilogram_per_cubic_metre}
                        : Fluid{0.9544 * millipascal_second, 997.8 * kilogram_per_cubic_metre};
  path.bag_height = height_m * metre;
  if (with_set) path.tubing = {{3.0 * millimetre, 1.8 * metre}};
  path.catheter = {bore_mm * millimetre, length_mm * millimetre};
  return path;
}

double predicted(const Path& path) { return in(solve(path)->flow, mL_per_min); }

struct Row {
  const char* name;
  double bore, length, alone, at_0_91, at_1_75, with_cuff;
};

class ModelTable : public testing::TestWithParam<Row> {};

// Regression vectors computed from the same equations by another program (reference table of the design; 1 % room for
// the smooth laminar-turbulent step in the tubing, 3 % where the cuff drives the tube into that step).
TEST_P(ModelTable, CatheterAloneAndLine) {
  const auto& r = GetParam();
  EXPECT_NEAR(predicted(line(r.bore, r.length, 1.0, false)) / r.alone, 1, 0.005) << r.name;
  EXPECT_NEAR(predicted(line(r.bore, r.length, 0.91, true)) / r.at_0_91, 1, 0.01) << r.name;
  // At 1.75 m the tubing of the 14 gauge line is just past Reynolds 2,100, where the other program switches to
  // turbulent at once and ours begins its step: 12 % apart there, and the truth lies between.
  EXPECT_NEAR(predicted(line(r.bore, r.length, 1.75, true)) / r.at_1_75, 1, r.bore > 1.5 ? 0.13 : 0.03) << r.name;
  Path cuffed = line(r.bore, r.length, 1.0, true);
  cuffed.bag_pressure = 300.0 * millimetre_of_mercury;
  EXPECT_NEAR(predicted(cuffed) / r.with_cuff, 1, 0.05) << r.name;
}

INSTANTIATE_TEST_SUITE_P(Computed, ModelTable,
                         testing::Values(Row{"24 gauge", 0.47, 19, 21.2, 18.9, 29.9, 60},
                                         Row{"22 gauge", 0.60, 25, 37.4, 33.1, 51.5, 101},
                                         Row{"20 gauge", 0.75, 32, 62.3, 53.9, 83.4, 163},
                                         Row{"18 gauge 32", 0.95, 32, 113.0, 94.1, 144.3, 280},
                                         Row{"18 gauge 45", 0.95, 45, 103.7, 86.5, 134.1, 264},
                                         Row{"16 gauge", 1.30, 45, 225.3, 170.1, 265.0, 468},
                                         Row{"14 gauge", 1.55, 45, 342.7, 235.2, 324.6, 599}));

// McPherson 2007/2009 (read as abstract): 20 gauge, bore 0.75 mm, Q = 2.87 P^0.62 mL/min, P in cmH2O, in a vein model,
// above 12 mL/min; the authors' own ratio to the declared flow at 100 cmH2O is 0.83 (SD 0.06). Here the bare
// catheter without set or vein, which is faster.
class MeasuredLaw : public testing::TestWithParam<double> {};

TEST_P(MeasuredLaw, TwentyGaugeInAVeinModel) {
  const double cm_of_water = GetParam();
  const double law = 2.87 * std::pow(cm_of_water, 0.62);
  Path path = line(0.75, 32, 0, false);
  path.bag_pressure = cm_of_water * centimetre_of_water;
  const double model = predicted(path);
  std::cout << cm_of_water << " cmH2O: law " << law << ", model (bare catheter) " << model << ", ratio " << law / model
            << '\n';
  EXPECT_NEAR(law / model, 0.83, 0.06);
}

INSTANTIATE_TEST_SUITE_P(VeinModel, MeasuredLaw, testing::Values(50.0, 100.0));

TEST(PublishedFlow, FourteenGaugeUnderPressure) {
  // Stoneham, Br J Anaesth 1995;75:361 (read as abstract): 14 gauge with a 300 mmHg bag "nearly 600" mL/min.
  Path path = line(1.55, 45, 1.0, true);
  path.bag_pressure = 300.0 * millimetre_of_mercury;
  const double found = predicted(path);
  std::cout << "14 gauge, 300 mmHg: " << found << " against nearly 600, error " << found - 600 << '\n';
  EXPECT_NEAR(found, 600, 45);
  // Same: 14 instead of 16 gauge +50 %, the pressure bag doubles the flow.
  EXPECT_NEAR(predicted(line(1.55, 45, 1.0, true)) / predicted(line(1.30, 45, 1.0, true)), 1.5, 0.2);
  EXPECT_NEAR(found / predicted(line(1.55, 45, 1.0, true)), 2.0, 0.45);
}

TEST(PublishedFlow, StandardSetPassesALitreInTenMinutes) {
  // ISO 8536-4, 7.10 (read in a copy): at least 1,000 mL of 9 g/L saline in 10 min; head 1 m (value from memory).
  // The set alone: a catheter so wide that it costs nothing.
  EXPECT_GT(predicted(line(9.9, 1, 1.0, true)), 100);
}

TEST(PublishedFlow, PoiseuilleAloneIsFarTooFast) {
  // McPherson 2009: neither laminar nor turbulent scaling; Poiseuille alone is about 1.8 (24 gauge) to 7 (14) times too
  // high.
  const auto poiseuille = [](double bore_mm, double length_mm) {
    const double d = bore_mm * 1e-3, head = 997.8 * 9.80665;
    return 3.14159265358979 * std::pow(d, 4) * head / (128 * 0.9544e-3 * length_mm * 1e-3) * 6e7;
  };
  EXPECT_NEAR(poiseuille(0.47, 19) / predicted(line(0.47, 19, 1, false)), 1.83, 0.05);
  EXPECT_NEAR(poiseuille(1.55, 45) / predicted(line(1.55, 45, 1, false)), 5.65, 0.1);
}

TEST(PublishedWater, ViscosityAndDensity) {
  // Common tables (value from memory): 20 degrees 1.0016 mPa s, 25: 0.8900, 37: 0.6913; density 998.20, 997.04, 993.33.
  for (const auto& [celsius, mPas] :
       {std::pair{4.0, 1.5673}, {10.0, 1.3059}, {20.0, 1.0016}, {22.0, 0.9544}, {25.0, 0.8900}, {37.0, 0.6913}})
    EXPECT_NEAR(in(water_viscosity(Temperature{celsius}), millipascal_second), mPas, 0.0005) << celsius;
  for (const auto& [celsius, density] : {std::pair{4.0, 999.97}, {20.0, 998.20}, {25.0, 997.04}, {37.0, 993.33}})
    EXPECT_NEAR(water_density(Temperature{celsius}).value(), density, 0.15) << celsius;
}

TEST(PublishedFlow, RedCellsThroughAGravityLine) {
  // Reference table (computed; a measured unit at 4 degrees through 16 gauge took more than 13 min): 300 mL at
  // viscosity 7.1, 0.9 m, venous pressure 10 mmHg: 24 gauge 76 min, 22: 40, 20: 23, 18: 12; all inside the 4 h limit.
  const auto minutes_for = [](double bore, double length) {
    Path path = line(bore, length, 0.9, true);
    path.fluid = {7.1 * millipascal_second, 1070.0 * kilogram_per_cubic_metre};
    path.venous_pressure = 10.0 * millimetre_of_mercury;
    return 300 / predicted(path);
  };
  EXPECT_NEAR(minutes_for(0.47, 19) / 76, 1, 0.08);
  EXPECT_NEAR(minutes_for(0.60, 25) / 40, 1, 0.08);
  EXPECT_NEAR(minutes_for(0.75, 32) / 23, 1, 0.08);
  EXPECT_NEAR(minutes_for(0.95, 32) / 12, 1, 0.1);
}

}  // namespace
}  // namespace dwell::flow
