#pragma once
// A vein as the nurse assessed it: how wide, how deep, how it looks and feels, and what is wrong with it.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

#include "json/codec.h"
#include "limb/limb.h"
#include "quantity/quantity.h"

namespace dwell::access {

enum class VeinFault {
  bruised,
  inflamed,
  hard_or_corded,
  infiltrated,
  infected_skin,
  over_valve,
  below_failed_site,
  at_joint
};
BOOST_DESCRIBE_ENUM(VeinFault, bruised, inflamed, hard_or_corded, infiltrated, infected_skin, over_valve,
                    below_failed_site, at_joint)

/// How the diameter was come by. Absent: taken as by eye.
enum class DiameterFrom { ultrasound, by_eye };
BOOST_DESCRIBE_ENUM(DiameterFrom, ultrasound, by_eye)

struct Vein {
  std::string id;
  Site site;
  Diameter diameter;  ///< without tourniquet
  std::optional<DiameterFrom> diameter_from;
  Length depth;  ///< to the near wall
  std::optional<Length> straight_length;
  bool visible = false;
  bool palpable = false;
  bool fragile = false;
  std::vector<VeinFault> faults;
  friend bool operator==(const Vein&, const Vein&) = default;
};
BOOST_DESCRIBE_STRUCT(Vein, (),
                      (id, site, diameter, diameter_from, depth, straight_length, visible, palpable, fragile, faults))
constexpr auto names_in(const Vein*) { return std::tuple(&Vein::id); }

}  // namespace dwell::access
