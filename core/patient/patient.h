#pragma once
// What about the patient matters to a peripheral line, today.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

#include "limb/limb.h"
#include "quantity/quantity.h"
#include "quantity/time.h"

namespace dwell::line {

enum class Sex { female, male, other, unknown };
BOOST_DESCRIBE_ENUM(Sex, female, male, other, unknown)

struct Patient {
  std::string number;  ///< record number
  std::string family;
  std::string given;
  std::optional<Date> birth_date;
  Sex sex = Sex::unknown;
  std::optional<BodyWeight> weight;
  std::vector<std::string> allergies;  ///< empty with allergies_known: none known
  bool allergies_known = false;
  std::optional<bool> anticoagulant;  ///< unknown until asked
  std::optional<bool> fragile_skin;
  std::optional<bool> can_report_pain;  ///< sedated, confused or preverbal: no
  std::optional<bool> heart_or_kidney_failure;
  std::optional<access::Side> dominant_hand;
  std::vector<access::Restriction> restrictions;
  std::optional<int> weeks_at_birth = std::nullopt;  ///< of pregnancy, completed; matters to a newborn's skin
  friend bool operator==(const Patient&, const Patient&) = default;
};
BOOST_DESCRIBE_STRUCT(Patient, (),
                      (number, family, given, birth_date, sex, weight, allergies, allergies_known, anticoagulant,
                       fragile_skin, can_report_pain, heart_or_kidney_failure, dominant_hand, restrictions,
                       weeks_at_birth))
constexpr auto names_in(const Patient*) {
  return std::tuple(&Patient::number, &Patient::family, &Patient::given, &Patient::allergies);
}

/// Age bands that change the rules. Bounds are policy-free facts of the trade: see age_band().
enum class AgeBand { neonate, infant, child, adult, older_adult, unknown };
BOOST_DESCRIBE_ENUM(AgeBand, neonate, infant, child, adult, older_adult, unknown)

/// neonate below 28 days, infant below 1 year, child below 16 years, older adult from 65 years (common practice, no
/// source). Unknown birth date gives unknown.
[[nodiscard]] AgeBand age_band(const Patient& patient, Date today);

/// Where the bands end; each room that needs one takes it from here.
constexpr std::chrono::days neonate_below{28};
constexpr std::chrono::years infant_below{1}, child_below{16};

/// Newborn, infant or child: whoever cannot be counted on to say that it hurts. The one rule for all rooms.
[[nodiscard]] constexpr bool is_child(AgeBand band) {
  return band == AgeBand::neonate || band == AgeBand::infant || band == AgeBand::child;
}

/// "FAMILY, Given"
[[nodiscard]] std::string display_name(const Patient& patient);

}  // namespace dwell::line
