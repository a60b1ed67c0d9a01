#pragma once
// A part of the line that is known by what it passes, not by its bore: a giving set, a connector, and a catheter whose
// pack declares a flow. Nobody at the bedside can measure a bore, everybody can read a pack or fill a cup.
//
//   set, connector    dP = a Q (mu / mu0) + b Q^2 (rho / rho0),   a = s P1 / q1,  b = (1 - s) P1 / q1^2
//
// q1 flow of the part alone, open-ended, saline at 20 degrees Celsius from 1 m (P1); s share of that loss which is
// laminar and so follows the viscosity. Form: Philip & Philip (read as abstract); figures: docs/flow.md
#include <boost/describe.hpp>
#include <string>

#include "flow/loss.h"
#include "quantity/checked.h"
#include "quantity/quantity.h"

namespace dwell::flow {

/// The fluid in which flows of sets and settings of clamps are given: saline 0.9 % at 20 degrees Celsius.
[[nodiscard]] const Fluid& reference_fluid();

struct DeclaredPart {
  Flow open_flow;       ///< alone, saline at 20 °C from 1 m
  Ratio laminar_share;  ///< 0: an orifice (connector, valve); 1: a clamp or a filter
  friend bool operator==(const DeclaredPart&, const DeclaredPart&) = default;
};
BOOST_DESCRIBE_STRUCT(DeclaredPart, (), (open_flow, laminar_share))

/// Loss over the part at a flow >= 0.
[[nodiscard]] Pressure part_loss(const DeclaredPart& part, const Fluid& fluid, Flow flow);
/// Flow from 1 mL/min to 10 L/min, share 0 to 1.
void check_part(const std::string& path, const DeclaredPart& part, FieldErrors& errors);

/// Velocity heads lost in the hub of a catheter, 0.1 ± 0.08 (value from memory).
inline constexpr double hub_velocity_heads = 0.1;

/// The bore with which a catheter of this length passes its declared flow in the standard rig: water at 22 degrees
/// Celsius from 1 m, the rig alone 525 mL/min. Errors: declared flow 2 to 500 mL/min, length 5 to 300 mm.
[[nodiscard]] Checked<Length> bore_of_declared(Flow declared, Length length);
/// The other way round: what a catheter would declare.
[[nodiscard]] Flow declared_of_bore(const Bore& catheter);

/// What the vein behind the tip costs for each flow: R = 128 mu L / (pi D^4), diluted blood of 1.2 mPa s over 0.3 m.
/// A vein of this inner diameter > 0.
[[nodiscard]] Resistance vein_outflow(Diameter vein);
/// The vein in which a catheter of this gauge usually lies, by size: 1.8 mm (24) to 4.8 mm (14). Source: docs/flow.md
[[nodiscard]] Diameter usual_vein(Gauge gauge);

namespace si {

/// The same in SI numbers, worked out once.
class Part {
 public:
  Part() = default;
  Part(const DeclaredPart& part, const Fluid& fluid);
  [[nodiscard]] double loss(double flow) const { return (laminar_ + quadratic_ * flow) * flow; }
  /// Flow at which the loss is this pressure >= 0.
  [[nodiscard]] double flow_at(double pressure) const;

 private:
  double laminar_ = 0, quadratic_ = 0;
};

}  // namespace si

}  // namespace dwell::flow
