// Vessel, infusate and dosing: the numbers.
#include "dosing/dilution.h"
#include "dosing/order.h"
#include "dosing/push.h"
#include "dosing/rate.h"
#include "dosing/secondary.h"
#include "dosing/transfusion.h"
#include "engine/define.h"
#include "infusate/list.h"
#include "quantity/within.h"
#include "say/engine.h"
#include "say/vessel.h"
#include "suitability/suitability.h"
#include "vessel/fit.h"
#include "vessel/tip.h"

namespace dwell::engine {
namespace {

struct SuitabilityInput {
  infusate::Mixture mixture;
  Duration planned;
  std::optional<Duration> one_run;  ///< one container or dose; absent: it runs all the time
};
BOOST_DESCRIBE_STRUCT(SuitabilityInput, (), (mixture, planned, one_run))

struct AngleInput {
  Ratio share;
  Length catheter_length, depth, exposed;
};
BOOST_DESCRIBE_STRUCT(AngleInput, (), (share, catheter_length, depth, exposed))

struct AngleOutput {
  std::optional<double> angle_degrees;  ///< nothing: no angle does it
  std::optional<Length> shortest_at_20_degrees;
};
BOOST_DESCRIBE_STRUCT(AngleOutput, (), (angle_degrees, shortest_at_20_degrees))

Checked<AngleOutput> angle_for(const AngleInput& in) {
  FieldErrors errors;
  if (!(in.share > Ratio(0.0) && in.share < Ratio(1.0)))
    errors.push_back({"/share", show(in.share), say::share_within_bounds()});
  check_within("/catheter_length", in.catheter_length, 5.0 * millimetre, 300.0 * millimetre, errors);
  check_within("/depth", in.depth, 0.0 * millimetre, 60.0 * millimetre, errors);
  check_within("/exposed", in.exposed, 0.0 * millimetre, 30.0 * millimetre, errors);
  if (!errors.empty()) return refuse(std::move(errors));
  return AngleOutput{vessel::angle_for_share(in.share, in.catheter_length, in.depth, in.exposed),
                     vessel::length_for_share(in.share, in.depth, 20, in.exposed)};
}

}  // namespace

std::vector<Function> number_functions() {
  std::vector<Function> all;
  all.push_back(
      define<&dosing::dose_rate>("dosing.dose_rate", "Dose rate to pump rate and back, by weight and concentration."));
  all.push_back(define<&dosing::check_order>(
      "dosing.check_order",
      "The second look at an order: rate, drops, end, and every limit of policy with its source."));
  all.push_back(define<&dosing::push_plan>("dosing.push", "A dose pushed by hand, as volume steps on a clock."));
  all.push_back(define<&dosing::secondary_plan>(
      "dosing.secondary",
      "A second infusion into the line: who runs first, when the primary resumes, when all is done."));
  all.push_back(define<&dosing::transfusion_plan>(
      "dosing.transfusion",
      "One unit of blood: slow start, then the rate, observations, and the time it must be done."));
  all.push_back(define("vessel.fit", "How a catheter lies in a vein: share filled, share inside, flow that passes.",
                       [](const vessel::FitInput& in, const Library& library) {
                         const auto& limits = library.policy.vessel;
                         return vessel::fit(in, {limits.good_ratio.value, limits.highest_ratio.value,
                                                 limits.target_share_in_vein.value, limits.least_share_in_vein.value});
                       }));
  all.push_back(define<&angle_for>(
      "vessel.angle",
      "The flattest entry at which a share of the catheter lies in the vein, and the length that would do."));
  all.push_back(define<&vessel::tip>("vessel.tip", "After flashback: how far on, and how much room to the far wall."));
  all.push_back(define<&vessel::dilution>("vessel.dilution", "What the blood makes of the infusate at the tip."));
  all.push_back(define<&dosing::dilution>("dosing.dilution",
                                          "Least volume and least time for a dose that must be thinned and slowed."));
  all.push_back(define<&infusate::line_suitability>(
      "infusate.line", "All that will run through one line: the worst member decides the route."));
  all.push_back(define<&infusate::list>(
      "infusate.list",
      "The ward's fluids and medicines: names, what is known and what is not; the nearest to a wrong name."));
  all.push_back(define("infusate.mix", "Osmolarity, sodium, potassium and harm class of what is in the bag.",
                       [](const infusate::Mixture& in, const Library& library) {
                         return infusate::mix(in, library.infusates, library.policy.infusate.harm_by_solute);
                       }));
  all.push_back(
      define("infusate.suitability", "May this run into a peripheral vein for this long?",
             [](const SuitabilityInput& in, const Library& library) {
               return infusate::suitability(in.mixture, {in.planned, in.one_run}, library.infusates, library.policy);
             }));
  return all;
}

}  // namespace dwell::engine
