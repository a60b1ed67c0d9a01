#include "statistics/indicators.h"

#include <algorithm>
#include <boost/mp11.hpp>

#include "json/codec.h"
#include "say/statistics.h"

namespace dwell::statistics {
namespace {

using R = line::RemovalReason;
constexpr double confidence = 0.95;
constexpr auto whole_day = std::chrono::days{1};
constexpr auto emergency_limit = std::chrono::hours{48};
constexpr auto idle_after = std::chrono::hours{24};

/// What a line is to an indicator.
enum class Part { outside, missing, among, counted };

bool is_kind(R reason, IndicatorKind kind) {
  switch (kind) {
    case IndicatorKind::failure_share:
    case IndicatorKind::failure_rate: return is_failure(reason);
    case IndicatorKind::phlebitis_rate: return reason == R::phlebitis;
    case IndicatorKind::infiltration_rate: return reason == R::infiltration || reason == R::extravasation;
    case IndicatorKind::occlusion_rate: return reason == R::occlusion;
    case IndicatorKind::dislodgement_rate: return reason == R::dislodgement;
    case IndicatorKind::leakage_rate: return reason == R::leakage;
    case IndicatorKind::infection_rate: return reason == R::infection;
    case IndicatorKind::pain_rate: return reason == R::pain;
    default: return false;
  }
}

Part part_if(bool counted) { return counted ? Part::counted : Part::among; }

Part off_joints(const std::string& name) {
  const auto region = json::Codec<access::Region>::from_name(name);
  if (!region) return Part::missing;
  return part_if(!access::is_over_joint(*region));
}

Part emergency_out(const LineRow& row, Instant cut) {
  if (!row.charted) return Part::missing;
  if (row.charted->asepsis_assured) return Part::outside;
  const Instant limit = row.placed_at + emergency_limit;
  if (!ended_by(row, cut) && cut <= limit) return Part::outside;  // its time is not over
  return part_if(ended_by(row, cut) && *row.ended_at <= limit);
}

Part idle(const LineRow& row, Instant cut) {
  if (ended_by(row, cut)) return Part::outside;
  if (!row.charted) return Part::missing;
  const Instant used = std::max(row.placed_at, row.charted->last_used_at.value_or(row.placed_at));
  return part_if(!row.charted->running && cut - used > idle_after);
}

Part attempts(const LineRow& row, bool counted) { return row.attempts ? part_if(counted) : Part::missing; }

Part part_of(const LineRow& row, IndicatorKind kind, Instant cut) {
  const bool ended = ended_by(row, cut);
  switch (kind) {
    case IndicatorKind::failure_share:
      if (!ended) return Part::outside;
      return row.reason == R::unknown ? Part::missing : part_if(is_failure(row.reason));
    case IndicatorKind::first_attempt: return attempts(row, row.attempts == 1);
    case IndicatorKind::four_attempts: return attempts(row, row.attempts.value_or(0) >= 4);
    case IndicatorKind::off_joints: return off_joints(row.region);
    case IndicatorKind::emergency_out: return emergency_out(row, cut);
    case IndicatorKind::idle: return idle(row, cut);
    case IndicatorKind::placement_recorded: return row.charted ? part_if(row.charted->placement_whole) : Part::missing;
    case IndicatorKind::removal_recorded:
      if (!ended) return Part::outside;
      return row.charted ? part_if(row.charted->removal_whole) : Part::missing;
    default:  // rates: the days of a line count, whatever ended it
      return ended && row.reason == R::unknown ? Part::missing : part_if(ended && is_kind(row.reason, kind));
  }
}

void name_line(std::vector<std::string>& lines, const LineRow& row) {
  if (lines.size() < most_lines_named && !row.id.empty()) lines.push_back(row.id);
}

double days_of(const LineRow& row, Instant cut) { return observation_of(row, cut).time / 1440.0; }

Source source_of(IndicatorKind kind) {
  switch (kind) {
    case IndicatorKind::failure_share:
    case IndicatorKind::failure_rate: return {"Marsh 2024, Keogh 2020: their composites differ", Mark::memory};
    case IndicatorKind::first_attempt: return {"DART3 protocol, PMC10249237; by line, not by episode", Mark::secondary};
    case IndicatorKind::four_attempts: return {"Cooke 2018", Mark::memory};
    case IndicatorKind::off_joints: return {"Alexandrou 2018, Smith 2024", Mark::memory};
    case IndicatorKind::emergency_out: return {"CDC guideline 2011: within 48 h", Mark::memory};
    case IndicatorKind::idle: return {"Alexandrou 2018: no use for 24 h", Mark::memory};
    case IndicatorKind::looked_daily: return {"common practice, no source", Mark::practice};
    case IndicatorKind::placement_recorded:
    case IndicatorKind::removal_recorded: return {"Bahl 2022, Ahlqvist 2009: own list of what is whole", Mark::memory};
    default: return {"sources.md#survival", Mark::computed};
  }
}

/// Looks are counted by the day: a line may have looks on some days and none on others.
void count_looks(const std::vector<LineRow>& rows, Instant cut, Indicator& out) {
  for (const auto& row : rows) {
    const int due = static_cast<int>(std::chrono::minutes{observation_of(row, cut).time} / whole_day);
    if (due == 0) continue;
    if (!row.charted) {
      ++out.missing;
      name_line(out.missing_lines, row);
      continue;
    }
    const auto& days = row.charted->looked_days;
    const int looked = static_cast<int>(std::lower_bound(days.begin(), days.end(), due) - days.begin());
    out.of += due;
    out.events += looked;
    if (looked < due) name_line(out.lines, row);
  }
}

void count_parts(const std::vector<LineRow>& rows, Instant cut, Indicator& out) {
  for (const auto& row : rows) {
    const Part part = part_of(row, out.kind, cut);
    if (part == Part::missing) {
      ++out.missing;
      name_line(out.missing_lines, row);
    }
    const bool rate = out.measure == IndicatorMeasure::per_thousand_days;
    // The days were watched, though it is not known what ended the line.
    if (rate) out.of += days_of(row, cut);
    if (part != Part::among && part != Part::counted) continue;
    if (!rate) out.of += 1;
    if (part != Part::counted) continue;
    ++out.events;
    name_line(out.lines, row);
  }
}

IndicatorMeasure measure_of(IndicatorKind kind) {
  switch (kind) {
    case IndicatorKind::failure_rate:
    case IndicatorKind::phlebitis_rate:
    case IndicatorKind::infiltration_rate:
    case IndicatorKind::occlusion_rate:
    case IndicatorKind::dislodgement_rate:
    case IndicatorKind::leakage_rate:
    case IndicatorKind::infection_rate:
    case IndicatorKind::pain_rate: return IndicatorMeasure::per_thousand_days;
    case IndicatorKind::half_ended: return IndicatorMeasure::minutes;
    default: return IndicatorMeasure::share;
  }
}

Checked<Indicator> half_ended(const std::vector<LineRow>& rows, Instant cut, Indicator out) {
  std::vector<Observation> dwells;
  for (const auto& row : rows) {
    dwells.push_back({observation_of(row, cut).time, ended_by(row, cut)});
    out.events += dwells.back().event ? 1 : 0;
  }
  out.of = static_cast<double>(rows.size());
  const auto curve = kaplan_meier(dwells, confidence, LimitKind::log_log);
  if (!curve) return refuse(curve.error());
  out.value = curve->median;
  out.low = curve->median_low;
  out.high = curve->median_high;
  return out;
}

Checked<Indicator> indicator(const std::vector<LineRow>& rows, Instant cut, IndicatorKind kind) {
  Indicator out;
  out.kind = kind;
  out.measure = measure_of(kind);
  out.name = say::indicator_name(kind);
  out.counted = say::indicator_counts(kind);
  out.among = say::indicator_among(kind);
  out.left_out = say::indicator_leaves_out(kind);
  out.source = source_of(kind);
  if (kind == IndicatorKind::half_ended) return half_ended(rows, cut, std::move(out));
  if (kind == IndicatorKind::looked_daily)
    count_looks(rows, cut, out);
  else
    count_parts(rows, cut, out);
  if (!(out.of > 0)) return out;
  if (out.measure == IndicatorMeasure::share)
    return wilson_share(out.events, static_cast<int>(out.of), confidence).map([&](const Share& share) {
      out.value = share.share;
      out.low = share.low;
      out.high = share.high;
      return out;
    });
  return rate_per_thousand_days(out.events, out.of * day, confidence).map([&](const RatePerThousandDays& rate) {
    out.value = rate.rate;
    out.low = rate.low;
    out.high = rate.high;
    return out;
  });
}

}  // namespace

Checked<Indicators> indicators(LearnInput input) {
  const Instant cut = input.cut;
  auto counted = countable(std::move(input));
  if (!counted) return refuse(std::move(counted.error()));
  Indicators out;
  out.set_aside = std::move(counted->set_aside);
  out.lines = static_cast<int>(counted->rows.size());
  FieldErrors errors;
  boost::mp11::mp_for_each<boost::describe::describe_enumerators<IndicatorKind>>([&](auto described) {
    auto one = indicator(counted->rows, cut, described.value);
    if (one) out.indicators.push_back(std::move(*one));
    if (!one) errors = std::move(one.error());
  });
  if (!errors.empty()) return refuse(std::move(errors));
  const Source note{"sources.md#indicators", Mark::computed};
  out.findings.push_back({Severity::caution, "episodes_without_a_line", say::episodes_without_a_line(), note});
  out.findings.push_back({Severity::information, "several_lines_a_person", say::several_lines_a_person(), note});
  if (!out.set_aside.empty()) out.findings.push_back(left_out(out.set_aside));
  return out;
}

}  // namespace dwell::statistics
