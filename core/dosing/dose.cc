#include <cmath>

#include "dosing/named_medicine.h"
#include "dosing/rate.h"
#include "dosing/shown_in.h"
#include "quantity/within.h"
#include "say/common.h"
#include "say/dosing.h"
#include "say/growth.h"

namespace dwell::dosing {
namespace {

enum class DrugKind { mass, units, substance };

/// What one step of the dose unit is, and whether it is for each kilogram.
struct DoseForm {
  DrugKind kind;
  bool per_kilogram;
  double si;  ///< SI dose rate (kg/s, unit/s, mol/s) of 1 in this unit, before the weight
  const char* text;
};

DoseForm form_of(DoseUnit unit) {
  constexpr double per_min = 1.0 / 60, per_h = 1.0 / 3600, mcg = 1e-9, mg = 1e-6, mmol = 1e-3;
  switch (unit) {
    case DoseUnit::nanograms_per_kg_min: return {DrugKind::mass, true, 1e-12 * per_min, "nanograms/kg/min"};
    case DoseUnit::mcg_per_kg_min: return {DrugKind::mass, true, mcg * per_min, "mcg/kg/min"};
    case DoseUnit::mcg_per_kg_h: return {DrugKind::mass, true, mcg * per_h, "mcg/kg/h"};
    case DoseUnit::mcg_per_min: return {DrugKind::mass, false, mcg * per_min, "mcg/min"};
    case DoseUnit::mcg_per_h: return {DrugKind::mass, false, mcg * per_h, "mcg/h"};
    case DoseUnit::mg_per_kg_min: return {DrugKind::mass, true, mg * per_min, "mg/kg/min"};
    case DoseUnit::mg_per_kg_h: return {DrugKind::mass, true, mg * per_h, "mg/kg/h"};
    case DoseUnit::mg_per_min: return {DrugKind::mass, false, mg * per_min, "mg/min"};
    case DoseUnit::mg_per_h: return {DrugKind::mass, false, mg * per_h, "mg/h"};
    case DoseUnit::g_per_h: return {DrugKind::mass, false, 1e-3 * per_h, "g/h"};
    case DoseUnit::milliunits_per_min: return {DrugKind::units, false, 1e-3 * per_min, "milliunits/min"};
    case DoseUnit::units_per_kg_min: return {DrugKind::units, true, per_min, "units/kg/min"};
    case DoseUnit::units_per_min: return {DrugKind::units, false, per_min, "units/min"};
    case DoseUnit::units_per_kg_h: return {DrugKind::units, true, per_h, "units/kg/h"};
    case DoseUnit::units_per_h: return {DrugKind::units, false, per_h, "units/h"};
    case DoseUnit::mmol_per_h: return {DrugKind::substance, false, mmol * per_h, "mmol/h"};
    case DoseUnit::mmol_per_kg_h: return {DrugKind::substance, true, mmol * per_h, "mmol/kg/h"};
  }
  return {DrugKind::mass, false, mg * per_h, "mg/h"};
}

/// The fastest that a dose may come to.
constexpr Flow fastest = 2000.0 * millilitre / hour;

/// Each amount that was entered, as it was read.
std::string amounts_in(const DrugInBag& bag) {
  std::string all;
  const auto add = [&](const auto& amount) {
    if (amount) all += (all.empty() ? "" : ", ") + show(*amount);
  };
  add(bag.mass);
  add(bag.units);
  add(bag.amount);
  return all;
}

FieldErrors check(const DoseInput& in, const DoseForm& form) {
  FieldErrors errors;
  growth::check_person(in.person, errors);
  if (in.dose.has_value() == in.flow.has_value())
    errors.push_back({"/dose", in.dose ? show_number(*in.dose) : "", say::dose_or_rate()});
  if (in.dose && !(*in.dose > 0)) errors.push_back({"/dose", show_number(*in.dose), say::above_zero()});
  if (in.flow) check_within("/flow", *in.flow, 0.05 * millilitre / hour, fastest, errors);
  check_within("/bag/volume", in.bag.volume, 0.5 * millilitre, 10.0 * litre, errors);
  const int amounts = in.bag.mass.has_value() + in.bag.units.has_value() + in.bag.amount.has_value();
  const bool matches = (form.kind == DrugKind::mass && in.bag.mass) || (form.kind == DrugKind::units && in.bag.units) ||
                       (form.kind == DrugKind::substance && in.bag.amount);
  if (amounts != 1 || !matches)
    errors.push_back({"/bag", amounts == 0 ? "" : amounts_in(in.bag), say::one_amount_of_kind(form.text)});
  if ((in.bag.mass && !(*in.bag.mass > Mass())) || (in.bag.units && !(*in.bag.units > BiologicalUnits())) ||
      (in.bag.amount && !(*in.bag.amount > Amount())))
    errors.push_back({"/bag", amounts_in(in.bag), say::drug_above_zero()});
  if (form.per_kilogram && !in.weight) errors.push_back({"/weight", "", say::weight_for_dose()});
  check_weight("/weight", in.weight, errors);
  return errors;
}

/// SI concentration (kg, unit or mol in a cubic metre) and how to say it.
struct Strength {
  double si;
  message::Quantity shown;
};

Strength strength_of(const DrugInBag& bag) {
  if (bag.mass) {
    const MassConcentration c = *bag.mass / bag.volume;
    const double mg_per_mL = c.value();
    return {c.value(), mg_per_mL < 0.1 ? with_unit(shown_number(mg_per_mL * 1000), "mcg/mL") : shown(c)};
  }
  if (bag.units) {
    const UnitConcentration c = *bag.units / bag.volume;
    return {c.value(), shown(c)};
  }
  const AmountConcentration c = *bag.amount / bag.volume;
  return {c.value(), shown(c)};
}

/// What the looks look at.
struct DoseCase {
  const DoseInput& input;
  const infusate::Formulary& formulary;
  NamedMedicine medicine;
};

template <DoseLook>
void take(const DoseCase&, verdict::Look&) = delete;
template <>
void take<DoseLook::body_weight>(const DoseCase& c, verdict::Look& look) {
  look_at_weight_of(c.medicine.person, c.medicine.weight, look);
}
template <>
void take<DoseLook::strength>(const DoseCase& c, verdict::Look& look) {
  look_at_named_strength(c.medicine, c.formulary, look);
}
template <>
void take<DoseLook::dose>(const DoseCase& c, verdict::Look& look) {
  look_at_named_dose(c.medicine, c.formulary, look);
}
template <>
void take<DoseLook::harm>(const DoseCase& c, verdict::Look& look) {
  look_at_named_harm(c.medicine, c.formulary, look);
}
template <>
void take<DoseLook::speed>(const DoseCase& c, verdict::Look& look) {
  look_at_named_speed(c.medicine, c.formulary, std::nullopt, look);
}
template <>
void take<DoseLook::allergy>(const DoseCase& c, verdict::Look& look) {
  look_at_named_allergy(c.medicine.name, c.input.patient, c.formulary, look);
}

void look_at_medicine(const DoseInput& input, const infusate::Formulary& formulary, DoseResult& r) {
  DoseCase look_at{input, formulary, {}};
  auto& medicine = look_at.medicine;
  medicine.name = input.medicine;
  medicine.weight = input.weight;
  medicine.person = input.person;
  medicine.dose = input.bag.mass;
  medicine.over = input.bag.volume / r.flow;
  if (input.bag.mass) {
    medicine.strength = *input.bag.mass / input.bag.volume;
    medicine.rate = *medicine.strength * r.flow;
  }
  if (input.bag.units) medicine.unit_rate = *input.bag.units / input.bag.volume * r.flow;
  auto answer = verdict::take_all<DoseLook>([&](auto which, verdict::Look& look) { take<which()>(look_at, look); });
  r.verdict = answer.verdict;
  r.looks = std::move(answer.looks);
  r.findings = std::move(answer.findings);
}

}  // namespace

Checked<DoseResult> dose_rate(const DoseInput& input, const infusate::Formulary& formulary) {
  const DoseForm form = form_of(input.dose_unit);
  if (auto errors = check(input, form); !errors.empty()) return refuse(std::move(errors));

  const Strength strength = strength_of(input.bag);
  const double kilograms = form.per_kilogram ? in(*input.weight, kilogram) : 1.0;
  DoseResult r;
  if (input.dose) {
    r.dose = *input.dose;
    r.flow = Flow::from_value(r.dose * form.si * kilograms / strength.si);
    if (!(r.flow <= fastest))
      return refuse("/dose", show_number(r.dose) + " " + form.text, say::dose_that_runs(fastest, r.flow));
  } else {
    r.flow = *input.flow;
    r.dose = r.flow.value() * strength.si / (form.si * kilograms);
    if (!std::isfinite(r.dose)) return refuse("/bag", amounts_in(input.bag), say::amount_for_a_bag());
  }
  const double mL_per_h = in(r.flow, millilitre / hour);
  r.dose_text = say::quantity(with_unit(shown_number(r.dose), form.text));
  r.concentration_text = say::quantity(strength.shown);
  r.flow_text = say::quantity(with_unit(shown_number(mL_per_h, 1), "mL/h"));
  if (input.drop_factor)
    r.drops_per_minute =
        static_cast<int>(round_half_up(in(DropRate(r.flow * *input.drop_factor), 1.0 * drop / minute)));
  Working working{
      input.dose ? say::rate_for_dose() : say::dose_at_rate(),
      input.dose ? (form.per_kilogram ? say::dose_times_weight_over_concentration() : say::dose_over_concentration())
                 : (form.per_kilogram ? say::rate_times_concentration_over_weight() : say::rate_times_concentration()),
      {{say::concentration_name(), r.concentration_text}},
      input.dose ? r.flow_text : r.dose_text,
      {"infusion arithmetic (a dose by the minute takes × 60 to mL/h)", Mark::practice}};
  if (form.per_kilogram) working.inputs.push_back({say::weight_name(), say::quantity(shown(*input.weight))});
  working.inputs.push_back(input.dose ? WorkingInput{say::dose_name(), r.dose_text}
                                      : WorkingInput{say::rate_name(), say::quantity(shown(r.flow))});
  r.workings = {std::move(working)};
  look_at_medicine(input, formulary, r);
  return r;
}

}  // namespace dwell::dosing
