#pragma once
// Orders for tests of limits: whoever is asked about is well, without allergies, and of the age and weight that are
// said. Weights are powers of two, so that a division by them leaves a value at its limit.
#include <algorithm>
#include <string>
#include <string_view>

#include "dosing/order.h"
#include "exchange/library.h"
#include "json/codec.h"
#include "say/common.h"
#include "say/dosing.h"
#include "say/infusate.h"

namespace dwell::dosing::test {

inline constexpr double hair = 1 + 1e-9, beyond = 1 + 1e-6, within = 1 - 1e-6;
inline constexpr const char* saline = "sodium chloride 0.9 %";

inline const policy::OrderLimits& limits() { return exchange::default_library().policy.order; }

struct Birth {
  static constexpr const char *newborn = "2026-11-15", *infant = "2026-05-25", *child = "2020-11-25",
                              *adult = "1986-03-03", *older = "1950-03-03", *unknown = "";
};

/// No birth date where `born` is empty, no weight where it is 0.
inline OrderCheckInput order_of(infusate::Mixture mixture, Flow flow, const char* born, double kilograms) {
  OrderCheckInput in;
  in.order.mixture = std::move(mixture);
  in.order.flow = flow;
  in.order.purpose = Purpose::other;
  if (*born) in.patient.birth_date = *parse_date(born);
  if (kilograms > 0) in.patient.weight = kilograms * kilogram;
  in.patient.allergies_known = true;
  in.patient.heart_or_kidney_failure = false;
  in.now = *parse_instant("2026-11-25T12:00:00Z");
  return in;
}
inline OrderCheckInput order_of(const char* base, Volume volume, Flow flow, const char* born, double kilograms) {
  return order_of(infusate::Mixture{base, volume, {}}, flow, born, kilograms);
}

inline OrderCheckInput with(OrderCheckInput in, Purpose purpose) {
  in.order.purpose = purpose;
  return in;
}

inline OrderCheck checked(const OrderCheckInput& in, const policy::OrderLimits& held = limits(),
                          const infusate::Formulary& infusates = exchange::default_library().infusates) {
  auto policy = exchange::default_library().policy;
  policy.order = held;
  return *check_order(in, infusates, policy);
}

/// "stop", "caution", "information", or nothing.
inline std::string told(const OrderCheck& check, std::string_view code) {
  for (const auto& finding : check.findings)
    if (finding.code == code) return std::string(json::name_of(finding.severity));
  return "";
}
inline std::string told(const OrderCheckInput& in, std::string_view code) { return told(checked(in), code); }

inline Message text_of(const OrderCheck& check, std::string_view code) {
  for (const auto& finding : check.findings)
    if (finding.code == code) return finding.text;
  return {};
}

inline std::vector<Message> missing(const OrderCheck& check, OrderLook look) {
  for (const auto& report : check.looks)
    if (report.look == json::name_of(look)) return report.missing;
  return {};
}
inline bool lacks(const OrderCheck& check, OrderLook look, const Message& what) {
  const auto all = missing(check, look);
  return std::find(all.begin(), all.end(), what) != all.end();
}
inline bool lacks(const OrderCheckInput& in, OrderLook look, const Message& what) {
  return lacks(checked(in), look, what);
}
inline bool lacks_anything(const OrderCheck& check, OrderLook look) { return !missing(check, look).empty(); }
inline bool lacks_anything(const OrderCheckInput& in, OrderLook look) { return lacks_anything(checked(in), look); }

inline verdict::LookState state(const OrderCheck& check, OrderLook look) {
  for (const auto& report : check.looks)
    if (report.look == json::name_of(look)) return report.state;
  return verdict::LookState::could_not_look;
}

/// An invented medicine, so that each limit of an entry stands alone.
inline constexpr const char* name = "invented medicine";

/// 1 mg/mL, harmless, with nothing known of its strength and speed.
inline infusate::Infusate medicine() {
  infusate::Infusate entry;
  entry.name = name;
  entry.kind = infusate::FluidKind::medicine;
  entry.harm = infusate::HarmClass::harmless;
  entry.strength = 1.0 * milligram / millilitre;
  entry.giving.emplace();
  return entry;
}

inline infusate::Formulary list_of(const infusate::Infusate& entry) {
  auto list = exchange::default_library().infusates;
  list[entry.name] = entry;
  return list;
}

}  // namespace dwell::dosing::test
