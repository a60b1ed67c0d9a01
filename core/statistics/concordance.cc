#include "statistics/concordance.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace dwell::statistics {
namespace {

/// How many lie below a rank: sums over blocks of 64, and over 64 of those.
class Below {
 public:
  explicit Below(int ranks) : one_(size(ranks)), block_(size(ranks) / 64 + 1), large_(size(ranks) / 4096 + 1) {}
  void add(int rank, int count) {
    const auto at = static_cast<std::size_t>(rank);
    one_[at] += count;
    block_[at / 64] += count;
    large_[at / 4096] += count;
    all_ += count;
  }
  [[nodiscard]] std::int64_t below(int rank) const {
    const auto at = static_cast<std::size_t>(rank);
    std::int64_t sum = 0;
    for (std::size_t i = 0; i < at / 4096; ++i) sum += large_[i];
    for (std::size_t i = at / 4096 * 64; i < at / 64; ++i) sum += block_[i];
    for (std::size_t i = at / 64 * 64; i < at; ++i) sum += one_[i];
    return sum;
  }
  [[nodiscard]] std::int64_t equal(int rank) const { return one_[static_cast<std::size_t>(rank)]; }
  [[nodiscard]] std::int64_t all() const { return all_; }
  void clear() {
    std::fill(one_.begin(), one_.end(), 0);
    std::fill(block_.begin(), block_.end(), 0);
    std::fill(large_.begin(), large_.end(), 0);
    all_ = 0;
  }

 private:
  std::vector<int> one_, block_, large_;
  std::int64_t all_ = 0;
  static std::size_t size(int ranks) { return static_cast<std::size_t>(ranks) + 1; }
};

/// Hazards that differ by rounding alone are the same.
constexpr double hair = 1e-10;

std::vector<int> ranks(const Eigen::VectorXd& linear, int& count) {
  std::vector<int> order(static_cast<std::size_t>(linear.size())), rank(order.size());
  std::iota(order.begin(), order.end(), 0);
  std::sort(order.begin(), order.end(), [&](int a, int b) { return linear(a) < linear(b); });
  count = 0;
  for (std::size_t i = 0; i < order.size(); ++i) {
    if (i > 0 && linear(order[i]) - linear(order[i - 1]) > hair * (1 + std::abs(linear(order[i])))) ++count;
    rank[static_cast<std::size_t>(order[i])] = count;
  }
  ++count;
  return rank;
}

std::int64_t pairs(std::int64_t n) { return n * (n - 1) / 2; }

}  // namespace

Concordance concordance(const RiskSets& sets, const Eigen::VectorXd& linear) {
  int count = 0;
  const auto rank = ranks(linear, count);
  const auto rank_of = [&](const std::vector<int>& patterns, int i) {
    return rank[static_cast<std::size_t>(patterns[static_cast<std::size_t>(i)])];
  };
  Below in(count);
  std::vector<int> ended;
  Concordance out;
  for (int k = sets.slots() - 1; k >= 0; --k) {
    const auto at = static_cast<std::size_t>(k);
    if (sets.last_of_stratum(k))
      in.clear();
    else
      for (int i = sets.coming_from[at + 1]; i < sets.coming_from[at + 2]; ++i) in.add(rank_of(sets.coming, i), -1);
    const int first = sets.leaving_from[at], ends = first + sets.ends[at], last = sets.leaving_from[at + 1];
    for (int i = ends; i < last; ++i) in.add(rank_of(sets.leaving, i), 1);
    ended.clear();
    for (int i = first; i < ends; ++i) ended.push_back(rank_of(sets.leaving, i));
    std::sort(ended.begin(), ended.end());
    for (std::size_t i = 0; i < ended.size();) {
      const std::size_t from = i;
      while (i < ended.size() && ended[i] == ended[from]) ++i;
      const auto alike = static_cast<std::int64_t>(i - from);
      const std::int64_t below = in.below(ended[from]), equal = in.equal(ended[from]);
      out.concordant += alike * below;
      out.tied_hazard += alike * equal;
      out.discordant += alike * (in.all() - below - equal);
      out.tied_both += pairs(alike);
      out.tied_time -= pairs(alike);
    }
    out.tied_time += pairs(sets.ends[at]);
    for (const int one : ended) in.add(one, 1);
  }
  const auto known = static_cast<double>(out.concordant + out.discordant + out.tied_hazard);
  out.share =
      known > 0 ? (static_cast<double>(out.concordant) + static_cast<double>(out.tied_hazard) / 2) / known : 0.5;
  return out;
}

}  // namespace dwell::statistics
