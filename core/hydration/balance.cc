#include "hydration/balance.h"

#include "quantity/difference.h"
#include "quantity/within.h"
#include "say/common.h"
#include "say/growth.h"
#include "say/hydration.h"

namespace dwell::hydration {
namespace {

constexpr auto water = 1.0 * kilogram / litre;  // what a body loses in water it loses in weight

FieldErrors check(const BalanceInput& in) {
  FieldErrors errors;
  constexpr Interval longest = std::chrono::days(14);
  if (!(in.until > in.from && in.until - in.from <= longest))
    errors.push_back({"/until", iso(in.until), say::after_start_within(longest)});
  for (std::size_t i = 0; i < in.entries.size(); ++i)
    check_within("/entries/" + std::to_string(i) + "/volume", in.entries[i].volume, Volume(), 20.0 * litre, errors);
  growth::check_person(in.person, errors);
  if (in.weight) check_within("/weight", *in.weight, 0.3 * kilogram, 400.0 * kilogram, errors);
  return errors;
}

/// Ice melts to half its volume (common practice, no source).
Volume counted(const FluidEntry& entry) { return entry.way == FluidWay::ice ? 0.5 * entry.volume : entry.volume; }

void add_entries(const BalanceInput& in, Balance& out) {
  const auto hours = static_cast<std::size_t>(std::chrono::ceil<std::chrono::hours>(in.until - in.from).count());
  std::vector<Volume> by_hour(hours);
  std::size_t left_out = 0;
  for (const auto& entry : in.entries) {
    if (entry.at < in.from || entry.at >= in.until) {
      ++left_out;
      continue;
    }
    const Volume volume = counted(entry);
    const bool gain = goes_in(entry.way);
    out.by_way[entry.way] += volume;
    (gain ? out.in : out.out) += volume;
    const auto hour = static_cast<std::size_t>(std::chrono::floor<std::chrono::hours>(entry.at - in.from).count());
    by_hour[hour] += gain ? volume : Volume(-volume);
  }
  for (const Volume& change : by_hour)
    out.hourly.push_back(difference(out.hourly.empty() ? Volume() : out.hourly.back(), Volume(-change)));
  out.balance = difference(out.in, out.out);
  out.workings.push_back(
      {say::balance_working(),
       say::balance_formula(),
       {{say::fluid_in_name(), say::quantity(shown(out.in))}, {say::fluid_out_name(), say::quantity(shown(out.out))}},
       say::quantity(shown(out.balance)),
       {"library guide of a nursing college", Mark::read}});
  if (left_out > 0)
    out.findings.push_back({Severity::information,
                            "left_out",
                            say::entries_left_out(static_cast<std::int64_t>(left_out)),
                            {"common practice, no source", Mark::practice}});
}

void judge_share(const BalanceInput& in, const policy::Hydration& policy, Balance& out) {
  out.gained_share = Ratio(out.balance * water / *in.weight);
  out.workings.push_back({say::gain_working(),
                          say::gain_formula(),
                          {{say::balance_name(), say::quantity(shown(out.balance))},
                           {say::weight_name(), say::quantity(shown(*in.weight))}},
                          say::quantity(shown(*out.gained_share)),
                          {"teaching page on cumulative balance", Mark::secondary}});
  if (*out.gained_share >= policy.overload_stop.value)
    out.findings.push_back(
        {Severity::stop, "overload", say::gained_ask_before_more(*out.gained_share), source_of(policy.overload_stop)});
  else if (*out.gained_share >= policy.overload_caution.value)
    out.findings.push_back(
        {Severity::caution, "overload", say::gained_look(*out.gained_share), source_of(policy.overload_caution)});
}

void judge_urine(const BalanceInput& in, const policy::Hydration& policy, Balance& out) {
  const auto urine = out.by_way.find(FluidWay::urine);
  if (urine == out.by_way.end()) {
    // A bag that nobody emptied and kidneys that make nothing look the same on the chart.
    out.findings.push_back(
        {Severity::caution, "no_urine", say::no_urine_charted(), {"unknown is not safe", Mark::practice}});
    return;
  }
  const Duration period = to_duration(std::chrono::duration_cast<Interval>(in.until - in.from));
  out.urine = urine->second / period / *in.weight;
  const auto& least = in.child ? policy.urine_least_child : policy.urine_least_adult;
  out.workings.push_back({say::urine_working(),
                          say::urine_formula(),
                          {{say::urine_name(), say::quantity(shown(urine->second))},
                           {say::elapsed_name(), say::quantity(shown(period))},
                           {say::weight_name(), say::quantity(shown(*in.weight))}},
                          say::quantity(shown(*out.urine)),
                          source_of(least)});
  if (*out.urine < least.value)
    out.findings.push_back(
        {Severity::caution, "little_urine", say::little_urine(*out.urine, least.value), source_of(least)});
}

}  // namespace

bool goes_in(FluidWay way) {
  switch (way) {
    case FluidWay::drink:
    case FluidWay::ice:
    case FluidWay::tube_feed:
    case FluidWay::infusion:
    case FluidWay::flush:
    case FluidWay::blood: return true;
    case FluidWay::urine:
    case FluidWay::vomit:
    case FluidWay::gastric:
    case FluidWay::drain:
    case FluidWay::liquid_stool:
    case FluidWay::wound: return false;
  }
  return false;
}

Checked<Balance> balance(const BalanceInput& in, const policy::Hydration& policy) {
  if (auto errors = check(in); !errors.empty()) return refuse(std::move(errors));
  Balance out;
  growth::ask_about_weight(in.person, in.weight, out.findings);
  add_entries(in, out);
  if (in.weight) {
    judge_share(in, policy, out);
    judge_urine(in, policy, out);
  } else {
    out.findings.push_back(
        {Severity::caution, "no_weight", say::gain_without_weight(), {"unknown is not safe", Mark::practice}});
  }
  return out;
}

}  // namespace dwell::hydration
