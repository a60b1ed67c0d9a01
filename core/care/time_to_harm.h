#pragma once
// How much would be under the skin by the next look, were the catheter to slip out of the vein now, and when the next
// look is better had. A leak is found by looking: what it may do until then follows from rate and time.
#include <boost/describe.hpp>
#include <map>
#include <optional>
#include <vector>

#include "infusate/infusate.h"
#include "line/state.h"
#include "policy/policy.h"
#include "site/grade.h"

namespace dwell::care {

struct TimeToHarm {
  Interval every{};                 ///< between two looks, by policy
  Volume by_next_look;              ///< at most: rate × every
  std::optional<Volume> allowance;  ///< the ward's; absent: it names none that applies
  Interval look_within{};           ///< never longer than `every`
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(TimeToHarm, (), (every, by_next_look, allowance, look_within, findings, workings))

using LeakAllowances = std::map<policy::LeakOf, Figure<Volume>>;

/// How much the ward allows under the skin: the least of all allowances that apply. An allowance for what harms less,
/// for more tissue or for adults applies also where it is worse, so that a row that is missing makes nothing milder;
/// what is not known is taken for the worse. Nothing when none applies. An allowance is no safe volume.
[[nodiscard]] std::optional<Figure<Volume>> leak_allowance(const site::Exposure& exposure,
                                                           const LeakAllowances& allowances);

/// by_next_look = rate × every
/// look_within  = the shorter of every and allowance / rate
///
/// Nothing when nothing runs. The rate is what runs now: what leaks beside it, or under the skin already, is not in it.
[[nodiscard]] std::optional<TimeToHarm> time_to_harm(const site::Exposure& exposure, const Figure<Interval>& every,
                                                     const LeakAllowances& allowances);

/// Of a dwelling line, with the interval that its site check follows (due.h).
[[nodiscard]] std::optional<TimeToHarm> time_to_harm(const line::State& state, const policy::Policy& policy,
                                                     const infusate::Formulary& formulary, Instant now);

}  // namespace dwell::care
