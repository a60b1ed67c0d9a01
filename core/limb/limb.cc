#include "limb/limb.h"

#include <algorithm>

#include "json/codec.h"
#include "say/access.h"
#include "say/common.h"

namespace dwell::access {
namespace {

std::string region_text(Region region) {
  switch (region) {
    case Region::hand_back: return "back of the hand";
    case Region::wrist_back: return "wrist, back";
    case Region::wrist_palmar: return "wrist, palm side";
    case Region::forearm_lower: return "forearm, lower third";
    case Region::forearm_middle: return "forearm, middle third";
    case Region::forearm_upper: return "forearm, upper third";
    case Region::antecubital: return "elbow crease";
    case Region::upper_arm: return "upper arm";
    case Region::foot: return "foot";
    case Region::leg: return "leg";
    case Region::scalp: return "scalp";
  }
  return "site not recorded";
}

/// A wall is not crossed; a fence may be, with a reason.
bool is_wall(RestrictionReason reason) {
  switch (reason) {
    case RestrictionReason::fistula_or_graft:
    case RestrictionReason::thrombosis:
    case RestrictionReason::infection_or_burn:
    case RestrictionReason::patient_refusal: return true;
    default: return false;
  }
}

Source source_of(RestrictionReason reason) {
  switch (reason) {
    case RestrictionReason::node_dissection:
      return {
          "avoidance is taught (INS, value from memory); Ferguson 2016, 3\u202f041 arm measurements, found no link "
          "with "
          "injections: prefer the other arm",
          Mark::memory};
    case RestrictionReason::kidney_vein_saving:
      return {"AVA/ASDIN: expert vascular assessment first below eGFR 60", Mark::secondary};
    default: return {"common practice, no source", Mark::practice};
  }
}

}  // namespace

Limb limb_of(Region region) {
  if (region == Region::scalp) return Limb::head;
  return region == Region::foot || region == Region::leg ? Limb::leg : Limb::arm;
}

Message said_of(const Site& site) {
  if (site.vein.empty()) return say::site(site.side, site.region);
  std::string name = site.vein;
  std::replace(name.begin(), name.end(), ' ', '_');
  const auto known = json::Codec<NamedVein>::from_name(name);
  return say::site_with_vein(site.side, site.region, known ? say::vein_name(*known) : say::symbol(site.vein));
}

std::string describe(const Site& site) {
  const std::string side(json::name_of(site.side));
  return side + " " + region_text(site.region) + (site.vein.empty() ? "" : ", " + site.vein + " vein");
}

std::string describe(RestrictionReason reason) {
  std::string text(json::name_of(reason));
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

std::vector<Finding> check_limb(const Site& site, const std::vector<Restriction>& restrictions) {
  std::vector<Finding> findings;
  for (const auto& r : restrictions) {
    if (r.side != site.side || r.limb != limb_of(site.region)) continue;
    // Veins that a dialysis will need: the back of the hand is a fence, all above it a wall.
    const bool saved = r.reason == RestrictionReason::kidney_vein_saving && site.region != Region::hand_back;
    const bool wall = is_wall(r.reason) || saved;
    const Message why = r.note.empty() ? say::restriction(r.reason) : say::restriction_with_note(r.reason, r.note);
    findings.push_back({wall ? Severity::stop : Severity::caution, "restricted_limb",
                        wall ? say::limb_is_closed(r.side, r.limb, why) : say::limb_is_avoided(r.side, r.limb, why),
                        source_of(r.reason)});
  }
  return findings;
}

}  // namespace dwell::access
