#pragma once
// Which lines fail sooner, all else being equal? Proportional hazards by Cox's partial likelihood, and what a fitted
// model says of a line: its survival with limits, how well the order was foreseen, whether the hazards stay in
// proportion.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "statistics/concordance.h"
#include "statistics/covariates.h"
#include "statistics/lifetimes.h"
#include "statistics/partial_likelihood.h"
#include "statistics/proportional_hazards.h"

namespace dwell::statistics {

struct CoxInput {
  Lifetimes rows;
  int cause = 1;  ///< the cause that counts; other ends are censored (hazard of this cause)
  Covariates covariates;
  std::vector<int> stratum;  ///< strata have hazards of their own; empty: one
  std::vector<int> patient;  ///< lines of one patient are not independent; empty: each is taken to be
  Ties ties = Ties::efron;
  double confidence = 0.95;
  std::optional<TimeScale> proportionality;   ///< test it against this time
  std::vector<int> term;                      ///< of each column, for that test; empty: each by itself
  std::vector<std::vector<double>> profiles;  ///< columns of lines to foretell
  std::vector<int> at;                        ///< minutes at which to foretell
};
BOOST_DESCRIBE_STRUCT(CoxInput, (),
                      (rows, cause, covariates, stratum, patient, ties, confidence, proportionality, term, profiles,
                       at))

struct Coefficient {
  std::string name;
  double coefficient = 0;
  double standard_error = 0;          ///< by patient where patients are given and differ
  std::optional<double> model_error;  ///< then also the error as if lines were independent
  double hazard_ratio = 1, low = 1, high = 1;
  double z = 0, p_value = 1;
};
BOOST_DESCRIBE_STRUCT(Coefficient, (),
                      (name, coefficient, standard_error, model_error, hazard_ratio, low, high, z, p_value))

struct HazardStep {
  int stratum = 0;
  int time = 0;
  double hazard = 0;  ///< cumulative, of a line with each column at its mean
};
BOOST_DESCRIBE_STRUCT(HazardStep, (), (stratum, time, hazard))

struct Foretold {
  int profile = 0, stratum = 0, time = 0;
  double hazard = 0, hazard_error = 0;     ///< cumulative
  double survival = 1, low = 1, high = 1;  ///< limits of log-log kind: within 0 and 1
};
BOOST_DESCRIBE_STRUCT(Foretold, (), (profile, stratum, time, hazard, hazard_error, survival, low, high))

struct CoxFit {
  int rows = 0, events = 0, patterns = 0;
  double log_likelihood_without = 0, log_likelihood = 0;
  double score_test = 0, wald_test = 0;  ///< χ² on as many degrees as there are columns; Wald by patient where given
  std::vector<Coefficient> coefficients;
  std::vector<std::vector<double>> covariance;  ///< of the coefficients, as standard_error
  std::vector<double> means;
  std::vector<HazardStep> baseline;
  Concordance concordance;
  std::vector<ProportionalityTest> proportionality;
  std::vector<Foretold> foretold;
};
BOOST_DESCRIBE_STRUCT(CoxFit, (),
                      (rows, events, patterns, log_likelihood_without, log_likelihood, score_test, wald_test,
                       coefficients, covariance, means, baseline, concordance, proportionality, foretold))

/// Errors: lifetimes.h, covariates.h and partial_likelihood.h; no line that ended by the cause; profiles of another
/// number of columns. Memory: some integers a row, the patterns twice.
[[nodiscard]] Checked<CoxFit> cox(const CoxInput& input);

/// The covariance between patients (or rows), with the model's variance where they happen to agree: nothing between
/// them is no certainty. What varies by nothing goes with nothing else, so the matrix stays that of a covariance.
[[nodiscard]] Eigen::MatrixXd without_false_certainty(Eigen::MatrixXd between, const Eigen::MatrixXd& model_covariance);

/// The parts that any model of coefficients ends with: `covariance` is that of the standardised columns.
[[nodiscard]] std::vector<Coefficient> coefficients(const Patterns& patterns, const Eigen::VectorXd& beta,
                                                    const Eigen::MatrixXd& covariance,
                                                    const Eigen::MatrixXd& model_covariance, double confidence);
[[nodiscard]] std::vector<std::vector<double>> rows_of(const Eigen::MatrixXd& matrix);

}  // namespace dwell::statistics
