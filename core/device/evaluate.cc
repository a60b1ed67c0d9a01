#include "device/evaluate.h"

#include <algorithm>
#include <array>
#include <boost/math/special_functions/erf.hpp>
#include <cmath>
#include <numbers>

#include "access/region_rules.h"
#include "device/line_of.h"
#include "vessel/fit.h"

namespace dwell::device {
namespace {

constexpr Temperature ward_temperature{22};

// What a fluid is taken for where nothing of it is known: a dilute salt. Its band is then as wide as fluids differ,
// from water to contrast, twenty times as thick.
constexpr double salt_relative_viscosity = 1.02;
const Density salt_density = 1004.6 * kilogram_per_cubic_metre;
constexpr double unknown_viscosity_spread = 1.82;  // ln 20 / 1.645: nine of ten

/// The mixture: logarithms of viscosity, and densities, weighted by volume.
void set_fluid(const infusate::Mixture& mixture, const infusate::Formulary& formulary, Setting& setting) {
  const auto parts = infusate::parts_of(mixture, formulary);
  Volume all;
  double logarithm = 0;
  Density density;
  for (const auto& part : parts) all += part.volume;
  for (const auto& part : parts) {
    const double share = double(part.volume / all);
    const bool known = part.infusate && part.infusate->relative_viscosity;
    if (!known) setting.without_viscosity.push_back(part.name);
    logarithm += share * std::log(known ? *part.infusate->relative_viscosity : salt_relative_viscosity);
    density += share * (part.infusate ? part.infusate->density.value_or(salt_density) : salt_density);
  }
  setting.fluid = flow::aqueous(std::exp(logarithm), density, ward_temperature);
}

flow::Standing standing_of(const Setting& setting) {
  flow::Standing standing;
  standing.fluid = setting.fluid;
  standing.bag_height = setting.bag_height;
  if (!setting.without_viscosity.empty()) standing.viscosity_spread = unknown_viscosity_spread;
  return standing;
}

bool any_stop(const std::vector<Finding>& findings) {
  return std::any_of(findings.begin(), findings.end(), [](const Finding& f) { return f.severity == Severity::stop; });
}

Limit vein_limit(const Vein& vein, const Case& nursing_case, line::AgeBand band) {
  if (any_stop(access::check_limb(vein.site, nursing_case.patient.restrictions))) return Limit::restricted_limb;
  if (any_stop(access::check_region(vein.site, band))) return Limit::region_for_age;
  if (any_stop(access::check_restart(vein.site, nursing_case.failed_sites))) return Limit::failed_site;
  if (std::any_of(vein.faults.begin(), vein.faults.end(), [](VeinFault f) { return f != VeinFault::at_joint; }))
    return Limit::vein_fault;
  if (vein.site.region == access::Region::wrist_palmar) return Limit::palmar_wrist;
  return Limit::none;
}

bool side_is_free(const Vein& vein, const line::Patient& patient) {
  if (patient.dominant_hand && *patient.dominant_hand == vein.site.side) return false;
  return access::check_limb(vein.site, patient.restrictions).empty();
}

double clamp01(double x) { return std::clamp(x, 0.0, 1.0); }

double gauge_rank(Gauge gauge, const std::vector<Gauge>* preferred) {
  if (!preferred) return 0.5;
  const auto at = std::find(preferred->begin(), preferred->end(), gauge);
  if (at == preferred->end()) return 0;
  return 1.0 - static_cast<double>(at - preferred->begin()) / static_cast<double>(preferred->size());
}

Limit pair_limit(const Pair& pair, const Catheter& catheter, const Vein& vein, const policy::Vessel& vessel,
                 const Setting& setting) {
  if (pair.ratio > vessel.highest_ratio.value) return Limit::vein_share;
  if (pair.share_in_vein < vessel.least_share_in_vein.value) return Limit::share_in_vein;
  if (vein.straight_length && *vein.straight_length < catheter.length * static_cast<double>(pair.share_in_vein))
    return Limit::straight_length;
  if (setting.gravity && pair.open_flow < setting.needed_flow) return Limit::flow;
  return Limit::none;
}

double ratio_criterion(Ratio ratio, const policy::Vessel& vessel) {
  return clamp01((vessel.highest_ratio.value - ratio) / (vessel.highest_ratio.value - vessel.good_ratio.value));
}

Criteria criteria_of(const Pair& pair, const Catheter& catheter, const Vein& vein, const policy::Policy& policy,
                     const Setting& setting) {
  const auto& vessel = policy.vessel;
  Criteria c;
  c.gauge = gauge_rank(catheter.gauge, setting.preferred);
  const auto region = policy.choice.region_preference.find(vein.site.region);
  c.region = region == policy.choice.region_preference.end() ? 0 : region->second.value;
  c.ratio = ratio_criterion(pair.ratio, vessel);
  c.share = clamp01(pair.share_in_vein / vessel.target_share_in_vein.value);
  c.flow = setting.needed_flow.value() > 0 ? clamp01(pair.open_flow / setting.needed_flow - 1.0) : 1;
  c.side = setting.side_free[pair.vein] ? 1 : 0;
  return c;
}

double weighted(const Criteria& c, const policy::Choice& w) {
  const double sum = w.weight_gauge.value + w.weight_region.value + w.weight_ratio.value + w.weight_share.value +
                     w.weight_flow.value + w.weight_side.value;
  return (c.gauge * w.weight_gauge.value + c.region * w.weight_region.value + c.ratio * w.weight_ratio.value +
          c.share * w.weight_share.value + c.flow * w.weight_flow.value + c.side * w.weight_side.value) /
         sum;
}

/// At least as good in everything and better in something.
bool dominates(const Criteria& a, const Criteria& b) {
  const std::array x{a.gauge, a.region, a.ratio, a.share, a.flow, a.side};
  const std::array y{b.gauge, b.region, b.ratio, b.share, b.flow, b.side};
  bool better = false;
  for (std::size_t i = 0; i < x.size(); ++i) {
    if (x[i] < y[i]) return false;
    better = better || x[i] > y[i];
  }
  return better;
}

void mark_pareto_front(std::vector<Pair>& pairs) {
  std::vector<Pair*> front;
  std::vector<Pair*> feasible;
  for (auto& pair : pairs)
    if (pair.broken == Limit::none) feasible.push_back(&pair);
  // A pair can only be dominated by one of at least its score, so the front grows from the best score down.
  std::sort(feasible.begin(), feasible.end(), [](const Pair* a, const Pair* b) { return a->score > b->score; });
  for (auto* pair : feasible) {
    pair->pareto_best = std::none_of(front.begin(), front.end(),
                                     [&](const Pair* best) { return dominates(best->criteria, pair->criteria); });
    if (pair->pareto_best) front.push_back(pair);
  }
}

constexpr std::size_t slices = 21;

/// Middles of 21 equally likely slices of the standard normal distribution.
const std::array<double, slices>& normal_slices() {
  static const auto middles = [] {
    std::array<double, slices> z{};
    for (std::size_t i = 0; i < slices; ++i)
      z[i] = std::numbers::sqrt2 * boost::math::erf_inv((2.0 * static_cast<double>(i) + 1) / slices - 1);
    return z;
  }();
  return middles;
}

}  // namespace

DiameterBelief diameter_belief(const Vein& vein, const policy::Choice& choice) {
  const bool seen = vein.diameter_from == access::DiameterFrom::ultrasound;
  const Length error = seen ? choice.diameter_error_ultrasound.value : choice.diameter_error_by_eye.value;
  const auto usual = choice.vein_sizes.find(vein.site.region);
  if (usual == choice.vein_sizes.end()) return {vein.diameter, error};
  const auto precision = [](Length spread) { return 1.0 / (spread * spread); };
  const auto prior = precision(usual->second.spread.value), own = precision(error);
  return {(usual->second.mean.value * prior + vein.diameter * own) / (prior + own),
          Length::from_value(1.0 / std::sqrt((prior + own).value()))};
}

Ratio probability_at_least(const DiameterBelief& belief, Diameter least) {
  return 0.5 * std::erfc(double((least - belief.mean) / belief.spread) / std::numbers::sqrt2);
}

Ratio probability_first(const Pair& first, const Case& nursing_case, const Catalogue& catalogue,
                        const policy::Policy& policy, const Setting& setting, const std::vector<Pair>& pairs) {
  const DiameterBelief belief = diameter_belief(nursing_case.veins[first.vein], policy.choice);
  // Only the share of the vein moves with the diameter: everything else of a pair's score is worked out once.
  struct Rival {
    Diameter outer;
    double rest;
    bool is_first;
  };
  const auto& w = policy.choice;
  const double sum = w.weight_gauge.value + w.weight_region.value + w.weight_ratio.value + w.weight_share.value +
                     w.weight_flow.value + w.weight_side.value;
  std::vector<Rival> rivals;
  for (const auto& pair : pairs) {
    if (pair.vein != first.vein || (pair.broken != Limit::none && pair.broken != Limit::vein_share)) continue;
    Criteria c = criteria_of(pair, catalogue[pair.catheter], nursing_case.veins[pair.vein], policy, setting);
    c.ratio = 0;
    rivals.push_back({catalogue[pair.catheter].outer, weighted(c, w), pair.catheter == first.catheter});
  }
  int wins = 0;
  for (const double z : normal_slices()) {
    const Diameter diameter = std::max(Diameter(belief.mean + z * belief.spread), 0.3 * millimetre);
    double best = -1, own = -1;
    for (const auto& rival : rivals) {
      const Ratio ratio = rival.outer / diameter;
      if (ratio > policy.vessel.highest_ratio.value) continue;
      const double score = rival.rest + w.weight_ratio.value / sum * ratio_criterion(ratio, policy.vessel);
      (rival.is_first ? own : best) = std::max(rival.is_first ? own : best, score);
    }
    if (own >= 0 && own >= best) ++wins;
  }
  return Ratio(static_cast<double>(wins) / slices);
}

flow::FlowBand open_band(const Catheter& catheter, const policy::Gravity& gravity, const Setting& setting) {
  return flow::expected(open_line_of(catheter, gravity), standing_of(setting));
}

Setting setting_of(const Case& nursing_case, const Catalogue& catalogue, const infusate::Formulary& formulary,
                   const policy::Policy& policy, Flow needed_flow) {
  const auto band = line::age_band(nursing_case.patient, utc_date(nursing_case.now));
  Setting setting;
  setting.needed_flow = needed_flow;
  setting.bag_height = nursing_case.bag_height.value_or(policy.gravity.bag_height.value);
  setting.gravity = nursing_case.order.drop_factor.has_value();
  setting.angle_degrees = band == line::AgeBand::older_adult ? policy.vessel.insertion_angle_degrees_older.value
                                                             : policy.vessel.insertion_angle_degrees.value;
  const bool large_bore =
      nursing_case.surgery_expected || nursing_case.blood_expected || nursing_case.rapid_fluids_expected;
  if (large_bore && policy.choice.preferred_gauges_large_bore)
    setting.preferred = &policy.choice.preferred_gauges_large_bore->value;
  else if (const auto found = policy.choice.preferred_gauges.find(band); found != policy.choice.preferred_gauges.end())
    setting.preferred = &found->second.value;
  set_fluid(nursing_case.order.mixture, formulary, setting);
  for (const auto& catheter : catalogue)
    setting.open_flows.push_back(flow::flow_at(open_line_of(catheter, policy.gravity), standing_of(setting)));
  for (const auto& vein : nursing_case.veins) {
    setting.vein_limits.push_back(vein_limit(vein, nursing_case, band));
    setting.side_free.push_back(side_is_free(vein, nursing_case.patient));
  }
  return setting;
}

std::vector<Pair> evaluate(const Case& nursing_case, const Catalogue& catalogue, const policy::Policy& policy,
                           const Setting& setting) {
  std::vector<Pair> pairs;
  pairs.reserve(catalogue.size() * nursing_case.veins.size());
  for (std::size_t v = 0; v < nursing_case.veins.size(); ++v) {
    if (setting.vein_limits[v] != Limit::none) continue;
    const Vein& vein = nursing_case.veins[v];
    for (std::size_t c = 0; c < catalogue.size(); ++c) {
      const Catheter& catheter = catalogue[c];
      Pair pair;
      pair.catheter = c;
      pair.vein = v;
      pair.ratio = vessel::catheter_to_vein_ratio(catheter.outer, vein.diameter);
      pair.share_in_vein =
          vessel::share_in_vein(catheter.length, vein.depth, setting.angle_degrees, policy.vessel.exposed_length.value);
      pair.open_flow = setting.open_flows[c];
      pair.broken = pair_limit(pair, catheter, vein, policy.vessel, setting);
      if (pair.broken == Limit::none) {
        pair.criteria = criteria_of(pair, catheter, vein, policy, setting);
        pair.score = weighted(pair.criteria, policy.choice);
      }
      pairs.push_back(pair);
    }
  }
  mark_pareto_front(pairs);
  return pairs;
}

}  // namespace dwell::device
