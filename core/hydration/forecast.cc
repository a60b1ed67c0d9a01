#include "hydration/forecast.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "quantity/difference.h"
#include "quantity/shown_in.h"
#include "quantity/within.h"
#include "say/common.h"
#include "say/growth.h"
#include "say/hydration.h"

namespace dwell::hydration {
namespace {

constexpr AmountConcentration mmol_per_litre = AmountConcentration::from_value(1.0);
constexpr AmountConcentration intercept = 23.8 * mmol_per_litre;
constexpr Duration step = 10.0 * minute;
constexpr auto water = 1.0 * kilogram / litre;  // what a body loses in water it loses in weight

FieldErrors check(const ForecastInput& in, Volume body_water) {
  FieldErrors errors;
  check_within("/serum_sodium", in.serum_sodium, 90.0 * mmol_per_litre, 200.0 * mmol_per_litre, errors);
  growth::check_person(in.person, errors);
  check_within("/weight", in.weight, 0.3 * kilogram, 400.0 * kilogram, errors);
  if (in.body_water)
    check_within<BodyWater>("/body_water", body_water, Volume(0.2 * in.weight / water), Volume(0.9 * in.weight / water),
                            errors);
  check_within("/horizon", in.horizon, 1.0 * hour, 72.0 * hour, errors);
  for (std::size_t i = 0; i < in.streams.size(); ++i) {
    const auto& stream = in.streams[i];
    const std::string path = "/streams/" + std::to_string(i);
    check_within(path + "/flow", stream.flow, Flow(), 5.0 * litre / hour, errors);
    check_within(path + "/cations", stream.cations, 0.0 * mmol_per_litre, 1100.0 * mmol_per_litre, errors);
    check_within(path + "/from", stream.from, Duration(), 72.0 * hour, errors);
    if (stream.until && !(*stream.until > stream.from && *stream.until <= 720.0 * hour))
      errors.push_back({path + "/until", show(*stream.until), say::after_its_start()});
  }
  return errors;
}

/// How long a stream has run by then.
Duration run_time(const FluidStream& stream, Duration at) {
  const Duration end = stream.until ? std::min(*stream.until, at) : at;
  return std::max(Duration(end - stream.from), Duration());
}

std::vector<ForecastPoint> every(Duration by, const ForecastInput& in, Volume body_water) {
  std::vector<ForecastPoint> points;
  const int last = static_cast<int>(std::ceil(double(in.horizon / by) - 1e-9));
  points.reserve(static_cast<std::size_t>(last) + 1);
  for (int i = 0; i <= last; ++i)
    points.push_back(state_at(in, body_water, std::min(Duration(by * static_cast<double>(i)), in.horizon)));
  return points;
}

/// Largest change between this point and any within the window before it, by either form.
AmountConcentration change_within(const std::vector<ForecastPoint>& points, std::size_t now, Duration window) {
  double largest = 0;
  for (std::size_t before = now; before-- > 0 && points[now].at - points[before].at <= window + 1.0 * second;)
    largest = std::max({largest, std::abs((points[now].sodium - points[before].sodium).value()),
                        std::abs((points[now].sodium_with_intercept - points[before].sodium_with_intercept).value())});
  return AmountConcentration::from_value(largest);
}

struct SodiumLimit {
  const char* code;
  Severity severity;
  const Figure<AmountConcentration>* figure;
  Duration window;
};

void find_sodium_crossings(const std::vector<ForecastPoint>& points, const policy::Hydration& policy, Forecast& out) {
  const std::array limits{
      SodiumLimit{"sodium_change_caution", Severity::caution, &policy.sodium_change_caution, 24.0 * hour},
      SodiumLimit{"sodium_change_stop", Severity::stop, &policy.sodium_change_stop, 24.0 * hour},
      SodiumLimit{"sodium_change_stop_two_days", Severity::stop, &policy.sodium_change_stop_two_days, 48.0 * hour}};
  for (const auto& limit : limits)
    for (std::size_t i = 1; i < points.size(); ++i) {
      if (!(change_within(points, i, limit.window) > limit.figure->value)) continue;
      const Message text = say::sodium_would_change(limit.figure->value, limit.window);
      out.crossings.push_back({limit.code, limit.severity, points[i].at, text});
      out.findings.push_back(
          {limit.severity, limit.code, say::after_a_time(points[i].at, text), source_of(*limit.figure)});
      break;
    }
}

void find_overload(const std::vector<ForecastPoint>& points, const ForecastInput& in, const policy::Hydration& policy,
                   Forecast& out) {
  const std::array limits{std::pair{Severity::caution, &policy.overload_caution},
                          std::pair{Severity::stop, &policy.overload_stop}};
  for (const auto& [severity, figure] : limits)
    for (const auto& point : points) {
      const Ratio gained = (point.body_water - points.front().body_water) * water / in.weight;
      if (!(gained >= figure->value)) continue;
      const char* code = severity == Severity::stop ? "overload_stop" : "overload_caution";
      const Message text = say::water_would_reach(figure->value);
      out.crossings.push_back({code, severity, point.at, text});
      out.findings.push_back({severity, code, say::after_a_time(point.at, text), source_of(*figure)});
      break;
    }
}

void say_what_is_missing(const ForecastInput& in, const policy::Hydration& policy, Forecast& out) {
  if (std::none_of(in.streams.begin(), in.streams.end(), [](const auto& s) { return s.direction == Direction::out; }))
    out.findings.push_back({Severity::caution, "no_losses",
                            say::no_losses_entered(shown_in(policy.insensible_loss.value, millilitre / day, "mL/day")),
                            source_of(policy.insensible_loss)});
  out.findings.push_back(
      {Severity::information,
       "measure_again",
       say::measure_sodium_within_hours(),
       {"root mean square error of four formulas 4.8 to 6.4 mmol/L, 31 patients, PMC4957716 (read)", Mark::read}});
}

Working working_of(const ForecastInput& in, const Forecast& out, Volume body_water) {
  const auto& end = out.hourly.back();
  std::vector<WorkingInput> inputs{{say::serum_sodium_name(), say::quantity(shown(in.serum_sodium))},
                                   {say::body_water_working(), say::quantity(shown_in(body_water, litre, "L"))}};
  for (const auto& s : in.streams)
    inputs.push_back({s.direction == Direction::in ? say::stream_in_name(s.name) : say::stream_out_name(s.name),
                      say::a_stream(s.flow, s.cations, run_time(s, in.horizon))});
  return {say::sodium_after_working(end.at),
          say::sodium_after_formula(),
          std::move(inputs),
          say::sodium_by_two_forms(end.sodium, end.sodium_with_intercept),
          {"mass balance; Nguyen and Kurtz' form (value from memory)", Mark::memory}};
}

}  // namespace

ForecastPoint state_at(const ForecastInput& in, Volume body_water, Duration at) {
  Volume gained;
  Amount ions;
  for (const auto& stream : in.streams) {
    const Volume volume = stream.flow * run_time(stream, at) * (stream.direction == Direction::in ? 1.0 : -1.0);
    gained += volume;
    ions += stream.cations * volume;
  }
  ForecastPoint point;
  point.at = at;
  point.body_water = body_water + gained;
  point.sodium = (in.serum_sodium * body_water + ions) / point.body_water;
  point.sodium_with_intercept =
      ((in.serum_sodium + intercept) * body_water + 1.03 * ions) / point.body_water - intercept;
  return point;
}

Checked<Forecast> forecast(const ForecastInput& in, const policy::Hydration& policy) {
  const Volume body_water = in.body_water.value_or(Volume(in.weight / water * body_water_share(in.group)));
  if (auto errors = check(in, body_water); !errors.empty()) return refuse(std::move(errors));
  const auto points = every(step, in, body_water);
  for (const auto& point : points)
    if (!(point.body_water >= 0.5 * body_water && point.body_water <= 2.0 * body_water))
      return refuse("/streams", show_in(point.body_water, litre, "L"),
                    say::flows_that_leave(point.at, shown_in(body_water, litre, "L")));
  Forecast out;
  growth::ask_about_weight(in.person, in.weight, out.findings);
  out.hourly = every(1.0 * hour, in, body_water);
  out.balance = difference(out.hourly.back().body_water, body_water);
  find_sodium_crossings(points, policy, out);
  find_overload(points, in, policy, out);
  std::stable_sort(out.crossings.begin(), out.crossings.end(),
                   [](const Crossing& a, const Crossing& b) { return a.at < b.at; });
  say_what_is_missing(in, policy, out);
  out.workings = {working_of(in, out, body_water)};
  return out;
}

}  // namespace dwell::hydration
