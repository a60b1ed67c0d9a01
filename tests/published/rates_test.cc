// Worked rate, drop and dose problems with published answers, and the traps met in copies of them.
// Sources stand beside each row; "computed" rows are our arithmetic on a published formula and say so.
#include <gtest/gtest.h>

#include "dosing/rate.h"
#include "exchange/said/said.h"
#include "quantity/display.h"

namespace dwell::dosing {
namespace {

constexpr const char* md0904 = "US Army subcourse MD0904, pharmacology math for the practical nurse (read)";
constexpr const char* southern = "Southern Adventist University, critical care dosage page (read)";

struct DropCase {
  const char* id;
  double mL, minutes, factor;
  int drops_per_minute;
  const char* source;
};

class PublishedDrops : public testing::TestWithParam<DropCase> {};

TEST_P(PublishedDrops, WholeDropsAMinute) {
  const auto& c = GetParam();
  RateInput in;
  in.volume = c.mL * millilitre;
  in.duration = c.minutes * minute;
  in.drop_factor = c.factor * drop / millilitre;
  const auto r = rate(in);
  ASSERT_TRUE(r.has_value());
  EXPECT_EQ(*r->drops_per_minute, c.drops_per_minute) << c.id << ", " << c.source;
}

INSTANTIATE_TEST_SUITE_P(Worked, PublishedDrops,
                         testing::Values(DropCase{"A01", 1000, 480, 20, 42, md0904},
                                         DropCase{"A02", 1000, 600, 15, 25, md0904},
                                         DropCase{"A03", 125, 60, 20, 42, md0904},
                                         // The trap of rounding ties to even: 62.5 is 63 in the published answer.
                                         DropCase{"A04", 1500, 1440, 60, 63, md0904},
                                         DropCase{"A05", 250, 45, 10, 56, md0904},
                                         DropCase{"A06", 50, 15, 20, 67, md0904},
                                         DropCase{"A11", 125, 60, 10, 21, "pharmacology math slides (read)"},
                                         DropCase{"A12", 75, 60, 10, 13, "pharmacology math slides (read)"},
                                         DropCase{"A13", 100, 60, 15, 25, "pharmacology math slides (read)"},
                                         DropCase{"A17", 1200, 360, 15, 50, "dosage calculation page (read)"},
                                         DropCase{"A18", 200, 120, 20, 33, "dosage calculation page (read)"},
                                         DropCase{"A19", 1000, 540, 15, 28, "flow-rate calculation sheet (read)"},
                                         DropCase{"A20", 3000, 1440, 15, 31, "licence examination questions (read)"},
                                         DropCase{"A21", 50, 30, 60, 100, "licence examination questions (read)"},
                                         DropCase{"A22", 2000, 720, 20, 56, "licence examination questions (read)"},
                                         DropCase{"A23", 1000, 720, 12, 17, "course handout on gravity flow (read)"},
                                         DropCase{"A24", 50, 30, 15, 25, "course handout on gravity flow (read)"},
                                         DropCase{"A27", 1400, 300, 20, 93, "computing midterm key (read)"},
                                         DropCase{"A28", 100, 480, 15, 3, "piggyback question (read)"},
                                         DropCase{"A29 at 10", 1500, 1440, 10, 10, "common practice, computed"},
                                         DropCase{"A29 at 20", 1500, 1440, 20, 21, "common practice, computed"}));

struct DoseCase {
  const char* id;
  double dose;
  DoseUnit unit;
  double drug_mg, drug_units;  ///< one of them
  double in_mL, weight_kg;
  const char* flow_text;
  const char* source;
};

class PublishedDoses : public testing::TestWithParam<DoseCase> {};

TEST_P(PublishedDoses, PumpRate) {
  const auto& c = GetParam();
  DoseInput in;
  in.dose = c.dose;
  in.dose_unit = c.unit;
  if (c.drug_mg > 0) in.bag.mass = c.drug_mg * milligram;
  if (c.drug_units > 0) in.bag.units = c.drug_units * biological_unit;
  in.bag.volume = c.in_mL * millilitre;
  if (c.weight_kg > 0) in.weight = c.weight_kg * kilogram;
  const auto r = dose_rate(in);
  ASSERT_TRUE(r.has_value()) << r.error().front().path;
  EXPECT_EQ(said::in_english(r->flow_text), c.flow_text) << c.id << ", " << c.source;
}

INSTANTIATE_TEST_SUITE_P(
    Worked, PublishedDoses,
    testing::Values(
        DoseCase{"A07", 1200, DoseUnit::units_per_h, 0, 25000, 250, 0, "12 mL/h", md0904},
        // Published as 36 mL/h after rounding to a whole number; exactly 35.625.
        DoseCase{"A08", 5, DoseUnit::mcg_per_kg_min, 200, 0, 250, 95, "35.6 mL/h", southern},
        // The trap: a posted solution forgets × 60 and prints 0.05 mL/h.
        DoseCase{"A09", 10, DoseUnit::mcg_per_min, 50, 0, 250, 0, "3 mL/h", southern},
        DoseCase{"A10", 0.05, DoseUnit::mg_per_kg_h, 100, 0, 100, 40, "2 mL/h", southern},
        DoseCase{"A25", 1000, DoseUnit::units_per_h, 0, 25000, 500, 0, "20 mL/h", "dosage slides (read)"},
        DoseCase{"A26", 5, DoseUnit::mcg_per_min, 50, 0, 250, 0, "1.5 mL/h",
                 "nursing education page on nitroglycerin (read)"},
        DoseCase{"A30", 0.1, DoseUnit::units_per_kg_h, 0, 100, 100, 72, "7.2 mL/h", "common practice, computed"},
        DoseCase{"A31", 8, DoseUnit::mcg_per_min, 4, 0, 250, 0, "30 mL/h", "common practice, computed"},
        DoseCase{"A32", 0.05, DoseUnit::mcg_per_kg_min, 4, 0, 250, 80, "15 mL/h", "dopamine label formula, computed"},
        DoseCase{"A33 at 1600", 10, DoseUnit::mcg_per_kg_min, 400, 0, 250, 80, "30 mL/h",
                 "dopamine label formula, computed"},
        DoseCase{"A33 at 3200", 10, DoseUnit::mcg_per_kg_min, 800, 0, 250, 80, "15 mL/h",
                 "dopamine label formula, computed"},
        DoseCase{"A36", 5, DoseUnit::mcg_per_kg_min, 500, 0, 250, 82, "12.3 mL/h", "computed"},
        DoseCase{"A37 first", 1, DoseUnit::mg_per_min, 450, 0, 250, 0, "33.3 mL/h", "common practice, computed"},
        DoseCase{"A37 then", 0.5, DoseUnit::mg_per_min, 450, 0, 250, 0, "16.7 mL/h", "common practice, computed"},
        DoseCase{"A38", 18, DoseUnit::units_per_kg_h, 0, 25000, 500, 76, "27.4 mL/h",
                 "heparin protocol of a nursing handbook (read)"},
        DoseCase{"A39 at the cap", 1800, DoseUnit::units_per_h, 0, 25000, 500, 0, "36 mL/h",
                 "heparin protocol: 1,800 units/h is 36 mL/h (read)"}));

TEST(PublishedRates, DoseBackFromTheRate) {
  // A34 (computed on the dopamine label's formula): 12 mL/h of 1600 mcg/mL at 70 kg is 4.571 mcg/kg/min.
  DoseInput in;
  in.flow = 12.0 * millilitre / hour;
  in.dose_unit = DoseUnit::mcg_per_kg_min;
  in.bag.mass = 400.0 * milligram;
  in.bag.volume = 250.0 * millilitre;
  in.weight = 70.0 * kilogram;
  EXPECT_NEAR(dose_rate(in)->dose, 4.5714, 0.0001);
  // A35 (computed): 9 mL/h of 200 mcg/mL is 30 mcg/min.
  in.flow = 9.0 * millilitre / hour;
  in.dose_unit = DoseUnit::mcg_per_min;
  in.bag.mass = 50.0 * milligram;
  EXPECT_NEAR(dose_rate(in)->dose, 30, 1e-9);
}

TEST(PublishedRates, TimesAndVolumes) {
  RateInput in;
  in.volume = 1.0 * litre;
  in.flow = 125.0 * millilitre / hour;
  EXPECT_EQ(show(rate(in)->duration), "8 h");  // A14, pharmacology math slides (read)
  in.volume.reset();
  in.flow = 60.0 * millilitre / hour;
  in.duration = 12.0 * hour;
  EXPECT_EQ(show(rate(in)->volume), "720 mL");  // A15, same
  in.volume = 1.0 * litre;
  in.flow.reset();
  in.duration = 3.0 * hour;
  EXPECT_EQ(said::in_english(rate(in)->rate_text), "333 mL/h");  // A16, same
  // A43 (computed), and the trap of decimal hours: 7.711 h is 7 h 43 min.
  EXPECT_EQ(show(time_left(640.0 * millilitre, 83.0 * millilitre / hour)), "7 h 43 min");
  // A44 (computed): 450 mL at 125 mL/h from 22:40 ends at 02:16 the next day.
  in.volume = 450.0 * millilitre;
  in.flow = 125.0 * millilitre / hour;
  in.duration.reset();
  in.start = *parse_instant("2026-11-25T22:40:00Z");
  EXPECT_EQ(iso(*rate(in)->ends_at), "2026-11-26T02:16:00.000Z");
}

TEST(PublishedRates, CountedDrops) {
  // Table DC1, DC3 to DC5 (computed from ISO 8536-4 factors): drops counted to mL/h.
  EXPECT_NEAR(in(flow_of_drops(44.0 * drop / minute, 20.0 * drop / millilitre), millilitre / hour), 132, 1e-9);
  EXPECT_NEAR(in(flow_of_drops(29.0 * drop / minute, 15.0 * drop / millilitre), millilitre / hour), 116, 1e-9);
  EXPECT_NEAR(in(flow_of_drops(31.0 * drop / minute, 15.0 * drop / millilitre), millilitre / hour), 124, 1e-9);
  // The trap of the wrong drop factor: 31 drops/min through a 20-drop set is 93 mL/h, 26 % too little.
  EXPECT_NEAR(in(flow_of_drops(31.0 * drop / minute, 20.0 * drop / millilitre), millilitre / hour), 93, 1e-9);
}

}  // namespace
}  // namespace dwell::dosing
