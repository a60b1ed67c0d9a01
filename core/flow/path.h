#pragma once
// The path bag → drip chamber → tubing → extension → catheter → vein as a hydraulic line: which flow settles when the
// head equals the sum of the losses. It answers what a catheter can really deliver on the ward, not on its packet.
//
//   rho g H + P_bag - P_vein = dP_set + dP_tubing + dP_clamp + dP_connector + dP_catheter + R_vein Q
//
// The law of each part is in loss.h and part.h; what is usual and how sure it is, in open_line.h; two infusions that
// join are in network.h. Predicted against measured: docs/flow.md
#include <boost/describe.hpp>
#include <optional>
#include <vector>

#include "flow/loss.h"
#include "flow/part.h"
#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"

namespace dwell::flow {

/// Tubes in series that one line may have.
inline constexpr std::size_t most_tubes = 8;

struct Path {
  Fluid fluid;
  Length bag_height;      ///< free surface in the bag to catheter tip, without the fall of the drops in the chamber
  Pressure bag_pressure;  ///< in the fluid, of a cuff around the bag; 0 for gravity
  Pressure venous_pressure;
  std::vector<Bore> tubing;  ///< in series, at most most_tubes
  /// Roller clamp or filter: a narrowing, laminar. What it costs with saline at 20 degrees Celsius; a thicker fluid
  /// costs more in proportion. 0 when open.
  Resistance clamp;
  double connector_k = 0;  ///< needle-free connector and hub: velocity heads lost, on the catheter's speed
  Bore catheter;
  std::optional<DeclaredPart> set = std::nullopt;         ///< the giving set as a whole, beside any tubing
  std::optional<DeclaredPart> connector = std::nullopt;   ///< a needle-free connector or valve by its flow
  std::optional<Resistance> vein_outflow = std::nullopt;  ///< of the vein behind the tip
};
BOOST_DESCRIBE_STRUCT(Path, (),
                      (fluid, bag_height, bag_pressure, venous_pressure, tubing, clamp, connector_k, catheter, set,
                       connector, vein_outflow))

struct Solution {
  Flow flow;
  double reynolds_catheter = 0;
  double relative_residual = 0;  ///< |head - losses| / head, below 1e-9
  Pressure head, loss_tubing, loss_clamp, loss_catheter;
  Pressure loss_set, loss_vein;
  std::vector<Finding> findings;  ///< a head that does not carry the line is a stop, never a silent 0
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(Solution, (),
                      (flow, reynolds_catheter, relative_residual, head, loss_tubing, loss_clamp, loss_catheter,
                       loss_set, loss_vein, findings, workings))

/// What drives the line: rho g H + P_bag - P_vein. At 0 or below nothing runs, and blood may run back.
[[nodiscard]] Pressure head_of(const Path& path);
/// What the parts cost together at a flow >= 0, the catheter's loss multiplied by how much its law may err.
[[nodiscard]] Pressure loss_of(const Path& path, Flow flow, double catheter_law = 1);

/// The steady flow, without the workings: allocation-free, for plans and forecasts. Zero when the head is not above
/// venous pressure. Every length and viscosity must be > 0 (checked by `solve`).
[[nodiscard]] Flow steady_flow(const Path& path);
/// The same with the catheter's loss multiplied: by how much its law may err.
[[nodiscard]] Flow steady_flow(const Path& path, double catheter_law);

/// Checks, solves, shows the working. Errors: bores 0.1 to 10 mm, lengths 1 mm to 10 m, height -1 to 3 m, bag pressure
/// 0 to 600 mmHg, venous pressure -10 to 100 mmHg, viscosity 0.3 to 50 mPa s, density 900 to 1200 kg/m3,
/// at most most_tubes tubes.
[[nodiscard]] Checked<Solution> solve(const Path& path);

// The other way round: what to change so that the line gives a wanted flow > 0. Each is exact, because the loss at a
// known flow is known.

/// Clamp that brings the line down to a wanted flow; nothing when even the open line is slower.
[[nodiscard]] std::optional<Resistance> clamp_for(const Path& path, Flow wanted);
/// Height of the bag above the tip, everything else as it stands. May be beyond any drip stand, or negative.
[[nodiscard]] Length height_for(const Path& path, Flow wanted);
/// Pressure of the cuff around the bag; nothing when the line runs that fast without one.
[[nodiscard]] std::optional<Pressure> cuff_for(const Path& path, Flow wanted);

}  // namespace dwell::flow
