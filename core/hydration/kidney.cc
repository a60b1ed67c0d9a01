#include "hydration/kidney.h"

#include <algorithm>
#include <cmath>

#include "growth/weight_question.h"
#include "quantity/shown_in.h"
#include "quantity/within.h"
#include "say/common.h"
#include "say/growth.h"
#include "say/hydration.h"

namespace dwell::hydration {
namespace {

constexpr MassConcentration milligram_per_decilitre = MassConcentration::from_value(0.01);
constexpr AmountConcentration micromole_per_litre = AmountConcentration::from_value(0.001);
/// micromol/L in one mg/dL (value from memory; molar mass 113.12 g/mol).
constexpr double micromoles_in_a_milligram = 88.4;

double in_mg_per_dl(MassConcentration creatinine) { return in(creatinine, milligram_per_decilitre); }

MassConcentration creatinine_of(const KidneyInput& in) {
  if (in.creatinine) return *in.creatinine;
  return in.creatinine_by_amount.value_or(AmountConcentration()) / micromole_per_litre / micromoles_in_a_milligram *
         milligram_per_decilitre;
}

FieldErrors check(const KidneyInput& in) {
  FieldErrors errors;
  if (!(in.age_years >= 18 && in.age_years <= 125))
    errors.push_back({"/age_years", std::to_string(in.age_years), say::adult_years_from_to(18, 125)});
  check_within("/weight", in.weight, 20.0 * kilogram, 400.0 * kilogram, errors);
  if (in.creatinine.has_value() == in.creatinine_by_amount.has_value()) {
    errors.push_back({"/creatinine", in.creatinine ? show(*in.creatinine) + ", " + show(*in.creatinine_by_amount) : "",
                      say::one_unit_of_creatinine()});
    return errors;
  }
  const double value = in_mg_per_dl(creatinine_of(in));
  constexpr double least = 0.1, most = 30;
  if (!(value >= least && value <= most))
    errors.push_back(
        {in.creatinine ? "/creatinine" : "/creatinine_by_amount", show_number(value) + " mg/dL",
         say::a_creatinine_from_to(
             shown_number(least), shown_in(most * milligram_per_decilitre, milligram_per_decilitre, "mg/dL"),
             shown_number(9), shown_in(2650.0 * micromole_per_litre, micromole_per_litre, "micromol/L"))});
  return errors;
}

}  // namespace

Clearance creatinine_clearance(int age_years, BodyWeight weight, MassConcentration creatinine, FormulaSex sex) {
  const double men = (140 - age_years) * in(weight, kilogram) / (72 * in_mg_per_dl(creatinine));
  return (sex == FormulaSex::female ? 0.85 * men : men) * millilitre / minute;
}

Clearance glomerular_filtration(int age_years, MassConcentration creatinine, FormulaSex sex) {
  const bool female = sex == FormulaSex::female;
  const double share = in_mg_per_dl(creatinine) / (female ? 0.7 : 0.9);
  return 142 * std::pow(std::min(share, 1.0), female ? -0.241 : -0.302) * std::pow(std::max(share, 1.0), -1.2) *
         std::pow(0.9938, age_years) * (female ? 1.012 : 1) * millilitre / minute;
}

Checked<Kidney> kidney(const KidneyInput& in) {
  if (auto errors = check(in); !errors.empty()) return refuse(std::move(errors));
  const MassConcentration creatinine = creatinine_of(in);
  const std::vector<WorkingInput> inputs{
      {say::age_name(), say::so_many_years(in.age_years)},
      {say::weight_name(), say::quantity(shown(in.weight))},
      {say::creatinine_name(), say::quantity(shown_in(creatinine, milligram_per_decilitre, "mg/dL"))}};
  Kidney out;
  if (auto doubt = growth::question_weight(in.weight, growth::age_in_whole_years(in.age_years),
                                           in.sex == FormulaSex::female ? line::Sex::female : line::Sex::male))
    out.findings.push_back(std::move(*doubt));
  out.clearance = creatinine_clearance(in.age_years, in.weight, creatinine, in.sex);
  out.filtration_for_1_73_m2 = glomerular_filtration(in.age_years, creatinine, in.sex);
  out.workings = {{say::clearance_working(),
                   say::clearance_formula(in.sex),
                   inputs,
                   say::quantity(shown_in(out.clearance, millilitre / minute, "mL/min")),
                   {"Cockcroft and Gault 1976, medical dictionary page", Mark::read}},
                  {say::filtration_working(),
                   say::filtration_formula(in.sex),
                   inputs,
                   say::for_usual_surface(shown_in(out.filtration_for_1_73_m2, millilitre / minute, "mL/min")),
                   {"CKD-EPI 2021, kidney foundation page", Mark::read}}};
  out.findings.push_back({Severity::information,
                          "two_forms",
                          say::clearance_is_no_filtration(),
                          {"common practice, no source", Mark::practice}});
  return out;
}

}  // namespace dwell::hydration
