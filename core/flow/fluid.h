#pragma once
// How thick and how heavy the fluid is at the temperature at which it runs.
#include <boost/describe.hpp>
#include <string>

#include "quantity/figure.h"
#include "quantity/quantity.h"

namespace dwell::flow {

struct Fluid {
  Viscosity viscosity;
  Density density;
  friend bool operator==(const Fluid&, const Fluid&) = default;
};
BOOST_DESCRIBE_STRUCT(Fluid, (), (viscosity, density))

/// Water at 0.1 MPa by the IAPWS correlation, with t = T / 300 K:
///   mu = 280.68 t^-1.9 + 511.45 t^-7.7 + 61.131 t^-19.6 + 0.45903 t^-40   (micropascal seconds)
/// 0 to 60 degrees Celsius. Source: sources.md#water-viscosity (value from memory)
[[nodiscard]] Viscosity water_viscosity(Temperature temperature);
/// Water density, 0 to 40 degrees Celsius, within 0.15 kg/m3 of the tabled 999.97 (4), 998.20 (20), 997.04 (25), 993.33
/// (37).
[[nodiscard]] Density water_density(Temperature temperature);
/// An aqueous fluid: the water curve times its viscosity relative to water; its density moves with water's.
[[nodiscard]] Fluid aqueous(double relative_viscosity, Density density_at_20, Temperature temperature);
/// Blood or packed red cells at a haematocrit (0 to 0.8) at high shear:  log10 mu = 1.138 Hct + 0.03699 (mPa s, 37
/// degrees Celsius), times water's curve for the temperature. A floor when cold: concentrated cold blood thickens more
/// (Virgilio 1964). Density 1,025 + 70 Hct kg/m3 at 37 degrees (value from memory). Source: sources.md#blood-viscosity
[[nodiscard]] Fluid blood(Ratio haematocrit, Temperature temperature);
/// Two fluids in one stream, by share of flow (sum 1): logarithms of viscosity and densities weighted by share
/// (Arrhenius' rule of mixtures, value from memory). Exact when the fluids are alike.
[[nodiscard]] Fluid joined(const Fluid& first, Ratio share_of_first, const Fluid& second);

}  // namespace dwell::flow
