#pragma once
// The figures by which a ward sees how its lines fare.
#include <boost/describe.hpp>

namespace dwell::statistics {

enum class IndicatorKind {
  failure_share,
  failure_rate,
  phlebitis_rate,
  infiltration_rate,
  occlusion_rate,
  dislodgement_rate,
  leakage_rate,
  infection_rate,
  pain_rate,
  half_ended,
  first_attempt,
  four_attempts,
  off_joints,
  emergency_out,
  idle,
  looked_daily,
  placement_recorded,
  removal_recorded
};
BOOST_DESCRIBE_ENUM(IndicatorKind, failure_share, failure_rate, phlebitis_rate, infiltration_rate, occlusion_rate,
                    dislodgement_rate, leakage_rate, infection_rate, pain_rate, half_ended, first_attempt,
                    four_attempts, off_joints, emergency_out, idle, looked_daily, placement_recorded, removal_recorded)

}  // namespace dwell::statistics
