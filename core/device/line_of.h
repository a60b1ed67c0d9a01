#pragma once
// From the ward's policy and a catheter of the catalogue to the open line that flow/open_line.h reckons with.
#include <boost/describe.hpp>

#include "device/plan.h"
#include "flow/open_line.h"

namespace dwell::device {

/// `wide`: sets for blood, theatre and trauma.
enum class SetKind { ward, wide };
BOOST_DESCRIBE_ENUM(SetKind, ward, wide)

/// The set as the policy has it; what it does not say is the usual of flow/open_line.h.
[[nodiscard]] flow::UsualSet set_of(const policy::Gravity& gravity, SetKind kind);
/// The catheter by the flow on its pack, or by gauge and bore.
[[nodiscard]] flow::UsualCatheter usual_catheter(const Catheter& catheter);
/// The ward's line through this catheter, in a vein of the size usual for the gauge.
[[nodiscard]] flow::OpenLine open_line_of(const Catheter& catheter, const policy::Gravity& gravity,
                                          SetKind kind = SetKind::ward);
/// What of an entry cannot be: bore not below the outer diameter, lengths and flows out of range.
[[nodiscard]] FieldErrors check_catheter(const std::string& path, const Catheter& catheter);

}  // namespace dwell::device
