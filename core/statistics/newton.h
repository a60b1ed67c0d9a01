#pragma once
// Where a likelihood is largest, and what keeps it from having a largest value.
#include <Eigen/Core>
#include <functional>
#include <string>

#include "statistics/covariates.h"

namespace dwell::statistics {

struct Evaluation {
  double log_likelihood = 0;
  Eigen::VectorXd score;
  Eigen::MatrixXd information;
  Eigen::VectorXd scale;  ///< what each entry of the information's diagonal is a difference of
};

struct Maximum {
  Eigen::VectorXd beta;  ///< of the standardised columns
  Evaluation at, at_zero;
};

/// Where the sums stand: the coefficients, the step from them, and what it promises to gain.
struct Climbing {
  const Eigen::VectorXd& beta;
  const Eigen::VectorXd& step;
  double gain = 0;
};

/// Newton-Raphson from `from.beta` (evaluated in `from.at`), a step halved when the likelihood falls, at most 60 steps.
/// `without_end` is asked at each step whether a coefficient grows without end, and names it. Errors: those; sums that
/// do not settle, at `at`.
[[nodiscard]] Checked<Maximum> climb(Maximum from, const std::function<Evaluation(const Eigen::VectorXd&)>& evaluate,
                                     const std::function<FieldErrors(const Climbing&)>& without_end,
                                     const std::string& at);

/// No finite maximum: the likelihood hardly rises any more (`gain`), and the step still moves what is foretold of some
/// lines beside others. A step of a model at rest moves them by as little as it gains. Names the columns that move
/// most.
[[nodiscard]] FieldErrors parting(const Patterns& patterns, const Eigen::VectorXd& step, double gain,
                                  const std::string& at);

}  // namespace dwell::statistics
