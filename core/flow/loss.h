#pragma once
// What one part of the line costs at a flow: the long tubing, and the short catheter in which the stream never finishes
// developing. Everything else about a line is bookkeeping over these two.
//
// Symbols: D bore, L length, v mean speed, rho density, mu viscosity, Re = rho v D / mu, x = L / (D Re).
//
//   catheter, laminar     dP = (rho v^2 / 2) [1 + 4 f L/D],
//                         f Re = 3.44 x^-1/2 + [16 + 1.25/(4x) - 3.44 x^-1/2] / [1 + 0.00021 x^-2]     (Shah 1978)
//   catheter, turbulent   dP = (rho v^2 / 2) [1.5 + 0.316 Re^-1/4 L/D]                                  (Blasius)
//   tubing, laminar       dP = 128 mu L Q / (pi D^4)                                            (Hagen-Poiseuille)
//   tubing, turbulent     dP = (rho v^2 / 2) 0.316 Re^-1/4 L/D                                          (Blasius)
//
// Between Re 2,100 and 4,000 the two laws are joined by a smooth step. In the catheter that step counts only as far as
// the bore is long enough for the stream to develop at all: not below 60 diameters (the whole catheter lies in the
// entrance of 0.06 Re D = 126 D), fully from 126 on. Our choice; "nearly 600 mL/min" measured under pressure agrees
// with it (docs/flow.md). The 1 and the 1.5 hold the velocity head that is
// not recovered in the vein. Constants and their marks: sources.md#flow-model
#include <boost/describe.hpp>

#include "flow/fluid.h"
#include "quantity/quantity.h"

namespace dwell::flow {

struct Bore {
  Length diameter;
  Length length;
  friend bool operator==(const Bore&, const Bore&) = default;
};
BOOST_DESCRIBE_STRUCT(Bore, (), (diameter, length))

/// Loss over the catheter alone at a flow >= 0.
[[nodiscard]] Pressure catheter_loss(const Bore& catheter, const Fluid& fluid, Flow flow);
/// Loss over a long tube at a flow >= 0.
[[nodiscard]] Pressure tubing_loss(const Bore& tube, const Fluid& fluid, Flow flow);

[[nodiscard]] double reynolds_number(const Bore& bore, const Fluid& fluid, Flow flow);

// The same in plain SI numbers with the powers that every evaluation needs worked out once, for the solvers, which
// evaluate one part many times. Nothing outside core/flow uses them.
namespace si {

class Tube {
 public:
  Tube() = default;
  Tube(const Bore& bore, const Fluid& fluid);
  [[nodiscard]] double loss(double flow) const;
  /// Flow up to which the loss is simply `resistance() * flow`.
  [[nodiscard]] double laminar_up_to() const;
  [[nodiscard]] double resistance() const { return laminar_; }

 private:
  double laminar_ = 0;    ///< Pa for each m3/s
  double turbulent_ = 0;  ///< Pa for each (m3/s)^1.75
  double reynolds_per_flow_ = 0;
};

class Catheter {
 public:
  Catheter(const Bore& bore, const Fluid& fluid);
  [[nodiscard]] double loss(double flow) const;
  [[nodiscard]] double velocity_head(double flow) const { return half_density_per_area_squared_ * flow * flow; }

 private:
  double slenderness_ = 0;  ///< L / D
  double long_enough_ = 0;  ///< 0 to 1: how far turbulence can develop within it
  double reynolds_per_flow_ = 0;
  double half_density_per_area_squared_ = 0;
};

}  // namespace si

}  // namespace dwell::flow
