#pragma once
// Of two lines of which one ended while the other was still in: did the model expect that one sooner?
#include <Eigen/Core>
#include <boost/describe.hpp>
#include <cstdint>

#include "statistics/risk_sets.h"

namespace dwell::statistics {

/// Pairs within a stratum. A line whose watching stopped at the very time of the end was still in.
struct Concordance {
  std::int64_t concordant = 0;  ///< the one that ended had the higher hazard
  std::int64_t discordant = 0;
  std::int64_t tied_hazard = 0;
  std::int64_t tied_time = 0;  ///< both ended at that time; not counted in `share`, nor are those alike in both
  std::int64_t tied_both = 0;
  double share =
      0;  ///< (concordant + tied_hazard / 2) of the pairs whose order in time is known; 0.5 where there is none
};
BOOST_DESCRIBE_STRUCT(Concordance, (), (concordant, discordant, tied_hazard, tied_time, tied_both, share))

/// `linear` is x β of each pattern. Cost: rows × the cube root of the patterns.
[[nodiscard]] Concordance concordance(const RiskSets& sets, const Eigen::VectorXd& linear);

}  // namespace dwell::statistics
