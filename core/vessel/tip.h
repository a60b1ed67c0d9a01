#pragma once
// Where the points of the device are in the vein, and what the blood makes of the infusate at the tip.
//
//   room = diameter / sin(angle)                along the needle, from the near wall to the far wall
//   after flashback the needle's point has just passed the near wall; the catheter's edge is still `lead` behind
#include <boost/describe.hpp>
#include <optional>
#include <vector>

#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"

namespace dwell::vessel {

/// Angle at which the share of a catheter lies in the vein:  asin(depth / (length (1 − share) − exposed)), degrees.
/// Nothing when no angle up to 90 degrees does it. 0 < share < 1, lengths > 0.
[[nodiscard]] std::optional<double> angle_for_share(Ratio share, Length catheter, Length depth, Length exposed);

struct TipInput {
  Diameter vein_inner;
  double angle_degrees = 20;
  Length lead = 2.0 * millimetre;         ///< from the needle's point to the catheter's edge, bevel included
  std::optional<double> lowered_degrees;  ///< angle after lowering the device at flashback
};
BOOST_DESCRIBE_STRUCT(TipInput, (), (vein_inner, angle_degrees, lead, lowered_degrees))

struct Tip {
  Length advance;                ///< on from flashback until the catheter's edge is inside
  Length room;                   ///< to the far wall, along the needle, at the angle it is advanced
  Length spare;                  ///< room − advance; negative: the point would pass the far wall first
  double steepest_degrees = 90;  ///< at which the advance still fits
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(Tip, (), (advance, room, spare, steepest_degrees, findings, workings))

/// Errors: vein 0.2 to 30 mm, angles 1 to 90 degrees (lowered not above the first), lead 0.1 to 15 mm. A lead of 1 to 3
/// mm by gauge is a value from memory; texts say go on 1 to 2 mm, or 6 mm.  Source: sources.md#tip
[[nodiscard]] Checked<Tip> tip(const TipInput& input);

struct DilutionInput {
  Flow infusion;
  Osmolarity infusate;
  Flow vein_flow;                         ///< as it is without a catheter
  std::optional<Ratio> catheter_to_vein;  ///< absent: nothing is held back
  Osmolarity plasma = 290.0 * milliosmole_per_litre;
};
BOOST_DESCRIBE_STRUCT(DilutionInput, (), (infusion, infusate, vein_flow, catheter_to_vein, plasma))

struct Dilution {
  Flow passing;       ///< blood that passes the catheter
  Osmolarity at_tip;  ///< fully mixed
  double fold = 1;    ///< (infusion + passing) / infusion
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(Dilution, (), (passing, at_tip, fold, findings, workings))

/// Mixed osmolarity  (Qi Oi + Qb Ob) / (Qi + Qb), Qb the vein's flow times the annulus' share. The best case for
/// mixing, the worst for passing. Errors: infusion 0.1 mL/h to 60 L/h, vein flow 0 to 60 L/h, osmolarities 0 to 6,000
/// and 200 to 450 mOsm/L, ratio 0 to 1.
[[nodiscard]] Checked<Dilution> dilution(const DilutionInput& input);

}  // namespace dwell::vessel
