#pragma once
// A medicine that is named in a sum (pushed, or run by dose) beside what its entry says of strength and speed. A sum
// without a name is still a sum; it only cannot be looked at, and says so.
#include <optional>
#include <string>

#include "growth/weight_question.h"
#include "infusate/infusate.h"
#include "patient/patient.h"
#include "verdict/verdict.h"

namespace dwell::dosing {

struct NamedMedicine {
  std::optional<std::string> name;
  std::optional<MassConcentration> strength;
  std::optional<MassRate> rate;
  std::optional<UnitRate> unit_rate;
  std::optional<Mass> dose;      ///< in the container
  std::optional<Duration> over;  ///< the whole of it in this time; absent: it runs on
  std::optional<BodyWeight> weight;
  std::optional<growth::Person> person;  ///< whose weight
  std::optional<bool> frail;             ///< absent: nobody asked
};

/// A weight that nobody has is refused: 0.3 to 400 kg.
void check_weight(const std::string& path, const std::optional<BodyWeight>& weight, FieldErrors& errors);
/// Does the weight fit the age? It applies where both are given; what needs one of them says that it lacks it.
void look_at_weight_of(const std::optional<growth::Person>& person, const std::optional<BodyWeight>& weight,
                       verdict::Look& look);
/// Too strong is a stop; an unknown name is one too.
void look_at_named_strength(const NamedMedicine& medicine, const infusate::Formulary& formulary, verdict::Look& look);
/// Too much in one container is a stop, and so is somebody too young for it.
void look_at_named_dose(const NamedMedicine& medicine, const infusate::Formulary& formulary, verdict::Look& look);
/// What must be diluted and is not, and what belongs in a central vein, is a stop; a vesicant is a caution.
void look_at_named_harm(const NamedMedicine& medicine, const infusate::Formulary& formulary, verdict::Look& look);
/// An allergy to it is a stop. Without the patient nobody has asked.
void look_at_named_allergy(const std::optional<std::string>& name, const std::optional<line::Patient>& patient,
                           const infusate::Formulary& formulary, verdict::Look& look);
/// Too fast is a stop, by the limits of its person's age as far as that is known. `entered` is a limit that somebody
/// typed; of several limits the lowest governs.
void look_at_named_speed(const NamedMedicine& medicine, const infusate::Formulary& formulary,
                         std::optional<MassRate> entered, verdict::Look& look);

}  // namespace dwell::dosing
