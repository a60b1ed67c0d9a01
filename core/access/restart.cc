#include "access/restart.h"

#include "say/access.h"

namespace dwell::access {
int distance_from_tip(Region region) {
  switch (region) {
    case Region::hand_back: return 0;
    case Region::wrist_back:
    case Region::wrist_palmar: return 1;
    case Region::forearm_lower: return 2;
    case Region::forearm_middle: return 3;
    case Region::forearm_upper: return 4;
    case Region::antecubital: return 5;
    case Region::upper_arm: return 6;
    case Region::foot: return 0;
    case Region::leg: return 1;
    case Region::scalp: return 0;
  }
  return 0;
}

std::vector<Finding> check_restart(const Site& site, const std::vector<FailedSite>& failed) {
  std::vector<Finding> findings;
  for (const auto& [before, failure] : failed) {
    if (before.side != site.side || limb_of(before.region) != limb_of(site.region)) continue;
    const bool harmed = failure == Failure::leaked || failure == Failure::inflamed;
    const bool above = distance_from_tip(site.region) > distance_from_tip(before.region);
    const Source source{
        "new site on the other limb or above: common practice; the same said in the scales' advice from memory",
        Mark::practice};
    if (above && harmed)
      findings.push_back({Severity::caution, "above_failed_site", say::above_failed_site(failure), source});
    else if (!above)
      findings.push_back({harmed ? Severity::stop : Severity::caution, "below_failed_site",
                          before.region == site.region ? say::at_failed_site(failure) : say::below_failed_site(failure),
                          source});
  }
  return findings;
}

std::vector<Finding> check_shared_limb(const Site& site, const std::vector<Site>& others) {
  std::vector<Finding> findings;
  for (const auto& other : others)
    if (other.side == site.side && limb_of(other.region) == limb_of(site.region))
      findings.push_back({Severity::caution,
                          "shared_limb",
                          say::line_in_same_limb(said_of(other)),
                          {"common practice, no source", Mark::practice}});
  return findings;
}

}  // namespace dwell::access
