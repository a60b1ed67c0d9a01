#include "ledger/policy_change.h"

#include <stdexcept>

#include "say/record.h"
#include "text/each_text.h"

namespace dwell::ledger {

FieldErrors faults_of(const PolicyChange& change) {
  FieldErrors errors;
  for (auto& e : policy::check(change.policy)) errors.push_back({"/policy" + e.path, e.found, e.expected});
  if (!line::is_id(change.id)) errors.push_back({"/id", change.id, say::id_as_entries_have()});
  if (change.who.empty()) errors.push_back({"/who", "", say::who_puts_it_into_force()});
  if (change.reason.empty()) errors.push_back({"/reason", "", say::why_the_policy_changes()});
  return errors;
}

FieldErrors check_words(const PolicyChange& change) {
  FieldErrors errors;
  text::check_texts("", change, errors);
  return errors;
}

Checked<PolicyChange> read_policy_change(const std::string& json) {
  return json::parse_text(json).and_then([](const json::Value& value) { return json::decode<PolicyChange>(value); });
}

Checked<PolicyChange> new_policy_change(const std::string& json) {
  return json::parse_text(json).and_then([](const json::Value& read) { return new_policy_change(read); });
}

Checked<PolicyChange> new_policy_change(const json::Value& read) {
  auto change = json::decode<PolicyChange>(read);
  if (!change) return change;
  if (auto errors = faults_of(*change); !errors.empty()) return refuse(std::move(errors));
  return change;
}

std::optional<PolicyChange> policy_in_force(Ledger& ledger) {
  const auto last = ledger.last_paper(policy_paper);
  if (!last) return std::nullopt;
  auto change = read_policy_change(last->json);
  if (!change) throw std::logic_error("a policy was read and cannot be read");
  return std::move(*change);
}

}  // namespace dwell::ledger
