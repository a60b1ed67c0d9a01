#include "flow/limits.h"

#include <cmath>

#include "say/flow.h"

namespace dwell::flow {

void check_fluid(const std::string& path, const Fluid& fluid, FieldErrors& errors) {
  check_within(path + "/viscosity", fluid.viscosity, 0.3 * millipascal_second, 50.0 * millipascal_second, errors);
  check_within(path + "/density", fluid.density, 900.0 * kilogram_per_cubic_metre, 1500.0 * kilogram_per_cubic_metre,
               errors);
}

void check_bore(const std::string& path, const Bore& bore, FieldErrors& errors) {
  check_within(path + "/diameter", bore.diameter, 0.1 * millimetre, 10.0 * millimetre, errors);
  check_within(path + "/length", bore.length, 1.0 * millimetre, 10.0 * metre, errors);
}

void check_tubing(const std::string& path, const std::vector<Bore>& tubing, std::size_t most, FieldErrors& errors) {
  if (tubing.size() > most)
    errors.push_back({path, std::to_string(tubing.size()), say::tubes_at_most(static_cast<std::int64_t>(most))});
  for (std::size_t i = 0; i < tubing.size(); ++i) check_bore(path + "/" + std::to_string(i), tubing[i], errors);
}

void check_bag(const std::string& path, Length height, Pressure cuff, FieldErrors& errors) {
  check_within(path + "/height", height, -1.0 * metre, 3.0 * metre, errors);
  check_within(path + "/cuff", cuff, 0.0 * pascal, 600.0 * millimetre_of_mercury, errors);
}

void check_clamp(const std::string& path, Resistance clamp, FieldErrors& errors) {
  if (!(clamp >= Resistance() && std::isfinite(clamp.value())))
    errors.push_back({path, show(clamp), say::open_or_more()});
}

void check_connector(const std::string& path, double velocity_heads, FieldErrors& errors) {
  constexpr int most_velocity_heads = 1000;
  if (!(velocity_heads >= 0 && velocity_heads <= most_velocity_heads))
    errors.push_back({path, show_number(velocity_heads), say::velocity_heads_up_to(most_velocity_heads)});
}

void check_venous(const std::string& path, Pressure venous, FieldErrors& errors) {
  check_within(path, venous, -10.0 * millimetre_of_mercury, 100.0 * millimetre_of_mercury, errors);
}

}  // namespace dwell::flow
