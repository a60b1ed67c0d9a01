#include "dosing/order.h"

#include "dosing/named_medicine.h"
#include "dosing/order_looks.h"
#include "quantity/within.h"
#include "say/infusate.h"

namespace dwell::dosing {
namespace {

FieldErrors check_patient(const line::Patient& patient, Instant now) {
  FieldErrors errors;
  check_weight("/patient/weight", patient.weight, errors);
  growth::check_birth_date(patient.birth_date, now, "/patient/birth_date", errors);
  return errors;
}

/// The order's own looks, and all that is looked at in what runs by a peripheral vein. How long the line will be needed
/// is no matter of this order: the plan of the line asks for it.
verdict::Answer look_at_all(const OrderCase& order, const infusate::Suitability& suitable) {
  auto all = look_at_order(order);
  all.add({suitable.verdict, suitable.looks, suitable.findings});
  return std::move(all).answer();
}

/// What runs beside the order, with what is wrong with it.
std::vector<Beside> read_beside(const std::vector<Companion>& companions, const infusate::Formulary& formulary,
                                const policy::Policy& policy, FieldErrors& errors) {
  std::vector<Beside> beside;
  for (std::size_t i = 0; i < companions.size(); ++i) {
    const auto& companion = companions[i];
    const std::string path = "/beside/" + std::to_string(i);
    constexpr Flow fastest = 60.0 * litre / hour;
    if (companion.flow && !(*companion.flow > Flow() && *companion.flow <= fastest))
      errors.push_back({path + "/flow", show(*companion.flow), say::above_zero_to(shown(fastest))});
    if (companion.every) check_within(path + "/every", *companion.every, 10.0 * minute, 7.0 * day, errors);
    if (auto mixed = infusate::mix(companion.mixture, formulary, policy.infusate.harm_by_solute))
      beside.push_back({companion, std::move(*mixed), infusate::parts_of(companion.mixture, formulary)});
    else
      for (const auto& e : mixed.error()) errors.push_back({path + "/mixture" + e.path, e.found, e.expected});
  }
  return beside;
}

}  // namespace

Checked<OrderCheck> check_order(const OrderCheckInput& input, const infusate::Formulary& formulary,
                                const policy::Policy& policy) {
  FieldErrors errors = check_patient(input.patient, input.now);
  OrderCheck out;
  const auto& mixture = input.order.mixture;
  if (auto mixed = infusate::mix(mixture, formulary, policy.infusate.harm_by_solute))
    out.mixture = std::move(*mixed);
  else
    for (const auto& e : mixed.error()) errors.push_back({"/order/mixture" + e.path, e.found, e.expected});
  const auto beside = read_beside(input.beside, formulary, policy, errors);
  RateInput wanted{out.mixture.total_volume, input.order.duration, input.order.flow, input.order.drop_factor,
                   input.now};
  if (errors.empty()) {
    if (auto r = rate(wanted))
      out.rate = std::move(*r);
    else
      for (const auto& e : r.error()) errors.push_back({"/order" + e.path, e.found, e.expected});
  }
  if (!errors.empty()) return refuse(std::move(errors));

  const auto suitable = infusate::suitability(mixture, {out.rate.duration, out.rate.duration}, formulary, policy);
  if (!suitable) return refuse(suitable.error());
  const auto parts = infusate::parts_of(mixture, formulary);
  const Date today = utc_date(input.now);
  OrderCase order{input, policy, formulary, parts, beside, out, line::age_band(input.patient, today), std::nullopt};
  if (input.patient.birth_date) order.age = age_in_years(*input.patient.birth_date, today);
  out.workings = out.rate.workings;
  auto answer = look_at_all(order, *suitable);
  out.verdict = answer.verdict;
  out.looks = std::move(answer.looks);
  out.findings = std::move(answer.findings);
  return out;
}

}  // namespace dwell::dosing
