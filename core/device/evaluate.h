#pragma once
// One catheter in one vein, in numbers only: the hard limits and the six criteria of the ranking. Words come later, and
// only for the pairs that are shown.
#include <optional>
#include <vector>

#include "device/plan.h"
#include "flow/open_line.h"

namespace dwell::device {

/// Why a pair or a vein is out. The order is the order of telling.
enum class Limit {
  none,
  restricted_limb,
  region_for_age,
  failed_site,
  vein_fault,
  palmar_wrist,
  vein_share,
  share_in_vein,
  straight_length,
  flow
};

/// Each from 0 (worst) to 1 (best).
struct Criteria {
  double gauge = 0, region = 0, ratio = 0, share = 0, flow = 0, side = 0;
};

/// What is believed of a vein's diameter: the assessment, drawn towards what is usual for the region by as much as the
/// assessment may err (the normal posterior of a normal prior):
///   mean = (m / s^2 + d / e^2) / (1 / s^2 + 1 / e^2),   spread^2 = 1 / (1 / s^2 + 1 / e^2)
/// d assessed, e its standard error, m and s the region's published mean and spread. A region without figures: mean d,
/// spread e.
struct DiameterBelief {
  Diameter mean, spread;
};
[[nodiscard]] DiameterBelief diameter_belief(const Vein& vein, const policy::Choice& choice);
/// How likely the vein is at least so wide, 0 to 1.
[[nodiscard]] Ratio probability_at_least(const DiameterBelief& belief, Diameter least);

struct Pair {
  std::size_t catheter = 0, vein = 0;  ///< indices into catalogue and case
  Limit broken = Limit::none;
  Ratio ratio, share_in_vein;
  Flow open_flow;
  Criteria criteria;
  double score = 0;
  bool pareto_best = false;
};

/// What does not depend on the pair.
struct Setting {
  Flow needed_flow;
  bool gravity = false;
  flow::Fluid fluid;                           ///< that runs, at the ward's temperature, as far as its parts are known
  std::vector<std::string> without_viscosity;  ///< parts; then the band of flow is as wide as fluids differ
  Length bag_height;
  double angle_degrees = 20;
  const std::vector<Gauge>* preferred = nullptr;  ///< best first; null when the policy names none for this age
  std::vector<Flow> open_flows;                   ///< by catheter
  std::vector<Limit> vein_limits;                 ///< by vein
  std::vector<bool> side_free;                    ///< by vein: not the dominant arm, no caution on the limb
};

[[nodiscard]] Setting setting_of(const Case& nursing_case, const Catalogue& catalogue,
                                 const infusate::Formulary& formulary, const policy::Policy& policy, Flow needed_flow);

/// What the open gravity line through this catheter gives at the bedside, with its band.
[[nodiscard]] flow::FlowBand open_band(const Catheter& catheter, const policy::Gravity& gravity,
                                       const Setting& setting);

/// All pairs; the feasible ones scored and the Pareto front among them marked.
[[nodiscard]] std::vector<Pair> evaluate(const Case& nursing_case, const Catalogue& catalogue,
                                         const policy::Policy& policy, const Setting& setting);

/// How likely the pair would still come first among the catheters for its vein if the true diameter were known: the
/// share of the belief's equal slices in which no other catheter scores higher.
[[nodiscard]] Ratio probability_first(const Pair& first, const Case& nursing_case, const Catalogue& catalogue,
                                      const policy::Policy& policy, const Setting& setting,
                                      const std::vector<Pair>& pairs);

}  // namespace dwell::device
