#pragma once
// Generated cases for the relations, newborn to 250 kg: each relation is tried on at least 1,000 of them. The numbers
// come from one seed for each relation, so that a failure comes again; what failed is printed as the engine reads it.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <random>
#include <string>
#include <vector>

#include "dosing/order.h"
#include "engine/engine.h"
#include "exchange/library.h"
#include "json/codec.h"

namespace dwell::monotone {

inline constexpr int cases_for_each = 1000;

inline const engine::Library& library() { return exchange::default_library(); }

/// Choices of one case.
class Random {
 public:
  explicit Random(unsigned seed) : engine_(seed) {}
  int whole(int low, int high) { return std::uniform_int_distribution<int>(low, high)(engine_); }
  bool one_in(int n) { return whole(1, n) == 1; }
  /// Evenly over the orders of magnitude, to three figures as people write them.
  double spread(double low, double high) {
    const double x = std::exp(std::uniform_real_distribution<double>(std::log(low), std::log(high))(engine_));
    const double scale = std::pow(10.0, 2 - std::floor(std::log10(x)));
    return std::clamp(std::round(x * scale) / scale, low, high);
  }
  template <class T>
  const T& of(const std::vector<T>& all) {
    return all[static_cast<std::size_t>(whole(0, static_cast<int>(all.size()) - 1))];
  }

 private:
  std::mt19937 engine_;
};

/// Tries the relation on cases until it applied to 1,000. `relation` gives false when it does not apply to a case.
inline void each_case(const char* relation_name, const std::function<bool(Random&)>& relation) {
  unsigned seed = 0;
  for (const char* c = relation_name; *c; ++c) seed = seed * 31u + static_cast<unsigned char>(*c);
  int applied = 0, tried = 0;
  while (applied < cases_for_each && ++tried <= 40 * cases_for_each) {
    Random random(seed + static_cast<unsigned>(tried));
    applied += relation(random) ? 1 : 0;
    if (testing::Test::HasFailure()) return;
  }
  EXPECT_GE(applied, cases_for_each) << "too few cases to which it applies";
}

// ---- verdicts and their looks as numbers ----

inline int rank(verdict::Verdict v) { return static_cast<int>(v); }

/// stop 3, could not look 2, caution 1, else 0: what one look says.
inline int rank(const verdict::LookReport& look) {
  if (look.worst == Severity::stop) return 3;
  if (look.state == verdict::LookState::could_not_look) return 2;
  return look.worst == Severity::caution ? 1 : 0;
}

inline std::map<std::string, int> ranks(const std::vector<verdict::LookReport>& looks) {
  std::map<std::string, int> out;
  for (const auto& look : looks) out[look.look] = rank(look);
  return out;
}

/// A case as the engine reads it, written out only when something failed.
template <class T>
struct Written {
  const T& value;
  friend std::ostream& operator<<(std::ostream& out, const Written& written) {
    return out << json::to_text(json::encode(written.value));
  }
};
template <class T>
Written<T> written(const T& value) {
  return {value};
}

/// More danger: no look is milder, but for those named, which have another danger of their own.
template <class Input>
void expect_no_milder(const std::vector<verdict::LookReport>& before, const std::vector<verdict::LookReport>& after,
                      const Input& input, const std::vector<std::string>& but = {}) {
  auto later = ranks(after);
  for (const auto& [look, was] : ranks(before))
    if (std::find(but.begin(), but.end(), look) == but.end()) {
      EXPECT_GE(later[look], was) << look << " " << input;
    }
}

/// Less knowledge: each look finds as much as before, or says that it could not look.
template <class Input>
void expect_not_reassured(const std::vector<verdict::LookReport>& before, const std::vector<verdict::LookReport>& after,
                          const Input& input) {
  auto later = ranks(after);
  for (const auto& [look, was] : ranks(before)) EXPECT_GE(later[look], std::min(was, 2)) << look << " " << input;
}

/// What is not known never lifts a verdict above "not fully checked".
template <class Input>
void expect_not_reassured(verdict::Verdict before, verdict::Verdict after, const Input& input) {
  EXPECT_GE(rank(after), std::min(rank(before), rank(verdict::Verdict::not_fully_checked))) << input;
}

// ---- orders ----

inline const std::vector<std::string>& names() {
  static const auto all = [] {
    std::vector<std::string> out;
    for (const auto& [name, unused] : library().infusates) out.push_back(name);
    return out;
  }();
  return all;
}

inline infusate::Mixture mixture(Random& random) {
  infusate::Mixture m;
  m.base = random.one_in(2) ? "sodium chloride 0.9 %" : random.of(names());
  m.volume = random.spread(5, 1500) * millilitre;
  const int additives = random.one_in(2) ? 0 : random.whole(1, 3);
  for (int i = 0; i < additives; ++i) {
    const bool potassium = random.one_in(3);
    m.additives.push_back({potassium ? "potassium chloride 2 mmol/mL concentrate" : random.of(names()),
                           random.spread(0.5, 200) * millilitre});
  }
  return m;
}

/// Somebody of any age, with a weight that such a person may have, and with what is known of them.
inline line::Patient patient(Random& random) {
  line::Patient p;
  const Date today = utc_date(*parse_instant("2026-11-25T12:00:00Z"));
  const auto born = [&](int days) { return Date(std::chrono::sys_days(today) - std::chrono::days{days}); };
  switch (random.whole(0, 4)) {
    case 0: p.birth_date = born(random.whole(0, 27)), p.weight = random.spread(0.5, 5) * kilogram; break;
    case 1: p.birth_date = born(random.whole(28, 364)), p.weight = random.spread(2, 12) * kilogram; break;
    case 2: p.birth_date = born(random.whole(366, 5800)), p.weight = random.spread(7, 110) * kilogram; break;
    case 3: p.birth_date = born(random.whole(5900, 27000)), p.weight = random.spread(30, 250) * kilogram; break;
    default: p.birth_date = born(random.whole(27500, 36000)), p.weight = random.spread(30, 130) * kilogram; break;
  }
  p.heart_or_kidney_failure = random.one_in(4);
  p.allergies_known = true;
  if (random.one_in(4)) p.allergies = {random.one_in(2) ? "penicillin" : random.of(names())};
  return p;
}

inline dosing::OrderCheckInput order(Random& random) {
  using dosing::Purpose;
  dosing::OrderCheckInput in;
  in.order.mixture = mixture(random);
  in.order.duration = random.spread(1, 2800) * minute;
  static const std::vector<Purpose> purposes{Purpose::maintenance, Purpose::rehydration, Purpose::resuscitation,
                                             Purpose::medicine,    Purpose::keep_open,   Purpose::contrast,
                                             Purpose::other};
  in.order.purpose = random.of(purposes);
  in.patient = patient(random);
  in.now = *parse_instant("2026-11-25T12:00:00Z");
  return in;
}

}  // namespace dwell::monotone
