#include "dosing/transfusion.h"

#include <algorithm>

#include "dosing/named_medicine.h"
#include "dosing/rate.h"
#include "quantity/within.h"
#include "say/common.h"
#include "say/dosing.h"
#include "say/infusate.h"

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
  constexpr Volume smallest = 10.0 * millilitre, largest = 1.0 * litre;
  constexpr Flow fastest = 60.0 * litre / hour;
  if (!(in.volume >= smallest && in.volume <= largest))
    errors.push_back({"/volume", show(in.volume), say::unit_from_to(smallest, largest)});
  check_within("/over", in.over, 5.0 * minute, 12.0 * hour, errors);
  if (!(slow.flow > Flow() && slow.flow <= fastest))
    errors.push_back({"/first_flow", show(slow.flow), say::above_zero_to(shown(fastest))});
  if (!(slow.period >= Duration() && slow.period < in.over))
    errors.push_back({"/first_period", show(slow.period), say::shorter_than_whole()});
  else if (!(slow.volume() < in.volume))
    errors.push_back({"/first_flow", show(slow.flow), say::slow_start_below_unit()});
  if (in.drop_factor)
    check_within("/drop_factor", *in.drop_factor, 5.0 * drop / millilitre, 100.0 * drop / millilitre, errors);
  check_weight("/weight", in.weight, errors);
  if (in.start && in.left_storage && *in.start < *in.left_storage)
    errors.push_back({"/start", iso(*in.start), say::not_before_storage()});
  return errors;
}

int whole_drops(Flow flow, DropFactor factor) {
  return static_cast<int>(round_half_up(in(drop_rate_for(flow, factor), 1.0 * drop / minute)));
}

/// By the birth date where it is given; else as it was said.
line::AgeBand age_of(const TransfusionInput& in) {
  if (!in.person || !in.person->birth_date) return in.age_band.value_or(line::AgeBand::unknown);
  line::Patient patient;
  patient.birth_date = in.person->birth_date;
  return line::age_band(patient, in.person->today);
}

struct TransfusionCase {
  const TransfusionInput& input;
  const policy::OrderLimits& limits;
  const TransfusionPlan& plan;
};

constexpr double hair = 1 + 1e-9;

template <TransfusionLook>
void take(const TransfusionCase&, verdict::Look&) = delete;

template <>
void take<TransfusionLook::body_weight>(const TransfusionCase& c, verdict::Look& look) {
  look_at_weight_of(c.input.person, c.input.weight, look);
}

template <>
void take<TransfusionLook::hanging>(const TransfusionCase& c, verdict::Look& look) {
  const auto source = source_of(c.limits.blood_hang);
  const Duration limit = to_duration(c.limits.blood_hang.value);
  if (c.input.over > limit * hair)
    look.say(Severity::stop, "blood_hang", say::longer_than_out_of_storage(c.input.over, limit), source);
  if (!c.plan.finish_by || !c.plan.ends_at) {
    look.lacks(c.input.left_storage ? say::when_it_starts() : say::when_unit_left_storage());
    if (c.input.over <= limit * hair)
      look.say(Severity::caution, "blood_hang", say::hours_count_from_storage(limit), source);
    return;
  }
  if (*c.input.start >= *c.plan.finish_by)
    look.say(Severity::stop, "blood_out_of_time", say::unit_out_of_time(), source);
  else if (*c.plan.ends_at > *c.plan.finish_by)
    look.say(Severity::stop, "blood_hang", say::would_end_late(between(*c.plan.finish_by, *c.plan.ends_at)), source);
}

template <>
void take<TransfusionLook::start>(const TransfusionCase& c, verdict::Look& look) {
  const auto& within = c.limits.blood_start_within;
  if (!within) return look.lacks(say::blood_start_of_policy());
  if (!c.input.left_storage) return look.lacks(say::when_unit_left_storage());
  if (!c.input.start) return look.lacks(say::when_it_starts());
  if (*c.input.start > *c.input.left_storage + within->value)
    look.say(Severity::caution, "blood_start", say::started_late(within->value), source_of(*within));
}

