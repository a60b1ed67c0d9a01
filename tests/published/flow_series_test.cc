// The flow model against every published series that gives a number it can be held against, in the terms in which the
// series was published (flow_rows.cc), and against the reference outputs of its own specification. docs/flow.md
// tabulates what this prints.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <iostream>
#include <set>

#include "flow/path.h"
#include "quantity/display.h"
#include "tests/published/flow_rows.h"

namespace dwell::flow {
namespace {

using published::Row;

constexpr double reading_error = 0.05, nine_of_ten = 1.645, half_of_all = 0.6745;

struct Held {
  Row row;
  double predicted = 0, surprise = 0, variance = 0;  // surprise: ln measured / predicted
};

const std::vector<Held>& held() {
  static const auto all = [] {
    std::vector<Held> rows;
    for (auto& row : published::rows()) {
      const double predicted = row.predicted({});
      const double variance = published::variance_of(row) + reading_error * reading_error;
      rows.push_back({row, predicted, std::log(row.measured / predicted), variance});
    }
    return rows;
  }();
  return all;
}

bool inside(const Held& h, double tau, double width) {
  return std::abs(h.surprise) <= width * std::sqrt(h.variance + tau * tau);
}

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const std::size_t n = values.size();
  return n % 2 ? values[n / 2] : (values[n / 2 - 1] + values[n / 2]) / 2;
}

double share_of(std::vector<double> values, double share) {
  std::sort(values.begin(), values.end());
  return values[static_cast<std::size_t>(std::ceil(share * static_cast<double>(values.size()))) - 1];
}

TEST(PublishedFlowSeries, EveryRowWithTheErrorsOfBothModels) {
  std::vector<double> before, now;
  for (const auto& h : held()) {
    const double old_error = h.row.before / h.row.measured - 1, error = h.predicted / h.row.measured - 1;
    const bool holds = inside(h, 0.1, nine_of_ten);
    std::cout << "| " << h.row.series << (h.row.stated ? " G" : " N") << " | " << h.row.what << " | "
              << show_number(h.row.measured) << " | " << show_number(h.row.before) << " | " << show_number(h.predicted)
              << " | " << std::lround(100 * old_error) << " / " << std::lround(100 * error) << " | "
              << (holds ? "" : "outside") << " |\n";
    before.push_back(std::abs(old_error));
    now.push_back(std::abs(error));
  }
  std::cout << now.size() << " rows: median / 90th percentile before " << median(before) << " / "
            << share_of(before, 0.9) << ", now " << median(now) << " / " << share_of(now, 0.9) << '\n';
  EXPECT_EQ(now.size(), 58u);
  EXPECT_LE(median(now), 0.13);
  EXPECT_LE(share_of(now, 0.9), 0.37);
}

class PublishedFlowRow : public testing::TestWithParam<std::size_t> {};

/// The rows that no band of 90 % need hold: named, so that another one that falls out is seen.
bool named_outside(const Row& row) {
  static const std::set<std::string> outside{"exponent, 18 gauge alone",
                                             "18 gauge, Ringer, gravity, mL/min",
                                             "valve: flow left, 14 gauge, 300 mmHg",
                                             "22 gauge in piglets, gravity, mL/min",
                                             "22 gauge in piglets, 300 mmHg, mL/min",
                                             "16 gauge, 300 mmHg and 2.03 m, mL/min"};
  return outside.contains(row.what);
}

TEST_P(PublishedFlowRow, LiesInTheBandUnlessNamed) {
  const Held& h = held()[GetParam()];
  EXPECT_EQ(inside(h, 0.1, nine_of_ten), !named_outside(h.row))
      << h.row.series << ", " << h.row.what << ": measured " << h.row.measured << ", predicted " << h.predicted;
}

INSTANTIATE_TEST_SUITE_P(All, PublishedFlowRow, testing::Range<std::size_t>(0, 58), [](const auto& row) {
  return published::rows()[row.param].series + "_row_" + std::to_string(row.param);
});

TEST(PublishedFlowSeries, InAVeinTheCentreIsBetterThanTheFactorWas) {
  std::vector<double> before, now;
  for (const auto& h : held())
    if (h.row.in_vivo) {
      before.push_back(std::abs(h.row.before / h.row.measured - 1));
      now.push_back(std::abs(h.predicted / h.row.measured - 1));
    }
  ASSERT_EQ(now.size(), 7u);
  EXPECT_NEAR(median(before), 0.23, 0.01);
  EXPECT_LE(median(now), 0.11);
}

TEST(PublishedFlowSeries, TheBandHoldsNineOfTenRows) {
  const auto count = [](double width) {
    return std::count_if(held().begin(), held().end(), [&](const Held& h) { return inside(h, 0.1, width); });
  };
  EXPECT_GE(count(nine_of_ten), 52);
  EXPECT_NEAR(static_cast<double>(count(half_of_all)), 29, 3);
}

TEST(PublishedFlowSeries, TheBandHoldsNineOfTenRowsOfASeriesItHasNotSeen) {
  // The spread between rigs is chosen on the other series each time: the least that holds nine of ten of their rows.
  std::set<std::string> names;
  for (const auto& h : held()) names.insert(h.row.series);
  int inside_all = 0;
  for (const auto& left_out : names) {
    std::vector<const Held*> others, own;
    for (const auto& h : held()) (h.row.series == left_out ? own : others).push_back(&h);
    double tau = 0;
    const auto held_by = [&](const std::vector<const Held*>& rows) {
      return std::count_if(rows.begin(), rows.end(), [&](const Held* h) { return inside(*h, tau, nine_of_ten); });
    };
    while (static_cast<double>(held_by(others)) < 0.9 * static_cast<double>(others.size()) && tau < 0.5) tau += 0.005;
    const auto in_it = held_by(own);
    std::cout << left_out << " left out: rig spread " << tau << ", holds " << in_it << " of " << own.size() << '\n';
    inside_all += static_cast<int>(in_it);
  }
  std::cout << "together " << inside_all << " of " << held().size() << '\n';
  EXPECT_GE(inside_all, 52);
}

TEST(PublishedFlowSeries, OneCountPredictsTheOtherStatesOfTheSameLine) {
  std::vector<double> blind, counted;
  int inside_band = 0;
  for (const auto& rig : published::rigs()) {
    const Belief belief = after_counting(rig.line, {rig.states.front()});
    for (std::size_t i = 1; i < rig.states.size(); ++i) {
      const auto& state = rig.states[i];
      const FlowBand before = expected(rig.line, state.standing),
                     after = expected(rig.line, state.standing, belief, true);
      const double error = double(after.middle / state.flow) - 1;
      std::cout << rig.name << ": before " << std::lround(100 * (double(before.middle / state.flow) - 1))
                << " %, after one count " << std::lround(100 * error) << " %\n";
      blind.push_back(std::abs(double(before.middle / state.flow) - 1));
      counted.push_back(std::abs(error));
      inside_band += state.flow >= after.low && state.flow <= after.high;
    }
  }
  std::cout << counted.size() << " rows: median / 90th percentile before " << median(blind) << " / "
            << share_of(blind, 0.9) << ", after " << median(counted) << " / " << share_of(counted, 0.9) << "; "
            << inside_band << " in the band after\n";
  ASSERT_EQ(counted.size(), 17u);
  EXPECT_LE(median(counted), 0.08);
  EXPECT_LT(median(counted), median(blind));
  EXPECT_GE(inside_band, 16);
}

TEST(PublishedFlowSeries, TheBedsideBandHoldsWhatWasMeasuredAtTheBedside) {
  // Dogs (JAVMA 1991;198:1622) and piglets (1993), the slow ones included: uncounted, in a vein.
  for (const auto& [gauge, bore, length, height, cuff, measured] : {std::tuple{14, 1.559, 45.0, 0.91, 0.0, 137.0},
                                                                    {16, 1.263, 45.0, 0.91, 0.0, 88.0},
                                                                    {18, 0.927, 38.0, 0.91, 0.0, 75.0},
                                                                    {20, 0.745, 32.0, 0.91, 0.0, 45.0},
                                                                    {22, 0.59, 25.0, 1.0, 0.0, 13.1},
                                                                    {22, 0.59, 25.0, 1.0, 300.0, 40.9}}) {
    OpenLine line;
    line.catheter = by_gauge(Gauge{gauge}, {bore * millimetre, length * millimetre});
    line.vein = usual_vein(Gauge{gauge});
    Standing standing;
    standing.fluid = reference_fluid();
    standing.bag_height = height * metre;
    standing.cuff = cuff * millimetre_of_mercury;
    const FlowBand band = expected(line, standing);
    EXPECT_LE(in(band.low, millilitre / minute), measured) << gauge << " gauge";
    EXPECT_GE(in(band.high, millilitre / minute), measured) << gauge << " gauge";
  }
}

struct Reference {
  int gauge;
  double bore, length, declared, bare, ward, wide, pressed, in_vein, low, high;
};

class ReferenceOutputs : public testing::TestWithParam<Reference> {};

// Outputs that another program computed from the same specification: saline at 20 degrees, in a vein 0.9 m and 9 mmHg.
TEST_P(ReferenceOutputs, WithinOnePercent) {
  const auto& r = GetParam();
  const Bore bore{r.bore * millimetre, r.length * millimetre};
  const auto near = [](Flow found, double expected) {
    EXPECT_NEAR(in(found, millilitre / minute) / expected, 1, 0.01) << expected;
  };
  near(declared_of_bore(bore), r.declared);
  Path path;
  path.fluid = reference_fluid();
  path.bag_height = 1.0 * metre;
  path.connector_k = hub_velocity_heads;
  path.catheter = bore;
  near(steady_flow(path), r.bare);
  path.set = ward_set().part;
  near(steady_flow(path), r.ward);
  path.set = wide_set().part;
  near(steady_flow(path), r.wide);
  path.bag_pressure = 300.0 * millimetre_of_mercury;
  near(steady_flow(path), r.pressed);
  OpenLine line;
  line.catheter = by_gauge(Gauge{r.gauge}, bore);
  line.vein = usual_vein(Gauge{r.gauge});
  Standing standing;
  standing.fluid = reference_fluid();
  standing.bag_height = 0.9 * metre;
  const FlowBand band = expected(line, standing, before_counting(), true);
  near(band.middle, r.in_vein);
  EXPECT_NEAR(in(band.low, millilitre / minute) / r.low, 1, 0.03);
  EXPECT_NEAR(in(band.high, millilitre / minute) / r.high, 1, 0.03);
}

INSTANTIATE_TEST_SUITE_P(Computed, ReferenceOutputs,
                         testing::Values(Reference{24, 0.429, 19, 16.2, 15.8, 15.4, 15.6, 46.7, 12.4, 8.2, 18.7},
                                         Reference{22, 0.590, 25, 35.1, 34.5, 32.6, 33.8, 95.6, 26.3, 20, 35},
                                         Reference{20, 0.745, 32, 59.6, 59.1, 52.9, 56.9, 157, 43.8, 33, 57},
                                         Reference{18, 0.927, 38, 97.8, 98.5, 79.8, 91.8, 249, 66.8, 51, 88},
                                         Reference{16, 1.263, 45, 189, 203, 123, 170, 449, 105, 73, 149},
                                         Reference{14, 1.559, 45, 279, 335, 147, 240, 620, 126, 83, 189}));

struct Declared {
  int gauge;
  double flow, length, least, most;  // mL/min, mm; the range of bores that the specification's table gives
};

class DeclaredBores : public testing::TestWithParam<Declared> {};

// Flows that general pages copy from makers: gzipwtf.com/?p=237006, ammarksman.com (sizes of cannulas),
// forums.studentdoctor.net (IV catheter flow rates), emdose.org 2012. The bore found from each lies in the range of its
// gauge, and turned round gives the flow again.
TEST_P(DeclaredBores, FromTheFlowOnThePack) {
  const auto& d = GetParam();
  const Flow flow = d.flow * millilitre / minute;
  const Length length = d.length * millimetre;
  const auto bore = bore_of_declared(flow, length);
  ASSERT_TRUE(bore.has_value());
  EXPECT_GE(in(*bore, millimetre), d.least - 0.002) << d.gauge << " gauge";
  EXPECT_LE(in(*bore, millimetre), d.most + 0.002) << d.gauge << " gauge";
  EXPECT_NEAR(double(declared_of_bore({*bore, length}) / flow), 1, 1e-6);
}

INSTANTIATE_TEST_SUITE_P(Copied, DeclaredBores,
                         testing::Values(Declared{26, 13, 19, 0.398, 0.398}, Declared{24, 14, 19, 0.408, 0.462},
                                         Declared{24, 15, 19, 0.408, 0.462}, Declared{24, 20, 19, 0.408, 0.462},
                                         Declared{22, 31, 25, 0.563, 0.608}, Declared{22, 36, 25, 0.563, 0.608},
                                         Declared{22, 38, 25, 0.563, 0.608}, Declared{20, 54, 32, 0.717, 0.769},
                                         Declared{20, 60, 32, 0.717, 0.769}, Declared{20, 64, 33, 0.717, 0.769},
                                         Declared{18, 90, 32, 0.880, 0.959}, Declared{18, 100, 32, 0.880, 0.959},
                                         Declared{18, 110, 32, 0.880, 0.959}, Declared{18, 105, 30, 0.880, 0.959},
                                         Declared{18, 98, 45, 0.880, 0.959}, Declared{16, 220, 30, 1.162, 1.322},
                                         Declared{16, 215, 32, 1.162, 1.322}, Declared{16, 155, 50, 1.162, 1.322},
                                         Declared{14, 295, 30, 1.429, 1.689}, Declared{14, 325, 32, 1.429, 1.689},
                                         Declared{14, 236, 50, 1.429, 1.689}));

struct Size {
  double bore, length;  // mm
};
constexpr Size g22{0.60, 25}, g20{0.75, 32}, g18{0.95, 32};

Path line(Size size, double height_m, double tubing_mm = 3.0) {
  Path path;
  path.fluid = reference_fluid();
  path.bag_height = height_m * metre;
  if (tubing_mm > 0) path.tubing = {{tubing_mm * millimetre, 1.8 * metre}};
  path.catheter = {size.bore * millimetre, size.length * millimetre};
  return path;
}

double flow_of(const Path& path) { return in(solve(path)->flow, millilitre / minute); }

TEST(PublishedFlowSeries, FlowIsNotProportionalToPressureEvenAtReynolds328) {
  // McPherson 2007: not proportional at a Reynolds number as low as 328.
  Path path = line(g20, 0, 0);
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
  const double t22 = 1 / flow_of(line(g22, 1.0)), t20 = 1 / flow_of(line(g20, 1.0)), t18 = 1 / flow_of(line(g18, 1.0));
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
