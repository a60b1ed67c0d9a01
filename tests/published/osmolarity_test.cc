// Osmolarity of labelled fluids from their composition, against the label.
// Sources: label values as the entry of data/infusates.toml names them; tolerance 2 mOsm/L because labels round each
// ion, 4 for 3 % saline, whose makers print 1,027 and 1,030.
#include <gtest/gtest.h>

#include <cmath>
#include <iostream>

#include "exchange/library.h"
#include "infusate/infusate.h"

namespace dwell::infusate {
namespace {

struct LabelCase {
  const char* name;
  double label;
  double tolerance;
};

double calculated(const char* name) {
  const auto& formulary = exchange::default_library().infusates;
  const auto found = formulary.find(name);
  if (found == formulary.end()) return NAN;
  const auto sum = osmolarity(found->second);
  return sum ? in(*sum, milliosmole_per_litre) : NAN;
}

class PublishedOsmolarity : public testing::TestWithParam<LabelCase> {};

TEST_P(PublishedOsmolarity, ComposedEqualsLabel) {
  const auto& c = GetParam();
  const double found = calculated(c.name);
  std::cout << c.name << ": calculated " << found << ", label " << c.label << ", error " << found - c.label << '\n';
  EXPECT_NEAR(found, c.label, c.tolerance);
}

INSTANTIATE_TEST_SUITE_P(
    Labels, PublishedOsmolarity,
    testing::Values(
        LabelCase{"sodium chloride 0.9 %", 308, 2},                                     // PMC6237920 table (read)
        LabelCase{"sodium chloride 0.45 %", 154, 2},                                    // label (read)
        LabelCase{"sodium chloride 0.22 %", 78, 2},                                     // PMC6237920 table (read)
        LabelCase{"sodium chloride 3 %", 1027, 4},                                      // label (read)
        LabelCase{"sodium chloride 5 %", 1711, 4},                                      // label (read)
        LabelCase{"lactated Ringer's", 273, 2},                                         // label (read)
        LabelCase{"Hartmann's (compound sodium lactate)", 278, 2},                      // UK table (read)
        LabelCase{"Ringer's acetate", 276, 2},                                          // UK table (read)
        LabelCase{"balanced crystalloid (acetate-gluconate)", 294, 2},                  // label (read)
        LabelCase{"dextrose 5 %", 252, 2},                                              // label (read)
        LabelCase{"dextrose 50 %", 2530, 8},                                            // label 2.53 mOsm/mL (read)
        LabelCase{"dextrose 2.5 % with sodium chloride 0.45 %", 280, 2},                // label table (read)
        LabelCase{"dextrose 5 % with sodium chloride 0.2 %", 321, 2},                   // label table (read)
        LabelCase{"dextrose 5 % with sodium chloride 0.33 %", 365, 2},                  // label table (read)
        LabelCase{"dextrose 5 % with sodium chloride 0.45 %", 406, 2},                  // label table (read)
        LabelCase{"dextrose 5 % with sodium chloride 0.9 %", 560, 2},                   // label table (read)
        LabelCase{"dextrose 10 % with sodium chloride 0.9 %", 813, 2},                  // label table (read)
        LabelCase{"dextrose 5 % in lactated Ringer's", 525, 2},                         // label (read)
        LabelCase{"sodium chloride 0.45 % with potassium chloride 20 mmol/L", 194, 2},  // label (read)
        LabelCase{"dextrose 5 % with sodium chloride 0.45 % and potassium chloride 20 mmol/L", 445, 2},  // label (read)
        LabelCase{"potassium chloride 100 mmol/L (10 mmol in 100 mL)", 200, 2},  // handbook (read)
        LabelCase{"sodium bicarbonate 8.4 %", 2000, 2},                          // label 2 mOsm/mL (read)
        LabelCase{"sodium bicarbonate 4.2 %", 1000, 2},                          // label 1 mOsm/mL (read)
        LabelCase{"mannitol 10 %", 550, 2},                                      // handbook (read)
        LabelCase{"dextrose 5 % with sodium chloride 0.2 % and potassium chloride 20 mmol/L", 360, 2},   // label (read)
        LabelCase{"dextrose 5 % with sodium chloride 0.45 % and potassium chloride 10 mmol/L", 425, 2},  // label (read)
        LabelCase{"potassium chloride 200 mmol/L (20 mmol in 100 mL)", 400, 2},  // handbook (read)
        LabelCase{"potassium chloride 400 mmol/L (40 mmol in 100 mL)", 799, 2},  // handbook (read)
        LabelCase{"sodium bicarbonate 5 %", 1190, 2},                            // label (read)
        LabelCase{"sodium bicarbonate 7.5 %", 1790, 6},                          // label 1.79 mOsm/mL (read)
        LabelCase{"mannitol 5 %", 275, 2},                                       // handbook (read)
        LabelCase{"mannitol 15 %", 825, 3},                                      // handbook (read)
        LabelCase{"mannitol 25 %", 1375, 4},                                     // handbook; label 1,372 (read)
        LabelCase{"mannitol 20 %", 1100, 4}));                                   // handbook (read)

// Table of ideal osmolarities, reference §6.3 (computed with molar masses from memory), within 1 %.
INSTANTIATE_TEST_SUITE_P(
    Ideal, PublishedOsmolarity,
    testing::Values(LabelCase{"dextrose 10 %", 505, 5.05}, LabelCase{"dextrose 12.5 %", 631, 6.31},
                    LabelCase{"dextrose 20 %", 1009, 10.1}, LabelCase{"sodium bicarbonate 1.4 %", 333, 3.33},
                    LabelCase{"dextrose 5 % with potassium chloride 20 mmol/L", 292, 2.92},
                    LabelCase{"sodium chloride 0.9 % with potassium chloride 20 mmol/L", 348, 3.48},
                    LabelCase{"sodium chloride 0.9 % with potassium chloride 40 mmol/L", 388, 3.88},
                    LabelCase{"potassium chloride 2 mmol/mL concentrate", 4000, 40},
                    LabelCase{"calcium chloride 10 %", 2041, 20.4}, LabelCase{"calcium gluconate 10 %", 669, 6.7},
                    LabelCase{"magnesium sulfate 50 %", 4057, 40.6}));  // handbook (read)

TEST(PublishedOsmolarityRules, EachTwentyOfPotassiumChlorideAddsForty) {
  // Reference rule: each 20 mEq/L of potassium chloride adds 40 mOsm/L (computed).
  Mixture mixture{
      "sodium chloride 0.9 %", 990.0 * millilitre, {{"potassium chloride 2 mmol/mL concentrate", 10.0 * millilitre}}};
  const auto mixed = mix(mixture, exchange::default_library().infusates);
  ASSERT_TRUE(mixed && mixed->osmolarity);
  // 0.99 × 308 + 0.01 × 4000 = 344.9
  EXPECT_NEAR(in(*mixed->osmolarity, milliosmole_per_litre), 344.9, 0.1);
  EXPECT_NEAR(mixed->potassium->value(), 20, 1e-9);
}

TEST(PublishedOsmolarityRules, UnknownStaysUnknown) {
  const auto mixed = mix({"sodium chloride 0.9 %", 100.0 * millilitre, {{"something new", 1.0 * millilitre}}},
                         exchange::default_library().infusates);
  ASSERT_TRUE(mixed.has_value());
  EXPECT_FALSE(mixed->osmolarity);
  EXPECT_EQ(mixed->harm, HarmClass::unknown);
}

}  // namespace
}  // namespace dwell::infusate
