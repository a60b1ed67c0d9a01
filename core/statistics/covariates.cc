#include "statistics/covariates.h"

#include <Eigen/Cholesky>
#include <bit>
#include <boost/core/bit.hpp>
#include <cmath>
#include <cstdint>

#include "quantity/display.h"
#include "say/quantity.h"
#include "say/statistics.h"
#include "statistics/lifetimes.h"

namespace dwell::statistics {
namespace {

std::string column_at(const std::string& at, std::size_t column) { return at + "/columns/" + std::to_string(column); }

FieldErrors check(const Covariates& covariates, std::size_t rows, const std::string& at) {
  FieldErrors errors;
  const auto& columns = covariates.columns;
  if (columns.empty() || columns.size() > most_columns)
    errors.push_back({at + "/columns", std::to_string(columns.size()),
                      say::number_from_to(shown_number(1), shown_number(static_cast<double>(most_columns)))});
  if (covariates.names.size() != columns.size())
    errors.push_back({at + "/names", std::to_string(covariates.names.size()),
                      say::as_many_as_the_columns(static_cast<std::int64_t>(columns.size()))});
  for (std::size_t j = 0; j < columns.size() && errors.size() < most_errors; ++j) {
    if (columns[j].size() != rows) {
      errors.push_back({column_at(at, j), std::to_string(columns[j].size()),
                        say::as_many_as_the_lines(static_cast<std::int64_t>(rows))});
      continue;
    }
    for (std::size_t i = 0; i < rows && errors.size() < most_errors; ++i)
      if (!(std::abs(columns[j][i]) <= 1e100))
        errors.push_back({column_at(at, j) + "/" + std::to_string(i), show_number(columns[j][i]), say::a_number()});
  }
  return errors;
}

/// Finds the number of each distinct row: an open table of hashes, each found row compared in full.
std::vector<int> number_rows(const Covariates& covariates, std::size_t rows, std::vector<std::size_t>& first_of) {
  std::vector<std::uint64_t> hash(rows, 0);
  for (const auto& column : covariates.columns)
    for (std::size_t i = 0; i < rows; ++i) {
      // −0 is 0.
      const auto bits = boost::core::bit_cast<std::uint64_t>(column[i] + 0.0);
      hash[i] = (std::rotl(hash[i], 27) ^ bits) * 0x9E3779B97F4A7C15ULL;
    }
  const auto same = [&](std::size_t a, std::size_t b) {
    for (const auto& column : covariates.columns)
      if (column[a] != column[b]) return false;
    return true;
  };
  std::vector<int> of(rows), table(std::bit_ceil(2 * rows + 2), -1);
  const std::size_t mask = table.size() - 1;
  for (std::size_t i = 0; i < rows; ++i) {
    std::size_t slot = (hash[i] ^ (hash[i] >> 32)) & mask;
    while (table[slot] >= 0) {
      const std::size_t first = first_of[static_cast<std::size_t>(table[slot])];
      if (hash[first] == hash[i] && same(first, i)) break;
      slot = (slot + 1) & mask;
    }
    if (table[slot] < 0) {
      table[slot] = static_cast<int>(first_of.size());
      first_of.push_back(i);
    }
    of[i] = table[slot];
  }
  return of;
}

/// Centre and scale over all rows, and with them the patterns.
void standardise(Patterns& patterns) {
  const Eigen::Index columns = patterns.columns();
  Eigen::VectorXd count = Eigen::VectorXd::Zero(patterns.values.rows());
  for (const int pattern : patterns.of) count(pattern) += 1;
  const double rows = static_cast<double>(patterns.of.size());
  patterns.centre = patterns.values.transpose() * count / rows;
  patterns.values.rowwise() -= patterns.centre.transpose();
  patterns.scale = (patterns.values.cwiseAbs2().transpose() * count / rows).cwiseSqrt();
  for (Eigen::Index j = 0; j < columns; ++j) {
    // What is left of a constant is rounding.
    const bool constant = patterns.scale(j) <= 1e-12 * std::abs(patterns.centre(j)) || patterns.scale(j) == 0;
    if (constant) patterns.values.col(j).setZero();
    if (constant) patterns.scale(j) = 1;
    patterns.values.col(j) /= patterns.scale(j);
  }
}

}  // namespace

Checked<Patterns> packed(const Covariates& covariates, std::size_t rows, const std::string& at) {
  if (auto errors = check(covariates, rows, at); !errors.empty()) return refuse(std::move(errors));
  Patterns patterns;
  patterns.names = covariates.names;
  std::vector<std::size_t> first_of;
  patterns.of = number_rows(covariates, rows, first_of);
  patterns.values.resize(static_cast<Eigen::Index>(first_of.size()),
                         static_cast<Eigen::Index>(covariates.columns.size()));
  for (Eigen::Index p = 0; p < patterns.values.rows(); ++p)
    for (Eigen::Index j = 0; j < patterns.values.cols(); ++j)
      patterns.values(p, j) = covariates.columns[static_cast<std::size_t>(j)][first_of[static_cast<std::size_t>(p)]];
  standardise(patterns);
  return patterns;
}

Checked<Patterns> packed_if_any(const Covariates& covariates, std::size_t rows, const std::string& at) {
  if (!covariates.columns.empty() || !covariates.names.empty()) return packed(covariates, rows, at);
  Patterns none;
  none.values.resize(1, 0);
  none.of.assign(rows, 0);
  return none;
}

void check_profiles(const std::vector<std::vector<double>>& profiles, const Covariates& covariates,
                    FieldErrors& errors) {
  const auto columns = static_cast<std::int64_t>(covariates.columns.size());
  for (std::size_t i = 0; i < profiles.size() && errors.size() < most_errors; ++i) {
    const auto at = "/profiles/" + std::to_string(i);
    if (profiles[i].size() != covariates.columns.size())
      errors.push_back({at, std::to_string(profiles[i].size()), say::as_many_as_the_columns(columns)});
    for (std::size_t j = 0; j < profiles[i].size(); ++j)
      if (!(std::abs(profiles[i][j]) <= 1e100))
        errors.push_back({at + "/" + std::to_string(j), show_number(profiles[i][j]), say::a_number()});
  }
}

FieldErrors check_independent(const Eigen::MatrixXd& information, const Eigen::VectorXd& scale,
                              const std::vector<std::string>& names, const std::string& at) {
  // Columns are taken one after another; what a column keeps beside those before it is its pivot.
  constexpr double nothing = 1e-9;
  FieldErrors errors;
  std::vector<Eigen::Index> kept;
  for (Eigen::Index j = 0; j < information.rows(); ++j) {
    const auto& found = names[static_cast<std::size_t>(j)];
    const auto path = column_at(at, static_cast<std::size_t>(j));
    if (!(information(j, j) > nothing * scale(j))) {
      errors.push_back({path, found, say::values_that_differ()});
      continue;
    }
    const Eigen::MatrixXd before = information(kept, kept);
    const Eigen::VectorXd with = information(kept, j);
    const Eigen::VectorXd share = kept.empty() ? with : Eigen::VectorXd(before.ldlt().solve(with));
    if (information(j, j) - with.dot(share) > nothing * scale(j)) {
      kept.push_back(j);
      continue;
    }
    std::string others;
    for (std::size_t i = 0; i < kept.size(); ++i)
      if (std::abs(share(static_cast<Eigen::Index>(i))) > 1e-6)
        others += (others.empty() ? "" : ", ") + names[static_cast<std::size_t>(kept[i])];
    errors.push_back({path, found, say::column_of_its_own(others)});
  }
  return errors;
}

}  // namespace dwell::statistics
