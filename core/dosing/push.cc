#include "dosing/push.h"

#include <algorithm>
#include <cmath>

#include "quantity/display.h"

namespace dwell::dosing {
namespace {

constexpr int most_steps = 200;

FieldErrors check(const PushInput& in) {
  FieldErrors errors;
  if (!(in.volume >= 0.1 * millilitre && in.volume <= 100.0 * millilitre))
    errors.push_back({"/volume", show(in.volume), "from 0.1 to 100 mL, as a syringe holds"});
  if (!(in.over >= 5.0 * second && in.over <= 1.0 * hour))
    errors.push_back({"/over", show(in.over), "from 5 s to 1 h; longer belongs on a pump"});
  if (!(in.step >= 0.05 * millilitre && in.step <= std::max(in.volume, 0.05 * millilitre)))
    errors.push_back({"/step", show(in.step), "from 0.05 mL to the volume in the syringe"});
  else if (double(in.volume / in.step) > most_steps)
    errors.push_back({"/step", show(in.step), "a step of at least " + show(Volume(in.volume / double(most_steps)))});
  if (in.dose && !(*in.dose > Mass())) errors.push_back({"/dose", show(*in.dose), "above 0"});
  if (in.highest_rate && !(*in.highest_rate > MassRate()))
    errors.push_back({"/highest_rate", show(*in.highest_rate), "above 0"});
  if (in.highest_rate && !in.dose) errors.push_back({"/dose", "nothing", "the dose, to hold it against the rate"});
  return errors;
}

void check_rate(const PushInput& in, PushPlan& plan) {
  plan.rate = *in.dose / in.over;
  if (!in.highest_rate) return;
  plan.least_time = *in.dose / *in.highest_rate;
  const Source source{"the fastest rate entered: from label, order or local policy", Mark::practice};
  if (*plan.rate > *in.highest_rate * (1 + 1e-9))
    plan.findings.push_back({Severity::stop, "push_too_fast",
                             show(*plan.rate) + " is faster than " + show(*in.highest_rate) + ": take at least " +
                                 show(*plan.least_time) + ".",
                             source});
  plan.workings.push_back({"least time",
                           "dose / fastest rate",
                           {{"dose", show(*in.dose)}, {"fastest rate", show(*in.highest_rate)}},
                           show(*plan.least_time),
                           source});
}

}  // namespace

Checked<PushPlan> push_plan(const PushInput& in) {
  if (auto errors = check(in); !errors.empty()) return refuse(std::move(errors));
  PushPlan plan;
  plan.flow = in.volume / in.over;
  plan.between_steps = in.over * double(in.step / in.volume);
  const int steps = static_cast<int>(std::ceil(double(in.volume / in.step) - 1e-9));
  for (int i = 1; i <= steps; ++i) {
    const Volume given = std::min(Volume(in.step * static_cast<double>(i)), in.volume);
    plan.steps.push_back({in.over * double(given / in.volume), given});
  }
  plan.workings.push_back({"pushed dose",
                           "time at a mark = whole time × volume given / volume in the syringe",
                           {{"volume", show(in.volume)}, {"over", show(in.over)}, {"step", show(in.step)}},
                           show(in.step) + " every " + show(plan.between_steps),
                           {"arithmetic", Mark::computed}});
  if (in.dose) check_rate(in, plan);
  plan.findings.push_back({Severity::information,
                           "flush_at_the_same_speed",
                           "Flush afterwards at the same speed: the end of the dose still lies in line and catheter.",
                           {"common practice, no source", Mark::practice}});
  return plan;
}

}  // namespace dwell::dosing
