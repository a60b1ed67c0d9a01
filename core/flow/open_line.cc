#include "flow/open_line.h"

#include <algorithm>
#include <cmath>

#include "flow/limits.h"
#include "quantity/display.h"
#include "quantity/shown_in.h"
#include "say/common.h"
#include "say/flow.h"

namespace dwell::flow {
namespace {

constexpr double nine_of_ten = 1.645, nineteen_of_twenty = 1.96;
constexpr double hub_spread = 0.08, law_spread = 0.08, share_spread = 0.595;  // the share's on its log odds
/// The slowest published series in a living vein, against this model: piglets, 1993 (docs/flow.md, S15).
constexpr double slowest_published = 0.45;
/// A set that passes less would fail its standard: 1,000 mL of saline in 10 min (ISO 8536-4).
constexpr Flow least_of_a_set = 100.0 * millilitre / minute;

std::size_t at(Unknown unknown) { return static_cast<std::size_t>(unknown); }

double log_odds(double share) { return std::log(share / (1 - share)); }
double of_log_odds(double odds) { return 1 / (1 + std::exp(-odds)); }

double set_spread(const UsualSet& set) { return std::log(double(set.high / set.low)) / (2 * nineteen_of_twenty); }

Flow set_flow_at(const UsualSet& set, double deviation) {
  return set.part.open_flow * std::exp(set_spread(set) * deviation);
}

double catheter_law_at(const Deviations& x) { return std::exp(law_spread * x[at(Unknown::catheter_law)]); }

/// The sleeve's error was published at 300 mmHg; below 100, where it would be larger than the pressure, it is taken in
/// proportion.
double sleeve_share(const Standing& standing) {
  return std::min(1.0, double(standing.cuff / (100.0 * millimetre_of_mercury)));
}

Pressure cuff_in_fluid(const OpenLine& line, const Standing& standing, double deviation) {
  constexpr double machine_error = 0.08;
  if (!(standing.cuff > Pressure())) return Pressure();
  if (standing.pressed_by_machine) return standing.cuff * (1 + machine_error * deviation);
  const Pressure shift = line.sleeve_shift + deviation * line.sleeve_spread;
  return std::max(standing.cuff + sleeve_share(standing) * shift, Pressure());
}

/// The deviation at which a sleeve no longer presses; none where the middle is beyond it already, or without a sleeve.
double sleeve_emptied(const OpenLine& line, const Standing& standing, const Belief& belief) {
  if (!(standing.cuff > Pressure()) || standing.pressed_by_machine || !(line.sleeve_spread > Pressure()))
    return -HUGE_VAL;
  const double least = -double((standing.cuff / sleeve_share(standing) + line.sleeve_shift) / line.sleeve_spread);
  return least < belief.middle[at(Unknown::sleeve)] ? least : -HUGE_VAL;
}

Length height_at(const Standing& standing, double deviation) {
  const Length spread = standing.height_spread.value_or(0.03 * standing.bag_height);
  return standing.bag_height + deviation * spread;
}

double dot(const Deviations& a, const Deviations& b) {
  double sum = 0;
  for (std::size_t i = 0; i < unknowns; ++i) sum += a[i] * b[i];
  return sum;
}

Deviations times(const std::array<Deviations, unknowns>& matrix, const Deviations& vector) {
  Deviations product{};
  for (std::size_t i = 0; i < unknowns; ++i) product[i] = dot(matrix[i], vector);
  return product;
}

/// How the logarithm of what is counted moves with the unknowns: the line's own, and the size of the drop.
Deviations counted_sensitivity(const OpenLine& line, const OpenCount& count, const Deviations& x) {
  Deviations j = sensitivity(line, count.standing, x);
  if (count.drop_size_tolerance) j[at(Unknown::drop_size)] = double(*count.drop_size_tolerance) / nineteen_of_twenty;
  return j;
}

double counted_log(const OpenLine& line, const OpenCount& count, const Deviations& x) {
  const double drops = count.drop_size_tolerance
                           ? double(*count.drop_size_tolerance) / nineteen_of_twenty * x[at(Unknown::drop_size)]
                           : 0;
  return std::log(std::max(flow_at(line, count.standing, x).value(), 1e-15)) + drops;
}

/// All counts taken in one after another, each linear about `around`.
Belief taken_in(const OpenLine& line, const std::vector<OpenCount>& counts, const Deviations& around) {
  Belief belief = before_counting();
  for (const auto& count : counts) {
    const Deviations j = counted_sensitivity(line, count, around);
    const Deviations gain = times(belief.covariance, j);
    const double scale = count.error * count.error + dot(j, gain);
    const double told = std::log(count.flow.value()) - counted_log(line, count, around) + dot(j, around);
    const double surprise = told - dot(j, belief.middle);
    for (std::size_t i = 0; i < unknowns; ++i) belief.middle[i] += gain[i] * surprise / scale;
    for (std::size_t i = 0; i < unknowns; ++i)
      for (std::size_t k = 0; k < unknowns; ++k) belief.covariance[i][k] -= gain[i] * gain[k] / scale;
  }
  return belief;
}

/// How unlikely the unknowns are together with what was counted: the sum of squares that the belief makes least.
double misfit_at(const OpenLine& line, const std::vector<OpenCount>& counts, const Deviations& x) {
  double sum = dot(x, x);
  for (const auto& count : counts) {
    const double off = (std::log(count.flow.value()) - counted_log(line, count, x)) / count.error;
    sum += off * off;
  }
  return sum;
}

double spread_of(const Belief& belief, Unknown unknown) {
  return std::sqrt(std::max(0.0, belief.covariance[at(unknown)][at(unknown)]));
}

/// d ln Q / d x where this much flows. The pressure that is left over at this flow says how the flow would move,
/// without another root to be found:  d ln Q / d x = (d left / d x) / -(d left / d ln Q).  A sleeve is so looked at
/// from the side on which it presses.
Deviations sensitivity_at(const OpenLine& line, const Standing& standing, const Deviations& x, Flow here) {
  constexpr double step = 1e-4;
  Deviations j{};
  if (!(here > Flow())) return j;
  const auto left = [&](const Deviations& at_x, Flow flow) {
    const Path path = path_at(line, standing, at_x);
    return (head_of(path) - loss_of(path, flow, catheter_law_at(at_x))).value();
  };
  const double at_rest = left(x, here), steepness = (at_rest - left(x, here * (1 + step))) / step;
  for (std::size_t i = 0; i < unknowns; ++i) {
    Deviations up = x;
    up[i] += step;
    j[i] = (left(up, here) - at_rest) / (step * steepness);
  }
  return j;
}

/// One line: what nobody can see of it, and its rig's own deviation.
struct OneLine {
  Deviations x{};
  double rig = 0;
};

OneLine between(const OneLine& from, const OneLine& to, double share) {
  OneLine found{from.x, from.rig + share * (to.rig - from.rig)};
  for (std::size_t i = 0; i < unknowns; ++i) found.x[i] += share * (to.x[i] - from.x[i]);
  return found;
}

/// The lines that nine of ten are: all with (x - m) C^-1 (x - m) + rig^2 within 1.645^2. A sleeve presses by nothing at
/// least: where it does, more of the same is no other line.
struct NineOfTen {
  const Belief& belief;
  double sleeve_least;  ///< deviation at which it no longer presses

