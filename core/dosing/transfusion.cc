#include "dosing/transfusion.h"

#include <algorithm>

#include "dosing/rate.h"
#include "quantity/display.h"

namespace dwell::dosing {
namespace {

struct SlowStart {
  Flow flow;
  Duration period;
  [[nodiscard]] Volume volume() const { return flow * period; }
};

FieldErrors check(const TransfusionInput& in, const SlowStart& slow) {
  FieldErrors errors;
  growth::check_person(in.person, errors);
  if (!(in.volume >= 10.0 * millilitre && in.volume <= 1.0 * litre))
    errors.push_back({"/volume", show(in.volume), "one unit, from 10 mL to 1 L"});
  if (!(in.over >= 5.0 * minute && in.over <= 12.0 * hour))
    errors.push_back({"/over", show(in.over), "from 5 min to 12 h"});
  if (!(slow.flow > Flow() && slow.flow <= 60.0 * litre / hour))
    errors.push_back({"/first_flow", show(slow.flow), "above 0, to 60 L/h"});
  if (!(slow.period >= Duration() && slow.period < in.over))
    errors.push_back({"/first_period", show(slow.period), "shorter than the whole transfusion"});
  else if (!(slow.volume() < in.volume))
    errors.push_back({"/first_flow", show(slow.flow), "a slow start that gives less than the whole unit"});
  if (in.drop_factor && !(*in.drop_factor >= 5.0 * drop / millilitre && *in.drop_factor <= 100.0 * drop / millilitre))
    errors.push_back({"/drop_factor", show(*in.drop_factor), "from 5 to 100 drops/mL"});
  if (in.weight && !(*in.weight >= 0.3 * kilogram && *in.weight <= 400.0 * kilogram))
    errors.push_back({"/weight", show(*in.weight), "a body weight from 0.3 to 400 kg"});
  if (in.start && in.left_storage && *in.start < *in.left_storage)
    errors.push_back({"/start", iso(*in.start), "not before the unit left storage"});
  return errors;
}

int whole_drops(Flow flow, DropFactor factor) {
  return static_cast<int>(round_half_up(in(drop_rate_for(flow, factor), 1.0 * drop / minute)));
}

void check_hang(const TransfusionInput& in, const policy::OrderLimits& limits, TransfusionPlan& plan) {
  const auto source = source_of(limits.blood_hang);
  const Duration limit = to_duration(limits.blood_hang.value);
  if (in.left_storage) plan.finish_by = *in.left_storage + limits.blood_hang.value;
  if (plan.finish_by && plan.ends_at) {
    if (*plan.ends_at > *plan.finish_by)
      plan.findings.push_back(
          {Severity::stop, "blood_hang",
           "Would end " + show(between(*plan.finish_by, *plan.ends_at)) +
               " after the unit must be finished: run it faster if the patient allows, or return it.",
           source});
    return;
  }
  plan.findings.push_back({in.over > limit ? Severity::stop : Severity::caution, "blood_hang",
                           in.over > limit
                               ? show(in.over) + " is longer than a unit may be out of storage (" + show(limit) + ")."
                               : "The " + show(limit) +
                                     " count from leaving storage, which was not given: check the time on "
                                     "the unit.",
                           source});
}

}  // namespace

Checked<TransfusionPlan> transfusion_plan(const TransfusionInput& in, const policy::OrderLimits& limits) {
  const SlowStart slow{in.first_flow.value_or(limits.blood_first_flow.value),
                       in.first_period.value_or(to_duration(limits.blood_first_period.value))};
  if (auto errors = check(in, slow); !errors.empty()) return refuse(std::move(errors));
  TransfusionPlan plan;
  growth::ask_about_weight(in.person, in.weight, plan.findings);
  plan.first_flow = slow.flow;
  plan.first_volume = slow.volume();
  plan.then_for = in.over - slow.period;
  plan.then_flow = (in.volume - plan.first_volume) / plan.then_for;
  if (in.drop_factor) {
    plan.first_drops_per_minute = whole_drops(plan.first_flow, *in.drop_factor);
    plan.then_drops_per_minute = whole_drops(plan.then_flow, *in.drop_factor);
  }
  if (in.weight) plan.flow_per_mass = plan.then_flow / *in.weight;
  if (in.start) plan.ends_at = *in.start + to_interval(in.over);
  const auto look = [&](Duration after, const char* what) {
    plan.observations.push_back({after, in.start ? std::optional(*in.start + to_interval(after)) : std::nullopt, what});
  };
  look(Duration(), "before the start: identity, unit, vital signs");
  look(slow.period, "stay until now; vital signs, any complaint; then the faster rate");
  look(in.over, "at the end: vital signs");
  check_hang(in, limits, plan);
  plan.findings.push_back({Severity::information,
                           "watch_for_overload",
                           "Watch for breathlessness and falling oxygen during and up to 12 h after.",
                           {"UK safety alert 2024 on circulatory overload by transfusion (read)", Mark::read}});
  plan.workings = {{"rate after the slow start",
                    "(volume − first volume) / (whole time − first period)",
                    {{"volume", show(in.volume)},
                     {"first volume", show(plan.first_volume)},
                     {"whole time", show(in.over)},
                     {"first period", show(slow.period)}},
                    show(plan.then_flow),
                    in.first_flow ? Source{"arithmetic", Mark::computed} : source_of(limits.blood_first_flow)}};
  return plan;
}

}  // namespace dwell::dosing
