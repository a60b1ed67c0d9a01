#pragma once
// Do groups differ in how many of their lines come to one kind of end, other ends competing?
#include <vector>

#include "statistics/log_rank.h"

namespace dwell::statistics {

/// Gray's test of one cause between groups, weight (1 − F)^early of the pooled incidence F: another question than a
/// log-rank test with other causes censored, which compares hazards. Lines are watched from their placement. Cost: rows
/// + times × groups³. Errors: lifetimes.h; late entry; fewer than two groups, or more than most_groups_of_gray; no end
/// by the cause. Source: sources.md#competing
[[nodiscard]] Checked<LogRank> gray(const Lifetimes& rows, const std::vector<int>& group, int cause, double early);

inline constexpr std::size_t most_groups_of_gray = 60;

}  // namespace dwell::statistics
