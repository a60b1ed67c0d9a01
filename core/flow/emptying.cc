#include "flow/emptying.h"

#include <boost/math/quadrature/gauss.hpp>

#include "flow/limits.h"
#include "quantity/display.h"
#include "quantity/shown_in.h"
#include "say/common.h"
#include "say/flow.h"

namespace dwell::flow {
namespace {

constexpr int steps = 10;
/// Where a slowing bag is called standing: the last hundredth of the volume above the stop takes for ever.
constexpr double near_stop = 0.01;

Flow flow_with(const EmptyingInput& input, Volume left) {
  Path path = input.path;
  path.bag_height -= input.column * (1.0 - double(left / input.volume));
  return steady_flow(path);
}

/// Volume left at which head equals venous pressure; nothing when the bag runs empty first.
std::optional<Volume> standstill(const EmptyingInput& input) {
  const Length least = height_for(input.path, Flow::from_value(1e-18));
  const Length at_empty = input.path.bag_height - input.column;
  if (at_empty > least) return std::nullopt;
  const double fallen = double((input.path.bag_height - least) / input.column);
  return input.volume * (1.0 - std::min(fallen, 1.0));
}

Duration time_between(const EmptyingInput& input, Volume from, Volume to) {
  const auto slowness = [&](double left) { return 1.0 / flow_with(input, Volume::from_value(left)).value(); };
  return Duration::from_value(
      boost::math::quadrature::gauss<double, 10>::integrate(slowness, to.value(), from.value()));
}

}  // namespace

Checked<Emptying> emptying(const EmptyingInput& input) {
  FieldErrors errors;
  auto started = solve(input.path);
  if (!started) {
    errors = started.error();
    for (auto& error : errors) error.path = "/path" + error.path;
  }
  check_within("/volume", input.volume, 1.0 * millilitre, 20.0 * litre, errors);
  check_within("/column", input.column, 0.0 * metre, 0.6 * metre, errors);
  if (!errors.empty()) return refuse(std::move(errors));

  Emptying out;
  out.at_start = started->flow;
  out.stops_with = standstill(input);
  const Source source{"hydrostatics; the surface falls as the bag empties. Flow model: see flow.md", Mark::computed};
  if (!(out.at_start > Flow())) {
    out.stops_with = input.volume;
    out.course = {{Duration(), input.volume, Flow()}};
    out.findings.push_back({Severity::stop, "does_not_run", say::line_does_not_run(), source});
    return out;
  }
  const Volume stop = out.stops_with.value_or(Volume());
  const Volume end = out.stops_with ? stop + near_stop * (input.volume - stop) : Volume();
  Duration after;
  Volume left = input.volume;
  out.course.push_back({after, left, out.at_start});
  for (int i = 1; i <= steps; ++i) {
    const Volume next = input.volume + (end - input.volume) * (static_cast<double>(i) / steps);
    after += time_between(input, left, next);
    left = next;
    out.course.push_back({after, left, flow_with(input, left)});
  }
  out.at_end = out.course.back().flow;
  if (!out.stops_with) out.empty_after = after;
  const Ratio slower = (out.at_start - out.at_end) / out.at_start;
  if (out.stops_with)
    out.findings.push_back({Severity::caution, "stops_early", say::stops_early(*out.stops_with), source});
  else if (slower > 0.05)
    out.findings.push_back({Severity::information, "slows_down", say::slows_while_it_empties(slower), source});
  out.workings = {{say::time_to_empty_name(),
                   say::time_to_empty_formula(),
                   {{say::bag_volume_name(), say::quantity(shown(input.volume))},
                    {say::height_in_bag_name(), say::quantity(shown_in(input.column, centimetre, "cm"))},
                    {say::flow_at_start_name(), say::quantity(shown(out.at_start))},
                    {say::flow_at_end_name(), say::quantity(shown(out.at_end))}},
                   out.empty_after ? say::quantity(shown(*out.empty_after)) : say::does_not_empty(),
                   source}};
  return out;
}

}  // namespace dwell::flow
