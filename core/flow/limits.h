#pragma once
// What a line can be made of: the ranges that every flow function refuses beyond, said once.
#include <string>
#include <vector>

#include "flow/loss.h"
#include "quantity/checked.h"
#include "quantity/within.h"

namespace dwell::flow {

using dwell::check_within;

/// Viscosity 0.3 to 50 mPa s, density 900 to 1,500 kg/m3.
void check_fluid(const std::string& path, const Fluid& fluid, FieldErrors& errors);
/// Diameter 0.1 to 10 mm, length 1 mm to 10 m.
void check_bore(const std::string& path, const Bore& bore, FieldErrors& errors);
void check_tubing(const std::string& path, const std::vector<Bore>& tubing, std::size_t most, FieldErrors& errors);
/// Height -1 to 3 m, cuff 0 to 600 mmHg.
void check_bag(const std::string& path, Length height, Pressure cuff, FieldErrors& errors);
/// 0 (open) or more.
void check_clamp(const std::string& path, Resistance clamp, FieldErrors& errors);
/// 0 to 1,000 velocity heads.
void check_connector(const std::string& path, double velocity_heads, FieldErrors& errors);
/// -10 to 100 mmHg.
void check_venous(const std::string& path, Pressure venous, FieldErrors& errors);

}  // namespace dwell::flow
