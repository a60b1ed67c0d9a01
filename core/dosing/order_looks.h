#pragma once
// The looks at an order, each a function of its own. A new one in OrderLook does not compile without its function.
#include "dosing/order.h"

namespace dwell::dosing {

/// What runs beside the order, put together once.
struct Beside {
  const Companion& companion;
  infusate::MixtureResult mixture;
  std::vector<infusate::Part> parts;
};

/// What the looks look at, put together once.
struct OrderCase {
  const OrderCheckInput& input;
  const policy::Policy& policy;
  const infusate::Formulary& formulary;
  const std::vector<infusate::Part>& parts;
  const std::vector<Beside>& beside;
  OrderCheck& out;  ///< rate and mixture are set; a look adds what it computed
  line::AgeBand band = line::AgeBand::unknown;
  std::optional<int> age;

  [[nodiscard]] const policy::OrderLimits& limits() const { return policy.order; }
  /// What it is for, as far as the bag holds what that names: saline ordered as contrast, as blood or as a medicine is
  /// judged as the fluid that it is.
  [[nodiscard]] Purpose purpose() const;
  [[nodiscard]] bool resuscitation() const { return input.order.purpose == Purpose::resuscitation; }
  [[nodiscard]] bool may_be_child() const;
  [[nodiscard]] bool is_child() const;
  /// Older, or with heart or kidney failure; nothing when it is not known.
  [[nodiscard]] std::optional<bool> frail() const;
  /// Whether only blood is in it: then what a label says of a fluid has no meaning.
  [[nodiscard]] bool is_blood() const;
};

/// Up to which weight a body takes more for being heavier: water, blood and their speed. Common practice, no source.
inline constexpr BodyWeight heaviest_counted = 100.0 * kilogram;

/// A hair of tolerance, so that an order written exactly at a limit is not refused for binary noise.
inline constexpr double hair = 1 + 1e-9;

[[nodiscard]] verdict::Composition look_at_order(const OrderCase& order);

/// Strength in the bag, dose and age, and speed, of each medicine with limits of its own.
void look_at_strength(const OrderCase& order, verdict::Look& look);
void look_at_dose(const OrderCase& order, verdict::Look& look);
void look_at_speed(const OrderCase& order, verdict::Look& look);
/// The ceilings of who is older, or fails, and of a child.
void look_at_flow_ceilings(const OrderCase& order, verdict::Look& look);
/// What is measured at one moment or over a day, judged by the rules for one order.
void look_at_highest_flow(const OrderCase& order, verdict::Look& look);
void look_at_flow_for_body(const OrderCase& order, verdict::Look& look);
void look_at_day_volume(const OrderCase& order, verdict::Look& look);
void look_at_potassium(const OrderCase& order, verdict::Look& look);
/// The same at a moment, whatever a day brings.
void look_at_potassium_now(const OrderCase& order, verdict::Look& look);
/// What the order brings in a day, alone and with all that runs beside it.
void look_at_potassium_of_a_day(const OrderCase& order, verdict::Look& look);
void look_at_potassium_of_a_day_together(const OrderCase& order, verdict::Look& look);
void look_at_sodium(const OrderCase& order, verdict::Look& look);
void look_at_glucose(const OrderCase& order, verdict::Look& look);
/// What a child is kept on: sodium for the older, glucose for the newborn.
void look_at_maintenance_fluid(const OrderCase& order, verdict::Look& look);
/// A day's fluid for a child of this weight, the least that may be so where the age is not known. Nothing without the
/// ward's figures; the weight must be known.
[[nodiscard]] std::optional<Volume> childs_day_need(const OrderCase& order);
inline constexpr Duration a_day = 24.0 * hour;
/// Of the container, as much as runs in a day.
[[nodiscard]] Volume ordered_in_a_day(const OrderCase& order);
/// What goes on, goes on all day; a dose counts as often as it is given. Nothing where nobody knows how fast it runs.
[[nodiscard]] std::optional<Volume> in_a_day(const Beside& beside);
/// The same of all that runs into the vein, and what must not meet there.
void look_at_meeting(const OrderCase& order, verdict::Look& look);
void look_at_flow_together(const OrderCase& order, verdict::Look& look);
void look_at_day_together(const OrderCase& order, verdict::Look& look);
void look_at_potassium_together(const OrderCase& order, verdict::Look& look);
void look_at_glucose_together(const OrderCase& order, verdict::Look& look);
/// Fluid that fills vessels, and how much of it at once.
void look_at_resuscitation(const OrderCase& order, verdict::Look& look);
/// By drops or by pump.
void look_at_delivery(const OrderCase& order, verdict::Look& look);
/// Saline 0.9 % alone: what blood may meet.
[[nodiscard]] bool is_plain_saline(const infusate::Infusate& infusate);
/// The patient's allergies beside each part: its names, its synonyms and the classes that its entry knows.
void look_at_allergies(const OrderCase& order, verdict::Look& look);
void look_at_allergies_of(const line::Patient& patient, const std::vector<infusate::Part>& parts,
                          const infusate::Formulary& formulary, verdict::Look& look);

}  // namespace dwell::dosing
