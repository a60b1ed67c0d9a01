#include "statistics/newton.h"

#include <Eigen/Cholesky>
#include <cmath>

#include "say/statistics.h"

namespace dwell::statistics {

FieldErrors parting(const Patterns& patterns, const Eigen::VectorXd& step, double gain, const std::string& at) {
  constexpr double nearly = 1e-5;  // of (step / standard error)²
  constexpr double still_moving = 0.1;
  FieldErrors errors;
  if (gain >= nearly || patterns.columns() == 0) return errors;
  const Eigen::VectorXd moved = patterns.values * step;
  if (moved.maxCoeff() - moved.minCoeff() < still_moving) return errors;
  // Of the columns that move, those that move most: the others follow them.
  const Eigen::VectorXd width = (patterns.values.colwise().maxCoeff() - patterns.values.colwise().minCoeff())
                                    .transpose()
                                    .cwiseProduct(step.cwiseAbs());
  for (Eigen::Index j = 0; j < step.size(); ++j)
    if (width(j) >= 0.5 * width.maxCoeff())
      errors.push_back({at + "/columns/" + std::to_string(j), patterns.names[static_cast<std::size_t>(j)],
                        say::a_finite_coefficient()});
  return errors;
}

Checked<Maximum> climb(Maximum from, const std::function<Evaluation(const Eigen::VectorXd&)>& evaluate,
                       const std::function<FieldErrors(const Climbing&)>& without_end, const std::string& at) {
  constexpr int most_steps = 60;
  constexpr double settled = 1e-13;  // of (step / standard error)²
  Maximum out = std::move(from);
  for (int i = 0; i < most_steps; ++i) {
    Eigen::VectorXd step = out.at.information.ldlt().solve(out.at.score);
    const double gain = step.dot(out.at.score);
    const bool finite = std::isfinite(gain);
    if (auto errors = without_end({out.beta, step.allFinite() ? step : out.beta, finite ? gain : 0}); !errors.empty())
      return refuse(std::move(errors));
    if (!finite) break;
    Evaluation next = evaluate(out.beta + step);
    const double noise = 1e-12 * (1 + std::abs(out.at.log_likelihood));
    for (int half = 0; half < 30 && !(next.log_likelihood >= out.at.log_likelihood - noise); ++half) {
      step /= 2;
      next = evaluate(out.beta + step);
    }
    out.beta += step;
    out.at = std::move(next);
    if (gain < settled) return out;
  }
  return refuse(at, std::to_string(most_steps), say::a_model_that_settles());
}

}  // namespace dwell::statistics
