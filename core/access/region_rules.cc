#include "access/region_rules.h"

#include "quantity/display.h"
#include "say/access.h"

namespace dwell::access {
namespace {

using line::AgeBand;

const Source& cdc() {
  static const Source source{"CDC 2011: upper limb in adults; arm, leg, or scalp in the newborn and young infant",
                             Mark::read};
  return source;
}

bool is_arm(const Site& site) { return limb_of(site.region) == Limb::arm; }

/// In mL/min, as laboratories write it.
message::Quantity shown_filtration(Flow filtration) {
  return shown_quantity(QuantityKind::clearance, filtration.value());
}

bool is_cephalic(const Site& site) { return site.vein.find("cephalic") != std::string::npos; }

}  // namespace

std::vector<Finding> check_region(const Site& site, AgeBand band) {
  const bool grown = band == AgeBand::adult || band == AgeBand::older_adult || band == AgeBand::unknown;
  const Limb limb = limb_of(site.region);
  std::vector<Finding> findings;
  if (limb == Limb::head && band != AgeBand::neonate && band != AgeBand::infant)
    findings.push_back({Severity::stop, "region_for_age", say::scalp_for_newborns_only(), cdc()});
  if (limb == Limb::leg && grown)
    findings.push_back({Severity::caution, "region_for_age", say::leg_line_in_adult(), cdc()});
  if (limb == Limb::leg && band == AgeBand::child)
    findings.push_back({Severity::caution,
                        "region_for_age",
                        say::leg_line_before_walking_only(),
                        {"value from memory", Mark::memory}});
  return findings;
}

Checked<VeinSaving> vein_saving(const VeinSavingInput& in, const policy::Access& policy) {
  const auto& limit = policy.vein_saving_filtration;
  const auto filtration = in.filtration_for_1_73_m2;
  constexpr Flow per_minute = 1.0 * millilitre / minute;
  if (filtration && !(*filtration >= Flow() && *filtration <= 250.0 * per_minute))
    return refuse("/filtration_for_1_73_m2", show_in(*filtration, per_minute, "mL/min"),
                  say::filtration_from_to(shown_filtration(Flow()), shown_filtration(250.0 * per_minute),
                                          shown_quantity(QuantityKind::body_surface, 1.73)));
  VeinSaving out;
  out.saves_veins = in.kidney_disease || (filtration && *filtration < limit.value);
  if (!filtration && !in.kidney_disease)
    out.findings.push_back({Severity::information,
                            "filtration_unknown",
                            say::kidney_function_unknown(),
                            {"unknown is not safe", Mark::practice}});
  if (!out.saves_veins || !is_arm(in.site)) return out;
  out.findings.push_back({Severity::caution, "vein_saving",
                          filtration && *filtration < limit.value
                              ? say::kidney_function_saves_veins(shown_filtration(limit.value))
                              : say::kidney_disease_saves_veins(),
                          source_of(limit)});
  // Stages 4 and 5: a vein that is spoiled now is a dialysis that fails later.
  if (const auto& stop = policy.vein_saving_stop;
      stop && filtration && *filtration < stop->value && in.site.region != Region::hand_back)
    out.findings.push_back({Severity::stop, "vein_saving_arm",
                            say::no_arm_vein_above_hand(shown_filtration(stop->value)), source_of(*stop)});
  if (in.site.region != Region::hand_back)
    out.findings.push_back({Severity::caution,
                            "vein_saving_hand",
                            say::hand_before_forearm(),
                            {"KDOQI 2006: dorsum of the hand preferred", Mark::read}});
  if (is_cephalic(in.site) && in.dominant_hand && in.site.side != *in.dominant_hand)
    out.findings.push_back({Severity::stop,
                            "vein_saving_cephalic",
                            say::spare_cephalic(),
                            {"KDOQI 2000 as a patient forum quotes it", Mark::secondary}});
  return out;
}

}  // namespace dwell::access
