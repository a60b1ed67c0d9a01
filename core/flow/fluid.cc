#include "flow/fluid.h"

#include <cmath>

namespace dwell::flow {

Viscosity water_viscosity(Temperature temperature) {
  const double t = (temperature.celsius + 273.15) / 300.0;
  const double micropascal_seconds = 280.68 * std::pow(t, -1.9) + 511.45 * std::pow(t, -7.7) +
                                     61.131 * std::pow(t, -19.6) + 0.45903 * std::pow(t, -40.0);
  return micropascal_seconds * 1e-3 * millipascal_second;
}

Density water_density(Temperature temperature) {
  // Kell-type parabola about the density maximum at 4 degrees, with the cubic term that fits the tabled values.
  const double d = temperature.celsius - 3.98;
  const double kilograms_per_cubic_metre = 999.97 - 0.00753 * d * d + 0.0000406 * d * d * d;
  return kilograms_per_cubic_metre * kilogram_per_cubic_metre;
}

Fluid aqueous(double relative_viscosity, Density density_at_20, Temperature temperature) {
  const double expansion = in(water_density(temperature), water_density(Temperature{20}));
  return {relative_viscosity * water_viscosity(temperature), density_at_20 * expansion};
}

Fluid blood(Ratio haematocrit, Temperature temperature) {
  const double at_37 = std::pow(10.0, 1.138 * double(haematocrit) + 0.03699);
  const double colder = in(water_viscosity(temperature), water_viscosity(Temperature{37}));
  const double expansion = in(water_density(temperature), water_density(Temperature{37}));
  return {at_37 * colder * millipascal_second,
          (1025 + 70 * double(haematocrit)) * expansion * kilogram_per_cubic_metre};
}

Fluid joined(const Fluid& first, Ratio share_of_first, const Fluid& second) {
  const double share = share_of_first;
  if (first == second || share >= 1) return first;
  if (share <= 0) return second;
  const double log_viscosity =
      share * std::log(first.viscosity.value()) + (1 - share) * std::log(second.viscosity.value());
  return {Viscosity::from_value(std::exp(log_viscosity)), share * first.density + (1 - share) * second.density};
}

}  // namespace dwell::flow
