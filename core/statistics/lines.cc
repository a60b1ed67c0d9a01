#include "statistics/lines.h"

#include <algorithm>

#include "json/codec.h"
#include "quantity/display.h"
#include "say/quantity.h"
#include "say/statistics.h"

namespace dwell::statistics {
namespace {

constexpr double confidence = 0.95;

constexpr auto shortest = std::chrono::minutes{1};
constexpr auto longest = std::chrono::days{60};

/// A line placed in the last minute, or after the cut, has no dwell to count yet.
bool observed(const LineRow& row, Instant cut) { return ended_by(row, cut) || cut - row.placed_at >= shortest; }

void check_row(const LineRow& row, Instant cut, const std::string& path, FieldErrors& errors) {
  const Instant end = ended_by(row, cut) ? *row.ended_at : cut;
  if (row.ended_at && *row.ended_at - row.placed_at < shortest)
    errors.push_back({path + "/ended_at", iso(*row.ended_at), say::later_than_placed(row.placed_at)});
  else if (end - row.placed_at > longest)
    errors.push_back({path + (row.ended_at ? "/ended_at" : "/placed_at"), show(between(row.placed_at, end)),
                      say::dwell_at_most(longest)});
  if (!row.ended_at && row.reason != line::RemovalReason::unknown)
    errors.push_back({path + "/reason", std::string(json::name_of(row.reason)), say::end_with_a_reason()});
  if (row.attempts && *row.attempts < 1)
    errors.push_back({path + "/attempts", std::to_string(*row.attempts), say::or_more(shown_number(1))});
}

/// The rows that name their line, in its order: rows of one line stand together, in the order in which they were given.
std::vector<std::size_t> by_line(const std::vector<LineRow>& rows) {
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < rows.size(); ++i)
    if (!rows[i].id.empty()) order.push_back(i);
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return rows[a].id < rows[b].id; });
  return order;
}

/// Hands over, for each line with more rows than one, their places.
template <class Take>
void each_line_twice(const std::vector<LineRow>& rows, const Take& take) {
  const auto order = by_line(rows);
  for (auto from = order.begin(); from != order.end();) {
    const auto end = std::find_if(from, order.end(), [&](std::size_t i) { return rows[i].id != rows[*from].id; });
    if (end - from > 1) take(std::vector<std::size_t>(from, end));
    from = end;
  }
}

FieldErrors check(const LearnInput& input) {
  FieldErrors errors;
  constexpr std::size_t most_errors = 20;
  if (std::none_of(input.rows.begin(), input.rows.end(), [&](const LineRow& row) { return observed(row, input.cut); }))
    errors.push_back({"/rows", "0", say::a_line_before_the_cut(input.cut)});
  for (std::size_t i = 0; i < input.rows.size() && errors.size() < most_errors; ++i)
    check_row(input.rows[i], input.cut, "/rows/" + std::to_string(i), errors);
  each_line_twice(input.rows, [&](const std::vector<std::size_t>& places) {
    for (std::size_t i = 1; i < places.size() && errors.size() < most_errors; ++i)
      errors.push_back({"/rows/" + std::to_string(places[i]) + "/id", input.rows[places[i]].id,
                        say::each_line_once(static_cast<std::int64_t>(places.front()))});
  });
  return errors;
}

/// A line with two rows is counted once when they say the same, and not at all when nobody knows which is right.
void set_aside_twice(std::vector<LineRow>& rows, std::vector<SetAside>& out) {
  std::vector<bool> goes(rows.size(), false);
  each_line_twice(rows, [&](const std::vector<std::size_t>& places) {
    const bool alike =
        std::all_of(places.begin(), places.end(), [&](std::size_t i) { return rows[i] == rows[places.front()]; });
    for (std::size_t i = alike ? 1 : 0; i < places.size(); ++i) goes[places[i]] = true;
    out.push_back({rows[places.front()].id, std::to_string(places.size()),
                   alike ? say::one_row_counted_once() : say::one_row_which_is_right()});
  });
  std::size_t at = 0;
  std::erase_if(rows, [&](const LineRow&) { return goes[at++]; });
}

/// Takes the rows out that cannot be counted, and says why.
std::vector<SetAside> set_aside(std::vector<LineRow>& rows, Instant cut) {
  std::vector<SetAside> out;
  set_aside_twice(rows, out);
  std::erase_if(rows, [&](const LineRow& row) {
    FieldErrors errors;
    check_row(row, cut, "", errors);
    if (!errors.empty()) out.push_back({row.id, errors.front().found, errors.front().expected});
    return !errors.empty();
  });
  return out;
}

