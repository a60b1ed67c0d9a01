#pragma once
// u' V⁻ u of a score and its covariance, as several tests end.
#include <Eigen/Cholesky>
#include <boost/math/distributions/chi_squared.hpp>

namespace dwell::statistics {

struct ChiSquare {
  double value = 0;
  int degrees_of_freedom = 0;
  double p_value = 1;
};

/// By one pivoted LDLᵀ. A part that is never compared with others adds nothing: the rank says how many do, and a pivot
/// below the noise of the sums (1e-13 of `scale`, which no variance exceeds) is none.
[[nodiscard]] inline ChiSquare chi_square(const Eigen::VectorXd& u, const Eigen::MatrixXd& v, double scale) {
  constexpr double noise = 1e-13;
  const Eigen::LDLT<Eigen::MatrixXd> decomposed(v);
  Eigen::VectorXd y = decomposed.transpositionsP() * u;
  decomposed.matrixL().solveInPlace(y);
  ChiSquare out;
  for (Eigen::Index i = 0; i < y.size(); ++i) {
    const double pivot = decomposed.vectorD()(i);
    if (!(pivot > noise * scale)) continue;
    out.value += y(i) * y(i) / pivot;
    ++out.degrees_of_freedom;
  }
  if (out.degrees_of_freedom > 0)
    out.p_value =
        boost::math::cdf(boost::math::complement(boost::math::chi_squared(out.degrees_of_freedom), out.value));
  return out;
}

}  // namespace dwell::statistics