  /// The one that lies furthest by this slope, `way` 1 up it or -1 down it.
  [[nodiscard]] OneLine furthest(const Deviations& slope, double rig_slope, double way) const {
    const OneLine found = by(belief.middle, times(belief.covariance, slope), slope, rig_slope, way * nine_of_ten);
    const std::size_t sleeve = at(Unknown::sleeve);
    if (!(found.x[sleeve] < sleeve_least)) return found;
    // Held there, the others keep what is left of the width, and what they do not share with the sleeve.
    const Deviations shared = belief.covariance[sleeve];
    const double off = sleeve_least - belief.middle[sleeve], of_sleeve = shared[sleeve];
    Deviations middle = belief.middle, toward = times(belief.covariance, slope);
    const double along = toward[sleeve];
    for (std::size_t i = 0; i < unknowns; ++i) {
      middle[i] += shared[i] * off / of_sleeve;
      toward[i] -= shared[i] * along / of_sleeve;
    }
    return by(middle, toward, slope, rig_slope,
              way * std::sqrt(std::max(nine_of_ten * nine_of_ten - off * off / of_sleeve, 0.0)));
  }

 private:
  static OneLine by(const Deviations& middle, const Deviations& toward, const Deviations& slope, double rig_slope,
                    double width) {
    const double spread = std::sqrt(std::max(dot(slope, toward), 0.0) + rig_slope * rig_slope);
    if (!(spread > 0)) return {middle, 0};
    OneLine found{middle, width * rig_slope / spread};
    for (std::size_t i = 0; i < unknowns; ++i) found.x[i] += width * toward[i] / spread;
    return found;
  }
};

/// From a line among them to the slowest (`way` -1) or fastest (1): the furthest by its slope, then by the slope at
/// that one, until none is further.
Flow end_of(const NineOfTen& lines, const OpenLine& line, const Standing& standing, OneLine found, double way) {
  constexpr int rounds = 200;
  constexpr double least_share = 1e-3, settled = 1e-6;
  const auto rig = [&](const OneLine& one) { return std::exp(line.rig_spread * one.rig); };
  Flow flow = flow_at(line, standing, found.x);
  for (int round = 0; round < rounds && flow > Flow(); ++round) {
    const Deviations slope = sensitivity_at(line, standing, found.x, flow);
    const OneLine target = lines.furthest(slope, line.rig_spread, way);
    const double reach =
        way * (dot(slope, target.x) - dot(slope, found.x) + line.rig_spread * (target.rig - found.rig));
    if (!(reach > settled)) break;
    double gain = 0;
    for (double share = 1; share > least_share && !(gain > 0); share /= 2) {
      const OneLine next = between(found, target, share);
      const Flow next_flow = flow_at(line, standing, next.x);
      gain = way * (double(next_flow / flow) * rig(next) / rig(found) - 1);
      if (gain > 0) found = next, flow = next_flow;
    }
    if (!(gain > settled)) break;
  }
  return flow * rig(found);
}

/// Where to look for the slowest: at the line that is driven least, or furthest down the slope at the middle.
OneLine slowest_start(const NineOfTen& lines, const OpenLine& line, const Standing& standing) {
  const Deviations& middle = lines.belief.middle;
  Deviations driven{};
  for (std::size_t i = 0; i < unknowns; ++i) {
    Deviations up = middle;
    up[i] += 1;
    driven[i] = (head_of(path_at(line, standing, up)) - head_of(path_at(line, standing, middle))).value();
  }
  const OneLine held = lines.furthest(driven, 0, -1);
  const OneLine narrow = lines.furthest(sensitivity(line, standing, middle), line.rig_spread, -1);
  const bool by_pressure = flow_at(line, standing, held.x) < flow_at(line, standing, narrow.x);
  return by_pressure ? held : narrow;
}

message::Quantity in_minutes(Flow flow) { return shown_in(flow, millilitre / minute, "mL/min"); }

/// "175 mL/min (100 mL/min to 300 mL/min)": the middle and the 95 % range of what an unknown stands for. `up` is -1 for
/// what falls as its unknown rises.
template <class Show>
Message range(const Belief& belief, Unknown unknown, const Show& shown_at, double up = 1) {
  const double middle = belief.middle[at(unknown)], half = up * nineteen_of_twenty * spread_of(belief, unknown);
  return say::within_range(shown_at(middle), shown_at(middle - half), shown_at(middle + half));
}

/// `judged` differs from the usual line by how freely its pressure and its set may move.
std::vector<Believed> beliefs(const OpenLine& line, const OpenLine& judged, const Belief& after) {
  const Belief before = before_counting();
  const auto set = [](const OpenLine& of) { return [&of](double x) { return in_minutes(set_flow_at(of.set, x)); }; };
  const auto bore = [&](double x) {
    return shown_in(line.catheter.bore.diameter * std::exp(line.catheter.bore_spread * x), millimetre, "mm");
  };
  std::vector<Believed> rows{
      {say::set_flow_name(), range(before, Unknown::set_flow, set(line)), range(after, Unknown::set_flow, set(judged))},
      {say::believed_bore_name(), range(before, Unknown::bore, bore), range(after, Unknown::bore, bore)}};
  if (!line.in_vein) return rows;
  const auto pressure = [](const OpenLine& of) {
    return [&of](double x) { return shown(Pressure(of.venous_pressure + x * of.venous_spread)); };
  };
  // Wider is less resistance: the fourth root, turned round.
  const auto vein = [&](double x) {
    return shown_in(line.vein * std::exp(-line.vein_spread * x / 4), millimetre, "mm");
  };
  rows.push_back({say::believed_pressure_name(), range(before, Unknown::vein_pressure, pressure(line)),
                  range(after, Unknown::vein_pressure, pressure(judged))});
  rows.push_back({say::believed_vein_name(), range(before, Unknown::vein_outflow, vein, -1),
                  range(after, Unknown::vein_outflow, vein, -1)});
  return rows;
}

const Source& measured_source() {
  static const Source source{"pressure balance against an open-line count; how well it holds: flow.md", Mark::computed};
  return source;
}

/// Without the count: that slow lines are known.
void tell_uncounted(const OpenLine& line, std::vector<Finding>& findings) {
  if (!line.in_vein) return;
  findings.push_back({Severity::information,
                      "can_be_half",
                      say::can_be_half(),
                      {"piglets, 22 gauge, at 0.46 of this model (1993); band: flow.md", Mark::computed}});
}

void tell_fast(const OpenLine& line, const OpenCount& count, std::vector<Finding>& findings) {
  OpenLine bare = line;
  bare.in_vein = false;
  bare.venous_pressure = Pressure();
  bare.set.part.open_flow = 10.0 * litre / minute;
  Deviations favourable{};
  for (const auto unknown : {Unknown::bore, Unknown::sleeve, Unknown::head}) favourable[at(unknown)] = nine_of_ten;
  favourable[at(Unknown::length)] = favourable[at(Unknown::viscosity)] = -nine_of_ten;
  if (count.flow <= flow_at(bare, count.standing, favourable)) return;
  findings.push_back({Severity::caution, "faster_than_possible", say::faster_than_possible(), measured_source()});
}

void tell_slow(const OpenLine& line, const OpenCount& count, Ratio share, const std::optional<Flow>& implied,
               std::vector<Finding>& findings) {
  if (!implied || *implied >= least_of_a_set) return;
  const FlowBand band = expected(line, count.standing, before_counting(), true);
  if (count.flow < band.low)
    findings.push_back({Severity::caution,
                        "too_tight",
                        say::too_slow_for_the_set(),
                        {"ISO 8536-4: at least 1,000 mL in 10 min (read in a copy; head of 1 m: value from memory)",
                         Mark::secondary}});
  if (line.in_vein && share < Ratio(0.6))
    findings.push_back({Severity::information,
                        "slow_was_published",
                        say::slow_was_published(share),
                        {"piglets, 1993 (read as abstract)", Mark::secondary}});
}

/// Heads of the counts, lowest and highest.
std::pair<double, double> heads(const OpenLine& line, const std::vector<OpenCount>& counts) {
  double low = HUGE_VAL, high = 0;
  for (const auto& count : counts) {
    const double head = head_of(path_at(line, count.standing)).value();
    low = std::min(low, head);
    high = std::max(high, head);
  }
  return {low, high};
}

/// Two heads apart tell pressure from narrowness: the pressure behind the tip is then measured, not taken for usual.
bool measures_pressure(const OpenLine& line, const std::vector<OpenCount>& counts) {
  const auto [low, high] = heads(line, counts);
  return line.in_vein && counts.size() > 1 && high >= 1.25 * low;
}

/// What two heights can tell apart is left free: a tourniquet is no usual vein, and a kink no usual set.
OpenLine left_free(OpenLine line) {
  constexpr double any_narrowness = 0.8;
  line.venous_spread = std::max(line.venous_spread, 20.0 * millimetre_of_mercury);
  const double factor = std::exp(nineteen_of_twenty * any_narrowness);
  line.set.low = std::min(line.set.low, line.set.part.open_flow / factor);
  line.set.high = std::max(line.set.high, line.set.part.open_flow * factor);
  return line;
}

/// `judged` is the line whose pressure and set were left free, `line` what is usual.
void tell_pressure(const OpenLine& line, const OpenLine& judged, const std::vector<OpenCount>& counts,
                   const Belief& belief, Ratio share, std::vector<Finding>& findings) {
  if (counts.size() < 2) return;
  if (const auto [low, high] = heads(line, counts); high < 1.25 * low) {
    findings.push_back({Severity::information, "heads_alike", say::counts_at_one_height(), measured_source()});
    return;
  }
  if (!line.in_vein) return;
  const Pressure found = judged.venous_pressure + belief.middle[at(Unknown::vein_pressure)] * judged.venous_spread;
  const Pressure error = spread_of(belief, Unknown::vein_pressure) * judged.venous_spread;
  if (found - error > line.venous_pressure + nine_of_ten * line.venous_spread)
    findings.push_back({Severity::caution, "held_by_pressure", say::held_by_pressure(found), measured_source()});
  else if (share < Ratio(0.8) &&
           (belief.middle[at(Unknown::vein_outflow)] > 0.5 || belief.middle[at(Unknown::set_flow)] < -0.3))
    findings.push_back({Severity::information, "held_by_narrowness", say::held_by_narrowness(), measured_source()});
}

void tell_order(const FlowBand& band, Flow ordered, std::vector<Finding>& findings) {
  if (ordered > band.high)
    findings.push_back({Severity::stop, "order_out_of_reach", say::order_out_of_reach(), measured_source()});
  else if (ordered > band.low)
    findings.push_back({Severity::caution, "order_hardly_reached", say::order_hardly_reached(), measured_source()});
}

FieldErrors check(const OpenLine& line, const Standing& standing, const std::vector<OpenCount>& counts,
                  const std::optional<Flow>& ordered) {
  FieldErrors errors;
  const auto check_standing = [&](const std::string& path, const Standing& s) {
    const auto solved = solve(path_at(line, s));
    if (!solved)
      for (const auto& error : solved.error()) errors.push_back({path + error.path, error.found, error.expected});
    check_within(path + "/cuff", s.cuff, Pressure(), 600.0 * millimetre_of_mercury, errors);
  };
  const Flow least = 0.1 * millilitre / hour, most = 60.0 * litre / hour;
  check_standing("", standing);
  if (counts.size() > 8) errors.push_back({"/counts", std::to_string(counts.size()), say::counts_at_most(8)});
  if (ordered) check_within("/ordered", *ordered, least, most, errors);
  for (std::size_t i = 0; i < std::min<std::size_t>(counts.size(), 8); ++i) {
    const std::string path = "/counts/" + std::to_string(i);
    const std::size_t before = errors.size();
    check_standing(path, counts[i].standing);
    check_within(path + "/flow", counts[i].flow, least, most, errors);
    check_within(path + "/error", Ratio(counts[i].error), Ratio(0.01), Ratio(0.5), errors);
    if (counts[i].drop_size_tolerance)
      check_within(path + "/drop_size_tolerance", *counts[i].drop_size_tolerance, Ratio(0.0), Ratio(0.5), errors);
    if (errors.size() == before && !(head_of(path_at(line, counts[i].standing)) > Pressure()))
      errors.push_back({path + "/bag_height", show(counts[i].standing.bag_height), say::a_height_that_runs()});
  }
  return errors;
}

Working band_working(const OpenLine& line, const Standing& standing, const FlowBand& band) {
  const Path path = path_at(line, standing);
  Working working{say::open_line_name(),
                  say::symbol("ln Q ± 1.645 √(Σ (∂ln Q/∂x)² + rig²)"),
                  {{say::bag_above_tip_name(), say::quantity(shown_in(standing.bag_height, centimetre, "cm"))},
                   {say::catheter_bore_name(), say::quantity(shown(path.catheter.diameter))},
                   {say::catheter_length_name(), say::quantity(shown(path.catheter.length))},
                   {say::set_flow_name(), say::quantity(in_minutes(line.set.part.open_flow))},
                   {say::venous_pressure_name(), say::quantity(shown(path.venous_pressure))},
                   {say::viscosity_name(), say::quantity(shown(standing.fluid.viscosity))}},
                  say::within_range(in_minutes(band.middle), in_minutes(band.low), in_minutes(band.high)),
                  {"flow.md: model, published series and errors", Mark::computed}};
  if (standing.cuff > Pressure())
    working.inputs.push_back({say::pressure_in_fluid_name(), say::quantity(shown(path.bag_pressure))});
  return working;
}

}  // namespace

UsualSet ward_set() {
  return {{175.0 * millilitre / minute, Ratio(0.3)}, 100.0 * millilitre / minute, 300.0 * millilitre / minute};
}

UsualSet wide_set() {
  return {{400.0 * millilitre / minute, Ratio(0.3)}, 250.0 * millilitre / minute, 640.0 * millilitre / minute};
}

UsualSet measured_set(Flow open_flow) { return {{open_flow, Ratio(0.3)}, open_flow * 0.9, open_flow / 0.9}; }

UsualCatheter by_gauge(Gauge gauge, const Bore& bore) {
  // Spread of the bores found from declared flows, and of the lengths in which one gauge is sold (docs/flow.md).
  double spread = 0.066;
  if (gauge.number <= 23) spread = 0.033;
  if (gauge.number <= 21) spread = 0.029;
  if (gauge.number <= 19) spread = 0.033;
  if (gauge.number <= 17) spread = 0.072;
  if (gauge.number <= 15) spread = 0.084;
  return {bore, spread, 0.15};
}

Checked<UsualCatheter> by_declared_flow(Flow declared, Length length) {
  auto bore = bore_of_declared(declared, length);
  if (!bore) return refuse(std::move(bore.error()));
  return UsualCatheter{{*bore, length}, 0.017, 0.01};
}

Belief before_counting() {
  Belief belief;
  for (std::size_t i = 0; i < unknowns; ++i) belief.covariance[i][i] = 1;
  return belief;
}

Path path_at(const OpenLine& line, const Standing& standing, const Deviations& x) {
  Path path;
  path.fluid = standing.fluid;
  path.fluid.viscosity *= std::exp(standing.viscosity_spread * x[at(Unknown::viscosity)]);
  path.bag_height = height_at(standing, x[at(Unknown::head)]);
  path.bag_pressure = cuff_in_fluid(line, standing, x[at(Unknown::sleeve)]);
  path.connector_k = std::max(0.0, hub_velocity_heads + hub_spread * x[at(Unknown::hub)]);
  path.catheter = {line.catheter.bore.diameter * std::exp(line.catheter.bore_spread * x[at(Unknown::bore)]),
                   line.catheter.bore.length * std::exp(line.catheter.length_spread * x[at(Unknown::length)])};
  path.set = DeclaredPart{
      set_flow_at(line.set, x[at(Unknown::set_flow)]),
      Ratio(of_log_odds(log_odds(line.set.part.laminar_share) + share_spread * x[at(Unknown::set_share)]))};
  path.connector = line.connector;
  if (line.in_vein) {
    path.venous_pressure = line.venous_pressure + x[at(Unknown::vein_pressure)] * line.venous_spread;
    path.vein_outflow = vein_outflow(line.vein) * std::exp(line.vein_spread * x[at(Unknown::vein_outflow)]);
  }
  return path;
}

Flow flow_at(const OpenLine& line, const Standing& standing, const Deviations& x) {
  return steady_flow(path_at(line, standing, x), catheter_law_at(x));
}

Deviations sensitivity(const OpenLine& line, const Standing& standing, const Deviations& x) {
  return sensitivity_at(line, standing, x, flow_at(line, standing, x));
}

Belief after_counting(const OpenLine& line, const std::vector<OpenCount>& counts) {
  constexpr int rounds = 40;
  Deviations x{};
  double misfit = misfit_at(line, counts, x);
  for (int round = 0; round < rounds; ++round) {
    const Belief linear = taken_in(line, counts, x);
    // The flow is not linear in what nobody sees: a step that would fit worse is halved.
    Deviations next{};
    double share = 1, next_misfit = HUGE_VAL;
    for (; share > 1e-3; share /= 2) {
      for (std::size_t i = 0; i < unknowns; ++i) next[i] = x[i] + share * (linear.middle[i] - x[i]);
      next_misfit = misfit_at(line, counts, next);
      if (next_misfit <= misfit) break;
    }
    if (!(next_misfit <= misfit)) break;
    const bool settled = misfit - next_misfit < 1e-12 * (1 + misfit);
    x = next;
    misfit = next_misfit;
    if (settled) break;
  }
  Belief belief = taken_in(line, counts, x);
  belief.middle = x;
  return belief;
}

FlowBand expected(const OpenLine& line, const Standing& standing, const Belief& belief, bool counted) {
  FlowBand band;
  band.middle = flow_at(line, standing, belief.middle);
  if (!(band.middle > Flow())) return band;
  // The ends are what the slowest and the fastest of nine in ten lines really pass. The way that the slope at the
  // middle points is not the way to them where a line hardly runs: there the logarithm of the flow bends with the
  // pressure, and the slowest is held by want of pressure or by narrowness, so both ways are gone. Where less is known
  // of a part, more lines are among them, and neither end comes nearer.
  const NineOfTen lines{belief, sleeve_emptied(line, standing, belief)};
  const OneLine middle{belief.middle, 0};
  band.high = end_of(lines, line, standing, middle, 1);
  band.low = end_of(lines, line, standing, slowest_start(lines, line, standing), -1);
  if (line.in_vein && !counted) band.low = std::min(band.low, band.middle * slowest_published);
  // A head that an ordinary vein can hold up may not run at all.
  Deviations held_up = belief.middle;
  held_up[at(Unknown::vein_pressure)] += nine_of_ten * spread_of(belief, Unknown::vein_pressure);
  if (line.in_vein) band.low = std::min(band.low, flow_at(line, standing, held_up));
  return band;
}

std::optional<Flow> set_flow_implied(const OpenLine& line, const OpenCount& count) {
  Path path = path_at(line, count.standing);
  const DeclaredPart set = *path.set;
  path.set.reset();
  const double spare = (head_of(path) - loss_of(path, count.flow)).value();
  if (!(spare > 0)) return std::nullopt;
  // spare = s P1 m r + (1 - s) P1 d r^2 with r = Q / q1: what the set would have to cost.
  const DeclaredPart alone{1.0 * cubic_metre / second, set.laminar_share};
  const double ratio = si::Part(alone, count.standing.fluid).flow_at(spare);
  return count.flow / ratio;
}

Checked<OpenLineAnswer> open_line(const OpenLine& line, const Standing& standing, const std::vector<OpenCount>& counts,
                                  std::optional<Flow> ordered) {
  if (auto errors = check(line, standing, counts, ordered); !errors.empty()) return refuse(std::move(errors));
  OpenLineAnswer answer;
  answer.before = expected(line, standing);
  if (const auto solved = solve(path_at(line, standing))) answer.findings = solved->findings;
  answer.workings.push_back(band_working(line, standing, answer.before));
  const FlowBand* best = &answer.before;
  if (counts.empty()) {
    if (answer.before.middle > Flow()) tell_uncounted(line, answer.findings);
  } else {
    const OpenCount& first = counts.front();
    const OpenLine judged = measures_pressure(line, counts) ? left_free(line) : line;
    const Belief belief = after_counting(judged, counts);
    answer.after = expected(judged, standing, belief, true);
    best = &*answer.after;
    answer.counted_to_expected = Ratio(first.flow / flow_at(line, first.standing));
    answer.set_flow_implied = set_flow_implied(line, first);
    answer.beliefs = beliefs(line, judged, belief);
    tell_slow(line, first, *answer.counted_to_expected, answer.set_flow_implied, answer.findings);
    tell_fast(line, first, answer.findings);
    tell_pressure(line, judged, counts, belief, *answer.counted_to_expected, answer.findings);
    answer.workings.push_back(band_working(line, standing, *answer.after));
    answer.workings.back().name = say::open_line_by_count_name();
  }
  if (ordered) tell_order(*best, *ordered, answer.findings);
  return answer;
}

}  // namespace dwell::flow
