// Body size and kidneys. The formulas as published; the check values are computed from them (no published check set was
// found that may be cited), by another program than this one. Sources beside each formula.
#include <gtest/gtest.h>

#include "hydration/body_size.h"
#include "hydration/kidney.h"

namespace dwell::hydration {
namespace {

constexpr BodySurface square_metre = BodySurface::from_value(1.0);
constexpr MassConcentration milligram_per_decilitre = MassConcentration::from_value(0.01);

struct Surface {
  double cm, kg, mosteller, du_bois;
};
class PublishedSurface : public testing::TestWithParam<Surface> {};

// Mosteller 1987, Du Bois 1916: values from memory.
TEST_P(PublishedSurface, BothForms) {
  const auto& c = GetParam();
  EXPECT_NEAR(in(body_surface_mosteller(c.cm * centimetre, c.kg * kilogram), square_metre), c.mosteller, 0.0006);
  EXPECT_NEAR(in(body_surface_du_bois(c.cm * centimetre, c.kg * kilogram), square_metre), c.du_bois, 0.0006);
}
INSTANTIATE_TEST_SUITE_P(Computed, PublishedSurface,
                         testing::Values(Surface{170, 70, 1.818, 1.810}, Surface{180, 80, 2.000, 1.996},
                                         Surface{160, 60, 1.633, 1.622}, Surface{175, 110, 2.312, 2.240}));

struct Ideal {
  FormulaSex sex;
  double cm, kg;
};
class PublishedIdealWeight : public testing::TestWithParam<Ideal> {};

// Devine, as a pharmacokinetics course page prints it (read).
TEST_P(PublishedIdealWeight, ByHeight) {
  EXPECT_NEAR(in(ideal_weight(GetParam().cm * centimetre, GetParam().sex), kilogram), GetParam().kg, 0.05);
}
INSTANTIATE_TEST_SUITE_P(Computed, PublishedIdealWeight,
                         testing::Values(Ideal{FormulaSex::male, 177.8, 73.0}, Ideal{FormulaSex::female, 162.56, 54.7},
                                         Ideal{FormulaSex::male, 183, 77.7}));

TEST(PublishedAdjustedWeight, OfAHeavyWoman) {
  // Value from memory: ideal + 0.4 (actual − ideal). 162.56 cm, 110 kg: 76.8 kg (computed).
  const BodyWeight ideal = ideal_weight(162.56 * centimetre, FormulaSex::female);
  EXPECT_NEAR(in(adjusted_weight(ideal, 110.0 * kilogram), kilogram), 76.8, 0.05);
}

struct Water {
  FormulaSex sex;
  int age;
  double cm, kg, litres;
};
class PublishedBodyWater : public testing::TestWithParam<Water> {};

// Watson 1980 with 0.09516 (value from memory).
TEST_P(PublishedBodyWater, Watson) {
  const auto& c = GetParam();
  EXPECT_NEAR(in(body_water_watson(c.cm * centimetre, c.kg * kilogram, c.sex, c.age), litre), c.litres, 0.006);
}
INSTANTIATE_TEST_SUITE_P(Computed, PublishedBodyWater,
                         testing::Values(Water{FormulaSex::male, 70, 175, 75, 39.80},
                                         Water{FormulaSex::male, 40, 180, 80, 44.87},
                                         Water{FormulaSex::female, 50, 160, 60, 29.80}));

struct Clearance {
  FormulaSex sex;
  int age;
  double kg, mg_per_dl, ml_per_min;
};
class PublishedClearance : public testing::TestWithParam<Clearance> {};

// Cockcroft and Gault 1976, as a medical dictionary prints it (read).
TEST_P(PublishedClearance, CockcroftAndGault) {
  const auto& c = GetParam();
  EXPECT_NEAR(in(creatinine_clearance(c.age, c.kg * kilogram, c.mg_per_dl * milligram_per_decilitre, c.sex),
                 millilitre / minute),
              c.ml_per_min, 0.06);
}
INSTANTIATE_TEST_SUITE_P(Computed, PublishedClearance,
                         testing::Values(Clearance{FormulaSex::male, 65, 70, 1.4, 52.1},
                                         Clearance{FormulaSex::female, 80, 55, 1.2, 32.5},
                                         Clearance{FormulaSex::male, 30, 80, 1.0, 122.2}));

struct Filtration {
  FormulaSex sex;
  int age;
  double mg_per_dl, rate;
};
class PublishedFiltration : public testing::TestWithParam<Filtration> {};

// CKD-EPI 2021, as the kidney foundation prints it (read).
TEST_P(PublishedFiltration, CkdEpi2021) {
  const auto& c = GetParam();
  EXPECT_NEAR(in(glomerular_filtration(c.age, c.mg_per_dl * milligram_per_decilitre, c.sex), millilitre / minute),
              c.rate, 0.06);
}
INSTANTIATE_TEST_SUITE_P(
    Computed, PublishedFiltration,
    testing::Values(Filtration{FormulaSex::female, 55, 0.9, 75.5}, Filtration{FormulaSex::female, 50, 0.7, 105.3},
                    Filtration{FormulaSex::male, 50, 0.9, 104.1}, Filtration{FormulaSex::male, 65, 1.4, 55.8},
                    Filtration{FormulaSex::female, 80, 1.2, 45.8}, Filtration{FormulaSex::female, 30, 0.6, 123.8},
                    Filtration{FormulaSex::male, 25, 0.8, 126.0}));

}  // namespace
}  // namespace dwell::hydration
