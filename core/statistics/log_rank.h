#pragma once
// Do the groups' lines last differently? The log-rank test, weighted and stratified.
#include <boost/describe.hpp>
#include <vector>

#include "statistics/survival.h"

namespace dwell::statistics {

struct LogRank {
  double chi_square = 0;
  int degrees_of_freedom = 1;
  double p_value = 1;
};
BOOST_DESCRIBE_STRUCT(LogRank, (), (chi_square, degrees_of_freedom, p_value))

/// Fleming and Harrington's weight at t: S(t−)^early (1 − S(t−))^late, S the curve of all groups together (of the
/// stratum). 0 and 0: the log-rank test; early = 1 looks at early ends above all.
struct LogRankWeight {
  double early = 0, late = 0;
};
BOOST_DESCRIBE_STRUCT(LogRankWeight, (), (early, late))

/// More groups than this say nothing that a person could act upon, and cost the cube of their number.
inline constexpr std::size_t most_groups = 500;

/// u' V⁻ u over the groups, u observed less expected ends, V the sum of the hypergeometric covariances, both weighted
/// and summed over the strata (empty: one); the degrees of freedom are the rank of V. An end of any cause counts. Cost
/// for N rows in K groups: N + (N + distinct times) K, and K³/3 for its one decomposition. Errors: lifetimes.h; fewer
/// than two groups, or more than most_groups; a weight that is no number from 0 to 10.
[[nodiscard]] Checked<LogRank> log_rank(const Lifetimes& rows, const std::vector<int>& group,
                                        const std::vector<int>& stratum, const LogRankWeight& weight);

/// The plain test of lines that were all watched from their placement. Errors: an empty group; a time <= 0.
[[nodiscard]] Checked<LogRank> log_rank(const std::vector<std::vector<Observation>>& groups);

}  // namespace dwell::statistics
