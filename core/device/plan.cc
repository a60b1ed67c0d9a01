#include "device/plan.h"

#include <algorithm>
#include <map>

#include "access/region_rules.h"
#include "device/evaluate.h"
#include "device/line_of.h"
#include "quantity/display.h"
#include "quantity/shown_in.h"
#include "say/access.h"
#include "say/common.h"
#include "say/device.h"
#include "say/flow.h"
#include "say/quantity.h"
#include "say/vessel.h"
#include "vessel/fit.h"

namespace dwell::device {
namespace {

struct Context {
  const Case& nursing_case;
  const Catalogue& catalogue;
  const policy::Policy& policy;
  const Setting& setting;
  [[nodiscard]] const Catheter& catheter(const Pair& pair) const { return catalogue[pair.catheter]; }
  [[nodiscard]] const Vein& vein(const Pair& pair) const { return nursing_case.veins[pair.vein]; }
};

FieldErrors check_veins(const Case& nursing_case) {
  FieldErrors errors;
  if (nursing_case.veins.empty()) errors.push_back({"/veins", "", say::an_assessed_vein()});
  constexpr Length narrowest = 0.3 * millimetre, widest = 20.0 * millimetre;
  constexpr Length shallowest = 0.0 * millimetre, deepest = 60.0 * millimetre;
  // Each vein is held against each catheter, and what is left against one another.
  constexpr std::size_t most_veins = 100;
  if (nursing_case.veins.size() > most_veins)
    errors.push_back({"/veins", std::to_string(nursing_case.veins.size()), say::assessed_veins_at_most(most_veins)});
  for (std::size_t i = 0; i < std::min(nursing_case.veins.size(), most_veins); ++i) {
    const auto& vein = nursing_case.veins[i];
    const std::string path = "/veins/" + std::to_string(i);
    if (!(vein.diameter >= narrowest && vein.diameter <= widest))
      errors.push_back({path + "/diameter", show(vein.diameter), say::a_vein_diameter_from_to(narrowest, widest)});
    if (!(vein.depth >= shallowest && vein.depth <= deepest))
      errors.push_back({path + "/depth", show(vein.depth), say::a_vein_depth_from_to(shallowest, deepest)});
  }
  return errors;
}

Flow needed_flow(const Case& nursing_case, const dosing::OrderCheck& order) {
  return std::max(order.rate.flow, nursing_case.contrast_flow.value_or(Flow{}));
}

Diameter least_vein(const Catheter& catheter, const policy::Vessel& vessel) {
  return catheter.outer / vessel.highest_ratio.value;
}

/// Its size in the reader's words; a name of the ward's own that says more stays as it is.
Message name_of(const Catheter& catheter) {
  if (catheter.id == show(catheter.gauge) + " " + show(catheter.length))
    return say::catheter_of_size(catheter.gauge.number, catheter.length);
  return say::as_named(catheter.id);
}

Ratio fits(const Pair& pair, const Context& in_context) {
  return probability_at_least(diameter_belief(in_context.vein(pair), in_context.policy.choice),
                              least_vein(in_context.catheter(pair), in_context.policy.vessel));
}

Margin ratio_margin(const Pair& pair, const Context& in_context) {
  const auto& limit = in_context.policy.vessel.highest_ratio;
  Margin margin;
  margin.name = say::margin_vein_filled();
  margin.value = say::quantity(shown(pair.ratio));
  margin.limit = say::margin_at_most(limit.value);
  margin.share_of_limit = pair.ratio / limit.value;
  margin.share = pair.ratio;
  margin.limit_share = limit.value;
  margin.working = {say::catheter_to_vein_ratio(),
                    say::catheter_to_vein_formula(),
                    {{say::catheter_outer_diameter(), say::quantity(shown(in_context.catheter(pair).outer))},
                     {say::vein_diameter(), say::quantity(shown(in_context.vein(pair).diameter))}},
                    margin.value,
                    source_of(limit)};
  return margin;
}

Margin share_margin(const Pair& pair, const Context& in_context) {
  const auto& least = in_context.policy.vessel.least_share_in_vein;
  Margin margin;
  margin.name = say::share_in_vein();
  margin.value = say::quantity(shown(pair.share_in_vein));
  margin.limit = say::margin_at_least(least.value);
  margin.share_of_limit = pair.share_in_vein.value() > 0 ? double(least.value / pair.share_in_vein) : 99.0;
  margin.inside = pair.share_in_vein >= least.value;
  margin.share = pair.share_in_vein;
  margin.limit_share = least.value;
  margin.rule = MarginRule::at_least;
  margin.working = {say::share_in_vein(),
                    say::share_in_vein_formula(),
                    {{say::length_name(), say::quantity(shown(in_context.catheter(pair).length))},
                     {say::depth_name(), say::quantity(shown(in_context.vein(pair).depth))},
                     {say::angle_name(), say::degrees(shown_number(in_context.setting.angle_degrees))},
                     {say::length_outside(), say::quantity(shown(in_context.policy.vessel.exposed_length.value))}},
                    margin.value,
                    source_of(least)};
  return margin;
}

/// A line that gives nothing is used up by any order.
Ratio share_used(Flow needed, Flow given) { return given > Flow() ? Ratio(needed / given) : Ratio(1.0); }

Margin flow_margin(const Pair& pair, const flow::FlowBand& band, const Context& in_context) {
  const auto& gravity = in_context.policy.gravity;
  const Flow needed = in_context.setting.needed_flow;
  Margin margin;
  margin.name = say::margin_open_flow_used();
  margin.share = share_used(needed, pair.open_flow);
  margin.limit_share = Ratio(1.0);
  margin.likely_low = share_used(needed, band.high);
  margin.likely_high = share_used(needed, band.low);
  margin.value = say::quantity(shown(margin.share));
  margin.limit = say::margin_at_most(margin.limit_share);
  margin.share_of_limit = pair.open_flow.value() > 0 ? double(needed / pair.open_flow) : 99.0;
  margin.inside = pair.open_flow >= needed;
  margin.working = {
      say::open_gravity_flow_working(),
      say::open_gravity_flow_formula(),
      {{say::bag_above_tip_name(), say::quantity(shown_in(in_context.setting.bag_height, centimetre, "cm"))},
       {say::venous_pressure_name(), say::quantity(shown(gravity.venous_pressure.value))},
       {say::catheter_bore_name(), say::quantity(shown(usual_catheter(in_context.catheter(pair)).bore.diameter))},
       {say::catheter_length_name(), say::quantity(shown(in_context.catheter(pair).length))},
       {say::set_flow_name(),
        say::quantity(shown_in(set_of(gravity, SetKind::ward).part.open_flow, millilitre / minute, "mL/min"))}},
      say::quantity(shown(pair.open_flow)),
      {"flow.md: model, published series and errors", Mark::computed}};
  return margin;
}

std::vector<Finding> cautions(const Pair& pair, const Context& in_context, infusate::HarmClass harm) {
  const Vein& vein = in_context.vein(pair);
  auto found = access::check_limb(vein.site, in_context.nursing_case.patient.restrictions);
  const Source practice{"common practice, no source", Mark::practice};
  const bool at_joint = std::find(vein.faults.begin(), vein.faults.end(), VeinFault::at_joint) != vein.faults.end() ||
                        access::is_over_joint(vein.site.region);
  if (at_joint) found.push_back({Severity::caution, "site_at_joint", say::lies_at_a_joint(), practice});
  if (harm == infusate::HarmClass::vesicant && (at_joint || access::is_little_tissue(vein.site.region)))
    found.push_back({Severity::stop, "vesicant_small_vein", say::no_vesicant_here(), practice});
  const auto band = line::age_band(in_context.nursing_case.patient, utc_date(in_context.nursing_case.now));
  for (auto& finding : access::check_region(vein.site, band)) found.push_back(std::move(finding));
  for (auto& finding : access::check_restart(vein.site, in_context.nursing_case.failed_sites))
    found.push_back(std::move(finding));
  if (vein.fragile) found.push_back({Severity::caution, "fragile_vein", say::fragile_vein(), practice});
  if (pair.share_in_vein < in_context.policy.vessel.target_share_in_vein.value)
    found.push_back({Severity::caution, "short_in_vein", say::short_in_vein(pair.share_in_vein),
                     source_of(in_context.policy.vessel.target_share_in_vein)});
  return found;
}

std::vector<Message> own_reasons(const Pair& pair, const flow::FlowBand& band, const Context& in_context) {
  const auto& c = pair.criteria;
  const int gauge = in_context.catheter(pair).gauge.number;
  std::vector<Message> reasons;
  if (in_context.setting.preferred && !in_context.setting.preferred->empty()) {
    if (c.gauge == 1)
      reasons.push_back(say::gauge_preferred(gauge));
    else if (c.gauge == 0)
      reasons.push_back(say::gauge_not_among(gauge));
    else
      reasons.push_back(say::gauge_accepted(gauge));
  }
  reasons.push_back(say::fills_and_lets_pass(pair.ratio, vessel::annular_flow_share(pair.ratio)));
  const Ratio whole_percent = round_half_up(100 * double(fits(pair, in_context))) / 100;
  reasons.push_back(
      say::needs_a_vein_of(least_vein(in_context.catheter(pair), in_context.policy.vessel), whole_percent));
  reasons.push_back(say::open_line_gives(band.middle, band.low, band.high, in_context.setting.needed_flow));
  return reasons;
}

/// A limb that may be used only with a reason; one that may not be used at all is out before.
bool is_fenced(const Vein& vein, const Case& nursing_case) {
  return !access::check_limb(vein.site, nursing_case.patient.restrictions).empty();
}

/// In words, why `other` stands below `first`: every criterion in which it is clearly worse, the weightiest first.
std::vector<Message> reasons_below(const Pair& first, const Pair& other, const Context& in_context) {
  constexpr double clearly = 0.02;
  const auto worse = [&](double Criteria::*criterion) {
    return first.criteria.*criterion - other.criteria.*criterion > clearly;
  };
  const Catheter& a = in_context.catheter(first);
  const Catheter& b = in_context.catheter(other);
  std::vector<Message> reasons;
  if (is_fenced(in_context.vein(other), in_context.nursing_case)) reasons.push_back(say::limb_left_alone_last());
  if (worse(&Criteria::gauge) && b.gauge > a.gauge) reasons.push_back(say::wider_than_needed());
  if (worse(&Criteria::gauge) && b.gauge < a.gauge) reasons.push_back(say::narrower_blocks_sooner());
  if (worse(&Criteria::ratio)) reasons.push_back(say::fills_more_of_its_vein(other.ratio, first.ratio));
  if (worse(&Criteria::share)) reasons.push_back(say::less_of_it_in_the_vein(other.share_in_vein, first.share_in_vein));
  if (worse(&Criteria::region)) reasons.push_back(say::site_lasts_less_well());
  if (worse(&Criteria::side)) reasons.push_back(say::dominant_or_restricted_arm());
  if (worse(&Criteria::flow)) reasons.push_back(say::less_flow_in_hand());
  if (reasons.empty()) reasons.push_back(say::nearly_equal());
  return reasons;
}

Option option_of(const Pair& pair, const Pair& first, const flow::FlowBand& band, const Context& in_context,
                 infusate::HarmClass harm) {
  Option option;
  const Catheter& catheter = in_context.catheter(pair);
  option.catheter = catheter.id;
  option.vein = in_context.vein(pair).id;
  option.gauge = catheter.gauge;
  option.length = catheter.length;
  option.site = in_context.vein(pair).site;
  option.score = pair.score;
  option.pareto_best = pair.pareto_best;
  option.open_flow = pair.open_flow;
  option.open_flow_low = band.low;
  option.open_flow_high = band.high;
  option.fits_probability = fits(pair, in_context);
  option.lie = {in_context.vein(pair).diameter, catheter.outer, in_context.vein(pair).depth,
                catheter.length * double(pair.share_in_vein), in_context.setting.angle_degrees};
  option.margins = {ratio_margin(pair, in_context), share_margin(pair, in_context),
                    flow_margin(pair, band, in_context)};
  option.reasons = own_reasons(pair, band, in_context);
  if (&pair != &first) {
    const auto reasons = reasons_below(first, pair, in_context);
    const Message above = name_of(in_context.catheter(first)), site = access::said_of(in_context.vein(first).site);
    for (const auto& reason : reasons) option.reasons.push_back(say::below_the_first(above, site, reason));
    option.why = reasons.front();
  }
  option.cautions = cautions(pair, in_context, harm);
  if (in_context.setting.gravity && band.low < in_context.setting.needed_flow)
    option.cautions.push_back({Severity::caution,
                               "flow_near_limit",
                               say::line_may_be_too_slow(),
                               {"flow.md: model, published series and errors", Mark::computed}});
  return option;
}

bool has_stop(const std::vector<Finding>& findings) {
  return std::any_of(findings.begin(), findings.end(), [](const Finding& f) { return f.severity == Severity::stop; });
}

Message stops_in(const std::vector<Finding>& findings) {
  std::vector<Message> stops;
  for (const auto& finding : findings)
    if (finding.severity == Severity::stop) stops.push_back(finding.text);
  return say::sentences(std::move(stops));
}

Exclusion whole_vein_exclusion(const Vein& vein, Limit limit, const Case& nursing_case) {
  Exclusion out{vein.id, {}, {}, {}};
  if (limit == Limit::restricted_limb) {
    out.reason = stops_in(access::check_limb(vein.site, nursing_case.patient.restrictions));
    out.change = say::use_the_other_limb();
  } else if (limit == Limit::failed_site) {
    out.reason = stops_in(access::check_restart(vein.site, nursing_case.failed_sites));
    out.change = say::other_limb_or_above();
  } else if (limit == Limit::region_for_age) {
    out.reason = say::scalp_for_newborns_only();
    out.change = say::choose_the_forearm();
  } else if (limit == Limit::palmar_wrist) {
    out.reason = say::palm_side_of_wrist();
    out.change = say::choose_the_forearm();
  } else {
    std::vector<Message> faults;
    for (const auto fault : vein.faults) faults.push_back(say::vein_fault(fault));
    out.reason = say::vein_is(std::move(faults));
    out.change = say::wait_until_healed();
  }
  return out;
}

struct LimitWords {
  Message reason, change;
};

LimitWords limit_words(Limit limit, const Pair& example, const Context& in_context) {
  const auto& vessel = in_context.policy.vessel;
  const Catheter& catheter = in_context.catheter(example);
  switch (limit) {
    case Limit::vein_share:
      return {say::would_fill_more(vessel.highest_ratio.value, name_of(catheter), example.ratio),
              say::a_wider_vein(least_vein(catheter, vessel), name_of(catheter))};
    case Limit::share_in_vein:
      return {say::too_little_in_the_vein(name_of(catheter), example.share_in_vein, vessel.least_share_in_vein.value),
              say::a_longer_catheter(
                  vessel::length_for_share(vessel.least_share_in_vein.value, in_context.vein(example).depth,
                                           in_context.setting.angle_degrees, vessel.exposed_length.value))};
    case Limit::straight_length: return {say::straight_part_too_short(), say::a_shorter_catheter()};
    case Limit::flow:
      return {say::gravity_gives_only(example.open_flow, name_of(catheter), in_context.setting.needed_flow),
              say::a_pump_or_wider()};
    default: return {};
  }
}

std::vector<Exclusion> exclusions_of(const std::vector<Pair>& pairs, const Context& in_context) {
  std::vector<Exclusion> out;
  for (std::size_t v = 0; v < in_context.nursing_case.veins.size(); ++v) {
    const Vein& vein = in_context.nursing_case.veins[v];
    if (const Limit limit = in_context.setting.vein_limits[v]; limit != Limit::none) {
      out.push_back(whole_vein_exclusion(vein, limit, in_context.nursing_case));
      continue;
    }
    for (const Limit limit : {Limit::vein_share, Limit::share_in_vein, Limit::straight_length, Limit::flow}) {
      Exclusion row{vein.id, {}, {}, {}};
      const Pair* nearest = nullptr;  // the pair that comes closest to passing stands for the row
      for (const auto& pair : pairs) {
        if (pair.vein != v || pair.broken != limit) continue;
        row.catheters.push_back(in_context.catheter(pair).id);
        const bool nearer = !nearest || (limit == Limit::vein_share ? pair.ratio < nearest->ratio
                                                                    : pair.share_in_vein > nearest->share_in_vein);
        if (nearer) nearest = &pair;
      }
      if (!nearest) continue;
      const auto words = limit_words(limit, *nearest, in_context);
      row.reason = words.reason;
      row.change = words.change;
      out.push_back(std::move(row));
    }
  }
  return out;
}

// ---- what may be advised at all ----

using verdict::Look;

bool short_catheter_may_carry(infusate::Route route) {
  return route == infusate::Route::short_peripheral || route == infusate::Route::longer_peripheral;
}

struct PlanCase {
  const Case& nursing_case;
  const Setting& setting;
  const Plan& plan;
};

template <PlanLook>
void take(const PlanCase&, Look&) = delete;

template <>
void take<PlanLook::carried>(const PlanCase& c, Look& look) {
  const Source practice{"common practice, no source", Mark::practice};
  switch (c.plan.suitability.route) {
    case infusate::Route::short_peripheral:
    case infusate::Route::longer_peripheral: return;
    case infusate::Route::refer_for_central:
      return look.say(Severity::stop, "no_short_catheter", say::no_short_catheter_for_this(), practice);
    case infusate::Route::ask_pharmacy:
      return look.say(Severity::stop, "no_short_catheter", say::ask_pharmacy_before_catheter(), practice);
    case infusate::Route::not_as_it_stands:
      return look.say(Severity::stop, "no_short_catheter", say::no_vein_as_it_stands(), practice);
  }
}

template <>
void take<PlanLook::limb>(const PlanCase& c, Look& look) {
  if (!c.plan.options.empty() && c.plan.options.front().needs_reason)
    look.say(Severity::caution, "only_restricted_limb", say::only_restricted_limb(),
             {"common practice, no source", Mark::practice});
}

template <>
void take<PlanLook::fit>(const PlanCase& c, Look& look) {
  const bool carried = c.plan.suitability.route != infusate::Route::not_as_it_stands;
  if (carried && c.plan.options.empty())
    look.say(Severity::stop, "no_option", say::no_catheter_fits(),
             {"the ward's policy on vein and catheter", Mark::practice});
}

template <>
void take<PlanLook::viscosity>(const PlanCase& c, Look& look) {
  if (!c.setting.gravity) return look.does_not_apply();
  for (const auto& name : c.setting.without_viscosity) look.lacks(say::viscosity_of(name));
}

/// The plan's own looks join those of the order and of what runs; the worst of all is the verdict.
void judge(const Case& nursing_case, const Setting& setting, Plan& plan) {
  const PlanCase look_at{nursing_case, setting, plan};
  auto own = verdict::take_all<PlanLook>([&](auto which, Look& look) { take<which()>(look_at, look); });
  plan.verdict = std::max({own.verdict, plan.order.verdict, plan.suitability.verdict});
  plan.looks = std::move(own.looks);
  for (auto& finding : own.findings) plan.findings.push_back(std::move(finding));
}

Message summary_of(const Plan& plan, const std::vector<const Pair*>& feasible, const Context& in_context) {
  if (plan.suitability.route == infusate::Route::not_as_it_stands) return say::no_choice_no_vein();
  if (plan.options.empty()) return say::no_choice_none_fits();
  if (!short_catheter_may_carry(plan.suitability.route)) return say::no_choice_no_short_catheter();
  if (plan.options.front().needs_reason) return say::no_choice_restricted_limb();
  const Pair& best = *feasible.front();
  return say::first_choice(name_of(in_context.catheter(best)), access::said_of(in_context.vein(best).site));
}

/// Veins of which the first is not advised: on a limb to be left alone, or with a stop of its own for what runs.
std::vector<bool> held_back(const std::vector<const Pair*>& feasible, const Context& in_context,
                            infusate::HarmClass harm) {
  std::vector<bool> held(in_context.nursing_case.veins.size(), false);
  std::vector<bool> seen = held;
  for (const auto* pair : feasible) {
    if (seen[pair->vein]) continue;
    seen[pair->vein] = true;
    held[pair->vein] =
        is_fenced(in_context.vein(*pair), in_context.nursing_case) || has_stop(cautions(*pair, in_context, harm));
  }
  return held;
}

/// Best first; what is held back after every other.
void sort_options(std::vector<const Pair*>& feasible, const std::vector<bool>& held) {
  std::stable_sort(feasible.begin(), feasible.end(), [&](const Pair* a, const Pair* b) {
    if (held[a->vein] != held[b->vein]) return !held[a->vein];
    return a->score > b->score;
  });
}

void add_large_bore_finding(const Case& nursing_case, Plan& plan) {
  if (nursing_case.surgery_expected || nursing_case.blood_expected || nursing_case.rapid_fluids_expected) {
    plan.findings.push_back(
        {Severity::information, "large_bore", say::large_bore_first(), {"common practice, no source", Mark::practice}});
  }
}

}  // namespace

Checked<Plan> plan(const Case& nursing_case, const Catalogue& catalogue, const infusate::Formulary& formulary,
                   const policy::Policy& policy) {
  FieldErrors errors = check_veins(nursing_case);
  constexpr Length highest = 3.0 * metre;
  if (const auto& height = nursing_case.bag_height; height && (*height < Length() || *height > highest))
    errors.push_back({"/bag_height", show_in(*height, centimetre, "cm"),
                      say::from_to(shown_in(Length(), centimetre, "cm"), shown(highest))});
  auto order = dosing::check_order({nursing_case.order, nursing_case.patient, nursing_case.now, nursing_case.beside},
                                   formulary, policy);
  if (!order) errors.insert(errors.end(), order.error().begin(), order.error().end());
  const Duration therapy = nursing_case.order.therapy ? to_duration(*nursing_case.order.therapy)
                           : order                    ? order->rate.duration
                                                      : 1.0 * hour;
  const infusate::Use use{therapy, order ? std::optional(order->rate.duration) : std::nullopt,
                          nursing_case.order.therapy.has_value()};
  auto suitable = infusate::suitability(nursing_case.order.mixture, use, formulary, policy);
  if (!suitable && order) errors.insert(errors.end(), suitable.error().begin(), suitable.error().end());
  if (!errors.empty() || !order || !suitable) return refuse(std::move(errors));

  Plan plan;
  plan.suitability = std::move(*suitable);
  plan.order = std::move(*order);
  plan.needed_flow = needed_flow(nursing_case, plan.order);
  const Setting setting = setting_of(nursing_case, catalogue, formulary, policy, plan.needed_flow);
  const auto pairs = evaluate(nursing_case, catalogue, policy, setting);
  const Context context{nursing_case, catalogue, policy, setting};

  std::vector<const Pair*> feasible;
  for (const auto& pair : pairs)
    if (pair.broken == Limit::none) feasible.push_back(&pair);
  if (plan.suitability.route == infusate::Route::not_as_it_stands) feasible.clear();
  const auto harm = plan.suitability.mixture.harm;
  const auto held = held_back(feasible, context, harm);
  sort_options(feasible, held);
  // One catheter passes the same whatever the vein, and is reckoned once.
  std::map<std::size_t, flow::FlowBand> bands;
  const auto band_of = [&](const Pair& pair) -> const flow::FlowBand& {
    const auto [found, is_new] = bands.try_emplace(pair.catheter);
    if (is_new) found->second = open_band(context.catheter(pair), policy.gravity, context.setting);
    return found->second;
  };
  for (std::size_t i = 0; i < std::min(feasible.size(), most_options); ++i) {
    plan.options.push_back(option_of(*feasible[i], *feasible.front(), band_of(*feasible[i]), context, harm));
    plan.options.back().needs_reason = held[feasible[i]->vein];
  }
  if (!feasible.empty())
    plan.first_probability = probability_first(*feasible.front(), nursing_case, catalogue, policy, setting, pairs);
  plan.further_options = static_cast<int>(feasible.size() - plan.options.size());
  plan.exclusions = exclusions_of(pairs, context);
  add_large_bore_finding(nursing_case, plan);
  judge(nursing_case, setting, plan);
  plan.first_is_choice =
      !plan.options.empty() && short_catheter_may_carry(plan.suitability.route) && !plan.options.front().needs_reason;
  plan.summary = summary_of(plan, feasible, context);
  return plan;
}

}  // namespace dwell::device
