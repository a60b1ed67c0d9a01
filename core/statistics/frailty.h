#pragma once
// Which lines fail sooner, when some patients' lines fail sooner than others for reasons that nobody wrote down: each
// patient's lines share a hazard ratio u, drawn from a gamma distribution of mean 1 and variance θ (shared gamma
// frailty in Cox's model). Source: sources.md#frailty
#include <boost/describe.hpp>
#include <optional>
#include <vector>

#include "statistics/cox.h"

namespace dwell::statistics {

struct FrailtyInput {
  Lifetimes rows;
  int cause = 1;
  Covariates covariates;
  std::vector<int> stratum;  ///< empty: one
  std::vector<int> patient;  ///< whose line a row is
  Ties ties = Ties::efron;
  double confidence = 0.95;
  std::optional<double> spread;  ///< θ, above 0, where it is known; absent: the likeliest
};
BOOST_DESCRIBE_STRUCT(FrailtyInput, (), (rows, cause, covariates, stratum, patient, ties, confidence, spread))

struct PatientsShare {
  int patient = 0;
  int events = 0;
  double expected = 0;      ///< of lines with these columns and this time, were the patient like the average
  double hazard_ratio = 1;  ///< u = (1/θ + events) / (1/θ + expected): drawn towards 1
};
BOOST_DESCRIBE_STRUCT(PatientsShare, (), (patient, events, expected, hazard_ratio))

struct FrailtyFit {
  int rows = 0, events = 0, patients = 0;
  double spread = 0;                  ///< θ; 0: patients differ by no more than chance
  double log_likelihood_without = 0;  ///< Cox's, patients all alike (θ = 0)
  double log_likelihood = 0;          ///< with u integrated over; on the same footing
  /// Do patients differ? Twice the difference; θ cannot be below 0, so half of χ² on one degree. Absent: θ was given.
  std::optional<double> likelihood_ratio, p_value;
  std::vector<Coefficient> coefficients;  ///< errors as if θ were known
  std::vector<std::vector<double>> covariance;
  std::vector<PatientsShare> shares;  ///< by rising number of the patient
};
BOOST_DESCRIBE_STRUCT(FrailtyFit, (),
                      (rows, events, patients, spread, log_likelihood_without, log_likelihood, likelihood_ratio,
                       p_value, coefficients, covariance, shares))

inline constexpr std::size_t most_frailty_rows = 20'000;
inline constexpr double most_spread = 20;

/// With ν = 1/θ, d the ends of a patient, u = e^ω, at the β and ω that make it largest:
///   log L(θ) = partial(β, ω) + Σ [ν (1 + ω − u) + d − ν ln(1 + d/ν) + Σ_{j < d} ln((ν + j) / (ν + d))]
/// and θ where this is largest, from 0 to 20. Errors: as cox(); no patients, or one; more than 20,000 rows; θ given
/// outside 0.0001 to 20; patients so far apart that θ has no likeliest value up to 20. Cost: some 30 values of θ,
/// together at most 10,000 passes over the rows.
[[nodiscard]] Checked<FrailtyFit> frailty(const FrailtyInput& input);

}  // namespace dwell::statistics
