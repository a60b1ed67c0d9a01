#include "statistics/frailty.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/tools/minima.hpp>
#include <cmath>

#include "quantity/display.h"
#include "say/quantity.h"
#include "say/statistics.h"
#include "statistics/survival.h"

namespace dwell::statistics {
namespace {

constexpr double least_spread = 1e-4;

/// Rows as patterns that are of one patient each.
struct Lines {
  Patterns patterns;
  std::vector<int> patient_of;  ///< of each pattern
  Eigen::VectorXd ends;         ///< of each patient
  Numbered patient;
};

/// Hazard of the slots before each, and what those who end in it are spared (Efron).
struct Passed {
  std::vector<double> hazard, spared;
};

Passed hazards_passed(const RiskSets& sets, const Hazards& hazards, Ties ties) {
  Passed out{std::vector<double>(sets.time.size() + 1, 0), std::vector<double>(sets.time.size(), 0)};
  const Patterns::Values ratios = hazards.weighted.leftCols(1);
  each_risk_set(sets, ratios, [&](const AtSlot& at) {
    const auto k = static_cast<std::size_t>(at.slot);
    const TieSums sums = tie_sums(at.risk(0), at.ended(0), sets.ends[k], ties);
    out.hazard[k + 1] = sums.hazard;
    out.spared[k] = sums.hazard - sums.hazard_of_ended;
  });
  for (std::size_t k = 0; k < out.spared.size(); ++k) out.hazard[k + 1] += out.hazard[k];
  return out;
}

Checked<Lines> lines_of(const FrailtyInput& input) {
  Lines out;
  out.patient = numbered(input.patient);
  auto alone = packed(input.covariates, input.rows.stop.size(), "/covariates");
  if (!alone) return refuse(std::move(alone.error()));
  // Patterns of the pairs of a pattern and a patient.
  std::vector<int> pair_of(alone->of.size());
  const auto order = by_rising(out.patient.of, by_rising(alone->of));
  std::vector<int> first;
  for (std::size_t i = 0; i < order.size(); ++i) {
    const auto row = static_cast<std::size_t>(order[i]), before = static_cast<std::size_t>(order[i > 0 ? i - 1 : 0]);
    if (i == 0 || out.patient[row] != out.patient[before] || alone->of[row] != alone->of[before])
      first.push_back(order[i]);
    pair_of[row] = static_cast<int>(first.size()) - 1;
  }
  out.patterns = *alone;
  out.patterns.of = std::move(pair_of);
  out.patterns.values.resize(static_cast<Eigen::Index>(first.size()), alone->columns());
  out.patterns.offset = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(first.size()));
  for (std::size_t p = 0; p < first.size(); ++p) {
    const auto row = static_cast<std::size_t>(first[p]);
    out.patterns.values.row(static_cast<Eigen::Index>(p)) = alone->values.row(alone->of[row]);
    out.patient_of.push_back(out.patient[row]);
  }
  out.ends = Eigen::VectorXd::Zero(out.patient.count());
  for (std::size_t i = 0; i < input.rows.cause.size(); ++i)
    if (input.rows.cause[i] == input.cause) out.ends(out.patient[i]) += 1;
  return out;
}

/// The β and u that make the likelihood largest for a θ; goes on from where it stood.
class Shares {
 public:
  Shares(const FrailtyInput& input, Lines& lines)
      : input_(input),
        lines_(lines),
        sets_(input.rows, input.cause, numbered(input.stratum), lines.patterns.of),
        u_(Eigen::VectorXd::Ones(lines.ends.size())),
        expected_(u_) {}

  [[nodiscard]] Checked<Maximum> plain() const { return maximise(sets_, lines_.patterns, input_.ties, "/covariates"); }
  [[nodiscard]] Evaluation at(const Eigen::VectorXd& beta) const {
    return evaluate(sets_, lines_.patterns, beta, input_.ties, {});
  }
  [[nodiscard]] const Eigen::VectorXd& u() const { return u_; }
  [[nodiscard]] const Eigen::VectorXd& expected() const { return expected_; }

  /// All patients alike.
  void forget(const Eigen::VectorXd& beta) {
    u_.setOnes();
    take_up();
    expect(beta);
  }

