#pragma once
// Cases made by chance for relations between two answers: each relation is tried on `cases` of them, from a newborn of
// 0.3 kg to a grown-up of 250 kg. A failure names its case, and DWELL_SEED=n begins with another one.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <random>
#include <string>
#include <vector>

#include "quantity/figure.h"
#include "quantity/quantity.h"

namespace dwell::monotone {

inline constexpr int cases = 1000;

class Chance {
 public:
  explicit Chance(std::uint64_t seed) : engine_(seed) {}

  double between(double low, double high) { return low + (high - low) * share(); }
  /// As often between 1 and 10 as between 10 and 100.
  double by_magnitude(double low, double high) { return low * std::pow(high / low, share()); }
  int whole(int low, int high) {
    return low + static_cast<int>(share() * (static_cast<double>(high) - static_cast<double>(low) + 1));
  }
  bool coin() { return share() < 0.5; }
  /// The relation says nothing of this case; another one is tried in its place.
  void does_not_apply() { applies_ = false; }
  [[nodiscard]] bool applied() const { return applies_; }
  auto body_weight() { return by_magnitude(0.3, 250) * kilogram; }
  template <class T>
  T one_of(const std::vector<T>& some) {
    return some[static_cast<std::size_t>(whole(0, static_cast<int>(some.size()) - 1))];
  }
  template <class T>
  std::vector<T> some_of(const std::vector<T>& all) {
    std::vector<T> out;
    for (const T& one : all)
      if (coin()) out.push_back(one);
    return out;
  }
  template <class T>
  std::vector<T> shuffled(std::vector<T> all) {
    for (std::size_t i = all.size(); i > 1; --i)
      std::swap(all[i - 1], all[static_cast<std::size_t>(whole(0, static_cast<int>(i) - 1))]);
    return all;
  }

 private:
  // The engine's bits are the same with every library; its distributions are not.
  double share() { return static_cast<double>(engine_() >> 11) / 9007199254740992.0; }
  std::mt19937_64 engine_;
  bool applies_ = true;
};

/// Tries the relation until it applied to 1,000 cases. Ends at the first case that fails.
template <class Relation>
void each_case(Relation relation) {
  const char* asked = std::getenv("DWELL_SEED");
  const std::uint64_t first = asked ? std::strtoull(asked, nullptr, 10) : 1;
  int applied = 0;
  for (std::uint64_t i = 0; applied < cases && i < static_cast<std::uint64_t>(40 * cases); ++i) {
    SCOPED_TRACE("DWELL_SEED=" + std::to_string(first + i));
    Chance chance(first + i);
    relation(chance);
    if (testing::Test::HasFailure()) return;
    applied += chance.applied() ? 1 : 0;
  }
  EXPECT_GE(applied, cases) << "too few cases to which it applies";
}

/// The gravest finding: −1 none, 0 information, 1 caution, 2 stop.
inline int gravest(const std::vector<Finding>& findings) {
  int worst = -1;
  for (const auto& f : findings) worst = std::max(worst, static_cast<int>(f.severity));
  return worst;
}

inline int gravity_of(const std::vector<Finding>& findings, std::string_view code) {
  int worst = -1;
  for (const auto& f : findings)
    if (f.code == code) worst = std::max(worst, static_cast<int>(f.severity));
  return worst;
}

}  // namespace dwell::monotone