/// What the line shares with the others of its group; empty where it is not recorded.
std::string same_of(const LineRow& row, GroupBy by) {
  switch (by) {
    case GroupBy::none: return "";
    case GroupBy::gauge: return row.gauge > 0 ? std::to_string(row.gauge) : "";
    case GroupBy::region: return row.region;
    case GroupBy::unit: return row.unit;
    case GroupBy::inserter: return row.inserter;
  }
  return "";
}

Message name_of_group(const LineRow& row, GroupBy by) {
  const std::string same = same_of(row, by);
  if (by == GroupBy::none) return say::all_lines();
  if (same.empty()) return say::group_not_recorded();
  if (by == GroupBy::gauge) return say::group_of_gauge(row.gauge);
  // A file may name a place of its own.
  if (by == GroupBy::region)
    if (const auto region = json::Codec<access::Region>::from_name(same)) return say::group_of_region(*region);
  return say::as_named(same);
}

std::vector<Observation> observations(const std::vector<const LineRow*>& rows, Instant cut) {
  std::vector<Observation> out;
  out.reserve(rows.size());
  for (const auto* row : rows) out.push_back(observation_of(*row, cut));
  return out;
}

Checked<GroupSummary> summarize(const std::string& same, GroupBy by, const std::vector<const LineRow*>& rows,
                                Instant cut) {
  GroupSummary s;
  s.group = name_of_group(*rows.front(), by);
  s.same = same;
  s.lines = static_cast<int>(rows.size());
  Duration total;
  int first = 0, with_attempts = 0;
  for (const auto* row : rows) {
    with_attempts += row->attempts ? 1 : 0;
    first += row->attempts == 1 ? 1 : 0;
    if (ended_by(*row, cut)) ++s.reasons[row->reason];
  }
  const auto dwells = observations(rows, cut);
  for (const auto& dwell : dwells) {
    total += static_cast<double>(dwell.time) * minute;
    s.failures += dwell.event ? 1 : 0;
  }
  auto curve = kaplan_meier(dwells, confidence, LimitKind::log_log);
  auto rate = rate_per_thousand_days(s.failures, total, confidence);
  if (!curve) return refuse(curve.error());
  if (!rate) return refuse(rate.error());
  s.survival = std::move(*curve);
  s.failure_rate = *rate;
  if (with_attempts == 0) return s;
  auto success = wilson_share(first, with_attempts, confidence);
  if (!success) return refuse(success.error());
  s.first_attempt_success = *success;
  return s;
}

/// The days of 24 h since placement in which somebody looked, rising.
std::vector<int> looked_days(const line::State& state) {
  std::vector<int> days;
  for (const auto& look : state.looks)
    if (look.at > state.placement->at)
      days.push_back(static_cast<int>((look.at - state.placement->at) / std::chrono::days{1}));
  std::sort(days.begin(), days.end());
  days.erase(std::unique(days.begin(), days.end()), days.end());
  return days;
}

Charted charted_of(const line::State& state) {
  const auto& placed = state.placement->placed;
  Charted out;
  out.asepsis_assured = placed.asepsis == line::Asepsis::aseptic;
  out.looked_days = looked_days(state);
  out.running = state.running.has_value();
  out.last_used_at = state.last_used_at;
  for (const auto& push : state.pushed) out.last_used_at = std::max(out.last_used_at, std::optional(push.at));
  out.placement_whole = !placed.inserter.empty() && !placed.antiseptic.empty();
  if (state.removal) {
    const auto& removed = state.removal->removed;
    out.removal_whole =
        !removed.remover.empty() && removed.reason != line::RemovalReason::unknown && removed.tip_whole.has_value();
  }
  return out;
}

}  // namespace

bool is_failure(line::RemovalReason reason) {
  using R = line::RemovalReason;
  switch (reason) {
    case R::phlebitis:
    case R::infiltration:
    case R::extravasation:
    case R::occlusion:
    case R::dislodgement:
    case R::leakage:
    case R::infection:
    case R::pain: return true;
    default: return false;
  }
}

bool ended_by(const LineRow& row, Instant cut) { return row.ended_at && *row.ended_at <= cut; }

