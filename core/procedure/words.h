#pragma once
// What the steps of all procedures share: how one is made, and the few that stand in several.
#include <map>
#include <string>
#include <vector>

#include "procedure/steps.h"

namespace dwell::procedure {

inline const Source common_practice{"common practice, no source", Mark::practice};

/// How far the needle goes on in the vein: less with a fine catheter.
enum class Advance { gauge_not_known, fine, other };
BOOST_DESCRIBE_ENUM(Advance, gauge_not_known, fine, other)

[[nodiscard]] Step step(const char* id, Message title, Message detail, Capture capture,
                        Source source = common_practice);
[[nodiscard]] Step because(Step made, Message why);
[[nodiscard]] Step with_clock(Step made, ClockRule rule, Message name, const Figure<Interval>& figure);
[[nodiscard]] Step with_caution(Step made, Message caution);
[[nodiscard]] Step with_stop(Step made, Message stop);

/// Up to three days in hours, as a shift counts: "48 h", not "2 d".
[[nodiscard]] message::Quantity in_hours(Interval interval);

/// Connector and port, before every access; with the ward's clock where it has one.
[[nodiscard]] Step scrub_hub(const policy::Place& place);

template <class T>
[[nodiscard]] std::vector<std::string> keys_of(const std::map<std::string, T>& known) {
  std::vector<std::string> keys;
  keys.reserve(known.size());
  for (const auto& [key, unused] : known) keys.push_back(key);
  return keys;
}

/// What is expected where a name that the policy knows is; stands after "expected:".
[[nodiscard]] Message one_of_those(const std::vector<std::string>& names);

/// The antiseptic of that key, or the ward's usual one where none is named. Error: one that the policy does not know.
[[nodiscard]] Checked<const policy::Antiseptic*> antiseptic_of(const std::string& key, const policy::Place& place);

/// Those of the patient's allergies that speak of one of these names, as they were charted.
[[nodiscard]] std::vector<std::string> allergies_to(const std::vector<std::string>& names,
                                                    const line::Patient& patient);

/// Names as somebody gave them, for the arguments of a message.
[[nodiscard]] std::vector<Message> as_given(const std::vector<std::string>& names);

}  // namespace dwell::procedure
