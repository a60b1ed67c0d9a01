#include "line/patient.h"

namespace dwell::line {

AgeBand age_band(const Patient& patient, Date today) {
  if (!patient.birth_date || !patient.birth_date->ok()) return AgeBand::unknown;
  const Date birth = *patient.birth_date;
  const auto days = std::chrono::sys_days(today) - std::chrono::sys_days(birth);
  if (days < std::chrono::days(28)) return AgeBand::neonate;
  const int years = age_in_years(birth, today);
  if (years < 1) return AgeBand::infant;
  if (years < 16) return AgeBand::child;
  return years < 65 ? AgeBand::adult : AgeBand::older_adult;
}

std::string display_name(const Patient& patient) {
  if (patient.family.empty() && patient.given.empty()) return "name not recorded";
  if (patient.given.empty()) return patient.family;
  return patient.family + ", " + patient.given;
}

}  // namespace dwell::line
