#pragma once
// The quantities of infusion work. Every public function of core/ speaks in these, so that a flow cannot be passed for
// a volume, nor drops for millilitres: the compiler refuses the mistake that a tired person makes.
//
// The system is SI with four bases of the trade that SI does not have: the drop, the biological unit ("units" of
// heparin or insulin), the osmole, and the kilogram of a body. So a medicine's mass is never taken for a person's, and
// a dose for each kilogram cannot be given without a weight. Values are held in SI; the units written by people live in
// unit_names.h.
#include <boost/units/base_dimension.hpp>
#include <boost/units/base_unit.hpp>
#include <boost/units/base_units/si/kelvin.hpp>
#include <boost/units/base_units/si/kilogram.hpp>
#include <boost/units/base_units/si/meter.hpp>
#include <boost/units/base_units/si/mole.hpp>
#include <boost/units/base_units/si/second.hpp>
#include <boost/units/derived_dimension.hpp>
#include <boost/units/make_system.hpp>
#include <boost/units/physical_dimensions.hpp>
#include <boost/units/quantity.hpp>
#include <compare>

namespace dwell {

namespace units = boost::units;

struct DropBase : units::base_dimension<DropBase, 7101> {};
struct BiologicalUnitBase : units::base_dimension<BiologicalUnitBase, 7102> {};
struct OsmoleBase : units::base_dimension<OsmoleBase, 7103> {};
struct BodyWeightBase : units::base_dimension<BodyWeightBase, 7104> {};
struct DropBaseUnit : units::base_unit<DropBaseUnit, DropBase::dimension_type, 7101> {};
struct BiologicalUnitBaseUnit : units::base_unit<BiologicalUnitBaseUnit, BiologicalUnitBase::dimension_type, 7102> {};
struct OsmoleBaseUnit : units::base_unit<OsmoleBaseUnit, OsmoleBase::dimension_type, 7103> {};
struct BodyWeightBaseUnit : units::base_unit<BodyWeightBaseUnit, BodyWeightBase::dimension_type, 7104> {};

using ClinicalSystem =
    units::make_system<units::si::meter_base_unit, units::si::kilogram_base_unit, units::si::second_base_unit,
                       units::si::kelvin_base_unit, units::si::mole_base_unit, DropBaseUnit, BiologicalUnitBaseUnit,
                       OsmoleBaseUnit, BodyWeightBaseUnit>::type;

template <class Dimension>
using Quantity = units::quantity<units::unit<Dimension, ClinicalSystem>>;

namespace dimension {
using units::amount_dimension;
using units::area_dimension;
using units::length_dimension;
using units::mass_dimension;
using units::pressure_dimension;
using units::time_dimension;
using units::velocity_dimension;
using units::volume_dimension;
template <class A, int a, class B, int b>
using product = typename units::derived_dimension<A, a, B, b>::type;
template <class A, int a, class B, int b, class C, int c>
using product3 = typename units::derived_dimension<A, a, B, b, C, c>::type;
using L = units::length_base_dimension;
using M = units::mass_base_dimension;
using T = units::time_base_dimension;
using N = units::amount_base_dimension;
using W = BodyWeightBase;
}  // namespace dimension

using Ratio = Quantity<units::dimensionless_type>;
using Length = Quantity<units::length_dimension>;
using Diameter = Length;
using Area = Quantity<units::area_dimension>;
using Volume = Quantity<units::volume_dimension>;
using Mass = Quantity<units::mass_dimension>;                 ///< of a medicine or a fluid, never of a person
using BodyWeight = Quantity<BodyWeightBase::dimension_type>;  ///< of a person, never of a medicine
using Duration = Quantity<units::time_dimension>;
using Pressure = Quantity<units::pressure_dimension>;
using Velocity = Quantity<units::velocity_dimension>;
using Acceleration = Quantity<units::acceleration_dimension>;
using Amount = Quantity<units::amount_dimension>;
using Drops = Quantity<DropBase::dimension_type>;
using BiologicalUnits = Quantity<BiologicalUnitBase::dimension_type>;
using Osmoles = Quantity<OsmoleBase::dimension_type>;

using Flow = Quantity<dimension::product<dimension::L, 3, dimension::T, -1>>;
using Density = Quantity<dimension::product<dimension::M, 1, dimension::L, -3>>;
using Viscosity = Quantity<dimension::product3<dimension::M, 1, dimension::L, -1, dimension::T, -1>>;
/// Pressure lost for each unit of flow, for a laminar part of the path.
using Resistance = Quantity<dimension::product3<dimension::M, 1, dimension::L, -4, dimension::T, -1>>;
using MassConcentration = Density;
using AmountConcentration = Quantity<dimension::product<dimension::N, 1, dimension::L, -3>>;
using UnitConcentration = Quantity<dimension::product<BiologicalUnitBase, 1, dimension::L, -3>>;
using MolarMass = Quantity<dimension::product<dimension::M, 1, dimension::N, -1>>;
using Osmolarity = Quantity<dimension::product<OsmoleBase, 1, dimension::L, -3>>;
using Rate = Quantity<units::frequency_dimension>;  // per time
using MassRate = Quantity<dimension::product<dimension::M, 1, dimension::T, -1>>;
using AmountRate = Quantity<dimension::product<dimension::N, 1, dimension::T, -1>>;
using UnitRate = Quantity<dimension::product<BiologicalUnitBase, 1, dimension::T, -1>>;
// "Per mass" is for each kilogram of the patient.
using MassPerMass = Quantity<dimension::product<dimension::M, 1, dimension::W, -1>>;
using MassRatePerMass = Quantity<dimension::product3<dimension::M, 1, dimension::W, -1, dimension::T, -1>>;
using AmountPerMass = Quantity<dimension::product<dimension::N, 1, dimension::W, -1>>;
using AmountRatePerMass = Quantity<dimension::product3<dimension::N, 1, dimension::W, -1, dimension::T, -1>>;
using UnitRatePerMass = Quantity<dimension::product3<BiologicalUnitBase, 1, dimension::W, -1, dimension::T, -1>>;
/// Fluid for body weight in a time: maintenance rules and ceilings (mL/kg/h).
using FlowPerMass = Quantity<dimension::product3<dimension::L, 3, dimension::W, -1, dimension::T, -1>>;
using VolumePerMass = Quantity<dimension::product<dimension::L, 3, dimension::W, -1>>;
/// Drops that one volume makes: the factor printed on the set's packet, 10, 15, 20 or 60 drops/mL.
using DropFactor = Quantity<dimension::product<DropBase, 1, dimension::L, -3>>;
using DropRate = Quantity<dimension::product<DropBase, 1, dimension::T, -1>>;

/// A quantity of a narrower kind, read and shown in units of its own: a clearance is a flow, but nobody counts it in
/// mL/h. It computes as the wide one does; what must never be taken for one another has a base of its own instead.
template <class Of, class Wide>
struct Narrower : Wide {
  constexpr Narrower() = default;
  constexpr Narrower(const Wide& wide) : Wide(wide) {}
  [[nodiscard]] static constexpr Narrower from_value(double si) { return Narrower(Wide::from_value(si)); }
};
using BodySurface = Narrower<struct OfBodySurface, Area>;
using BodyWater = Narrower<struct OfBodyWater, Volume>;    ///< held by a body: tens of litres
using Clearance = Narrower<struct OfClearance, Flow>;      ///< by the kidneys
using PushSpeed = Narrower<struct OfPushSpeed, MassRate>;  ///< of a medicine given by hand or against a label's limit

/// Catheter gauge. A larger number is a narrower catheter; the comparison follows the bore, so Gauge{18} > Gauge{22}.
struct Gauge {
  int number = 0;
  friend constexpr bool operator==(Gauge, Gauge) = default;
  friend constexpr std::strong_ordering operator<=>(Gauge a, Gauge b) { return b.number <=> a.number; }
};

/// Body or fluid temperature in degrees Celsius. A strong type, because a scale with an offset has no products.
struct Temperature {
  double celsius = 0;
  friend constexpr auto operator<=>(const Temperature&, const Temperature&) = default;
};

inline constexpr Length metre = Length::from_value(1.0);
inline constexpr Length centimetre = 1e-2 * metre;
inline constexpr Length millimetre = 1e-3 * metre;
inline constexpr Volume cubic_metre = Volume::from_value(1.0);
inline constexpr Volume litre = 1e-3 * cubic_metre;
inline constexpr Volume millilitre = 1e-6 * cubic_metre;
inline constexpr Duration second = Duration::from_value(1.0);
inline constexpr Duration minute = 60.0 * second;
inline constexpr Duration hour = 3600.0 * second;
inline constexpr Duration day = 86400.0 * second;
inline constexpr BodyWeight kilogram = BodyWeight::from_value(1.0);  ///< of the patient; medicines are in grams
inline constexpr Mass gram = Mass::from_value(1e-3);
inline constexpr Mass milligram = 1e-3 * gram;
inline constexpr Mass microgram = 1e-6 * gram;
inline constexpr Amount mole = Amount::from_value(1.0);
inline constexpr Amount millimole = 1e-3 * mole;
inline constexpr Osmoles osmole = Osmoles::from_value(1.0);
inline constexpr Osmoles milliosmole = 1e-3 * osmole;
inline constexpr Drops drop = Drops::from_value(1.0);
inline constexpr BiologicalUnits biological_unit = BiologicalUnits::from_value(1.0);
inline constexpr Pressure pascal = Pressure::from_value(1.0);
inline constexpr Pressure millimetre_of_mercury = 133.322 * pascal;
inline constexpr Pressure centimetre_of_water = 98.0665 * pascal;
inline constexpr Acceleration standard_gravity = Acceleration::from_value(9.80665);
inline constexpr Viscosity millipascal_second = Viscosity::from_value(1e-3);
inline constexpr Density kilogram_per_cubic_metre = Density::from_value(1.0);
inline constexpr Osmolarity milliosmole_per_litre = Osmolarity::from_value(1.0);

/// The plain number of how many `unit` there are in `quantity`: in(flow, millilitre / hour).
template <class Dimension>
[[nodiscard]] constexpr double in(Quantity<Dimension> quantity, Quantity<Dimension> unit) {
  return quantity.value() / unit.value();
}

}  // namespace dwell
