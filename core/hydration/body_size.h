#pragma once
// How big a body is, in the forms that doses and water rules use. Estimates from populations, not measurements.
#include <boost/describe.hpp>
#include <optional>
#include <vector>

#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"

namespace dwell::hydration {

/// The two for which these formulas were made.
enum class FormulaSex { female, male };
BOOST_DESCRIBE_ENUM(FormulaSex, female, male)

/// Mosteller 1987:  √(height in cm × weight in kg / 3600) m² (value from memory).
[[nodiscard]] BodySurface body_surface_mosteller(Length height, BodyWeight weight);
/// Du Bois 1916:  0.007184 × weight^0.425 × height^0.725, kg and cm, m² (value from memory).
[[nodiscard]] BodySurface body_surface_du_bois(Length height, BodyWeight weight);
/// Devine:  50 kg (male) or 45.5 kg (female) + 2.3 kg for each inch above 60. Below 60 inches it was not made for.
/// Source: pharmacokinetics course page (read); sources.md#body-size
[[nodiscard]] BodyWeight ideal_weight(Length height, FormulaSex sex);
/// ideal + 0.4 (actual − ideal) (value from memory).
[[nodiscard]] BodyWeight adjusted_weight(BodyWeight ideal, BodyWeight actual);
/// Watson 1980, litres: male 2.447 − 0.09516 age + 0.1074 cm + 0.3362 kg; female −2.097 + 0.1069 cm + 0.2466 kg (value
/// from memory; many copies swap two digits to 0.09156, 0.25 L at 70 years). Adults.
[[nodiscard]] BodyWater body_water_watson(Length height, BodyWeight weight, FormulaSex sex, int age_years);

struct BodySizeInput {
  Length height;
  BodyWeight weight;
  FormulaSex sex = FormulaSex::female;
  std::optional<int> age_years;  ///< for body water
};
BOOST_DESCRIBE_STRUCT(BodySizeInput, (), (height, weight, sex, age_years))

struct BodySize {
  BodySurface surface_mosteller, surface_du_bois;
  std::optional<BodyWeight> ideal_weight, adjusted_weight;  ///< nothing below 60 inches; adjusted only above ideal
  std::optional<BodyWater> body_water;                      ///< Watson; adults with an age
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(BodySize, (),
                      (surface_mosteller, surface_du_bois, ideal_weight, adjusted_weight, body_water, findings,
                       workings))

/// Errors: height 30 to 250 cm, weight 0.3 to 400 kg, age 0 to 125 years.
[[nodiscard]] Checked<BodySize> body_size(const BodySizeInput& input);

}  // namespace dwell::hydration
