#pragma once
// The order as written, and the second look at it: is the rate plausible for this person, does the day's volume fit, is
// the potassium within policy, does anything hang too long? Findings advise; the prescriber decides.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

#include "dosing/rate.h"
#include "infusate/infusate.h"
#include "line/patient.h"
#include "policy/policy.h"

namespace dwell::dosing {

enum class Purpose { maintenance, rehydration, resuscitation, medicine, blood, keep_open, contrast, other };
BOOST_DESCRIBE_ENUM(Purpose, maintenance, rehydration, resuscitation, medicine, blood, keep_open, contrast, other)

struct Order {
  infusate::Mixture mixture;
  std::optional<Duration> duration;  ///< of this container
  std::optional<Flow> flow;
  Purpose purpose = Purpose::other;
  std::optional<Interval> therapy;        ///< how long the line is expected to be needed
  std::optional<DropFactor> drop_factor;  ///< absent: pump
  std::string prescriber;
  friend bool operator==(const Order&, const Order&) = default;
};
BOOST_DESCRIBE_STRUCT(Order, (), (mixture, duration, flow, purpose, therapy, drop_factor, prescriber))
constexpr auto names_in(const Order*) { return std::tuple(&Order::prescriber); }

struct OrderCheckInput {
  Order order;
  line::Patient patient;
  Instant now;  ///< start assumed now
};
BOOST_DESCRIBE_STRUCT(OrderCheckInput, (), (order, patient, now))

enum class Verdict { pass, caution, stop };
BOOST_DESCRIBE_ENUM(Verdict, pass, caution, stop)

struct OrderCheck {
  Verdict verdict = Verdict::pass;
  RateResult rate;
  infusate::MixtureResult mixture;
  std::optional<FlowPerMass> flow_per_mass;
  std::optional<AmountRate> potassium_rate;
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(OrderCheck, (), (verdict, rate, mixture, flow_per_mass, potassium_rate, findings, workings))

/// Errors: what `rate` and `mix` refuse, weight outside 0.3 to 400 kg ("weight 700 kg?"), birth date in the future.
/// Missing weight or age is a finding ("cannot check … without weight"), never a silent pass.
[[nodiscard]] Checked<OrderCheck> check_order(const OrderCheckInput& input, const infusate::Formulary& formulary,
                                              const policy::OrderLimits& limits);

/// Two people enter the order apart; every field in which they differ is named (paths as in FieldError).
struct Disagreement {
  std::string field;
  std::string first;
  std::string second;
};
BOOST_DESCRIBE_STRUCT(Disagreement, (), (field, first, second))
[[nodiscard]] std::vector<Disagreement> compare_orders(const Order& first, const Order& second);

}  // namespace dwell::dosing
