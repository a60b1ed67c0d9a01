#include "vessel/fit.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "quantity/within.h"
#include "say/common.h"
#include "say/vessel.h"

namespace dwell::vessel {
namespace {

FieldErrors check(const FitInput& input) {
  FieldErrors errors;
  check_within("/catheter_outer", input.catheter_outer, 0.2 * millimetre, 30.0 * millimetre, errors);
  check_within("/catheter_length", input.catheter_length, 5.0 * millimetre, 300.0 * millimetre, errors);
  check_within("/vein_inner", input.vein_inner, 0.2 * millimetre, 30.0 * millimetre, errors);
  check_within("/depth", input.depth, 0.0 * millimetre, 60.0 * millimetre, errors);
  check_within("/exposed", input.exposed, 0.0 * millimetre, 30.0 * millimetre, errors);
  if (!(input.angle_degrees >= 1 && input.angle_degrees <= 90))
    errors.push_back({"/angle_degrees", show_number(input.angle_degrees), say::angle_from_to(1, 90)});
  return errors;
}

/// The vein first: is there room, and does blood pass?
void tell_ratio(const Fit& f, const FitLimits& limits, std::vector<Finding>& findings) {
  const Source geometry{"geometry", Mark::computed}, policy{"sources.md#vein-ratio", Mark::computed};
  if (f.ratio >= Ratio(1.0))
    findings.push_back({Severity::stop, "filled_vein", say::fills_the_vein(), geometry});
  else if (limits.highest_ratio && f.ratio > *limits.highest_ratio)
    findings.push_back(
        {Severity::stop, "vein_share", say::fills_more_than_allowed(f.ratio, *limits.highest_ratio), policy});
  else if (limits.good_ratio && f.ratio > *limits.good_ratio)
    findings.push_back(
        {Severity::caution, "vein_share_high", say::fills_more_than_is_good(f.ratio, *limits.good_ratio), policy});
}

void tell_share(const Fit& f, const FitLimits& limits, std::vector<Finding>& findings) {
  const Source geometry{"geometry", Mark::computed},
      published{"geometry; outcome by share: Pandurangadu et al. 2018", Mark::computed};
  if (f.share_in_vein <= Ratio(0.0))
    findings.push_back({Severity::stop, "not_in_vein", say::too_short_to_reach(), geometry});
  else if (limits.least_share_in_vein && f.share_in_vein < *limits.least_share_in_vein)
    findings.push_back({Severity::stop, "share_in_vein",
                        say::share_in_vein_below_limit(f.share_in_vein, *limits.least_share_in_vein), published});
  else if (limits.target_share_in_vein && f.share_in_vein < *limits.target_share_in_vein)
    findings.push_back({Severity::caution, "short_in_vein", say::short_in_vein(f.share_in_vein), published});
}

}  // namespace

Ratio catheter_to_vein_ratio(Diameter catheter_outer, Diameter vein_inner) { return catheter_outer / vein_inner; }

Ratio annular_flow_share(Ratio catheter_to_vein) {
  const double k = catheter_to_vein;
  if (k <= 0) return Ratio(1.0);
  if (k >= 1) return Ratio(0.0);
  const double one_less_square = 1 - k * k;
  return Ratio(std::max(0.0, 1 - std::pow(k, 4) - one_less_square * one_less_square / std::log(1 / k)));
}

Length length_in_tissue(Length depth, double angle_degrees) {
  return depth / std::sin(angle_degrees * std::numbers::pi / 180);
}

Ratio share_in_vein(Length catheter, Length depth, double angle_degrees, Length exposed) {
  const Ratio share = (catheter - length_in_tissue(depth, angle_degrees) - exposed) / catheter;
  return std::max(share, Ratio(0.0));
}

Length length_for_share(Ratio share, Length depth, double angle_degrees, Length exposed) {
  return (length_in_tissue(depth, angle_degrees) + exposed) / (1.0 - double(share));
}

Checked<Fit> fit(const FitInput& input, const FitLimits& limits) {
  if (auto errors = check(input); !errors.empty()) return refuse(std::move(errors));
  Fit f;
  f.ratio = catheter_to_vein_ratio(input.catheter_outer, input.vein_inner);
  f.area_share = f.ratio * f.ratio;
  f.annular_flow = annular_flow_share(f.ratio);
  f.in_tissue = length_in_tissue(input.depth, input.angle_degrees);
  f.share_in_vein = share_in_vein(input.catheter_length, input.depth, input.angle_degrees, input.exposed);
  f.in_vein = f.share_in_vein * input.catheter_length;
  tell_ratio(f, limits, f.findings);
  tell_share(f, limits, f.findings);
  const auto of = [](auto quantity) { return say::quantity(shown(quantity)); };
  f.workings = {
      {say::catheter_to_vein_ratio(),
       say::catheter_to_vein_formula(),
       {{say::catheter_outer_diameter(), of(input.catheter_outer)}, {say::vein_diameter(), of(input.vein_inner)}},
       of(f.ratio),
       {"sources.md#vein-ratio", Mark::computed}},
      {say::flow_past_catheter(),
       say::symbol("1 − k⁴ − (1 − k²)² / ln(1/k)"),
       {{say::symbol("k"), of(f.ratio)}},
       say::share_of_the_veins_flow(f.annular_flow),
       {"concentric annulus, standard result (value from memory)", Mark::memory}},
      {say::share_in_vein(),
       say::share_in_vein_formula(),
       {{say::length_name(), of(input.catheter_length)},
        {say::depth_name(), of(input.depth)},
        {say::angle_name(), say::degrees(shown_number(input.angle_degrees))},
        {say::length_outside(), of(input.exposed)}},
       of(f.share_in_vein),
       {"geometry; outcome by share: Pandurangadu et al. 2018", Mark::computed}}};
  return f;
}

}  // namespace dwell::vessel