/// The rate that no age takes, or not this one.
const Figure<FlowPerMass>* mildest_stop(line::AgeBand band, const policy::OrderLimits& limits) {
  const Figure<FlowPerMass>* stop = nullptr;
  for (const auto& [age, of_age] : limits.by_age)
    if ((band == line::AgeBand::unknown || band == age) && (!stop || of_age.flow_stop.value > stop->value))
      stop = &of_age.flow_stop;
  return stop;
}

template <>
void take<TransfusionLook::flow_for_body>(const TransfusionCase& c, verdict::Look& look) {
  using line::AgeBand;
  if (!c.input.weight) return look.lacks(say::the_weight());
  if (!c.limits.child) return look.lacks(say::child_blood_rate_of_policy());
  const FlowPerMass fastest = std::max(c.plan.first_flow, c.plan.then_flow) / *c.input.weight;
  const AgeBand band = age_of(c.input);
  const bool child = band == AgeBand::neonate || band == AgeBand::infant || band == AgeBand::child;
  const auto& of_child = c.limits.child->blood_flow_most;
  const auto& of_adult = c.limits.caution_flow_per_mass;
  const bool above_child = fastest > of_child.value * hair, above_adult = fastest > of_adult.value * hair;
  if (band == AgeBand::unknown && above_adult) look.lacks(say::the_age());
  if (const auto* stop = mildest_stop(band, c.limits); stop && fastest > stop->value * hair)
    return look.say(Severity::stop, "rate_for_weight_stop", say::blood_above(fastest, stop->value), source_of(*stop));
  if (child ? above_child : above_adult)
    look.say(Severity::caution, "blood_rate_for_weight",
             say::blood_above_usual(fastest, child ? of_child.value : of_adult.value),
             source_of(child ? of_child : of_adult));
}

}  // namespace

Checked<TransfusionPlan> transfusion_plan(const TransfusionInput& in, const policy::OrderLimits& limits) {
  const SlowStart slow{in.first_flow.value_or(limits.blood_first_flow.value),
                       in.first_period.value_or(to_duration(limits.blood_first_period.value))};
  if (auto errors = check(in, slow); !errors.empty()) return refuse(std::move(errors));
  TransfusionPlan plan;
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
  const auto look = [&](Duration after, Message what) {
    plan.observations.push_back(
        {after, in.start ? std::optional(*in.start + to_interval(after)) : std::nullopt, std::move(what)});
  };
  look(Duration(), say::before_transfusion());
  look(slow.period, say::after_slow_start());
  look(in.over, say::end_of_transfusion());
  if (in.left_storage) plan.finish_by = *in.left_storage + limits.blood_hang.value;
  const TransfusionCase look_at{in, limits, plan};
  auto answer = verdict::take_all<TransfusionLook>([&](auto which, verdict::Look& l) { take<which()>(look_at, l); });
  plan.verdict = answer.verdict;
  plan.looks = std::move(answer.looks);
  plan.findings = std::move(answer.findings);
  plan.findings.push_back({Severity::information,
                           "watch_for_overload",
                           say::watch_for_overload(),
                           {"UK safety alert 2024 on circulatory overload by transfusion (read)", Mark::read}});
  plan.workings = {{say::rate_after_slow_start(),
                    say::rate_after_slow_start_formula(),
                    {{say::volume_name(), say::quantity(shown(in.volume))},
                     {say::first_volume_name(), say::quantity(shown(plan.first_volume))},
                     {say::whole_time_name(), say::quantity(shown(in.over))},
                     {say::first_period_name(), say::quantity(shown(slow.period))}},
                    say::quantity(shown(plan.then_flow)),
                    in.first_flow ? Source{"arithmetic", Mark::computed} : source_of(limits.blood_first_flow)}};
  return plan;
}

}  // namespace dwell::dosing
