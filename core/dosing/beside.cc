// What several fluids do to one vein and one body together. Their sum is put together as if it were one order and
// judged by the rules for one; what is unknown of any of them is missing in the sum.
#include <algorithm>

#include "dosing/order_looks.h"
#include "quantity/display.h"
#include "say/common.h"
#include "say/dosing.h"
#include "say/infusate.h"

namespace dwell::dosing {
namespace {

using infusate::FluidKind;
using infusate::Part;
using verdict::Look;

const Source practice{"common practice, no source", Mark::practice};

std::string name_of(const Beside& beside) { return beside.parts.front().name; }

void take_in(std::vector<std::string>& names, const std::vector<std::string>& others) {
  for (const auto& name : others)
    if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
}

/// The order and what runs at the same moment, as one.
struct AtOnce {
  OrderCheck out;
  std::vector<Part> parts;
  bool any = false;
};

AtOnce at_once(const OrderCase& order, Look& look) {
  AtOnce all{order.out, order.parts, false};
  auto& mixture = all.out.mixture;
  Flow flow = order.out.rate.flow;
  AmountRate potassium = mixture.potassium_at_least * flow;
  MassRate glucose = mixture.glucose_at_least * flow;
  for (const auto& beside : order.beside) {
    if (beside.companion.waits.value_or(false)) continue;
    all.any = true;
    all.parts.insert(all.parts.end(), beside.parts.begin(), beside.parts.end());
    take_in(mixture.unknown_parts, beside.mixture.unknown_parts);
    take_in(mixture.without_potassium, beside.mixture.without_potassium);
    take_in(mixture.without_glucose, beside.mixture.without_glucose);
    if (!beside.companion.flow) {
      look.lacks(say::rate_of(name_of(beside)));
      continue;
    }
    flow += *beside.companion.flow;
    potassium += beside.mixture.potassium_at_least * *beside.companion.flow;
    glucose += beside.mixture.glucose_at_least * *beside.companion.flow;
    all.out.rate.volume += beside.mixture.total_volume;
  }
  all.out.rate.flow = flow;
  mixture.potassium_at_least = potassium / flow;
  mixture.glucose_at_least = glucose / flow;
  return all;
}

/// Judges the sum by a look for one order, and says what it found as found of the sum.
void judge_sum(const OrderCase& order, OrderCheck& sum, const std::vector<Part>& parts,
               void (*judge)(const OrderCase&, Look&), Look& look) {
  const OrderCase together{order.input, order.policy, order.formulary, parts, order.beside, sum, order.band, order.age};
  Look of_sum;
  judge(together, of_sum);
  verdict::Composition composed;
  composed.add("together", std::move(of_sum));
  const auto answer = std::move(composed).answer();
  for (const auto& finding : answer.findings)
    look.say(finding.severity, finding.code + "_together", say::together(finding.text), finding.source);
  for (const auto& report : answer.looks)
    for (const auto& missing : report.missing) look.lacks(missing);
}

void look_at_sum(const OrderCase& order, void (*judge)(const OrderCase&, Look&), Look& look) {
  auto all = at_once(order, look);
  if (!all.any) return look.does_not_apply();
  judge_sum(order, all.out, all.parts, judge, look);
}

void judge_flow_of_sum(const OrderCase& together, Look& look) {
  look_at_highest_flow(together, look);
  look_at_flow_for_body(together, look);
  look_at_flow_ceilings(together, look);
}

bool is_blood(const Part& part) { return part.infusate && part.infusate->kind == FluidKind::blood; }

/// Two parts that nobody need ask about: one fluid twice, salts and sugar, blood with plain saline.
bool may_meet(const Part& one, const Part& other, const policy::InfusateLimits& limits) {
  if (!one.infusate || !other.infusate) return false;
  if (one.infusate == other.infusate) return true;
  if (is_blood(one) || is_blood(other)) return is_plain_saline(is_blood(one) ? *other.infusate : *one.infusate);
  return infusate::mixes_freely(*one.infusate, limits) && infusate::mixes_freely(*other.infusate, limits);
}

void judge_meeting(const OrderCase& order, const Part& ours, const Part& theirs, std::vector<std::string>& strangers,
                   Look& look) {
  const bool one_way = infusate::forbid_meeting(ours, theirs, false, look);
  const bool other_way = infusate::forbid_meeting(theirs, ours, false, look);
  if (one_way || other_way || may_meet(ours, theirs, order.policy.infusate)) return;
  if (is_blood(ours) != is_blood(theirs) && ours.infusate && theirs.infusate)
    return look.say(Severity::stop, "blood_alone", say::saline_alone_with_blood((is_blood(ours) ? theirs : ours).name),
                    practice);
  take_in(strangers, {ours.name, theirs.name});
}

}  // namespace

void look_at_meeting(const OrderCase& order, Look& look) {
  if (order.beside.empty()) return look.does_not_apply();
  std::vector<std::string> strangers;
  for (const auto& beside : order.beside)
    for (const auto& theirs : beside.parts)
      for (const auto& ours : order.parts) judge_meeting(order, ours, theirs, strangers, look);
  std::vector<Message> names;
  names.reserve(strangers.size());
  for (const auto& name : strangers) names.push_back(say::listed_name(name));
  if (!names.empty()) look.lacks(say::what_may_share_with(std::move(names)));
}

void look_at_flow_together(const OrderCase& order, Look& look) { look_at_sum(order, judge_flow_of_sum, look); }
void look_at_potassium_together(const OrderCase& order, Look& look) {
  look_at_sum(order, look_at_potassium_now, look);
  look_at_potassium_of_a_day_together(order, look);
}
void look_at_glucose_together(const OrderCase& order, Look& look) { look_at_sum(order, look_at_glucose, look); }

Volume ordered_in_a_day(const OrderCase& order) {
  return std::min(order.out.rate.volume, Volume(order.out.rate.flow * a_day));
}

std::optional<Volume> in_a_day(const Beside& beside) {
  const auto& companion = beside.companion;
  if (companion.every) return Volume(beside.mixture.total_volume * double(a_day / *companion.every));
  if (companion.flow) return Volume(*companion.flow * a_day);
  return std::nullopt;
}

void look_at_day_together(const OrderCase& order, Look& look) {
  if (order.beside.empty()) return look.does_not_apply();
  Volume all = ordered_in_a_day(order);
  for (const auto& beside : order.beside) {
    if (const auto more = in_a_day(beside))
      all += *more;
    else
      look.lacks(say::rate_of(name_of(beside)));
  }
  OrderCheck sum = order.out;
  sum.rate.volume = all;
  sum.rate.flow = all / a_day;
  order.out.workings.push_back(
      {say::day_volume_together(),
       say::day_volume_together_formula(),
       {{say::ordered_name(), say::volume_at_rate(order.out.rate.volume, order.out.rate.flow)}},
       say::quantity(shown(all)),
       {"arithmetic", Mark::computed}});
  judge_sum(order, sum, order.parts, look_at_day_volume, look);
}

}  // namespace dwell::dosing
