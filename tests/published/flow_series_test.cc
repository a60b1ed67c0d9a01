// The flow model against every published series that gives a number it can be held against, in the terms in which the
// series was published. One constant was taken from measurements, the bedside factor 0.8, and only from the first
// series (its own in-vein ratio of 0.83 to the declared flow, rounded down); everything below is held out. Bores and
// sets that a source does not give are the catalogue's, so an error holds that ignorance as well. docs/flow.md
// tabulates what this prints. All sources were read as abstracts or copies.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <iostream>

#include "flow/path.h"
#include "quantity/display.h"

namespace dwell::flow {
namespace {

struct Size {
  double bore, length;  // mm
};
constexpr Size g24{0.47, 19}, g22{0.60, 25}, g20{0.75, 32}, g18{0.95, 32}, g16{1.30, 45}, g14{1.55, 45};
constexpr double bedside_factor = 0.8;

const Fluid saline_20{1.02 * millipascal_second, 1004.6 * kilogram_per_cubic_metre};

Path line(Size size, double height_m, double cuff_mmHg, double tubing_mm = 3.0) {
  Path path;
  path.fluid = saline_20;
  path.bag_height = height_m * metre;
  path.bag_pressure = cuff_mmHg * millimetre_of_mercury;
  if (tubing_mm > 0) path.tubing = {{tubing_mm * millimetre, 1.8 * metre}};
  path.catheter = {size.bore * millimetre, size.length * millimetre};
  return path;
}

double flow_of(const Path& path) { return in(solve(path)->flow, millilitre / minute); }

double in_vivo(Size size) {
  Path path = line(size, 0.91, 0);
  path.venous_pressure = 10.0 * millimetre_of_mercury;
  return bedside_factor * flow_of(path);
}

/// n of Q ~ P^n between 100 and 450 mmHg.
double exponent(Size size, double tubing_mm) {
  return std::log(flow_of(line(size, 0, 450, tubing_mm)) / flow_of(line(size, 0, 100, tubing_mm))) / std::log(4.5);
}

double minutes_for_cold_red_cells() {
  // A unit of 300 mL at 4 degrees Celsius, haematocrit 60 %, by gravity from 0.91 m.
  Path path = line(g16, 0.91, 0);
  path.fluid = blood(Ratio(0.6), Temperature{4});
  path.venous_pressure = 10.0 * millimetre_of_mercury;
  return 300 / flow_of(path);
}

double conductance_18_gauge() {
  // Red cells and plasma one to one, haematocrit 30 %, warmed, pressed with 300 mmHg: mL/min for each mmHg.
  Path path = line(g18, 0, 300, 4.0);
  path.fluid = blood(Ratio(0.3), Temperature{37});
  return flow_of(path) / 300;
}

struct Row {
  const char* source;
  const char* what;
  double measured;
  double predicted;
  double allowed;  ///< relative error that this row may have: what docs/flow.md states, rounded up
};

std::vector<Row> rows() {
  const double plain_14 = flow_of(line(g14, 1.0, 0)), plain_16 = flow_of(line(g16, 1.0, 0));
  const double pressed_14 = flow_of(line(g14, 1.0, 300));
  const auto gain = [](double cuff) {
    return flow_of(line(g14, 1.0, cuff, 3.2)) / flow_of(line(g14, 1.0, 0, 3.2)) - 1;
  };
  return {
      {"JAVMA 1991;198:1622", "14 gauge in vivo, mL/min", 137, in_vivo(g14), 0.25},
      {"JAVMA 1991;198:1622", "16 gauge in vivo, mL/min", 88, in_vivo(g16), 0.40},
      {"JAVMA 1991;198:1622", "18 gauge in vivo, mL/min", 75, in_vivo(g18), 0.12},
      {"JAVMA 1991;198:1622", "20 gauge in vivo, mL/min", 45, in_vivo(g20), 0.16},
      {"Stoneham 1995", "14 gauge, 300 mmHg, mL/min (nearly 600)", 600, pressed_14, 0.03},
      {"Stoneham 1995", "14 instead of 16 gauge, times", 1.5, plain_14 / plain_16, 0.10},
      {"Stoneham 1995", "300 mmHg, times", 2, pressed_14 / plain_14, 0.25},
      {"Stoneham 1995", "both, times", 3, pressed_14 / plain_16, 0.20},
      {"Miyoshi 2021", "exponent, 24 gauge alone", 0.67, exponent(g24, 0), 0.10},
      {"Miyoshi 2021", "exponent, 22 gauge alone", 0.63, exponent(g22, 0), 0.10},
      {"Miyoshi 2021", "exponent, 20 gauge alone", 0.56, exponent(g20, 0), 0.15},
      {"Miyoshi 2021", "exponent, 18 gauge alone", 0.44, exponent(g18, 0), 0.40},
      {"Miyoshi 2021", "exponent, 24 gauge and line", 0.76, exponent(g24, 3), 0.25},
      {"Miyoshi 2021", "exponent, 22 gauge and line", 0.82, exponent(g22, 3), 0.30},
      {"Miyoshi 2021", "exponent, 20 gauge and line", 0.81, exponent(g20, 3), 0.30},
      {"Miyoshi 2021", "exponent, 18 gauge and line", 0.86, exponent(g18, 3), 0.35},
      {"Am J Emerg Med 1985;3:187", "300 mmHg, most gained", 1.97, gain(300), 0.35},
      {"Am J Emerg Med 1985;3:187", "600 mmHg, most gained", 3.41, gain(600), 0.45},
      {"additive red cells", "unit at 4 °C through 16 gauge, min (more than 13)", 13, minutes_for_cold_red_cells(),
       0.15},
      {"rapid infuser series", "18 gauge conductance, mL/min/mmHg", 0.6, conductance_18_gauge(), 0.40},
      {"student bench (low grade)", "16 gauge, 300 mmHg and 2.03 m, mL/min", 237, flow_of(line(g16, 2.032, 300)), 1.25},
  };
}

TEST(PublishedFlowSeries, EveryHeldOutRowAndTheMedianError) {
  std::vector<double> errors;
  for (const auto& row : rows()) {
    const double error = row.predicted / row.measured - 1;
    std::cout << row.source << " | " << row.what << " | " << row.measured << " | " << show_number(row.predicted)
              << " | " << show_number(100 * error) << " %\n";
    EXPECT_LE(std::abs(error), row.allowed) << row.source << ": " << row.what;
    errors.push_back(std::abs(error));
  }
  std::nth_element(errors.begin(), errors.begin() + static_cast<std::ptrdiff_t>(errors.size() / 2), errors.end());
  std::cout << errors.size() << " held-out rows, median error " << show_number(100 * errors[errors.size() / 2])
            << " %\n";
  EXPECT_LE(errors[errors.size() / 2], 0.2);
}

TEST(PublishedFlowSeries, FlowIsNotProportionalToPressureEvenAtReynolds328) {
  // McPherson 2007: not proportional at a Reynolds number as low as 328.
  Path path = line(g20, 0, 0, 0);
  path.bag_pressure = 10.0 * centimetre_of_water;
  const auto slow = *solve(path);
  path.bag_pressure = 11.0 * centimetre_of_water;
  const auto faster = *solve(path);
  EXPECT_LT(slow.reynolds_catheter, 420);
  EXPECT_LT(std::log(double(faster.flow / slow.flow)) / std::log(1.1), 0.9);
}

TEST(PublishedFlowSeries, EachStepWiderSavesAboutFortyPercentOfTheTime) {
  // Kamata 2017: drain time of 500 mL falls about 50 % going 22, 20, 18 gauge; the text does not say per step or
  // overall. The model: per step.
  const double t22 = 1 / flow_of(line(g22, 1.0, 0)), t20 = 1 / flow_of(line(g20, 1.0, 0)),
               t18 = 1 / flow_of(line(g18, 1.0, 0));
  std::cout << "22 to 20 gauge saves " << 100 * (1 - t20 / t22) << " %, 20 to 18 " << 100 * (1 - t18 / t20) << " %\n";
  EXPECT_NEAR(1 - t20 / t22, 0.39, 0.03);
  EXPECT_NEAR(1 - t18 / t20, 0.43, 0.03);
}

TEST(PublishedBlood, ViscosityByHaematocrit) {
  // Lichtman's fit as reported (37 degrees): 30 % 2.39, 45 % 3.54, 55 % 4.60, 60 % 5.25, 70 % 6.82 mPa s (computed from
  // it). The Geigy tables' older series lies lower (50 %: 2.85): both stand in docs/flow.md.
  for (const auto& [cells, mPas] : {std::pair{0.30, 2.39}, {0.45, 3.54}, {0.55, 4.60}, {0.60, 5.25}, {0.70, 6.82}})
    EXPECT_NEAR(in(blood(Ratio(cells), Temperature{37}).viscosity, millipascal_second), mPas, 0.006) << cells;
  // Water's curve for the temperature: 1.45 times at 20 degrees, 2.27 times at 4 (computed).
  const auto thicker = [](double celsius) {
    return double(blood(Ratio(0.6), Temperature{celsius}).viscosity / blood(Ratio(0.6), Temperature{37}).viscosity);
  };
  EXPECT_NEAR(thicker(20), 1.45, 0.005);
  EXPECT_NEAR(thicker(4), 2.27, 0.005);
}

TEST(PublishedBlood, DensityOfWholeBloodAndRedCells) {
  // Values from memory: whole blood 1,055, red cells 1,060 to 1,080 kg/m3.
  EXPECT_NEAR(blood(Ratio(0.45), Temperature{37}).density.value(), 1055, 3);
  EXPECT_NEAR(blood(Ratio(0.65), Temperature{37}).density.value(), 1070, 10);
}

}  // namespace
}  // namespace dwell::flow
