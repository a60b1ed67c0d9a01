#include "dosing/secondary.h"

#include <algorithm>

#include "dosing/rate.h"
#include "quantity/within.h"
#include "say/common.h"
#include "say/dosing.h"

namespace dwell::dosing {
namespace {

void check_volume(const char* path, Volume volume, FieldErrors& errors) {
  check_within(path, volume, 0.1 * millilitre, 20.0 * litre, errors);
}

void check_flow(const char* path, Flow flow, FieldErrors& errors) {
  check_within(path, flow, 0.1 * millilitre / hour, 60.0 * litre / hour, errors);
}

}  // namespace

Checked<SecondaryPlan> secondary_plan(const SecondaryInput& in) {
  FieldErrors errors;
  check_volume("/primary_left", in.primary_left, errors);
  check_flow("/primary_flow", in.primary_flow, errors);
  check_volume("/secondary_volume", in.secondary_volume, errors);
  check_flow("/secondary_flow", in.secondary_flow, errors);
  if (!errors.empty()) return refuse(std::move(errors));

  const bool waits = in.mode == SecondaryMode::primary_waits;
  SecondaryPlan plan;
  plan.secondary_takes = time_left(in.secondary_volume, in.secondary_flow);
  const Duration primary_takes = time_left(in.primary_left, in.primary_flow);
  const Duration primary_done = waits ? plan.secondary_takes + primary_takes : primary_takes;
  plan.all_done_after = std::max(primary_done, plan.secondary_takes);
  plan.fastest_together = waits ? std::max(in.primary_flow, in.secondary_flow) : in.primary_flow + in.secondary_flow;
  plan.runs_first = waits ? say::secondary_runs_first() : say::both_run_at_once();
  if (in.start) {
    plan.secondary_ends = *in.start + to_interval(plan.secondary_takes);
    plan.primary_ends = *in.start + to_interval(primary_done);
    if (waits) plan.primary_resumes = plan.secondary_ends;
  }
  const Source practice{"common practice, no source", Mark::practice};
  if (waits && in.gravity) plan.findings.push_back({Severity::caution, "hang_higher", say::hang_higher(), practice});
  if (waits) plan.findings.push_back({Severity::information, "count_at_change", say::rate_at_change(), practice});
  plan.findings.push_back({Severity::caution, "compatibility", say::two_may_not_meet(), practice});
  plan.workings = {{say::secondary_infusion(),
                    waits ? say::secondary_waits_formula() : say::secondary_together_formula(),
                    {{say::secondary_name(), say::volume_at_rate(in.secondary_volume, in.secondary_flow)},
                     {say::primary_name(), say::volume_at_rate(in.primary_left, in.primary_flow)}},
                    say::quantity(shown(plan.all_done_after)),
                    {"arithmetic", Mark::computed}}};
  return plan;
}

}  // namespace dwell::dosing
