#include "dosing/rate.h"

#include <cmath>

#include "dosing/shown_in.h"
#include "quantity/within.h"
#include "say/common.h"
#include "say/dosing.h"

namespace dwell::dosing {
namespace {

const Source trade_arithmetic{"infusion arithmetic; worked examples of US Army subcourse MD0904 agree", Mark::practice};

template <class Q>
void within(const char* path, const std::optional<Q>& value, Q low, Q high, FieldErrors& errors) {
  if (value) check_within(path, *value, low, high, errors);
}

FieldErrors check(const RateInput& in) {
  FieldErrors errors;
  within("/volume", in.volume, 0.1 * millilitre, 20.0 * litre, errors);
  within("/duration", in.duration, 10.0 * second, 14.0 * day, errors);
  within("/flow", in.flow, 0.1 * millilitre / hour, 60.0 * litre / hour, errors);
  within("/drop_factor", in.drop_factor, 5.0 * drop / millilitre, 100.0 * drop / millilitre, errors);
  const int given = in.volume.has_value() + in.duration.has_value() + in.flow.has_value();
  if (given < 2) {
    const auto ask = [&](bool has, const char* path) {
      if (!has) errors.push_back({path, "", say::two_of_three()});
    };
    ask(in.volume.has_value(), "/volume");
    ask(in.duration.has_value(), "/duration");
    ask(in.flow.has_value(), "/flow");
  }
  return errors;
}

FieldErrors contradiction(const RateInput& in) {
  const Flow follows = flow_for(*in.volume, *in.duration);
  constexpr double agree = 0.01;
  if (std::abs(double(*in.flow / follows) - 1) <= agree) return {};
  const Message said = say::three_disagree(*in.volume, *in.duration, follows, *in.flow);
  return {
      {"/volume", show(*in.volume), said}, {"/duration", show(*in.duration), said}, {"/flow", show(*in.flow), said}};
}

Working flow_working(const RateResult& r) {
  return {say::rate_name(),
          say::volume_over_time(),
          {{say::volume_name(), say::quantity(shown(r.volume))}, {say::time_name(), say::quantity(shown(r.duration))}},
          say::quantity(shown(r.flow)),
          trade_arithmetic};
}

void add_drops(DropFactor factor, RateResult& r) {
  r.drop_rate = drop_rate_for(r.flow, factor);
  const double per_minute = in(*r.drop_rate, 1.0 * drop / minute);
  r.drops_per_minute = static_cast<int>(round_half_up(per_minute));
  r.drops_per_15_seconds = static_cast<int>(round_half_up(per_minute / 4));
  r.workings.push_back(
      {say::drop_rate_name(),
       say::drop_rate_formula(),
       {{say::rate_name(), say::quantity(shown(r.flow))}, {say::drop_factor_name(), say::quantity(shown(factor))}},
       say::drops_a_minute(*r.drops_per_minute, shown_number(per_minute, 2)),
       trade_arithmetic});
}

}  // namespace

Flow flow_for(Volume volume, Duration duration) { return volume / duration; }
DropRate drop_rate_for(Flow flow, DropFactor drop_factor) { return flow * drop_factor; }
Flow flow_of_drops(DropRate drop_rate, DropFactor drop_factor) { return drop_rate / drop_factor; }
Duration time_left(Volume left, Flow flow) { return left / flow; }

Checked<RateResult> rate(const RateInput& input) {
  auto errors = check(input);
  if (errors.empty() && input.volume && input.duration && input.flow) errors = contradiction(input);
  if (!errors.empty()) return refuse(std::move(errors));

  RateResult r;
  if (input.volume && input.duration) {
    r.volume = *input.volume;
    r.duration = *input.duration;
    r.flow = flow_for(r.volume, r.duration);
  } else if (input.volume) {
    r.volume = *input.volume;
    r.flow = *input.flow;
    r.duration = time_left(r.volume, r.flow);
  } else {
    r.duration = *input.duration;
    r.flow = *input.flow;
    r.volume = r.flow * r.duration;
  }
  const double mL_per_h = in(r.flow, millilitre / hour);
  r.rate_text = say::quantity(with_unit(shown_number(mL_per_h, mL_per_h < 10 ? 1 : 0), "mL/h"));
  r.workings.push_back(flow_working(r));
  if (input.drop_factor) add_drops(*input.drop_factor, r);
  if (input.start) r.ends_at = *input.start + to_interval(r.duration);
  return r;
}

}  // namespace dwell::dosing
