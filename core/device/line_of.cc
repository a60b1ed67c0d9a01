#include "device/line_of.h"

#include "flow/limits.h"
#include "say/device.h"

namespace dwell::device {

flow::UsualSet set_of(const policy::Gravity& gravity, SetKind kind) {
  flow::UsualSet set = kind == SetKind::wide ? flow::wide_set() : flow::ward_set();
  const auto& said = kind == SetKind::wide ? gravity.wide_set : gravity.ward_set;
  if (!said) return set;
  if (said->open_flow) {
    // A ward that says what its set passes, and no bounds, keeps the usual spread about it.
    const double moved = said->open_flow->value / set.part.open_flow;
    set = {{said->open_flow->value, set.part.laminar_share}, set.low * moved, set.high * moved};
  }
  if (said->open_flow_low) set.low = said->open_flow_low->value;
  if (said->open_flow_high) set.high = said->open_flow_high->value;
  if (said->laminar_share) set.part.laminar_share = said->laminar_share->value;
  return set;
}

flow::UsualCatheter usual_catheter(const Catheter& catheter) {
  if (catheter.declared_flow)
    if (auto found = flow::by_declared_flow(*catheter.declared_flow, catheter.length)) return *found;
  return flow::by_gauge(catheter.gauge, {catheter.bore, catheter.length});
}

flow::OpenLine open_line_of(const Catheter& catheter, const policy::Gravity& gravity, SetKind kind) {
  flow::OpenLine line;
  line.catheter = usual_catheter(catheter);
  line.set = set_of(gravity, kind);
  line.vein = flow::usual_vein(catheter.gauge);
  line.venous_pressure = gravity.venous_pressure.value;
  if (gravity.venous_spread) line.venous_spread = gravity.venous_spread->value;
  if (gravity.sleeve_shift) line.sleeve_shift = gravity.sleeve_shift->value;
  if (gravity.sleeve_spread) line.sleeve_spread = gravity.sleeve_spread->value;
  if (gravity.rig_spread) line.rig_spread = double(gravity.rig_spread->value);
  return line;
}

FieldErrors check_catheter(const std::string& path, const Catheter& catheter) {
  FieldErrors errors;
  check_within(path + "/length", catheter.length, 5.0 * millimetre, 300.0 * millimetre, errors);
  check_within(path + "/bore", catheter.bore, 0.1 * millimetre, 10.0 * millimetre, errors);
  if (!(catheter.bore < catheter.outer))
    errors.push_back({path + "/outer", show(catheter.outer), say::wider_than_the_bore()});
  if (catheter.declared_flow)
    if (const auto found = flow::bore_of_declared(*catheter.declared_flow, catheter.length); !found)
      for (const auto& error : found.error()) errors.push_back({path + error.path, error.found, error.expected});
  return errors;
}

}  // namespace dwell::device
