#include "vessel/tip.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "quantity/difference.h"
#include "quantity/within.h"
#include "say/common.h"
#include "say/vessel.h"
#include "vessel/fit.h"

namespace dwell::vessel {
namespace {

constexpr double degrees = std::numbers::pi / 180;

FieldErrors check(const TipInput& in) {
  FieldErrors errors;
  check_within("/vein_inner", in.vein_inner, 0.2 * millimetre, 30.0 * millimetre, errors);
  check_within("/lead", in.lead, 0.1 * millimetre, 15.0 * millimetre, errors);
  if (!(in.angle_degrees >= 1 && in.angle_degrees <= 90))
    errors.push_back({"/angle_degrees", show_number(in.angle_degrees), say::angle_from_to(1, 90)});
  if (in.lowered_degrees && !(*in.lowered_degrees >= 1 && *in.lowered_degrees <= in.angle_degrees))
    errors.push_back({"/lowered_degrees", show_number(*in.lowered_degrees), say::angle_up_to_the_first()});
  return errors;
}

FieldErrors check(const DilutionInput& in) {
  FieldErrors errors;
  check_within("/infusion", in.infusion, 0.1 * millilitre / hour, 60.0 * litre / hour, errors);
  check_within("/vein_flow", in.vein_flow, Flow(), 60.0 * litre / hour, errors);
  check_within("/infusate", in.infusate, Osmolarity(), 6000.0 * milliosmole_per_litre, errors);
  check_within("/plasma", in.plasma, 200.0 * milliosmole_per_litre, 450.0 * milliosmole_per_litre, errors);
  if (in.catheter_to_vein) check_within("/catheter_to_vein", *in.catheter_to_vein, Ratio(0.0), Ratio(1.0), errors);
  return errors;
}

}  // namespace

std::optional<double> angle_for_share(Ratio share, Length catheter, Length depth, Length exposed) {
  const Length outside = catheter * (1.0 - double(share)) - exposed;
  if (!(outside > Length()) || depth > outside) return std::nullopt;
  return std::asin(double(depth / outside)) / degrees;
}

Checked<Tip> tip(const TipInput& in) {
  if (auto errors = check(in); !errors.empty()) return refuse(std::move(errors));
  const double angle = in.lowered_degrees.value_or(in.angle_degrees);
  Tip out;
  out.advance = in.lead;
  out.room = in.vein_inner / std::sin(angle * degrees);
  out.spare = difference(out.room, out.advance);
  out.steepest_degrees = std::asin(std::min(1.0, double(in.vein_inner / out.advance))) / degrees;
  const auto of = [](auto quantity) { return say::quantity(shown(quantity)); };
  out.workings = {{say::room_to_far_wall(),
                   say::room_to_far_wall_formula(),
                   {{say::vein_diameter(), of(in.vein_inner)}, {say::angle_name(), say::degrees(shown_number(angle))}},
                   of(out.room),
                   {"geometry", Mark::computed}},
                  {say::room_to_spare(),
                   say::room_to_spare_formula(),
                   {{say::room_name(), of(out.room)}, {say::lead_and_bevel(), of(in.lead)}},
                   of(out.spare),
                   {"lead and bevel 1 to 3 mm by gauge (value from memory)", Mark::memory}}};
  if (out.spare < Length())
    out.findings.push_back({Severity::stop,
                            "far_wall",
                            say::passes_the_far_wall(shown_number(std::floor(out.steepest_degrees))),
                            {"geometry", Mark::computed}});
  out.findings.push_back({Severity::information,
                          "advance",
                          say::go_on_at_flashback(),
                          {"clinical manual, and a study quiz; re-inserting: BMC Anesthesiol 2022", Mark::read}});
  return out;
}

Checked<Dilution> dilution(const DilutionInput& in) {
  if (auto errors = check(in); !errors.empty()) return refuse(std::move(errors));
  Dilution out;
  out.passing = in.vein_flow * double(in.catheter_to_vein ? annular_flow_share(*in.catheter_to_vein) : Ratio(1.0));
  out.fold = double((in.infusion + out.passing) / in.infusion);
  out.at_tip = in.plasma + (in.infusate - in.plasma) / out.fold;
  out.workings = {{say::osmolarity_at_tip(),
                   say::osmolarity_at_tip_formula(),
                   {{say::infusion_name(), say::flow_of_osmolarity(in.infusion, in.infusate)},
                    {say::blood_past_catheter(), say::quantity(shown(out.passing))},
                    {say::plasma_name(), say::quantity(shown(in.plasma))}},
                   say::quantity(shown(out.at_tip)),
                   {"mass balance, fully mixed", Mark::computed}}};
  if (out.fold < 2)
    out.findings.push_back({Severity::caution,
                            "little_blood",
                            say::wall_meets_the_fluid(),
                            {"mass balance, fully mixed", Mark::computed}});
  return out;
}

}  // namespace dwell::vessel
