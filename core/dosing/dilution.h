#pragma once
// A dose that must be thinned and slowed: the least volume, the least time, and the rate that follows. The figures
// alone are no approval: strength, speed, what it is made up in and whose it is are looked at.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "infusate/infusate.h"
#include "patient/patient.h"
#include "policy/policy.h"
#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"
#include "verdict/verdict.h"

namespace dwell::dosing {

struct DilutionInput {
  std::string medicine;  ///< an entry of the formulary that has giving limits
  Mass dose;
  std::optional<Volume> volume;                         ///< as made up; absent: the least that policy data allow
  std::optional<Duration> duration;                     ///< as ordered; absent: the least
  bool fluid_restricted = false;                        ///< the stronger limit applies, by order
  bool frail = false;                                   ///< older, or with heart disease: the slower limit
  std::optional<std::string> diluent = std::nullopt;    ///< an entry of the list that it is made up in
  std::optional<bool> in_syringe = std::nullopt;        ///< made up in one syringe; absent: not said
  std::optional<line::Patient> patient = std::nullopt;  ///< whose allergies, age and weight count
  std::optional<Date> today = std::nullopt;             ///< for the age
};
BOOST_DESCRIBE_STRUCT(DilutionInput, (),
                      (medicine, dose, volume, duration, fluid_restricted, frail, diluent, in_syringe, patient, today))

enum class DilutionLook { body_weight, strength, dose, speed, container, diluent, allergy };
BOOST_DESCRIBE_ENUM(DilutionLook, body_weight, strength, dose, speed, container, diluent, allergy)

struct DilutionPlan {
  std::optional<Volume> least_volume;  ///< nothing where no concentration limit is known
  std::optional<Duration> least_time;  ///< nothing where no time limit is known
  std::optional<Flow> flow;            ///< volume / time, when both are known
  std::optional<MassConcentration> concentration;
  std::optional<PushSpeed> rate;
  verdict::Verdict verdict = verdict::Verdict::not_fully_checked;
  std::vector<verdict::LookReport> looks;
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(DilutionPlan, (),
                      (least_volume, least_time, flow, concentration, rate, verdict, looks, findings, workings))

/// least volume = dose / highest concentration;  least time = the longer of dose / highest rate and the shortest time.
/// The highest rate is that of this patient: by weight, and a child's own where the entry has one. A stronger or faster
/// order is a stop, and so is a diluent that the entry forbids; without patient and day nobody looked at allergy and
/// age. Errors: a weight outside 0.3 to 400 kg, a birth date to come, a medicine that the formulary lacks, dose above 0
/// and at most 100 g, volume 1 mL to 5 L, duration 10 s to 48 h. Source: the entry's own; sources.md#giving-limits
[[nodiscard]] Checked<DilutionPlan> dilution(const DilutionInput& input, const infusate::Formulary& formulary,
                                             const policy::Policy& policy);

}  // namespace dwell::dosing
