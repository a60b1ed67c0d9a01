#pragma once
// The order as written, and the second look at it: is the rate plausible for this person, does the day's volume fit,
// are potassium and glucose within policy, is each medicine weak and slow enough, is the patient allergic to any of it,
// may it run into a small vein, does anything hang too long? Findings advise; the prescriber decides.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

#include "dosing/rate.h"
#include "infusate/infusate.h"
#include "patient/patient.h"
#include "policy/policy.h"
#include "suitability/suitability.h"
#include "verdict/verdict.h"

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

/// What runs, or is to run, into the same vein beside the order: a bag before it, a dose every few hours.
struct Companion {
  infusate::Mixture mixture;
  std::optional<Flow> flow;        ///< absent: not known, or by hand
  std::optional<Duration> every;   ///< a dose this often; absent: it goes on
  std::optional<bool> waits = {};  ///< true: it is stopped while the ordered one runs; absent: both run at once
  friend bool operator==(const Companion&, const Companion&) = default;
};
BOOST_DESCRIBE_STRUCT(Companion, (), (mixture, flow, every, waits))

struct OrderCheckInput {
  Order order;
  line::Patient patient;
  Instant now;                         ///< start assumed now
  std::vector<Companion> beside = {};  ///< into the same vein; empty: the order is judged by itself
};
BOOST_DESCRIBE_STRUCT(OrderCheckInput, (), (order, patient, now, beside))

using verdict::Verdict;

/// What is looked at in an order, beside all that `infusate::SuitabilityLook` names.
enum class OrderLook {
  body_weight,
  flow,
  flow_for_body,
  day_volume,
  potassium,
  sodium,
  glucose,
  strength,
  dose,
  speed,
  delivery,
  allergy,
  maintenance_fluid,
  resuscitation,
  transfusion,
  hanging,
  meeting,
  flow_together,
  day_together,
  potassium_together,
  glucose_together
};
BOOST_DESCRIBE_ENUM(OrderLook, body_weight, flow, flow_for_body, day_volume, potassium, sodium, glucose, strength, dose,
                    speed, delivery, allergy, maintenance_fluid, resuscitation, transfusion, hanging, meeting,
                    flow_together, day_together, potassium_together, glucose_together)

struct OrderCheck {
  Verdict verdict = Verdict::not_fully_checked;
  std::vector<verdict::LookReport> looks;  ///< what was looked at, and what could not be and why
  RateResult rate;
  infusate::MixtureResult mixture;
  std::optional<FlowPerMass> flow_per_mass;
  std::optional<AmountRate> potassium_rate;
  std::optional<MassRate> glucose_rate;
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(OrderCheck, (),
                      (verdict, looks, rate, mixture, flow_per_mass, potassium_rate, glucose_rate, findings, workings))

/// What runs beside it is summed with it: what flows at once, and fluid, potassium and glucose of a day.
/// Errors: what `rate` and `mix` refuse, for what runs beside it too (a dose every 10 min to 7 d, flow above 0 to 60
/// L/h), weight outside 0.3 to 400 kg ("weight 700 kg?"), birth date in the future. Whatever is missing (weight, age,
/// allergies, a figure of a medicine, a limit of the policy) is named by the look that needs it, and the verdict is
/// then no better than not fully checked. It is not named when it could change nothing: the order is held against the
/// mildest and the strictest limits that may apply, and both agree.
[[nodiscard]] Checked<OrderCheck> check_order(const OrderCheckInput& input, const infusate::Formulary& formulary,
                                              const policy::Policy& policy);

/// Two people enter the order apart; every field in which they differ is named (paths as in FieldError).
struct Disagreement {
  std::string field;
  Message first;
  Message second;
};
BOOST_DESCRIBE_STRUCT(Disagreement, (), (field, first, second))

/// Compared as values, part by part: a unit, the order of the parts, which of them is called the base and how a name is
/// written make no difference; any other difference does, however late it stands. A part is named by its place in the
/// entry that has it.
[[nodiscard]] std::vector<Disagreement> compare_orders(const Order& first, const Order& second,
                                                       const infusate::Formulary& formulary);

}  // namespace dwell::dosing
