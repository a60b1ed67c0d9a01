#include "statistics/shrunken_shares.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <boost/math/distributions/beta.hpp>
#include <boost/math/special_functions/digamma.hpp>
#include <boost/math/special_functions/gamma.hpp>
#include <boost/math/special_functions/trigamma.hpp>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <cstdint>
#include <map>

#include "quantity/display.h"
#include "say/quantity.h"
#include "say/statistics.h"
#include "statistics/lifetimes.h"

namespace dwell::statistics {
namespace {

constexpr int most_attempts = 1'000'000;

FieldErrors check(const ShrunkenInput& input) {
  FieldErrors errors;
  constexpr std::size_t most_people = 200;
  if (input.people.size() < 2 || input.people.size() > most_people)
    errors.push_back({"/people", std::to_string(input.people.size()),
                      say::number_from_to(shown_number(2), shown_number(static_cast<double>(most_people)))});
  std::int64_t all = 0;
  for (std::size_t i = 0; i < input.people.size() && errors.size() < most_errors; ++i) {
    const auto& one = input.people[i];
    const auto at = "/people/" + std::to_string(i);
    if (one.of < 0 || one.of > most_attempts)
      errors.push_back(
          {at + "/of", std::to_string(one.of), say::number_from_to(shown_number(0), shown_number(most_attempts))});
    else if (one.events < 0 || one.events > one.of)
      errors.push_back(
          {at + "/events", std::to_string(one.events), say::number_from_to(shown_number(0), shown_number(one.of))});
    all += one.of;
  }
  if (errors.empty() && all == 0) errors.push_back({"/people", "0", say::at_least_one_attempt()});
  if (!(input.confidence >= 0.5 && input.confidence <= 0.999))
    errors.push_back(
        {"/confidence", show_number(input.confidence), say::number_from_to(shown_number(0.5), shown_number(0.999))});
  return errors;
}

/// Equal counts once.
struct Counts {
  double events = 0, of = 0, times = 0;
};
std::vector<Counts> tallied(const std::vector<NamedCount>& people) {
  std::map<std::pair<int, int>, int> times;
  for (const auto& one : people)
    if (one.of > 0) ++times[{one.events, one.of}];
  std::vector<Counts> out;
  out.reserve(times.size());
  for (const auto& [counts, n] : times) out.push_back({1.0 * counts.first, 1.0 * counts.second, 1.0 * n});
  return out;
}

/// ln Γ(a + r) − ln Γ(a), also where both are vast.
double log_rising(double a, double r) {
  if (r == 0) return 0;
  if (a > 1e4) return (a - 0.5) * std::log1p(r / a) + r * std::log(a + r) - r + (1 / (a + r) - 1 / a) / 12;
  return boost::math::lgamma(a + r) - boost::math::lgamma(a);
}

double log_likelihood(const std::vector<Counts>& counts, double a, double b) {
  double sum = 0;
  for (const auto& [events, of, times] : counts)
    sum += times * (log_rising(a, events) + log_rising(b, of - events) - log_rising(a + b, of));
  return sum;
}

/// Σ ln of the binomial coefficients, which no a or b changes.
double log_ways(const std::vector<Counts>& counts) {
  double sum = 0;
  for (const auto& [events, of, times] : counts)
    sum +=
        times * (boost::math::lgamma(of + 1) - boost::math::lgamma(events + 1) - boost::math::lgamma(of - events + 1));
  return sum;
}

struct Slope {
  Eigen::Vector2d gradient = Eigen::Vector2d::Zero();
  Eigen::Matrix2d curvature = Eigen::Matrix2d::Zero();
};
/// By ln a and ln b.
Slope slope(const std::vector<Counts>& counts, double a, double b) {
  using boost::math::digamma, boost::math::trigamma;
  Slope out;
  for (const auto& [events, of, times] : counts) {
    const double both = digamma(a + b) - digamma(a + b + of), both2 = trigamma(a + b) - trigamma(a + b + of);
    const double da = digamma(a + events) - digamma(a) + both;
    const double db = digamma(b + of - events) - digamma(b) + both;
    out.gradient += times * Eigen::Vector2d(a * da, b * db);
    out.curvature(0, 0) += times * (a * da + a * a * (trigamma(a + events) - trigamma(a) + both2));
    out.curvature(1, 1) += times * (b * db + b * b * (trigamma(b + of - events) - trigamma(b) + both2));
    out.curvature(0, 1) += times * a * b * both2;
  }
  out.curvature(1, 0) = out.curvature(0, 1);
  return out;
}

/// Newton's steps, made shorter until they climb. Nothing where it climbs on to people who do not differ at all, or
/// who all have nothing but failures or successes.
std::optional<LikeliestSpread> likeliest(const std::vector<Counts>& counts, double share) {
  constexpr double vast = 1e7, next_to_nothing = 1e-6;
  if (!(share > 0 && share < 1)) return std::nullopt;
  double a = 10 * share, b = 10 * (1 - share), height = log_likelihood(counts, a, b);
  for (int i = 0; i < 200; ++i) {
    const Slope at = slope(counts, a, b);
    double damping = 0;
    bool climbed = false;
    Eigen::Vector2d step = Eigen::Vector2d::Zero();
    for (int attempt = 0; attempt < 40 && !climbed; ++attempt) {
      const Eigen::LLT<Eigen::Matrix2d> upward(-at.curvature + damping * Eigen::Matrix2d::Identity());
      damping = damping == 0 ? 1e-3 : 4 * damping;
      if (upward.info() != Eigen::Success) continue;
      step = upward.solve(at.gradient);
      if (!(step.norm() < 3)) continue;
      const double next = log_likelihood(counts, a * std::exp(step(0)), b * std::exp(step(1)));
      climbed = next >= height - 1e-13 * std::abs(height);
      if (climbed) height = next;
    }
    if (!climbed) break;
    a *= std::exp(step(0));
    b *= std::exp(step(1));
    if (a + b > vast || a + b < next_to_nothing) return std::nullopt;
    if (step.norm() < 1e-13) break;
  }
  return LikeliestSpread{a, b, height + log_ways(counts)};
}

/// A place of the integral: a Beta(a, b) of weight w.
struct Spread {
  double a = 0, b = 0, mean = 0, difference = 0, weight = 0;
};

/// The logits of μ and ρ, and what the density is there (uniform on the shares; the logits' own measure is in it).
double log_density(const std::vector<Counts>& counts, double x, double y) {
  const double mean = 1 / (1 + std::exp(-x)), s = std::exp(-y);  // ρ = 1 / (s + 1)
  const double rest = 1 / (1 + std::exp(x));
  const double measure =
      -std::abs(x) - 2 * std::log1p(std::exp(-std::abs(x))) - std::abs(y) - 2 * std::log1p(std::exp(-std::abs(y)));
  return log_likelihood(counts, mean * s, rest * s) + measure;
}

/// One logit's reach around the highest place.
struct Reach {
  double low = 0, high = 0;
};
struct Top {
  double x = 0, y = 0, height = 0;
};

Top climb(const std::vector<Counts>& counts, double share) {
  Top top{std::log(share / (1 - share)), -2, 0};
  top.height = log_density(counts, top.x, top.y);
  for (double step = 1; step > 1e-3;) {
    bool better = false;
    for (const auto& [dx, dy] : {std::pair{step, 0.0}, {-step, 0.0}, {0.0, step}, {0.0, -step}}) {
      const double height = log_density(counts, top.x + dx, top.y + dy);
      if (height <= top.height) continue;
      top = {top.x + dx, top.y + dy, height};
      better = true;
    }
    if (!better) step /= 2;
  }
  return top;
}

constexpr double no_more = 21;  // e⁻²¹ = 1e-9 of the highest

/// The curve that is left of the density when the other logit is taken where it is highest.
template <class Height>
Reach reach(const Height& height, double from, double top, double smallest) {
  const auto until = [&](double direction) {
    double at = from, step = smallest;
    while (top - height(at) < no_more && std::abs(at - from) < 60) at += direction * (step *= 1.2);
    return at;
  };
  return {until(-1), until(1)};
}

/// A grid so fine that the sum over it is the integral to some eight digits: both logits' densities are smooth.
std::vector<Spread> spreads(const std::vector<Counts>& counts, double share) {
  const Top top = climb(counts, share);
  constexpr int along_y = 48, along_x = 72;
  // For each ρ the density of μ has its own place and width; the integral over μ follows it.
  const auto best_x = [&](double y) {
    double x = top.x, height = log_density(counts, x, y);
    for (double step = 0.5; step > 1e-4;) {
      const double up = log_density(counts, x + step, y), down = log_density(counts, x - step, y);
      if (up <= height && down <= height) {
        step /= 2;
        continue;
      }
      x += up > down ? step : -step;
      height = std::max(up, down);
    }
    return std::pair{x, height};
  };
  const Reach ys = reach([&](double y) { return best_x(y).second; }, top.y, top.height, 0.02);
  const double dy = (ys.high - ys.low) / along_y;
  std::vector<Spread> out;
  double sum = 0;
  for (int i = 0; i <= along_y; ++i) {
    const double y = ys.low + i * dy;
    const auto [x0, height] = best_x(y);
    if (top.height - height > no_more) continue;
    const Reach xs = reach([&, y = y](double x) { return log_density(counts, x, y); }, x0, top.height, 1e-3);
    const double dx = (xs.high - xs.low) / along_x;
    for (int j = 0; j <= along_x; ++j) {
      const double x = xs.low + j * dx, below = top.height - log_density(counts, x, y);
      if (below > no_more) continue;
      const double s = std::exp(-y), mean = 1 / (1 + std::exp(-x));
      out.push_back({mean * s, s / (1 + std::exp(x)), mean, 1 / (s + 1), std::exp(-below) * dx * dy});
      sum += out.back().weight;
    }
  }
  // What hardly weighs costs as much as the rest.
  std::erase_if(out, [&](const Spread& spread) { return spread.weight < 1e-9 * sum; });
  sum = 0;
  for (const auto& spread : out) sum += spread.weight;
  for (auto& spread : out) spread.weight /= sum;
  return out;
}

/// Double is enough, and half of the work: some thousand of these functions make one interval.
using Plain = boost::math::policies::policy<boost::math::policies::promote_double<false>>;

/// P(p <= at | all), and its slope over the logit of `at`: p^a (1 - p)^b / B(a, b), which is finite also where the
/// density over p is not (a or b under 1, p at an end).
std::pair<double, double> below(const std::vector<Spread>& over, double events, double of, double at) {
  double sum = 0, slope = 0;
  for (const auto& one : over) {
    const double a = one.a + events, b = one.b + of - events;
    sum += one.weight * boost::math::ibeta(a, b, at, Plain());
    slope += one.weight * a / (a + b) * b / (a + b + 1) * boost::math::ibeta_derivative(a + 1, b + 1, at, Plain());
  }
  return {sum, slope};
}

/// Newton's steps on the logit, from the one Beta that has the same mean and variance, which is near.
double quantile(const std::vector<Spread>& over, double events, double of, double chance) {
  double mean = 0, square = 0;
  for (const auto& one : over) {
    const double a = one.a + events, all = one.a + one.b + of;
    mean += one.weight * a / all;
    square += one.weight * a * (a + 1) / (all * (all + 1));
  }
  const double size = mean * (1 - mean) / (square - mean * mean) - 1;
  const double near = boost::math::ibeta_inv(mean * size, (1 - mean) * size, chance, Plain());
  constexpr double lowest = -600, highest = 36;  // the logits of shares that a double tells from 0 and from 1
  const auto share = [](double logit) { return 1 / (1 + std::exp(-logit)); };
  if (below(over, events, of, share(lowest)).first >= chance) return 0;
  if (below(over, events, of, share(highest)).first <= chance) return 1;
  const double from = near <= share(lowest) ? lowest : near >= share(highest) ? highest : std::log(near / (1 - near));
  std::uintmax_t steps = 100;
  constexpr int bits = 30;
  return share(boost::math::tools::newton_raphson_iterate(
      [&](double logit) {
        const auto [sum, slope] = below(over, events, of, share(logit));
        return std::pair{sum - chance, slope};
      },
      from, lowest, highest, bits, steps));
}

ShrunkenShare shrunken(const NamedCount& one, const std::vector<Spread>& over, double confidence) {
  ShrunkenShare out{one.name, one.events, one.of};
  const double x = one.events, n = one.of, half = (1 - confidence) / 2;
  out.chance_higher = 0;
  for (const auto& spread : over) {
    out.share += spread.weight * (spread.a + x) / (spread.a + spread.b + n);
    out.chance_higher += spread.weight * boost::math::ibetac(spread.a + x, spread.b + n - x, spread.mean, Plain());
  }
  out.low = quantile(over, x, n, half);
  out.high = quantile(over, x, n, 1 - half);
  if (one.of < fewest_to_tell) return out;
  out.standing = out.chance_higher >= 1 - half ? Standing::higher
                 : out.chance_higher <= half   ? Standing::lower
                                               : Standing::not_told_apart;
  return out;
}

}  // namespace

Checked<ShrunkenShares> shrunken_shares(const ShrunkenInput& input) {
  if (auto errors = check(input); !errors.empty()) return refuse(std::move(errors));
  const auto counts = tallied(input.people);
  double events = 0, of = 0;
  for (const auto& one : counts) {
    events += one.times * one.events;
    of += one.times * one.of;
  }
  // Also where all or none failed the logit is finite.
  const auto over = spreads(counts, (events + 0.5) / (of + 1));
  ShrunkenShares out;
  for (const auto& one : over) {
    out.share += one.weight * one.mean;
    out.difference += one.weight * one.difference;
  }
  out.likeliest = likeliest(counts, events / of);
  std::map<std::pair<int, int>, ShrunkenShare> known;
  for (const auto& one : input.people) {
    auto [found, is_new] = known.try_emplace({one.events, one.of});
    if (is_new) found->second = shrunken(one, over, input.confidence);
    out.people.push_back(found->second);
    out.people.back().name = one.name;
  }
  return out;
}

}  // namespace dwell::statistics
