#pragma once
// The units that people write and read. At the edge Dwell speaks UCUM; for people it writes the trade's safe forms:
// "mcg" never the micro sign, "units" never U, "mL" never cc.
#include <boost/describe.hpp>
#include <span>
#include <string>
#include <string_view>

#include "quantity/checked.h"
#include "quantity/number_text.h"
#include "quantity/quantity.h"

namespace dwell {

enum class QuantityKind {
  ratio,
  length,
  area,
  volume,
  mass,
  duration,
  pressure,
  velocity,
  amount,
  drops,
  biological_units,
  osmoles,
  flow,
  mass_concentration,
  viscosity,
  resistance,
  amount_concentration,
  unit_concentration,
  molar_mass,
  osmolarity,
  rate,
  mass_rate,
  amount_rate,
  unit_rate,
  amount_per_mass,
  amount_rate_per_mass,
  unit_rate_per_mass,
  flow_per_mass,
  volume_per_mass,
  drop_factor,
  drop_rate,
  body_weight,
  body_surface,
  body_water,
  clearance,
  push_speed,
  mass_per_mass,
  mass_rate_per_mass
};
BOOST_DESCRIBE_ENUM(QuantityKind, ratio, length, area, volume, mass, duration, pressure, velocity, amount, drops,
                    biological_units, osmoles, flow, mass_concentration, viscosity, resistance, amount_concentration,
                    unit_concentration, molar_mass, osmolarity, rate, mass_rate, amount_rate, unit_rate,
                    amount_per_mass, amount_rate_per_mass, unit_rate_per_mass, flow_per_mass, volume_per_mass,
                    drop_factor, drop_rate, body_weight, body_surface, body_water, clearance, push_speed, mass_per_mass,
                    mass_rate_per_mass)

struct UnitName {
  std::string_view ucum;     ///< code at the edge: "ug/kg/min"
  std::string_view display;  ///< for people: "mcg/kg/min"
  double si = 1;             ///< SI value of one such unit
  /// Shown in this unit from so many of it on, up to where a greater one begins; below 0 it is only read.
  double shown_from = -1;
};

/// All units accepted for a kind; the first is the one of its JSON.
[[nodiscard]] std::span<const UnitName> unit_names(QuantityKind kind);
/// The one in which a value of this size is shown at the bedside: 0.04 mg as micrograms, 25 g as grams.
[[nodiscard]] const UnitName& shown_unit(QuantityKind kind, double si);
[[nodiscard]] std::string_view quantity_name(QuantityKind kind);

/// A number and a unit of the kind, "125 mL/h", "1,000 mL", "3 h 25 min", to its SI value; the number as in
/// number_text.h. Spellings of the trade that can mean one thing only are read (hr, ml, gtt); the refusal names units
/// that would do. Refused for safety: cc, the micro sign, a bare "U", mEq (which depends on the ion), a missing unit
/// (except for ratios), non-finite numbers.
[[nodiscard]] Checked<double> parse_quantity(QuantityKind kind, std::string_view text,
                                             DecimalSign sign = DecimalSign::point);
/// The UCUM code of a word that the trade writes for a part of a unit: "hr" is "h"; any other word is itself.
[[nodiscard]] std::string_view ucum_of_word(std::string_view word);
/// Value and UCUM (or display) unit name to SI.
[[nodiscard]] Checked<double> convert_quantity(QuantityKind kind, double value, std::string_view unit);

/// "39 °C" or "102.2 degF", which is shown back in degrees Celsius.
[[nodiscard]] Checked<Temperature> parse_temperature(std::string_view text, DecimalSign sign = DecimalSign::point);
[[nodiscard]] Checked<Temperature> convert_temperature(double value, std::string_view unit);

template <class Q>
struct KindOf;
#define DWELL_KIND(Type, name)                                \
  template <>                                                 \
  struct KindOf<Type> {                                       \
    static constexpr QuantityKind value = QuantityKind::name; \
  }
DWELL_KIND(Ratio, ratio);
DWELL_KIND(Length, length);
DWELL_KIND(Area, area);
DWELL_KIND(Volume, volume);
DWELL_KIND(Mass, mass);
DWELL_KIND(Duration, duration);
DWELL_KIND(Pressure, pressure);
DWELL_KIND(Velocity, velocity);
DWELL_KIND(Amount, amount);
DWELL_KIND(Drops, drops);
DWELL_KIND(BiologicalUnits, biological_units);
DWELL_KIND(Osmoles, osmoles);
DWELL_KIND(Flow, flow);
DWELL_KIND(MassConcentration, mass_concentration);
DWELL_KIND(Viscosity, viscosity);
DWELL_KIND(Resistance, resistance);
DWELL_KIND(AmountConcentration, amount_concentration);
DWELL_KIND(UnitConcentration, unit_concentration);
DWELL_KIND(MolarMass, molar_mass);
DWELL_KIND(Osmolarity, osmolarity);
DWELL_KIND(Rate, rate);
DWELL_KIND(MassRate, mass_rate);
DWELL_KIND(AmountRate, amount_rate);
DWELL_KIND(UnitRate, unit_rate);
DWELL_KIND(AmountPerMass, amount_per_mass);
DWELL_KIND(AmountRatePerMass, amount_rate_per_mass);
DWELL_KIND(UnitRatePerMass, unit_rate_per_mass);
DWELL_KIND(FlowPerMass, flow_per_mass);
DWELL_KIND(VolumePerMass, volume_per_mass);
DWELL_KIND(DropFactor, drop_factor);
DWELL_KIND(DropRate, drop_rate);
DWELL_KIND(BodyWeight, body_weight);
DWELL_KIND(BodySurface, body_surface);
DWELL_KIND(BodyWater, body_water);
DWELL_KIND(Clearance, clearance);
DWELL_KIND(PushSpeed, push_speed);
DWELL_KIND(MassPerMass, mass_per_mass);
DWELL_KIND(MassRatePerMass, mass_rate_per_mass);
#undef DWELL_KIND

template <class Q>
concept QuantityType = requires {
  KindOf<Q>::value;
};

template <QuantityType Q>
[[nodiscard]] Checked<Q> parse(std::string_view text, DecimalSign sign = DecimalSign::point) {
  return parse_quantity(KindOf<Q>::value, text, sign).map([](double si) { return Q::from_value(si); });
}

}  // namespace dwell
