#pragma once
// Where on the body, and why not there. Regions are those a nurse points at; restrictions name their reason, because
// the reason decides whether it is a wall (a fistula arm) or a fence (an arm after node dissection).
#include <boost/describe.hpp>
#include <string>
#include <tuple>
#include <vector>

#include "quantity/figure.h"

namespace dwell::access {

enum class Side { left, right };
BOOST_DESCRIBE_ENUM(Side, left, right)

enum class Region {
  hand_back,
  wrist_back,
  wrist_palmar,
  forearm_lower,
  forearm_middle,
  forearm_upper,
  antecubital,
  upper_arm,
  foot,
  leg,
  scalp
};
BOOST_DESCRIBE_ENUM(Region, hand_back, wrist_back, wrist_palmar, forearm_lower, forearm_middle, forearm_upper,
                    antecubital, upper_arm, foot, leg, scalp)

enum class Limb { arm, leg, head };
BOOST_DESCRIBE_ENUM(Limb, arm, leg, head)

struct Site {
  Side side = Side::left;
  Region region = Region::forearm_middle;
  std::string vein;  ///< "cephalic"; may be empty
  friend bool operator==(const Site&, const Site&) = default;
};
BOOST_DESCRIBE_STRUCT(Site, (), (side, region, vein))
constexpr auto names_in(const Site*) { return std::tuple(&Site::vein); }

enum class RestrictionReason {
  fistula_or_graft,
  node_dissection,
  lymphoedema,
  weak_after_stroke,
  thrombosis,
  infection_or_burn,
  kidney_vein_saving,
  fracture_or_cast,
  patient_refusal,
  other
};
BOOST_DESCRIBE_ENUM(RestrictionReason, fistula_or_graft, node_dissection, lymphoedema, weak_after_stroke, thrombosis,
                    infection_or_burn, kidney_vein_saving, fracture_or_cast, patient_refusal, other)

struct Restriction {
  Side side = Side::left;
  Limb limb = Limb::arm;
  RestrictionReason reason = RestrictionReason::other;
  std::string note;
  friend bool operator==(const Restriction&, const Restriction&) = default;
};
BOOST_DESCRIBE_STRUCT(Restriction, (), (side, limb, reason, note))

/// The veins that anatomy names; what else somebody typed stays their own word.
enum class NamedVein { cephalic, accessory_cephalic, basilic, median, median_cubital, dorsal };
BOOST_DESCRIBE_ENUM(NamedVein, cephalic, accessory_cephalic, basilic, median, median_cubital, dorsal)

[[nodiscard]] Limb limb_of(Region region);
/// A bend of the arm, where movement works the catheter loose. The one list for all rooms.
[[nodiscard]] constexpr bool is_over_joint(Region region) {
  return region == Region::antecubital || region == Region::wrist_back || region == Region::wrist_palmar;
}
/// Little tissue over tendon and nerve: no place for a vesicant.
[[nodiscard]] constexpr bool is_little_tissue(Region region) {
  return region == Region::hand_back || is_over_joint(region);
}
/// "left forearm, middle third, cephalic vein", as a message.
[[nodiscard]] Message said_of(const Site& site);
/// The same in English, for the rooms that still write prose.
[[nodiscard]] std::string describe(const Site& site);
[[nodiscard]] std::string describe(RestrictionReason reason);

/// stop for a fistula or graft, thrombosis, infection, refusal, and above the hand where veins are saved; caution (may
/// be overridden with a reason) for the rest; nothing when the site is free. Source: sources.md#limb-restrictions
[[nodiscard]] std::vector<Finding> check_limb(const Site& site, const std::vector<Restriction>& restrictions);

}  // namespace dwell::access
