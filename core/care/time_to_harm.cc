#include "care/time_to_harm.h"

#include <algorithm>

#include "care/due.h"
#include "care/exposure.h"
#include "limb/limb.h"
#include "quantity/display.h"
#include "say/care.h"
#include "say/common.h"

namespace dwell::care {
namespace {

/// Hand, foot and scalp: little tissue, and what is under it does not yield.
bool may_be_little_tissue(const std::optional<access::Region>& region) {
  return !region || access::is_little_tissue(*region) || access::limb_of(*region) != access::Limb::arm;
}

bool may_be_child(const std::optional<line::AgeBand>& age) {
  return !age || *age == line::AgeBand::unknown || line::is_child(*age);
}

/// What is not known may be the worst.
bool may_be_at_least(infusate::HarmClass harm, infusate::HarmClass least) {
  return harm == infusate::HarmClass::unknown || infusate::harm_rank(harm) >= infusate::harm_rank(least);
}

/// Whether an allowance holds here. One for what harms less, for more tissue or for adults holds where it is worse.
bool holds(policy::LeakOf of, const site::Exposure& exposure) {
  using enum policy::LeakOf;
  const bool irritates = may_be_at_least(exposure.harm, infusate::HarmClass::irritant);
  const bool burns = may_be_at_least(exposure.harm, infusate::HarmClass::vesicant);
  switch (of) {
    case harmless: return true;
    case irritant: return irritates;
    case irritant_child: return irritates && may_be_child(exposure.age);
    case vesicant: return burns;
    case vesicant_little_tissue: return burns && may_be_little_tissue(exposure.region);
    case vesicant_child: return burns && may_be_child(exposure.age);
  }
  return true;
}

Working leaked_by_then(Flow flow, const Figure<Interval>& every, Volume volume) {
  return {say::leaked_by_next_look(),
          say::rate_times_interval(),
          {{say::rate_of_what_runs(), say::quantity(shown(flow))},
           {say::interval_of_looks(), say::quantity(shown(to_duration(every.value)))}},
          say::quantity(shown(volume)),
          source_of(every)};
}

Working looked_in_time(Flow flow, const Figure<Volume>& allowance, Interval within) {
  return {say::look_within(),
          say::allowance_over_rate(),
          {{say::leak_allowance(), say::quantity(shown(allowance.value))},
           {say::rate_of_what_runs(), say::quantity(shown(flow))}},
          say::quantity(shown(to_duration(within))),
          source_of(allowance)};
}

}  // namespace

std::optional<Figure<Volume>> leak_allowance(const site::Exposure& exposure, const LeakAllowances& allowances) {
  std::optional<Figure<Volume>> least;
  for (const auto& [of, at_most] : allowances)
    if (holds(of, exposure) && (!least || at_most.value < least->value)) least = at_most;
  return least;
}

std::optional<TimeToHarm> time_to_harm(const site::Exposure& exposure, const Figure<Interval>& every,
                                       const LeakAllowances& allowances) {
  if (!exposure.flow || exposure.flow->value() <= 0) return std::nullopt;
  const Flow flow = *exposure.flow;
  TimeToHarm out;
  out.every = out.look_within = every.value;
  out.by_next_look = flow * to_duration(every.value);
  out.workings.push_back(leaked_by_then(flow, every, out.by_next_look));
  const auto allowance = leak_allowance(exposure, allowances);
  if (!allowance) {
    out.findings.push_back(
        {Severity::information, "leak_ahead", say::leak_ahead(out.by_next_look, every.value), source_of(every)});
    return out;
  }
  out.allowance = allowance->value;
  out.look_within = std::min(every.value, to_interval(allowance->value / flow));
  const bool sooner = out.look_within < every.value;
  if (sooner) out.workings.push_back(looked_in_time(flow, *allowance, out.look_within));
  out.findings.push_back(
      {sooner ? Severity::caution : Severity::information, "leak_ahead",
       sooner ? say::leak_ahead_look_sooner(out.by_next_look, every.value, allowance->value, out.look_within)
              : say::leak_ahead(out.by_next_look, every.value),
       source_of(*allowance)});
  return out;
}

std::optional<TimeToHarm> time_to_harm(const line::State& state, const policy::Policy& policy,
                                       const infusate::Formulary& formulary, Instant now) {
  if (state.stage != line::Stage::dwelling || !state.running) return std::nullopt;
  const auto kind = site_check_class(state, policy, formulary, utc_date(now));
  const auto every = policy.watch.site_check.find(kind);
  if (every == policy.watch.site_check.end()) return std::nullopt;
  return time_to_harm(exposure_of(state, formulary, policy.infusate.harm_by_solute, now), every->second,
                      policy.watch.leak_at_most.value_or(LeakAllowances()));
}

}  // namespace dwell::care
