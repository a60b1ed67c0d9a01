#pragma once
// Which part of the body suits whom: legs and scalp are for the very young, and a failing kidney keeps its arm veins.
#include <boost/describe.hpp>
#include <optional>
#include <vector>

#include "limb/limb.h"
#include "patient/patient.h"
#include "policy/policy.h"

namespace dwell::access {

/// A leg line in an adult is a caution (move it to the arm soon), a scalp line beyond infancy a stop, a foot or leg
/// line in a child that walks a caution.  Source: CDC 2011 (read); sources.md#limb-restrictions
[[nodiscard]] std::vector<Finding> check_region(const Site& site, line::AgeBand band);

struct VeinSavingInput {
  Site site;
  std::optional<Flow> filtration_for_1_73_m2;  ///< of a body surface of 1.73 m²; absent: not known
  std::optional<Side> dominant_hand;
  bool kidney_disease = false;  ///< known, or a fistula planned
};
BOOST_DESCRIBE_STRUCT(VeinSavingInput, (), (site, filtration_for_1_73_m2, dominant_hand, kidney_disease))

struct VeinSaving {
  bool saves_veins = false;  ///< below the policy's filtration, or kidney disease known
  std::vector<Finding> findings;
};
BOOST_DESCRIBE_STRUCT(VeinSaving, (), (saves_veins, findings))

/// Below the policy's filtration: expert assessment first, the back of the hand rather than the forearm, and never the
/// cephalic vein of the other arm if it can be helped. Below its stop (stages 4 and 5): no arm vein above the hand.
/// Errors: filtration 0 to 250 mL/min.
/// Source: AVA/ASDIN (second-hand), KDOQI 2006 (read; guideline 1.2 second-hand); sources.md#limb-restrictions
[[nodiscard]] Checked<VeinSaving> vein_saving(const VeinSavingInput& input, const policy::Access& policy);

}  // namespace dwell::access
