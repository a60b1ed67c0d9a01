#pragma once
// Whose share is really different? Each person's share of failed attempts, drawn towards everybody's by as much as
// chance alone would explain, so that three attempts rank nobody. There is no rank in what is said, nor an order.
//
//   events_i ~ Binomial(of_i, p_i),  p_i ~ Beta(μ s, (1 − μ) s),  ρ = 1 / (s + 1)
//
// μ, the share of all, and ρ, how much people differ (0: not at all), are uniform on (0, 1) before anything is known: a
// proper prior. Both are integrated over (a trapezium rule on their logits), so what is not known of them widens each
// interval; the largest likelihood of them (empirical Bayes) stands beside. Source: sources.md#practice
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

#include "quantity/checked.h"

namespace dwell::statistics {

struct NamedCount {
  std::string name;
  int events = 0;
  int of = 0;  ///< 0 or more
};
BOOST_DESCRIBE_STRUCT(NamedCount, (), (name, events, of))
constexpr auto names_in(const NamedCount*) { return std::tuple(&NamedCount::name); }

/// Fewer attempts tell nobody apart, whatever they were (common practice, no source).
inline constexpr int fewest_to_tell = 10;

struct ShrunkenInput {
  std::vector<NamedCount> people;
  double confidence = 0.95;
};
BOOST_DESCRIBE_STRUCT(ShrunkenInput, (), (people, confidence))

enum class Standing { too_few_to_tell, not_told_apart, lower, higher };
BOOST_DESCRIBE_ENUM(Standing, too_few_to_tell, not_told_apart, lower, higher)

struct ShrunkenShare {
  std::string name;
  int events = 0, of = 0;
  double share = 0, low = 0, high = 1;            ///< mean and equal-tailed interval of p, all known
  double chance_higher = 0.5;                     ///< that p lies above μ
  Standing standing = Standing::too_few_to_tell;  ///< against the share of all, at the confidence asked for
};
BOOST_DESCRIBE_STRUCT(ShrunkenShare, (), (name, events, of, share, low, high, chance_higher, standing))

/// Where the likelihood of all is largest.
struct LikeliestSpread {
  double a = 0, b = 0;  ///< p ~ Beta(a, b)
  double log_likelihood = 0;
};
BOOST_DESCRIBE_STRUCT(LikeliestSpread, (), (a, b, log_likelihood))

struct ShrunkenShares {
  double share = 0;                          ///< μ of all, its mean
  double difference = 0;                     ///< ρ, its mean
  std::optional<LikeliestSpread> likeliest;  ///< absent: no more difference than chance makes
  std::vector<ShrunkenShare> people;         ///< in the order given
};
BOOST_DESCRIBE_STRUCT(ShrunkenShares, (), (share, difference, likeliest, people))

/// Errors: fewer than two people or more than 200; events below 0 or above `of`; nobody with an attempt; confidence
/// outside 0.5 to 0.999.
[[nodiscard]] Checked<ShrunkenShares> shrunken_shares(const ShrunkenInput& input);

}  // namespace dwell::statistics
