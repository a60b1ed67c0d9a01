#include "quantity/unit_names.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "quantity/time.h"
#include "say/quantity.h"

namespace dwell {
namespace {

constexpr double per_min = 1.0 / 60, per_h = 1.0 / 3600, per_d = 1.0 / 86400;
constexpr double mL = 1e-6, L = 1e-3;
constexpr double g = 1e-3, mg = 1e-6, mcg = 1e-9, nanogram = 1e-12;
constexpr double mmol = 1e-3, micromol = 1e-6;

// Below a tenth of a unit the next smaller one is shown, so that nobody counts zeros; grams only from ten on, because a
// dose in grams would lose the digits of "1 235 mg".
constexpr double always = 0, from_tenth = 0.1, from_one = 1, from_ten = 10;

constexpr std::array ratio{UnitName{"%", "%", 0.01, always}, UnitName{"1", "", 1}};
constexpr std::array length{UnitName{"mm", "mm", 1e-3, always}, UnitName{"cm", "cm", 1e-2, 40}, UnitName{"m", "m", 1},
                            UnitName{"[in_i]", "in", 0.0254}};
constexpr std::array area{UnitName{"mm2", "mm²", 1e-6, always}, UnitName{"cm2", "cm²", 1e-4, from_one},
                          UnitName{"m2", "m²", 1, from_one}};
constexpr std::array volume{UnitName{"mL", "mL", mL, always}, UnitName{"L", "L", L, from_ten}};
constexpr std::array mass{UnitName{"mg", "mg", mg, from_tenth}, UnitName{"ug", "mcg", mcg, from_tenth},
                          UnitName{"ng", "nanograms", nanogram, always}, UnitName{"g", "g", g, from_ten}};
constexpr std::array body_weight{UnitName{"kg", "kg", 1, from_tenth}, UnitName{"g", "g", g, always},
                                 UnitName{"[lb_av]", "lb", 0.45359237}};
constexpr std::array duration{UnitName{"min", "min", 60}, UnitName{"s", "s", 1}, UnitName{"h", "h", 3600},
                              UnitName{"d", "d", 86400}, UnitName{"wk", "wk", 604800}};
constexpr std::array pressure{UnitName{"mm[Hg]", "mmHg", 133.322, always}, UnitName{"cm[H2O]", "cmH₂O", 98.0665},
                              UnitName{"kPa", "kPa", 1000}, UnitName{"Pa", "Pa", 1},
                              UnitName{"[psi]", "psi", 6894.757293168}};
constexpr std::array velocity{UnitName{"m/s", "m/s", 1, from_tenth}, UnitName{"cm/s", "cm/s", 0.01, always}};
constexpr std::array amount{UnitName{"mmol", "mmol", mmol, from_tenth}, UnitName{"mol", "mol", 1},
                            UnitName{"umol", "micromol", micromol, always}};
constexpr std::array drops{UnitName{"{drop}", "drops", 1, always}};
// UCUM holds arbitrary units apart: one by another pharmacopoeia is not taken for an international unit.
constexpr std::array biological{UnitName{"[iU]", "units", 1, from_tenth},
                                UnitName{"m[iU]", "milliunits", 1e-3, always}};
constexpr std::array osmoles{UnitName{"mosm", "mOsm", 1e-3, always}};
constexpr std::array flow{UnitName{"mL/h", "mL/h", mL* per_h, always},
                          UnitName{"mL/min", "mL/min", mL* per_min},
                          UnitName{"mL/s", "mL/s", mL},
                          UnitName{"L/h", "L/h", L* per_h},
                          UnitName{"mL/d", "mL/day", mL* per_d},
                          UnitName{"L/d", "L/day", L* per_d}};
constexpr std::array mass_concentration{UnitName{"mg/mL", "mg/mL", 1, from_tenth},
                                        UnitName{"g/L", "g/L", 1},
                                        UnitName{"ug/mL", "mcg/mL", 1e-3, from_tenth},
                                        UnitName{"ng/mL", "nanograms/mL", 1e-6, always},
                                        UnitName{"kg/m3", "kg/m³", 1},
                                        UnitName{"g/mL", "g/mL", 1000},
                                        UnitName{"mg/L", "mg/L", 1e-3},
                                        UnitName{"mg/dL", "mg/dL", 1e-2}};
constexpr std::array viscosity{UnitName{"mPa.s", "mPa·s", 1e-3, always}, UnitName{"Pa.s", "Pa·s", 1}};
constexpr std::array resistance{UnitName{"Pa/(mL/min)", "Pa per mL/min", 1 / (mL * per_min), always},
                                UnitName{"mm[Hg]/(L/h)", "mmHg per L/h", 133.322 / (L * per_h)}};
constexpr std::array amount_concentration{UnitName{"mmol/L", "mmol/L", 1, from_tenth},
                                          UnitName{"mmol/mL", "mmol/mL", 1000}, UnitName{"mol/L", "mol/L", 1000},
                                          UnitName{"umol/L", "micromol/L", 1e-3, always}};
constexpr std::array unit_concentration{UnitName{"[iU]/mL", "units/mL", 1e6, from_tenth},
                                        UnitName{"[iU]/L", "units/L", 1e3},
                                        UnitName{"m[iU]/mL", "milliunits/mL", 1e3, always}};
constexpr std::array molar_mass{UnitName{"g/mol", "g/mol", 1e-3, always}};
constexpr std::array osmolarity{UnitName{"mosm/L", "mOsm/L", 1, always}};
constexpr std::array rate{UnitName{"/min", "per min", per_min, from_one}, UnitName{"/h", "per h", per_h, from_one},
                          UnitName{"/d", "per day", per_d, always}, UnitName{"/s", "per s", 1}};
constexpr std::array mass_rate{UnitName{"mg/h", "mg/h", mg* per_h, from_tenth},
                               UnitName{"mg/min", "mg/min", mg* per_min},
                               UnitName{"ug/min", "mcg/min", mcg* per_min},
                               UnitName{"ug/h", "mcg/h", mcg* per_h, from_tenth},
                               UnitName{"ng/h", "nanograms/h", nanogram* per_h, always},
                               UnitName{"g/h", "g/h", g* per_h, from_ten}};
constexpr std::array push_speed{UnitName{"mg/min", "mg/min", mg* per_min, from_tenth},
                                UnitName{"mg/h", "mg/h", mg* per_h},
                                UnitName{"ug/min", "mcg/min", mcg* per_min, from_tenth},
                                UnitName{"ng/min", "nanograms/min", nanogram* per_min, always},
                                UnitName{"g/min", "g/min", g* per_min, from_ten},
                                UnitName{"ug/h", "mcg/h", mcg* per_h},
                                UnitName{"g/h", "g/h", g* per_h}};
constexpr std::array amount_rate{
    UnitName{"mmol/h", "mmol/h", mmol* per_h, from_tenth}, UnitName{"umol/h", "micromol/h", micromol* per_h, always},
    UnitName{"mmol/min", "mmol/min", mmol* per_min}, UnitName{"mmol/d", "mmol/day", mmol* per_d}};
constexpr std::array unit_rate{
    UnitName{"[iU]/h", "units/h", per_h, from_tenth}, UnitName{"[iU]/min", "units/min", per_min},
    UnitName{"m[iU]/h", "milliunits/h", 1e-3 * per_h, always}, UnitName{"m[iU]/min", "milliunits/min", 1e-3 * per_min}};
constexpr std::array mass_per_mass{
    UnitName{"mg/kg", "mg/kg", mg, from_tenth}, UnitName{"ug/kg", "mcg/kg", mcg, from_tenth},
    UnitName{"ng/kg", "nanograms/kg", nanogram, always}, UnitName{"g/kg", "g/kg", g, from_ten}};
constexpr std::array mass_rate_per_mass{UnitName{"ug/kg/min", "mcg/kg/min", mcg* per_min, from_tenth},
                                        UnitName{"mg/kg/min", "mg/kg/min", mg* per_min, from_ten},
                                        UnitName{"ng/kg/min", "nanograms/kg/min", nanogram* per_min, always},
                                        UnitName{"ug/kg/h", "mcg/kg/h", mcg* per_h},
                                        UnitName{"mg/kg/h", "mg/kg/h", mg* per_h}};
constexpr std::array amount_per_mass{UnitName{"mmol/kg", "mmol/kg", mmol, from_tenth},
                                     UnitName{"umol/kg", "micromol/kg", micromol, always}};
constexpr std::array amount_rate_per_mass{UnitName{"mmol/kg/h", "mmol/kg/h", mmol* per_h, from_tenth},
                                          UnitName{"umol/kg/h", "micromol/kg/h", micromol* per_h, always},
                                          UnitName{"mmol/kg/d", "mmol/kg/day", mmol* per_d}};
constexpr std::array unit_rate_per_mass{UnitName{"[iU]/kg/h", "units/kg/h", per_h, from_tenth},
                                        UnitName{"[iU]/kg/min", "units/kg/min", per_min},
                                        UnitName{"m[iU]/kg/h", "milliunits/kg/h", 1e-3 * per_h, always},
                                        UnitName{"m[iU]/kg/min", "milliunits/kg/min", 1e-3 * per_min}};
constexpr std::array flow_per_mass{UnitName{"mL/kg/h", "mL/kg/h", mL* per_h, always},
                                   UnitName{"mL/kg/d", "mL/kg/day", mL* per_d},
                                   UnitName{"mL/kg/min", "mL/kg/min", mL* per_min}};
constexpr std::array volume_per_mass{UnitName{"mL/kg", "mL/kg", mL, always}};
constexpr std::array drop_factor{UnitName{"{drop}/mL", "drops/mL", 1e6, always}};
constexpr std::array drop_rate{UnitName{"{drop}/min", "drops/min", per_min, always}};
constexpr std::array body_surface{UnitName{"m2", "m²", 1, always}};
constexpr std::array body_water{UnitName{"L", "L", L, from_one}, UnitName{"mL", "mL", mL, always}};
constexpr std::array clearance{UnitName{"mL/min", "mL/min", mL* per_min, always}, UnitName{"L/h", "L/h", L* per_h},
                               UnitName{"mL/h", "mL/h", mL* per_h}};

struct Spelling {
  std::string_view word, ucum;
};
/// What the trade writes on paper for a part of a unit, beside its UCUM code. Each can mean one thing only.
constexpr std::array spellings{Spelling{"hr", "h"},
                               Spelling{"hrs", "h"},
                               Spelling{"hour", "h"},
                               Spelling{"hours", "h"},
                               Spelling{"mins", "min"},
                               Spelling{"minute", "min"},
                               Spelling{"minutes", "min"},
                               Spelling{"sec", "s"},
                               Spelling{"secs", "s"},
                               Spelling{"second", "s"},
                               Spelling{"seconds", "s"},
                               Spelling{"day", "d"},
                               Spelling{"days", "d"},
                               Spelling{"week", "wk"},
                               Spelling{"weeks", "wk"},
                               Spelling{"ml", "mL"},
                               Spelling{"mls", "mL"},
                               Spelling{"millilitre", "mL"},
                               Spelling{"millilitres", "mL"},
                               Spelling{"milliliter", "mL"},
                               Spelling{"milliliters", "mL"},
                               Spelling{"l", "L"},
                               Spelling{"litre", "L"},
                               Spelling{"litres", "L"},
                               Spelling{"liter", "L"},
                               Spelling{"liters", "L"},
                               Spelling{"dl", "dL"},
                               Spelling{"gm", "g"},
                               Spelling{"gram", "g"},
                               Spelling{"grams", "g"},
                               Spelling{"kgs", "kg"},
                               Spelling{"kilogram", "kg"},
                               Spelling{"kilograms", "kg"},
                               Spelling{"mcg", "ug"},
                               Spelling{"microgram", "ug"},
                               Spelling{"micrograms", "ug"},
                               Spelling{"milligram", "mg"},
                               Spelling{"milligrams", "mg"},
                               Spelling{"nanogram", "ng"},
                               Spelling{"nanograms", "ng"},
                               Spelling{"lb", "[lb_av]"},
                               Spelling{"lbs", "[lb_av]"},
                               Spelling{"pound", "[lb_av]"},
                               Spelling{"pounds", "[lb_av]"},
                               Spelling{"micromol", "umol"},
                               Spelling{"mOsm", "mosm"},
                               Spelling{"gtt", "{drop}"},
                               Spelling{"gtts", "{drop}"},
                               Spelling{"drop", "{drop}"},
                               Spelling{"drops", "{drop}"},
                               Spelling{"unit", "[iU]"},
                               Spelling{"units", "[iU]"},
                               Spelling{"milliunit", "m[iU]"},
                               Spelling{"milliunits", "m[iU]"},
                               Spelling{"in", "[in_i]"},
                               Spelling{"inch", "[in_i]"},
                               Spelling{"inches", "[in_i]"},
                               Spelling{"mmHg", "mm[Hg]"},
                               Spelling{"mm Hg", "mm[Hg]"},
                               Spelling{"cmH2O", "cm[H2O]"},
                               Spelling{"cmH₂O", "cm[H2O]"},
                               Spelling{"cm H2O", "cm[H2O]"},
                               Spelling{"cm H₂O", "cm[H2O]"},
                               Spelling{"mm²", "mm2"},
                               Spelling{"cm²", "cm2"},
                               Spelling{"m²", "m2"},
                               Spelling{"m³", "m3"},
                               Spelling{"mPa·s", "mPa.s"},
                               Spelling{"Pa·s", "Pa.s"},
                               Spelling{"psi", "[psi]"},
                               Spelling{"percent", "%"}};

struct UnsafeWord {
  std::string_view word;
  Message (*instead)(std::string unit, Message accepted);
};
constexpr auto misread = &say::no_misread_unit, by_ion = &say::no_unit_by_ion;
constexpr std::array unsafe_words{UnsafeWord{"cc", misread}, UnsafeWord{"U", misread},  UnsafeWord{"u", misread},
                                  UnsafeWord{"IU", misread}, UnsafeWord{"iu", misread}, UnsafeWord{"µg", misread},
                                  UnsafeWord{"μg", misread}, UnsafeWord{"mEq", by_ion}, UnsafeWord{"meq", by_ion}};

struct KindRow {
  std::string_view name;
  std::span<const UnitName> units;
  Message (*expected)(std::vector<Message> units);
};

KindRow row_of(QuantityKind kind) {
  switch (kind) {
    case QuantityKind::ratio: return {"share", ratio, &say::a_share_in};
    case QuantityKind::length: return {"length", length, &say::a_length_in};
    case QuantityKind::area: return {"area", area, &say::an_area_in};
    case QuantityKind::volume: return {"volume", volume, &say::a_volume_in};
    case QuantityKind::mass: return {"mass of a medicine", mass, &say::a_mass_in};
    case QuantityKind::duration: return {"time", duration, &say::a_time_in};
    case QuantityKind::pressure: return {"pressure", pressure, &say::a_pressure_in};
    case QuantityKind::velocity: return {"speed", velocity, &say::a_speed_in};
    case QuantityKind::amount: return {"amount of substance", amount, &say::an_amount_in};
    case QuantityKind::drops: return {"number of drops", drops, &say::a_number_of_drops_in};
    case QuantityKind::biological_units: return {"biological units", biological, &say::biological_units_in};
    case QuantityKind::osmoles: return {"osmotic amount", osmoles, &say::an_osmotic_amount_in};
    case QuantityKind::flow: return {"flow", flow, &say::a_flow_in};
    case QuantityKind::mass_concentration: return {"concentration", mass_concentration, &say::a_concentration_in};
    case QuantityKind::viscosity: return {"viscosity", viscosity, &say::a_viscosity_in};
    case QuantityKind::resistance: return {"flow resistance", resistance, &say::a_resistance_in};
    case QuantityKind::amount_concentration: return {"concentration", amount_concentration, &say::a_concentration_in};
    case QuantityKind::unit_concentration: return {"concentration", unit_concentration, &say::a_concentration_in};
    case QuantityKind::molar_mass: return {"molar mass", molar_mass, &say::a_molar_mass_in};
    case QuantityKind::osmolarity: return {"osmolarity", osmolarity, &say::an_osmolarity_in};
    case QuantityKind::rate: return {"rate", rate, &say::a_frequency_in};
    case QuantityKind::mass_rate: return {"dose rate", mass_rate, &say::a_dose_rate_in};
    case QuantityKind::amount_rate: return {"dose rate", amount_rate, &say::a_dose_rate_in};
    case QuantityKind::unit_rate: return {"dose rate", unit_rate, &say::a_dose_rate_in};
    case QuantityKind::amount_per_mass: return {"dose for weight", amount_per_mass, &say::a_dose_for_weight_in};
    case QuantityKind::amount_rate_per_mass:
      return {"dose rate for weight", amount_rate_per_mass, &say::a_dose_rate_for_weight_in};
    case QuantityKind::unit_rate_per_mass:
      return {"dose rate for weight", unit_rate_per_mass, &say::a_dose_rate_for_weight_in};
    case QuantityKind::flow_per_mass: return {"flow for weight", flow_per_mass, &say::a_flow_for_weight_in};
    case QuantityKind::volume_per_mass: return {"volume for weight", volume_per_mass, &say::a_volume_for_weight_in};
    case QuantityKind::drop_factor: return {"drop factor", drop_factor, &say::a_drop_factor_in};
    case QuantityKind::drop_rate: return {"drop rate", drop_rate, &say::a_drop_rate_in};
    case QuantityKind::body_weight: return {"body weight", body_weight, &say::a_body_weight_in};
    case QuantityKind::body_surface: return {"body surface", body_surface, &say::a_body_surface_in};
    case QuantityKind::body_water: return {"body water", body_water, &say::body_water_in};
    case QuantityKind::clearance: return {"clearance", clearance, &say::a_clearance_in};
    case QuantityKind::push_speed: return {"dose rate", push_speed, &say::a_dose_rate_in};
    case QuantityKind::mass_per_mass: return {"dose for weight", mass_per_mass, &say::a_dose_for_weight_in};
    case QuantityKind::mass_rate_per_mass:
      return {"dose rate for weight", mass_rate_per_mass, &say::a_dose_rate_for_weight_in};
  }
  return {"quantity", ratio, &say::a_share_in};
}

Message accepted(QuantityKind kind) {
  std::vector<std::string_view> names;
  for (const auto& unit : unit_names(kind))
    if (!unit.display.empty() && std::find(names.begin(), names.end(), unit.display) == names.end())
      names.push_back(unit.display);
  std::vector<Message> units;
  units.reserve(names.size());
  for (const auto name : names) units.push_back(say::a_unit(std::string(name)));
  return row_of(kind).expected(std::move(units));
}

/// Part by part: "gtts / min", "mL per hour", "mcg/kg/min".
template <class Each>
void each_part(std::string_view unit, const Each& each) {
  constexpr std::string_view per = "per ";
  if (unit.starts_with(per)) each(std::string_view()), unit.remove_prefix(per.size());
  while (true) {
    const auto slash = unit.find('/'), word = unit.find(" per ");
    const auto end = std::min(slash, word);
    each(trimmed(unit.substr(0, end)));
    if (end == std::string_view::npos) return;
    unit.remove_prefix(end + (slash < word ? 1 : 5));
  }
}

std::string ucum_of_whole(std::string_view unit) {
  std::string whole;
  bool first = true;
  each_part(unit, [&](std::string_view part) {
    whole += (first ? "" : "/") + std::string(ucum_of_word(part));
    first = false;
  });
  return whole;
}

const UnsafeWord* unsafe_part(std::string_view unit, std::string& part_found) {
  const UnsafeWord* found = nullptr;
  each_part(unit, [&](std::string_view part) {
    const auto* unsafe =
        std::find_if(unsafe_words.begin(), unsafe_words.end(), [&](const UnsafeWord& u) { return u.word == part; });
    if (unsafe != unsafe_words.end() && !found) found = unsafe, part_found = part;
  });
  return found;
}

const UnitName* find_unit(QuantityKind kind, std::string_view unit) {
  const auto units = unit_names(kind);
  const auto named = [&](const auto& fits) {
    const auto found = std::find_if(units.begin(), units.end(), fits);
    return found == units.end() ? nullptr : &*found;
  };
  if (const auto* exact =
          named([&](const UnitName& u) { return u.ucum == unit || (!u.display.empty() && u.display == unit); }))
    return exact;
  const std::string usual = ucum_of_whole(unit);
  return named([&](const UnitName& u) { return u.ucum == usual; });
}

}  // namespace

std::span<const UnitName> unit_names(QuantityKind kind) { return row_of(kind).units; }

std::string_view quantity_name(QuantityKind kind) { return row_of(kind).name; }

const UnitName& shown_unit(QuantityKind kind, double si) {
  const auto units = unit_names(kind);
  const UnitName* best = nullptr;
  for (const auto& unit : units) {
    // What prints as a whole unit is one, whatever binary noise lies below it.
    const bool reached = unit.shown_from >= 0 && std::abs(si) / unit.si >= unit.shown_from * (1 - 1e-9);
    // Nothing at all has no size; it is shown in the unit of the kind.
    if (reached && si != 0 && (!best || unit.si > best->si)) best = &unit;
  }
  return best ? *best : units.front();
}

std::string_view ucum_of_word(std::string_view word) {
  const auto* found =
      std::find_if(spellings.begin(), spellings.end(), [&](const Spelling& s) { return s.word == word; });
  return found == spellings.end() ? word : found->ucum;
}

Checked<double> convert_quantity(QuantityKind kind, double value, std::string_view unit) {
  const auto found = [&] { return std::to_string(value) + " " + std::string(unit); };
  if (!std::isfinite(value)) return refuse("", found(), accepted(kind));
  const UnitName* name = find_unit(kind, unit);
  std::string part;
  if (const UnsafeWord* unsafe = name ? nullptr : unsafe_part(unit, part))
    return refuse("", found(), unsafe->instead(part, accepted(kind)));
  if (!name) return refuse("", found(), accepted(kind));
  // What cannot be counted in the unit in which it is written could not be read again.
  const double si = value * name->si;
  if (!std::isfinite(si) || !std::isfinite(si / unit_names(kind).front().si))
    return refuse("", found(), say::a_countable_number());
  return si;
}

Checked<double> parse_quantity(QuantityKind kind, std::string_view text, DecimalSign sign) {
  const auto rest = trimmed(text);
  const auto number = leading_number(rest, sign);
  const bool has_number = rest.find_first_of("0123456789") != std::string_view::npos;
  if (!number) return refuse("", std::string(text), has_number ? number.error().front().expected : accepted(kind));
  if (kind == QuantityKind::duration)
    return parse_seconds(rest, sign).map_error([&](FieldErrors errors) {
      errors.front().found = std::string(text);
      return errors;
    });
  const auto unit = trimmed(rest.substr(number->length));
  if (unit.empty() && kind != QuantityKind::ratio) return refuse("", std::string(text), accepted(kind));
  auto converted = unit.empty() ? Checked<double>(number->value) : convert_quantity(kind, number->value, unit);
  if (!converted) converted.error().front().found = std::string(text);
  return converted;
}

Checked<Temperature> convert_temperature(double value, std::string_view unit) {
  constexpr std::array celsius{"Cel", "°C", "degC", "C"};
  constexpr std::array fahrenheit{"[degF]", "°F", "degF", "F"};
  const bool is_celsius = std::find(celsius.begin(), celsius.end(), unit) != celsius.end();
  const bool is_fahrenheit = std::find(fahrenheit.begin(), fahrenheit.end(), unit) != fahrenheit.end();
  const double degrees = is_fahrenheit ? (value - 32) / 1.8 : value;
  if ((is_celsius || is_fahrenheit) && degrees >= -50 && degrees <= 150) return Temperature{degrees};
  return refuse("", std::to_string(value) + " " + std::string(unit), say::a_temperature_in_celsius());
}

Checked<Temperature> parse_temperature(std::string_view text, DecimalSign sign) {
  const auto rest = trimmed(text);
  const auto number = leading_number(rest, sign);
  const bool has_number = rest.find_first_of("0123456789") != std::string_view::npos;
  if (!number)
    return refuse("", std::string(text),
                  has_number ? number.error().front().expected : say::a_temperature_in_celsius());
  auto converted = convert_temperature(number->value, trimmed(rest.substr(number->length)));
  if (!converted) converted.error().front().found = std::string(text);
  return converted;
}

}  // namespace dwell
