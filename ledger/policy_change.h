#pragma once
// A policy that somebody put into force, as the record keeps it.
#include <optional>
#include <string>
#include <tuple>

#include "json/codec.h"
#include "ledger/ledger.h"
#include "policy/policy_codec.h"

namespace dwell::ledger {

struct PolicyChange {
  std::string id;
  policy::Policy policy;
  std::string who, reason;
  /// The paper in force when the change was made, empty when it was the ward's own file; absent: not looked at.
  std::optional<std::string> after;
};
BOOST_DESCRIBE_STRUCT(PolicyChange, (), (id, policy, who, reason, after))
constexpr auto names_in(const PolicyChange*) {
  return std::tuple(&PolicyChange::id, &PolicyChange::who, &PolicyChange::after);
}

/// What is wrong with the words of a change that comes in, by the rules of text/text_rule.h. Changes that were kept
/// earlier are read as they are.
[[nodiscard]] FieldErrors check_words(const PolicyChange& change);

/// Errors: what policy::check finds, under "/policy"; an id that is none; nobody's name; no reason.
[[nodiscard]] FieldErrors faults_of(const PolicyChange& change);

/// One that was kept. It was without faults by the rules of its day, and stays in force when the rules grow stricter.
[[nodiscard]] Checked<PolicyChange> read_policy_change(const std::string& json);
/// One that comes in: refuses text that is no policy change, or one with faults.
[[nodiscard]] Checked<PolicyChange> new_policy_change(const std::string& json);
[[nodiscard]] Checked<PolicyChange> new_policy_change(const json::Value& read);

/// The policy last put into force of those that this program can read; nothing when the ward's own file counts.
[[nodiscard]] std::optional<PolicyChange> policy_in_force(Ledger& ledger);

}  // namespace dwell::ledger
