#pragma once
// Which lines come to one kind of end more often, other ends competing? Proportional hazards of the subdistribution
// (Fine and Gray): a line that another cause ended stays in the risk set with the weight of not having been censored
// since.
#include <boost/describe.hpp>
#include <vector>

#include "statistics/cox.h"

namespace dwell::statistics {

struct FineGrayInput {
  Lifetimes rows;  ///< watched from their placement
  int cause = 1;
  Covariates covariates;
  double confidence = 0.95;
};
BOOST_DESCRIBE_STRUCT(FineGrayInput, (), (rows, cause, covariates, confidence))

struct FineGrayFit {
  int rows = 0, events = 0, competing = 0, censored = 0;
  double log_likelihood_without = 0, log_likelihood = 0;
  std::vector<Coefficient>
      coefficients;  ///< hazard_ratio is that of the subdistribution; model_error takes weights as known
  std::vector<std::vector<double>> covariance;
  std::vector<double> means;
  std::vector<HazardStep> baseline;  ///< incidence of a line at the means: 1 − exp(−hazard)
};
BOOST_DESCRIBE_STRUCT(FineGrayFit, (),
                      (rows, events, competing, censored, log_likelihood_without, log_likelihood, coefficients,
                       covariance, means, baseline))

/// Breslow's ties. Weight of a line that another cause ended at T: G(t−) / G(T−), G Kaplan and Meier's curve of the
/// censoring with all lines in at a time at risk of it. The covariance counts what is not known of G. Cost and memory
/// as cox(): one pass where an expanded data set grows with the square. Errors: as cox(); late entry. Source:
/// sources.md#competing
[[nodiscard]] Checked<FineGrayFit> fine_gray(const FineGrayInput& input);

}  // namespace dwell::statistics
