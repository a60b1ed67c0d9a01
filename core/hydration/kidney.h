#pragma once
// Kidney function from a serum creatinine: one form for doses, one for stages. They are not interchangeable.
#include <boost/describe.hpp>
#include <optional>
#include <vector>

#include "hydration/body_size.h"

namespace dwell::hydration {

/// Cockcroft and Gault 1976, mL/min:  (140 − age) weight / (72 creatinine), × 0.85 for women; kg and mg/dL.
/// Source: medical dictionary page (read); sources.md#kidney
[[nodiscard]] Clearance creatinine_clearance(int age_years, BodyWeight weight, MassConcentration creatinine,
                                             FormulaSex sex);
/// CKD-EPI 2021, mL/min per 1.73 m²:  142 min(S/κ,1)^α max(S/κ,1)^−1.200 0.9938^age (× 1.012 female), S in mg/dL,
/// κ 0.7 female, 0.9 male, α −0.241 female, −0.302 male.  Source: kidney foundation page (read); sources.md#kidney
[[nodiscard]] Clearance glomerular_filtration(int age_years, MassConcentration creatinine, FormulaSex sex);

struct KidneyInput {
  int age_years = 0;
  BodyWeight weight;
  FormulaSex sex = FormulaSex::female;
  std::optional<MassConcentration> creatinine;              ///< mg/dL, or …
  std::optional<AmountConcentration> creatinine_by_amount;  ///< … micromol/L; exactly one
};
BOOST_DESCRIBE_STRUCT(KidneyInput, (), (age_years, weight, sex, creatinine, creatinine_by_amount))

struct Kidney {
  Clearance clearance;               ///< Cockcroft and Gault: for doses
  Clearance filtration_for_1_73_m2;  ///< CKD-EPI 2021, for a body surface of 1.73 m²: for stages
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(Kidney, (), (clearance, filtration_for_1_73_m2, findings, workings))

/// Errors: age 18 to 125 years (neither form is for children), weight 20 to 400 kg, creatinine 0.1 to 30 mg/dL (9 to
/// 2,650 micromol/L), exactly one of the two.
[[nodiscard]] Checked<Kidney> kidney(const KidneyInput& input);

}  // namespace dwell::hydration
