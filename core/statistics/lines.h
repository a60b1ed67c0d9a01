#pragma once
// One row a line, and what the rows say together: dwell, failure, reasons, by any grouping.
#include <map>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

#include "line/event.h"
#include "line/state.h"
#include "statistics/log_rank.h"
#include "statistics/rate.h"

namespace dwell::statistics {

/// What the record says of a line beside its row; for the indicators.
struct Charted {
  bool asepsis_assured = true;
  std::vector<int> looked_days;  ///< the days of 24 h from placement, from 0, in which the site was looked at; rising
  bool running = false;          ///< an infusion
  std::optional<Instant> last_used_at;  ///< an infusion ran, or a dose was given; absent: none was charted
  bool placement_whole = false;         ///< who placed it, the antiseptic and the attempts are charted
  bool removal_whole = false;           ///< who removed it, the reason and whether the tip was whole are charted
  friend bool operator==(const Charted&, const Charted&) = default;
};
BOOST_DESCRIBE_STRUCT(Charted, (),
                      (asepsis_assured, looked_days, running, last_used_at, placement_whole, removal_whole))

struct LineRow {
  std::string id;  ///< empty where somebody else has seen to it that each line has one row
  std::string unit;
  Instant placed_at{};
  std::optional<Instant> ended_at;  ///< absent: still in at the cut
  line::RemovalReason reason = line::RemovalReason::unknown;
  int gauge = 0;
  std::string region;
  std::string inserter;
  std::optional<int> attempts;  ///< until it was in; absent: not recorded, and then no success at the first
  std::optional<Charted> charted = std::nullopt;  ///< absent: the row comes from elsewhere than the record
  friend bool operator==(const LineRow&, const LineRow&) = default;
};
BOOST_DESCRIBE_STRUCT(LineRow, (), (id, unit, placed_at, ended_at, reason, gauge, region, inserter, attempts, charted))
constexpr auto names_in(const LineRow*) {
  return std::tuple(&LineRow::id, &LineRow::unit, &LineRow::region, &LineRow::inserter);
}

/// Failure: phlebitis, infiltration, extravasation, occlusion, dislodgement, leakage, infection, pain. The rest end the
/// line without failure. unknown counts as censored and is reported.
[[nodiscard]] bool is_failure(line::RemovalReason reason);

enum class GroupBy { none, gauge, region, unit, inserter };
BOOST_DESCRIBE_ENUM(GroupBy, none, gauge, region, unit, inserter)

struct LearnInput {
  std::vector<LineRow> rows;
  Instant cut{};  ///< lines still in are censored here; what is charted later is not counted
  GroupBy group_by = GroupBy::none;
  /// What becomes of rows that cannot be counted: left out and named in `set_aside` (a ward's own record, where one
  /// uncharted removal must not hide all else), or refused, all together (a file, which can be put right).
  std::optional<bool> set_aside_unusable;
};
BOOST_DESCRIBE_STRUCT(LearnInput, (), (rows, cut, group_by, set_aside_unusable))

struct GroupSummary {
  Message group;     ///< its name for people
  std::string same;  ///< what its lines share, as the rows have it; empty: nothing, or not recorded
  int lines = 0;
  int failures = 0;
  RatePerThousandDays failure_rate;
  SurvivalCurve survival;  ///< to failure; other ends censored (cause-specific; says so on the page)
  std::optional<Share> first_attempt_success;  ///< of the lines whose attempts are recorded; nothing: of none
  std::map<line::RemovalReason, int> reasons;
};
BOOST_DESCRIBE_STRUCT(GroupSummary, (),
                      (group, same, lines, failures, failure_rate, survival, first_attempt_success, reasons))

struct SetAside {
  std::string id;
  std::string found;
  Message expected;
};
BOOST_DESCRIBE_STRUCT(SetAside, (), (id, found, expected))

struct LearnResult {
  std::vector<GroupSummary> groups;
  std::optional<LogRank> log_rank;  ///< between the groups
  int unknown_reasons = 0;
  int still_in = 0;
  std::vector<SetAside> set_aside;  ///< rows left out, and why
  std::vector<Finding> findings;    ///< "1 − this curve is not a risk while other ends compete"
};
BOOST_DESCRIBE_STRUCT(LearnResult, (), (groups, log_rank, unknown_reasons, still_in, set_aside, findings))

/// Errors (or, when asked, rows set aside) name the row: ended before placed, dwell of 0 min, dwell above 60 d,
/// attempts < 1, a reason without an end, a line that has a row already (set aside: all its rows, unless they say the
/// same). A line that is less than a minute old at the cut, or placed after it, is not counted; a finding says how
/// many.
[[nodiscard]] Checked<LearnResult> learn(LearnInput input);

/// The rows of `input` that can be counted, in its order; the rest is set aside, or refused where that was not asked
/// for. Too new at the cut, and so not among them: `too_new`.
struct Countable {
  std::vector<LineRow> rows;
  std::vector<SetAside> set_aside;
  int too_new = 0;
};
[[nodiscard]] Checked<Countable> countable(LearnInput input);
/// How many rows were set aside, and why the first was. There is one at least.
[[nodiscard]] Finding left_out(const std::vector<SetAside>& rows);

/// Whether the line had ended at the cut; and its minutes until then, an event where it failed.
[[nodiscard]] bool ended_by(const LineRow& row, Instant cut);
[[nodiscard]] Observation observation_of(const LineRow& row, Instant cut);

/// The row of a folded line, when it was placed. A removal charted at or before the placement stays as charted: learn()
/// names it.
[[nodiscard]] std::optional<LineRow> row_of(const line::State& state);

}  // namespace dwell::statistics
