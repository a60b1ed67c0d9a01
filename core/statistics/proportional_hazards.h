#pragma once
// Does what a column does to the hazard change with time?
#include <boost/describe.hpp>
#include <string>
#include <vector>

#include "statistics/partial_likelihood.h"

namespace dwell::statistics {

/// The time that a column's part may grow with: 1 − S(t−) of all lines, minutes, the rank among the ends, log minutes.
enum class TimeScale { survival, minutes, rank, log_minutes };
BOOST_DESCRIBE_ENUM(TimeScale, survival, minutes, rank, log_minutes)

struct ProportionalityTest {
  std::string term;  ///< empty: all together
  double chi_square = 0;
  int degrees_of_freedom = 0;
  double p_value = 1;
};
BOOST_DESCRIBE_STRUCT(ProportionalityTest, (), (term, chi_square, degrees_of_freedom, p_value))

/// The score test of adding x g(t) for the columns of each term, and of all, with the information of the larger model
/// at the fitted one. `term` is of each column; columns of one term are tested together (empty: each by itself). Cost:
/// two evaluations.
[[nodiscard]] std::vector<ProportionalityTest> proportionality(const RiskSets& sets, const Patterns& patterns,
                                                               const Maximum& model, Ties ties,
                                                               const std::vector<double>& time_of_slot,
                                                               const std::vector<int>& term);

/// g of each slot, from 0 to 1.
[[nodiscard]] std::vector<double> slot_times(const RiskSets& sets, const Lifetimes& rows, int cause, TimeScale scale);

}  // namespace dwell::statistics