  /// u at rest for this β: u = (ν + ends) / (ν + expected), of mean 1. Together with β when `beta_too`. Whether it
  /// came to rest.
  bool settle(Eigen::VectorXd& beta, double spread, bool beta_too) {
    constexpr double still = 1e-11;
    const double nu = 1 / spread;
    while (passes_left_-- > 0) {
      expect(beta);
      Eigen::VectorXd next = (lines_.ends.array() + nu) / (expected_.array() + nu);
      next /= next.mean();
      const double moved = (next.array() / u_.array()).log().abs().maxCoeff();
      u_ = next;
      take_up();
      double step_size = 0;
      if (beta_too) {
        const Evaluation now = at(beta);
        const Eigen::VectorXd step = now.information.ldlt().solve(now.score);
        if (!step.allFinite()) return false;
        beta += step;
        step_size = step.cwiseAbs().maxCoeff();
      }
      if (std::max(moved, step_size) < still) return true;
    }
    return false;
  }

  [[nodiscard]] double log_likelihood(const Eigen::VectorXd& beta, double spread) const {
    // The patients' hazard ratios are on one footing with 1: what evaluate() leaves of them is their own size.
    double out = at(beta).log_likelihood;
    const double nu = 1 / spread;
    for (Eigen::Index i = 0; i < u_.size(); ++i) {
      const double d = lines_.ends(i), omega = std::log(u_(i));
      out += nu * (omega - std::expm1(omega)) + d - nu * std::log1p(d / nu);
      for (int j = 0; j < static_cast<int>(d); ++j) out += std::log1p(-(d - j) / (nu + d));
    }
    return out;
  }

 private:
  const FrailtyInput& input_;
  Lines& lines_;
  RiskSets sets_;
  Eigen::VectorXd u_, expected_;
  int passes_left_ = 10'000;

  void take_up() {
    for (std::size_t p = 0; p < lines_.patient_of.size(); ++p)
      lines_.patterns.offset(static_cast<Eigen::Index>(p)) = std::log(u_(lines_.patient_of[p]));
  }
  /// Ends of each patient's rows to be expected at this β, were its own u 1.
  void expect(const Eigen::VectorXd& beta) {
    const Hazards hazards(lines_.patterns, beta);
    const auto passed = hazards_passed(sets_, hazards, input_.ties);
    expected_.setZero();
    for (std::size_t i = 0; i < input_.rows.stop.size(); ++i) {
      const auto from = static_cast<std::size_t>(sets_.from[i]), to = static_cast<std::size_t>(sets_.to[i]);
      if (from >= to) continue;
      double hazard = passed.hazard[to] - passed.hazard[from];
      if (input_.rows.cause[i] == input_.cause) hazard -= passed.spared[to - 1];
      expected_(lines_.patient[i]) += hazards.weighted(lines_.patterns.of[i], 0) * hazard;
    }
    expected_.array() /= u_.array();
  }
};

/// −∂²/∂β² of the likelihood with u at rest, by differences of the score: at the top β and u go together.
Eigen::MatrixXd information(Shares& shares, const Eigen::VectorXd& beta, double spread, bool& settled) {
  constexpr double little = 1e-4;
  Eigen::MatrixXd out(beta.size(), beta.size());
  for (Eigen::Index j = 0; j < beta.size(); ++j) {
    Eigen::VectorXd up = beta, down = beta;
    up(j) += little;
    down(j) -= little;
    settled = shares.settle(up, spread, false) && settled;
    const Eigen::VectorXd above = shares.at(up).score;
    settled = shares.settle(down, spread, false) && settled;
    out.col(j) = (shares.at(down).score - above) / (2 * little);
  }
  return (out + out.transpose()) / 2;
}

FieldErrors check(const FrailtyInput& input) {
  FieldErrors errors = check(input.rows, most_causes, "/rows");
  check_beside(input.stratum, input.rows, "/stratum", errors);
  check_confidence(input.confidence, "/confidence", errors);
  check_cause(input.rows, input.cause, errors);
  const std::size_t rows = input.rows.stop.size();
  if (rows > most_frailty_rows)
    errors.push_back({"/rows/stop", std::to_string(rows), say::at_most_lines(most_frailty_rows)});
  if (input.patient.size() != rows)
    errors.push_back(
        {"/patient", std::to_string(input.patient.size()), say::as_many_as_the_lines(static_cast<std::int64_t>(rows))});
  else if (numbered(input.patient).count() < 2)
    errors.push_back({"/patient", "1", say::at_least_two_groups()});
  if (input.spread && !(*input.spread >= least_spread && *input.spread <= most_spread))
    errors.push_back({"/spread", show_number(*input.spread),
                      say::number_from_to(shown_number(least_spread), shown_number(most_spread))});
  return errors;
}

/// θ where the likelihood is largest, on the scale of its logarithm; 0 where it only falls from there.
Checked<double> likeliest_spread(Shares& shares, Eigen::VectorXd beta, double without) {
  bool settled = true;
  const auto fall = [&](double log_spread) {
    settled = shares.settle(beta, std::exp(log_spread), true) && settled;
    return -shares.log_likelihood(beta, std::exp(log_spread));
  };
  // A coarse walk finds the stretch: the likelihood may be flat near 0.
  constexpr int walk = 12, past = 5;  // so far beyond the best, it has fallen for good
  const double low = std::log(least_spread), high = std::log(most_spread), step = (high - low) / walk;
  int best = 0;
  double lowest = fall(low);
  for (int i = 1; i <= walk && i - best <= past; ++i)
    if (const double here = fall(low + i * step); here < lowest) {
      lowest = here;
      best = i;
    }
  if (best == walk) return refuse("/patient", show_number(most_spread), say::patients_less_far_apart());
  if (best == 0 && -lowest <= without) return 0;
  constexpr int digits = 40;  // of the mantissa: the search itself stops at half of a double's
  std::uintmax_t most = 60;
  const auto found = boost::math::tools::brent_find_minima(fall, low + std::max(0, best - 1) * step,
                                                           low + (best + 1) * step, digits, most);
  if (!settled) return refuse("/patient", std::to_string(most), say::a_model_that_settles());
  return -found.second <= without ? 0 : std::exp(found.first);
}

}  // namespace

