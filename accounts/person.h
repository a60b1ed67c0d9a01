#pragma once
// Who may be let in, as what, and to which wards.
#include <boost/describe.hpp>
#include <string>
#include <vector>

#include "json/codec.h"
#include "quantity/checked.h"

namespace dwell::accounts {

/// What somebody may do follows from this and her wards alone (server/route_table.cc says which request is whose).
enum class Role {
  nurse,            ///< charts under her own name on her wards
  charge_nurse,     ///< the same, and shares out lines among others
  educator,         ///< the same as a nurse, and sees by whom lines were placed
  quality_analyst,  ///< sees how lines last and why they fail, of nobody by name
  policy_owner,     ///< changes the policy; sees no patient
  administrator,    ///< makes accounts; sees no patient
};
BOOST_DESCRIBE_ENUM(Role, nurse, charge_nurse, educator, quality_analyst, policy_owner, administrator)

/// What an administrator says of a person.
struct Person {
  std::string id;        ///< empty: a new one
  std::string sign_in;   ///< what she types to come in: small letters, digits, . _ -
  std::string name;      ///< as it stands beside her entries; nobody else has it
  std::string initials;  ///< as the ward knows her
  Role role = Role::nurse;
  std::vector<std::string> wards;
  bool active = true;
};
BOOST_DESCRIBE_STRUCT(Person, (), (id, sign_in, name, initials, role, wards, active))

/// Does this role look after patients?
[[nodiscard]] constexpr bool is_clinical(Role role) {
  return role == Role::nurse || role == Role::charge_nurse || role == Role::educator;
}

/// As it is compared and kept: small letters, without blanks around.
[[nodiscard]] std::string normal_sign_in(std::string_view typed);
/// All that is wrong with what was said of a person.
[[nodiscard]] FieldErrors check(const Person& person);

}  // namespace dwell::accounts
