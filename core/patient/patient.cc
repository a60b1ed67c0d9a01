#include "patient/patient.h"

namespace dwell::line {

AgeBand age_band(const Patient& patient, Date today) {
  if (!patient.birth_date || !patient.birth_date->ok()) return AgeBand::unknown;
  const Date birth = *patient.birth_date;
  const auto days = std::chrono::sys_days(today) - std::chrono::sys_days(birth);
  if (days < neonate_below) return AgeBand::neonate;
  const int years = age_in_years(birth, today);
  if (std::chrono::years{years} < infant_below) return AgeBand::infant;
  if (std::chrono::years{years} < child_below) return AgeBand::child;
  return years < 65 ? AgeBand::adult : AgeBand::older_adult;
}

std::string display_name(const Patient& patient) {
  if (patient.family.empty() && patient.given.empty()) return "name not recorded";
  if (patient.given.empty()) return patient.family;
  return patient.family + ", " + patient.given;
}

}  // namespace dwell::line
