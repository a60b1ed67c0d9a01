#pragma once
// What is known of each line, packed: many lines have the very same columns, and each distinct row is kept once.
#include <Eigen/Core>
#include <boost/describe.hpp>
#include <string>
#include <vector>

#include "quantity/checked.h"

namespace dwell::statistics {

/// Columns of a model as they come: a value for each row of Lifetimes. A choice of several has a column for each but
/// one.
struct Covariates {
  std::vector<std::string> names;
  std::vector<std::vector<double>> columns;
};
BOOST_DESCRIBE_STRUCT(Covariates, (), (names, columns))

inline constexpr std::size_t most_columns = 200;

struct Patterns {
  using Values = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
  std::vector<std::string> names;
  Values values;           ///< a row a pattern, standardised: (x − centre) / scale
  std::vector<int> of;     ///< the pattern of each row
  Eigen::VectorXd centre;  ///< mean of each column over the rows
  Eigen::VectorXd scale;   ///< its standard deviation; 1 where that is 0
  Eigen::VectorXd offset;  ///< of each pattern, known beforehand and added to its x β; empty: none

  [[nodiscard]] Eigen::Index columns() const { return values.cols(); }
};

/// Errors: names and columns of unequal number, none or too many of them; a column of another length than `rows`; a
/// value that is no number, by column and row. Cost: rows × columns.
[[nodiscard]] Checked<Patterns> packed(const Covariates& covariates, std::size_t rows, const std::string& at);

/// The same, or one pattern without columns where neither names nor columns are given.
[[nodiscard]] Checked<Patterns> packed_if_any(const Covariates& covariates, std::size_t rows, const std::string& at);

/// Columns of lines to foretell, at /profiles: as many as the model has, and numbers.
void check_profiles(const std::vector<std::vector<double>>& profiles, const Covariates& covariates,
                    FieldErrors& errors);

/// Looks whether each column tells something that those before it do not: `information` is that of the standardised
/// columns, `scale` what each entry of its diagonal was a difference of. Names each column that is constant, or follows
/// from others, and from which.
[[nodiscard]] FieldErrors check_independent(const Eigen::MatrixXd& information, const Eigen::VectorXd& scale,
                                            const std::vector<std::string>& names, const std::string& at);

}  // namespace dwell::statistics
