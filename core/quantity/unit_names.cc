#include "quantity/unit_names.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "quantity/number_text.h"

namespace dwell {
namespace {

constexpr double per_min = 1.0 / 60, per_h = 1.0 / 3600, per_d = 1.0 / 86400;
constexpr double mL = 1e-6, L = 1e-3;

constexpr std::array ratio{UnitName{"%", "%", 0.01}, UnitName{"1", "", 1}};
constexpr std::array length{UnitName{"mm", "mm", 1e-3}, UnitName{"cm", "cm", 1e-2}, UnitName{"m", "m", 1},
                            UnitName{"[in_i]", "in", 0.0254}};
constexpr std::array area{UnitName{"mm2", "mm²", 1e-6}, UnitName{"cm2", "cm²", 1e-4}, UnitName{"m2", "m²", 1}};
constexpr std::array volume{UnitName{"mL", "mL", mL}, UnitName{"L", "L", L}};
constexpr std::array mass{UnitName{"kg", "kg", 1}, UnitName{"g", "g", 1e-3}, UnitName{"mg", "mg", 1e-6},
                          UnitName{"ug", "mcg", 1e-9}, UnitName{"[lb_av]", "lb", 0.45359237}};
constexpr std::array duration{UnitName{"min", "min", 60}, UnitName{"s", "s", 1}, UnitName{"h", "h", 3600},
                              UnitName{"d", "d", 86400}};
constexpr std::array pressure{UnitName{"mm[Hg]", "mmHg", 133.322}, UnitName{"cm[H2O]", "cmH₂O", 98.0665},
                              UnitName{"kPa", "kPa", 1000}, UnitName{"Pa", "Pa", 1},
                              UnitName{"[psi]", "psi", 6894.757293168}};
constexpr std::array velocity{UnitName{"m/s", "m/s", 1}, UnitName{"cm/s", "cm/s", 0.01}};
constexpr std::array amount{UnitName{"mmol", "mmol", 1e-3}, UnitName{"mol", "mol", 1},
                            UnitName{"umol", "micromol", 1e-6}};
constexpr std::array drops{UnitName{"{drop}", "drops", 1}};
// UCUM holds arbitrary units apart: one by another pharmacopoeia is not taken for an international unit.
constexpr std::array biological{UnitName{"[iU]", "units", 1}};
constexpr std::array osmoles{UnitName{"mosm", "mOsm", 1e-3}};
constexpr std::array flow{UnitName{"mL/h", "mL/h", mL* per_h},   UnitName{"mL/min", "mL/min", mL* per_min},
                          UnitName{"mL/s", "mL/s", mL},          UnitName{"L/h", "L/h", L* per_h},
                          UnitName{"mL/d", "mL/day", mL* per_d}, UnitName{"L/d", "L/day", L* per_d}};
constexpr std::array mass_concentration{UnitName{"mg/mL", "mg/mL", 1},     UnitName{"g/L", "g/L", 1},
                                        UnitName{"ug/mL", "mcg/mL", 1e-3}, UnitName{"kg/m3", "kg/m³", 1},
                                        UnitName{"g/mL", "g/mL", 1000},    UnitName{"mg/L", "mg/L", 1e-3},
                                        UnitName{"mg/dL", "mg/dL", 1e-2}};
constexpr std::array viscosity{UnitName{"mPa.s", "mPa·s", 1e-3}, UnitName{"Pa.s", "Pa·s", 1}};
constexpr std::array resistance{UnitName{"Pa/(mL/min)", "Pa per mL/min", 1 / (mL * per_min)},
                                UnitName{"mm[Hg]/(L/h)", "mmHg per L/h", 133.322 / (L * per_h)}};
constexpr std::array amount_concentration{UnitName{"mmol/L", "mmol/L", 1}, UnitName{"mmol/mL", "mmol/mL", 1000},
                                          UnitName{"mol/L", "mol/L", 1000}, UnitName{"umol/L", "micromol/L", 1e-3}};
constexpr std::array unit_concentration{UnitName{"[iU]/mL", "units/mL", 1e6}, UnitName{"[iU]/L", "units/L", 1e3}};
constexpr std::array molar_mass{UnitName{"g/mol", "g/mol", 1e-3}};
constexpr std::array osmolarity{UnitName{"mosm/L", "mOsm/L", 1}};
constexpr std::array rate{UnitName{"/min", "per min", per_min}, UnitName{"/h", "per h", per_h},
                          UnitName{"/d", "per day", per_d}, UnitName{"/s", "per s", 1}};
constexpr std::array mass_rate{UnitName{"mg/h", "mg/h", 1e-6 * per_h}, UnitName{"mg/min", "mg/min", 1e-6 * per_min},
                               UnitName{"ug/min", "mcg/min", 1e-9 * per_min}, UnitName{"ug/h", "mcg/h", 1e-9 * per_h},
                               UnitName{"g/h", "g/h", 1e-3 * per_h}};
constexpr std::array amount_rate{UnitName{"mmol/h", "mmol/h", 1e-3 * per_h},
                                 UnitName{"mmol/min", "mmol/min", 1e-3 * per_min},
                                 UnitName{"mmol/d", "mmol/day", 1e-3 * per_d}};
constexpr std::array unit_rate{UnitName{"[iU]/h", "units/h", per_h}, UnitName{"[iU]/min", "units/min", per_min}};
constexpr std::array amount_per_mass{UnitName{"mmol/kg", "mmol/kg", 1e-3}};
constexpr std::array amount_rate_per_mass{UnitName{"mmol/kg/h", "mmol/kg/h", 1e-3 * per_h},
                                          UnitName{"mmol/kg/d", "mmol/kg/day", 1e-3 * per_d}};
constexpr std::array unit_rate_per_mass{UnitName{"[iU]/kg/h", "units/kg/h", per_h},
                                        UnitName{"[iU]/kg/min", "units/kg/min", per_min}};
constexpr std::array flow_per_mass{UnitName{"mL/kg/h", "mL/kg/h", mL* per_h},
                                   UnitName{"mL/kg/d", "mL/kg/day", mL* per_d},
                                   UnitName{"mL/kg/min", "mL/kg/min", mL* per_min}};
constexpr std::array volume_per_mass{UnitName{"mL/kg", "mL/kg", mL}};
constexpr std::array drop_factor{UnitName{"{drop}/mL", "drops/mL", 1e6}};
constexpr std::array drop_rate{UnitName{"{drop}/min", "drops/min", per_min}};

constexpr std::array<std::string_view, 4> unsafe_units{"cc", "U", "IU", "µg"};

}  // namespace

std::span<const UnitName> unit_names(QuantityKind kind) {
  switch (kind) {
    case QuantityKind::ratio: return ratio;
    case QuantityKind::length: return length;
    case QuantityKind::area: return area;
    case QuantityKind::volume: return volume;
    case QuantityKind::mass: return mass;
    case QuantityKind::duration: return duration;
    case QuantityKind::pressure: return pressure;
    case QuantityKind::velocity: return velocity;
    case QuantityKind::amount: return amount;
    case QuantityKind::drops: return drops;
    case QuantityKind::biological_units: return biological;
    case QuantityKind::osmoles: return osmoles;
    case QuantityKind::flow: return flow;
    case QuantityKind::mass_concentration: return mass_concentration;
    case QuantityKind::viscosity: return viscosity;
    case QuantityKind::resistance: return resistance;
    case QuantityKind::amount_concentration: return amount_concentration;
    case QuantityKind::unit_concentration: return unit_concentration;
    case QuantityKind::molar_mass: return molar_mass;
    case QuantityKind::osmolarity: return osmolarity;
    case QuantityKind::rate: return rate;
    case QuantityKind::mass_rate: return mass_rate;
    case QuantityKind::amount_rate: return amount_rate;
    case QuantityKind::unit_rate: return unit_rate;
    case QuantityKind::amount_per_mass: return amount_per_mass;
    case QuantityKind::amount_rate_per_mass: return amount_rate_per_mass;
    case QuantityKind::unit_rate_per_mass: return unit_rate_per_mass;
    case QuantityKind::flow_per_mass: return flow_per_mass;
    case QuantityKind::volume_per_mass: return volume_per_mass;
    case QuantityKind::drop_factor: return drop_factor;
    case QuantityKind::drop_rate: return drop_rate;
  }
  return ratio;
}

std::string_view quantity_name(QuantityKind kind) {
  switch (kind) {
    case QuantityKind::ratio: return "share";
    case QuantityKind::length: return "length";
    case QuantityKind::area: return "area";
    case QuantityKind::volume: return "volume";
    case QuantityKind::mass: return "mass";
    case QuantityKind::duration: return "time";
    case QuantityKind::pressure: return "pressure";
    case QuantityKind::velocity: return "speed";
    case QuantityKind::amount: return "amount of substance";
    case QuantityKind::drops: return "number of drops";
    case QuantityKind::biological_units: return "biological units";
    case QuantityKind::osmoles: return "osmotic amount";
    case QuantityKind::flow: return "flow";
    case QuantityKind::viscosity: return "viscosity";
    case QuantityKind::resistance: return "flow resistance";
    case QuantityKind::mass_concentration:
    case QuantityKind::amount_concentration:
    case QuantityKind::unit_concentration: return "concentration";
    case QuantityKind::molar_mass: return "molar mass";
    case QuantityKind::osmolarity: return "osmolarity";
    case QuantityKind::rate: return "rate";
    case QuantityKind::mass_rate:
    case QuantityKind::amount_rate:
    case QuantityKind::unit_rate: return "dose rate";
    case QuantityKind::amount_per_mass: return "dose for weight";
    case QuantityKind::amount_rate_per_mass:
    case QuantityKind::unit_rate_per_mass: return "dose rate for weight";
    case QuantityKind::flow_per_mass: return "flow for weight";
    case QuantityKind::volume_per_mass: return "volume for weight";
    case QuantityKind::drop_factor: return "drop factor";
    case QuantityKind::drop_rate: return "drop rate";
  }
  return "quantity";
}

namespace {

std::string accepted(QuantityKind kind) {
  std::string text = "a " + std::string(quantity_name(kind)) + " in ";
  std::vector<std::string_view> names;
  for (const auto& unit : unit_names(kind))
    if (!unit.display.empty() && std::find(names.begin(), names.end(), unit.display) == names.end())
      names.push_back(unit.display);
  for (std::size_t i = 0; i < names.size(); ++i)
    text += (i == 0 ? "" : i + 1 == names.size() ? " or " : ", ") + std::string(names[i]);
  return text;
}

const UnitName* find_unit(QuantityKind kind, std::string_view unit) {
  for (const auto& name : unit_names(kind))
    if (name.ucum == unit || (!name.display.empty() && name.display == unit)) return &name;
  return nullptr;
}

}  // namespace

Checked<double> convert_quantity(QuantityKind kind, double value, std::string_view unit) {
  const auto found = std::to_string(value) + " " + std::string(unit);
  if (!std::isfinite(value)) return refuse("", found, accepted(kind));
  if (std::find(unsafe_units.begin(), unsafe_units.end(), unit) != unsafe_units.end())
    return refuse("", found, "no unsafe unit (" + std::string(unit) + " is easily misread); " + accepted(kind));
  const UnitName* name = find_unit(kind, unit);
  if (!name) return refuse("", found, accepted(kind));
  // What cannot be counted in the unit in which it is written could not be read again.
  const double si = value * name->si;
  if (!std::isfinite(si) || !std::isfinite(si / unit_names(kind).front().si))
    return refuse("", found, "a number that can be counted");
  return si;
}

Checked<double> parse_quantity(QuantityKind kind, std::string_view text) {
  const auto refused = [&] { return refuse("", std::string(text), accepted(kind)); };
  std::string digits;
  std::size_t at = 0;
  while (at < text.size() && text[at] == ' ') ++at;
  for (; at < text.size(); ++at) {
    const char c = text[at];
    const bool number = (c >= '0' && c <= '9') || c == '.' || c == '-' || c == '+';
    const bool exponent = (c == 'e' || c == 'E') && !digits.empty() && at + 1 < text.size() &&
                          (text[at + 1] == '-' || (text[at + 1] >= '0' && text[at + 1] <= '9'));
    const bool thousands =
        c == ',' && at + 3 < text.size() &&
        std::all_of(text.begin() + static_cast<std::ptrdiff_t>(at) + 1,
                    text.begin() + static_cast<std::ptrdiff_t>(at) + 4, [](char d) { return d >= '0' && d <= '9'; });
    if (thousands) continue;
    if (!number && !exponent) break;
    digits += c;
  }
  const auto value = number_from(digits);
  if (!value) return refused();
  while (at < text.size() && text[at] == ' ') ++at;
  auto unit = text.substr(at);
  while (!unit.empty() && unit.back() == ' ') unit.remove_suffix(1);
  if (unit.empty() && kind != QuantityKind::ratio) return refused();
  auto converted = unit.empty() ? Checked<double>(*value) : convert_quantity(kind, *value, unit);
  if (!converted) converted.error().front().found = std::string(text);
  return converted;
}

}  // namespace dwell
