#pragma once
// Where the next line may go after one has failed: fluid leaks on through the old hole, and a sore vein is sore further
// up. Above the failed site, or better the other limb; never below it.
#include <boost/describe.hpp>
#include <vector>

#include "limb/limb.h"

namespace dwell::access {

enum class Failure { leaked, inflamed, blocked, came_out, other };
BOOST_DESCRIBE_ENUM(Failure, leaked, inflamed, blocked, came_out, other)

/// A site at which a line of this patient failed.
struct FailedSite {
  Site site;
  Failure failure = Failure::other;
  friend bool operator==(const FailedSite&, const FailedSite&) = default;
};
BOOST_DESCRIBE_STRUCT(FailedSite, (), (site, failure))

/// How far along the limb a region lies from its tip; only regions of one limb compare.
[[nodiscard]] int distance_from_tip(Region region);

/// One finding for each failed site on the same limb:
///   below it, or the same region   stop after a leak or an inflammation, else caution
///   above it                       caution after a leak or an inflammation: the other limb is better
/// Another limb: none. Sources: common practice (new site on the other limb or above, away from a leak);
/// sources.md#restart
[[nodiscard]] std::vector<Finding> check_restart(const Site& site, const std::vector<FailedSite>& failed);

/// Two lines in one limb: a cuff or a tourniquet stops both, a leak or a clot of the lower reaches the upper, and two
/// tubings are easily taken for each other. One caution for each other line in the limb of `site`.
/// Source: common practice, no source
[[nodiscard]] std::vector<Finding> check_shared_limb(const Site& site, const std::vector<Site>& others);

}  // namespace dwell::access
