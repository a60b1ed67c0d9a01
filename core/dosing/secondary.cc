#include "dosing/secondary.h"

#include <algorithm>

#include "dosing/rate.h"
#include "quantity/display.h"

namespace dwell::dosing {
namespace {

void check_volume(const char* path, Volume volume, FieldErrors& errors) {
  if (!(volume >= 0.1 * millilitre && volume <= 20.0 * litre))
    errors.push_back({path, show(volume), "from 0.1 mL to 20 L"});
}

void check_flow(const char* path, Flow flow, FieldErrors& errors) {
  if (!(flow >= 0.1 * millilitre / hour && flow <= 60.0 * litre / hour))
    errors.push_back({path, show(flow), "from 0.1 mL/h to 60 L/h"});
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
  plan.runs_first =
      waits ? "The secondary runs first; the primary waits and goes on by itself or by the pump." : "Both run at once.";
  if (in.start) {
    plan.secondary_ends = *in.start + to_interval(plan.secondary_takes);
    plan.primary_ends = *in.start + to_interval(primary_done);
    if (waits) plan.primary_resumes = plan.secondary_ends;
  }
  const Source practice{"common practice, no source", Mark::practice};
  if (waits && in.gravity)
    plan.findings.push_back({Severity::caution, "hang_higher",
                             "By gravity the secondary runs first only when it hangs higher, and only a back-check "
                             "valve keeps it out of the primary bag.",
                             practice});
  if (waits)
    plan.findings.push_back({Severity::information, "count_at_change",
                             "When the secondary is empty the primary goes on at its own setting: check the rate then.",
                             practice});
  plan.findings.push_back({Severity::caution, "compatibility",
                           "Whether the two may meet in one line is not decided here: ask pharmacy.", practice});
  plan.workings = {{"secondary infusion",
                    waits ? "time = secondary volume / its rate, then primary volume left / its rate"
                          : "each container: volume / rate; the longer decides",
                    {{"secondary", show(in.secondary_volume) + " at " + show(in.secondary_flow)},
                     {"primary", show(in.primary_left) + " at " + show(in.primary_flow)}},
                    show(plan.all_done_after),
                    {"arithmetic", Mark::computed}}};
  return plan;
}

}  // namespace dwell::dosing
