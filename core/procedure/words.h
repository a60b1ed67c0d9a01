#pragma once
// What the steps of all procedures share: how one is made, and the few that stand in several.
#include <string>
#include <vector>

#include "procedure/steps.h"

namespace dwell::procedure {

inline const Source common_practice{"common practice, no source", Mark::practice};

[[nodiscard]] Step step(const char* id, const char* title, std::string detail, Capture capture,
                        Source source = common_practice);
[[nodiscard]] Step because(Step made, std::string why);
[[nodiscard]] Step with_clock(Step made, ClockRule rule, const char* name, const Figure<Interval>& figure);
[[nodiscard]] Step with_caution(Step made, std::string caution);
[[nodiscard]] Step with_stop(Step made, std::string stop);

/// Up to three days in hours, as a shift counts: "48 h", not "2 d".
[[nodiscard]] std::string in_hours(Interval interval);

/// Connector and port, before every access; with the ward's clock where it has one.
[[nodiscard]] Step scrub_hub(const policy::Place& place);

/// Those of the patient's allergies that speak of one of these names, as they were charted.
[[nodiscard]] std::vector<std::string> allergies_to(const std::vector<std::string>& names,
                                                    const line::Patient& patient);

/// "one, two, three"
[[nodiscard]] std::string listed(const std::vector<std::string>& words);

}  // namespace dwell::procedure