/// What happened after the cut is not known yet: a line that ended later is still in at the cut.
Observation observation_of(const LineRow& row, Instant cut) {
  const bool ended = ended_by(row, cut);
  const Instant end = ended ? *row.ended_at : cut;
  const auto minutes = std::chrono::duration_cast<std::chrono::minutes>(end - row.placed_at).count();
  return {static_cast<int>(minutes), ended && is_failure(row.reason)};
}

Checked<Countable> countable(LearnInput input) {
  Countable out;
  if (input.set_aside_unusable.value_or(false)) out.set_aside = set_aside(input.rows, input.cut);
  if (auto errors = check(input); !errors.empty()) return refuse(std::move(errors));
  out.too_new =
      static_cast<int>(std::erase_if(input.rows, [&](const LineRow& row) { return !observed(row, input.cut); }));
  out.rows = std::move(input.rows);
  return out;
}

Finding left_out(const std::vector<SetAside>& rows) {
  const auto& first = rows.front();
  return {Severity::caution,
          "set_aside",
          say::lines_left_out(static_cast<std::int64_t>(rows.size()), first.id, first.found, first.expected),
          {"sources.md#survival", Mark::computed}};
}

Checked<LearnResult> learn(LearnInput input) {
  const Instant cut = input.cut;
  const GroupBy by = input.group_by;
  auto counted = countable(std::move(input));
  if (!counted) return refuse(std::move(counted.error()));
  LearnResult out;
  out.set_aside = std::move(counted->set_aside);
  std::map<std::pair<bool, std::string>, std::vector<const LineRow*>> groups;  // what is not recorded comes last
  const int too_new = counted->too_new;
  int unknown_attempts = 0;
  for (const auto& row : counted->rows) {
    const std::string same = same_of(row, by);
    groups[{same.empty(), same}].push_back(&row);
    const bool ended = ended_by(row, cut);
    if (!ended) ++out.still_in;
    if (!row.attempts) ++unknown_attempts;
    if (ended && row.reason == line::RemovalReason::unknown) ++out.unknown_reasons;
  }
  std::vector<std::vector<Observation>> samples;
  for (const auto& [key, rows] : groups) {
    auto summary = summarize(key.second, by, rows, cut);
    if (!summary) return refuse(summary.error());
    out.groups.push_back(std::move(*summary));
    samples.push_back(observations(rows, cut));
  }
  const Source note{"sources.md#survival", Mark::computed};
  if (samples.size() > most_groups)
    out.findings.push_back({Severity::information, "too_many_groups",
                            say::too_many_groups(static_cast<std::int64_t>(samples.size()), most_groups), note});
  else if (samples.size() > 1)
    if (auto test = log_rank(samples)) out.log_rank = *test;
  out.findings.push_back({Severity::information, "cause_specific", say::curves_censor_other_ends(), note});
  out.findings.push_back({Severity::information, "several_lines_a_person", say::several_lines_a_person(), note});
  if (out.unknown_reasons > 0)
    out.findings.push_back({Severity::caution, "unknown_reasons", say::ends_without_reason(out.unknown_reasons), note});
  if (unknown_attempts > 0)
    out.findings.push_back(
        {Severity::caution, "unknown_attempts", say::lines_without_attempts(unknown_attempts), note});
  if (!out.set_aside.empty()) out.findings.push_back(left_out(out.set_aside));
  if (too_new > 0)
    out.findings.push_back({Severity::information, "placed_too_late", say::lines_placed_too_late(too_new), note});
  return out;
}

std::optional<LineRow> row_of(const line::State& state) {
  if (!state.placement) return std::nullopt;
  const auto& placed = state.placement->placed;
  LineRow row;
  row.id = state.id;
  row.unit = state.place.unit;
  row.placed_at = state.placement->at;
  if (state.removal) {
    row.ended_at = state.removal->at;
    row.reason = state.removal->removed.reason;
  }
  row.gauge = placed.gauge.number;
  row.region = std::string(json::name_of(placed.site.region));
  row.inserter = placed.inserter;
  row.charted = charted_of(state);
  const auto failed = std::count_if(state.attempts.begin(), state.attempts.end(), [](const line::AttemptMark& a) {
    return a.attempt.outcome != line::AttemptOutcome::placed;
  });
  // How often others tried elsewhere is not known, unless they said so.
  const bool placed_here = placed.origin.value_or(line::Origin::here) == line::Origin::here;
  if (placed_here || !state.attempts.empty()) row.attempts = 1 + static_cast<int>(failed);
  row.charted->placement_whole = row.charted->placement_whole && row.attempts.has_value();
  return row;
}

}  // namespace dwell::statistics
