#pragma once
// The looks at an order, each a function of its own. A new one in OrderLook does not compile without its function.
#include "dosing/order.h"

namespace dwell::dosing {

/// What the looks look at, put together once.
struct OrderCase {
  const OrderCheckInput& input;
  const policy::Policy& policy;
  const std::vector<infusate::Part>& parts;
  OrderCheck& out;  ///< rate and mixture are set; a look adds what it computed
  line::AgeBand band = line::AgeBand::unknown;
  std::optional<int> age;

  [[nodiscard]] const policy::OrderLimits& limits() const { return policy.order; }
  [[nodiscard]] bool resuscitation() const { return input.order.purpose == Purpose::resuscitation; }
  [[nodiscard]] bool may_be_child() const;
  [[nodiscard]] bool is_child() const;
  /// Older, or with heart or kidney failure; nothing when it is not known.
  [[nodiscard]] std::optional<bool> frail() const;
  /// Whether only blood is in it: then what a label says of a fluid has no meaning.
  [[nodiscard]] bool is_blood() const;
};

/// A hair of tolerance, so that an order written exactly at a limit is not refused for binary noise.
inline constexpr double hair = 1 + 1e-9;

[[nodiscard]] verdict::Composition look_at_order(const OrderCase& order);

/// Strength in the bag, and speed, of each medicine with limits of its own.
void look_at_strength(const OrderCase& order, verdict::Look& look);
void look_at_speed(const OrderCase& order, verdict::Look& look);
/// The patient's allergies beside each part: its names, its synonyms and the classes that its entry knows.
void look_at_allergies(const OrderCase& order, verdict::Look& look);

}  // namespace dwell::dosing
