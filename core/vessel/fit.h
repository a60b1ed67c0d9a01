#pragma once
// How a catheter lies in a vein: how much of the vein it fills, how much flow it leaves, how much of it is inside.
#include <boost/describe.hpp>
#include <optional>
#include <vector>

#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"

namespace dwell::vessel {

/// Catheter outer diameter / vein inner diameter, the vein measured without tourniquet. Above 1 the catheter cannot lie
/// in the vein; it is returned, not clipped. Both > 0. The limit is policy. Source: sources.md#vein-ratio
[[nodiscard]] Ratio catheter_to_vein_ratio(Diameter catheter_outer, Diameter vein_inner);

/// Share of the vein's flow that still passes a concentric catheter (Newtonian annulus), k = ratio:
///   Q/Q0 = 1 - k^4 - (1 - k^2)^2 / ln(1/k)
/// A worst case: an eccentric catheter lets more pass. 0 for k >= 1, 1 for k = 0. Source: sources.md#annular-flow
[[nodiscard]] Ratio annular_flow_share(Ratio catheter_to_vein);

/// Length of catheter between skin and vein:  depth / sin(angle).  depth to the near wall >= 0; 0 < angle <= 90
/// degrees.
[[nodiscard]] Length length_in_tissue(Length depth, double angle_degrees);

/// (L - depth/sin(angle) - exposed) / L, not below 0. Source: sources.md#share-in-vein
[[nodiscard]] Ratio share_in_vein(Length catheter, Length depth, double angle_degrees, Length exposed);

/// Shortest catheter with the target share in the vein:  (depth/sin(angle) + exposed) / (1 - share).
[[nodiscard]] Length length_for_share(Ratio share, Length depth, double angle_degrees, Length exposed);

struct FitInput {
  Diameter catheter_outer;
  Length catheter_length;
  Diameter vein_inner;
  Length depth;
  double angle_degrees = 20;
  Length exposed;
};
BOOST_DESCRIBE_STRUCT(FitInput, (), (catheter_outer, catheter_length, vein_inner, depth, angle_degrees, exposed))

/// The ward's limits, when they are to be held against the fit; what is absent is not looked at.
struct FitLimits {
  std::optional<Ratio> good_ratio, highest_ratio;
  std::optional<Ratio> target_share_in_vein, least_share_in_vein;
};

struct Fit {
  Ratio ratio, area_share, annular_flow, share_in_vein;
  Length in_tissue, in_vein;
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(Fit, (), (ratio, area_share, annular_flow, share_in_vein, in_tissue, in_vein, findings, workings))

/// A vein that the catheter fills, and a catheter that does not reach it, are stops with or without limits.
/// Errors: diameters 0.2 to 30 mm, length 5 to 300 mm, depth 0 to 60 mm, angle 1 to 90 degrees, exposed 0 to 30 mm.
[[nodiscard]] Checked<Fit> fit(const FitInput& input, const FitLimits& limits = {});

}  // namespace dwell::vessel