Checked<FrailtyFit> frailty(const FrailtyInput& input) {
  if (auto errors = check(input); !errors.empty()) return refuse(std::move(errors));
  auto lines = lines_of(input);
  if (!lines) return refuse(std::move(lines.error()));
  Shares shares(input, *lines);
  const auto plain = shares.plain();
  if (!plain) return refuse(plain.error());

  FrailtyFit out;
  out.rows = static_cast<int>(input.rows.stop.size());
  out.events = static_cast<int>(lines->ends.sum());
  out.patients = static_cast<int>(lines->ends.size());
  out.log_likelihood_without = out.log_likelihood = plain->at.log_likelihood;
  Eigen::VectorXd beta = plain->beta;
  Eigen::MatrixXd inverse_of = plain->at.information;
  const auto spread =
      input.spread ? Checked<double>(*input.spread) : likeliest_spread(shares, beta, out.log_likelihood_without);
  if (!spread) return refuse(spread.error());
  out.spread = *spread;
  if (out.spread > 0) {
    bool settled = shares.settle(beta, out.spread, true);
    out.log_likelihood = shares.log_likelihood(beta, out.spread);
    inverse_of = information(shares, beta, out.spread, settled);
    settled = shares.settle(beta, out.spread, false) && settled;
    if (!settled) return refuse("/patient", show_number(out.spread), say::a_model_that_settles());
  }
  if (out.spread <= 0) shares.forget(beta);
  for (Eigen::Index i = 0; i < lines->ends.size(); ++i)
    out.shares.push_back({lines->patient.values[static_cast<std::size_t>(i)], static_cast<int>(lines->ends(i)),
                          shares.expected()(i), shares.u()(i)});
  if (!input.spread) {
    out.likelihood_ratio = std::max(0.0, 2 * (out.log_likelihood - out.log_likelihood_without));
    out.p_value =
        *out.likelihood_ratio > 0 ? cdf(complement(boost::math::chi_squared(1), *out.likelihood_ratio)) / 2 : 1;
  }
  const Eigen::MatrixXd covariance = inverse_of.ldlt().solve(Eigen::MatrixXd::Identity(beta.size(), beta.size()));
  out.coefficients = coefficients(lines->patterns, beta, covariance, covariance, input.confidence);
  out.covariance = rows_of(covariance.cwiseQuotient(lines->patterns.scale * lines->patterns.scale.transpose()));
  return out;
}

}  // namespace dwell::statistics
