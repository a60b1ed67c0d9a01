#include "device/plan.h"

#include <algorithm>

#include "access/region_rules.h"
#include "device/evaluate.h"
#include "device/line_of.h"
#include "quantity/display.h"
#include "say/common.h"
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
  if (nursing_case.veins.empty())
    errors.push_back({"/veins", "none", "at least one assessed vein; a plan needs somewhere to go"});
  // Each vein is held against each catheter, and what is left against one another.
  constexpr std::size_t most_veins = 100;
  if (nursing_case.veins.size() > most_veins)
    errors.push_back({"/veins", std::to_string(nursing_case.veins.size()), "at most 100 assessed veins"});
  for (std::size_t i = 0; i < std::min(nursing_case.veins.size(), most_veins); ++i) {
    const auto& vein = nursing_case.veins[i];
    const std::string path = "/veins/" + std::to_string(i);
    if (!(vein.diameter >= 0.3 * millimetre && vein.diameter <= 20.0 * millimetre))
      errors.push_back({path + "/diameter", show(vein.diameter), "a vein diameter from 0.3 to 20 mm"});
    if (!(vein.depth >= 0.0 * millimetre && vein.depth <= 60.0 * millimetre))
      errors.push_back({path + "/depth", show(vein.depth), "a depth from 0 to 60 mm"});
  }
  return errors;
}

Flow needed_flow(const Case& nursing_case, const dosing::OrderCheck& order) {
  return std::max(order.rate.flow, nursing_case.contrast_flow.value_or(Flow{}));
}

Diameter least_vein(const Catheter& catheter, const policy::Vessel& vessel) {
  return catheter.outer / vessel.highest_ratio.value;
}

Ratio fits(const Pair& pair, const Context& in_context) {
  return probability_at_least(diameter_belief(in_context.vein(pair), in_context.policy.choice),
                              least_vein(in_context.catheter(pair), in_context.policy.vessel));
}

Margin ratio_margin(const Pair& pair, const Context& in_context) {
  const auto& limit = in_context.policy.vessel.highest_ratio;
  Margin margin;
  margin.name = "share of the vein filled";
  margin.value = show(pair.ratio);
  margin.limit = "at most " + show(limit.value);
  margin.share_of_limit = pair.ratio / limit.value;
  margin.share = pair.ratio;
  margin.limit_share = limit.value;
  margin.working = {"catheter-to-vein ratio",
                    "catheter outer diameter / vein diameter",
                    {{"catheter outer diameter", show(in_context.catheter(pair).outer)},
                     {"vein diameter", show(in_context.vein(pair).diameter)}},
                    margin.value,
                    source_of(limit)};
  return margin;
}

Margin share_margin(const Pair& pair, const Context& in_context) {
  const auto& least = in_context.policy.vessel.least_share_in_vein;
  Margin margin;
  margin.name = "share of the catheter in the vein";
  margin.value = show(pair.share_in_vein);
  margin.limit = "at least " + show(least.value);
  margin.share_of_limit = pair.share_in_vein.value() > 0 ? double(least.value / pair.share_in_vein) : 99.0;
  margin.inside = pair.share_in_vein >= least.value;
  margin.share = pair.share_in_vein;
  margin.limit_share = least.value;
  margin.rule = MarginRule::at_least;
  margin.working = {"share of the catheter in the vein",
                    "(length − depth / sin(angle) − length outside) / length",
                    {{"length", show(in_context.catheter(pair).length)},
                     {"depth", show(in_context.vein(pair).depth)},
                     {"angle", show_number(in_context.setting.angle_degrees) + "°"},
                     {"length outside", show(in_context.policy.vessel.exposed_length.value)}},
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
  margin.name = "share of the open flow used";
  margin.share = share_used(needed, pair.open_flow);
  margin.limit_share = Ratio(1.0);
  margin.likely_low = share_used(needed, band.high);
  margin.likely_high = share_used(needed, band.low);
  margin.value = show(margin.share);
  margin.limit = "at most " + show(margin.limit_share);
  margin.share_of_limit = pair.open_flow.value() > 0 ? double(needed / pair.open_flow) : 99.0;
  margin.inside = pair.open_flow >= needed;
  margin.working = {"flow through the open gravity line",
                    "head = losses in set, catheter and vein",
                    {{"bag above the tip", show_in(in_context.setting.bag_height, centimetre, "cm")},
                     {"venous pressure", show(gravity.venous_pressure.value)},
                     {"catheter bore", show(usual_catheter(in_context.catheter(pair)).bore.diameter)},
                     {"catheter length", show(in_context.catheter(pair).length)},
                     {"flow of the set alone",
                      show_in(set_of(gravity, SetKind::ward).part.open_flow, millilitre / minute, "mL/min")}},
                    show(pair.open_flow),
                    {"flow.md: model, published series and errors", Mark::computed}};
  return margin;
}

std::vector<Finding> cautions(const Pair& pair, const Context& in_context, infusate::HarmClass harm) {
  const Vein& vein = in_context.vein(pair);
  auto found = access::check_limb(vein.site, in_context.nursing_case.patient.restrictions);
  const Source practice{"common practice, no source", Mark::practice};
  const bool at_joint = std::find(vein.faults.begin(), vein.faults.end(), VeinFault::at_joint) != vein.faults.end() ||
                        access::is_over_joint(vein.site.region);
  if (at_joint)
    found.push_back(
        {Severity::caution, "site_at_joint", "Lies at a joint: bends, blocks and comes out sooner.", practice});
  if (harm == infusate::HarmClass::vesicant && (at_joint || access::is_little_tissue(vein.site.region)))
    found.push_back({Severity::stop, "vesicant_small_vein",
                     "A vesicant must not run here: little tissue over tendon and nerve. Choose a large forearm vein.",
                     practice});
  const auto band = line::age_band(in_context.nursing_case.patient, utc_date(in_context.nursing_case.now));
  for (auto& finding : access::check_region(vein.site, band)) found.push_back(std::move(finding));
  for (auto& finding : access::check_restart(vein.site, in_context.nursing_case.failed_sites))
    found.push_back(std::move(finding));
  if (vein.fragile)
    found.push_back({Severity::caution, "fragile_vein",
                     "Fragile vein: flat angle, little or no tourniquet, smallest catheter that serves.", practice});
  if (pair.share_in_vein < in_context.policy.vessel.target_share_in_vein.value)
    found.push_back({Severity::caution, "short_in_vein",
                     "Only " + show(pair.share_in_vein) +
                         " of the catheter would lie in the vein: secure it well and check it often.",
                     source_of(in_context.policy.vessel.target_share_in_vein)});
  return found;
}

std::vector<std::string> own_reasons(const Pair& pair, const flow::FlowBand& band, const Context& in_context) {
  const auto& c = pair.criteria;
  const Catheter& catheter = in_context.catheter(pair);
  std::vector<std::string> reasons;
  if (in_context.setting.preferred && !in_context.setting.preferred->empty()) {
    if (c.gauge == 1)
      reasons.push_back(show(catheter.gauge) +
                        " is the gauge that the ward prefers for this patient: smallest that does the job.");
    else if (c.gauge == 0)
      reasons.push_back(show(catheter.gauge) + " is not among the ward's gauges for this patient.");
    else
      reasons.push_back(show(catheter.gauge) +
                        " is accepted for this patient; of the gauges alone the ward prefers another.");
  }
  reasons.push_back("Fills " + show(pair.ratio) + " of the vein; " + show(vessel::annular_flow_share(pair.ratio)) +
                    " of the blood flow can pass it at worst.");
  reasons.push_back("Needs a vein of at least " +
                    show(least_vein(in_context.catheter(pair), in_context.policy.vessel)) + ": about " +
                    show_number(round_half_up(100 * double(fits(pair, in_context)))) +
                    " % sure, as the vein was assessed and as such veins are.");
  reasons.push_back("The open line gives about " + show(band.middle) + " (" + show(band.low) + " to " +
                    show(band.high) + "); " + show(in_context.setting.needed_flow) + " is needed.");
  return reasons;
}

/// A limb that may be used only with a reason; one that may not be used at all is out before.
bool is_fenced(const Vein& vein, const Case& nursing_case) {
  return !access::check_limb(vein.site, nursing_case.patient.restrictions).empty();
}

/// In words, why `other` stands below `first`: every criterion in which it is clearly worse, the weightiest first.
std::vector<std::string> reasons_below(const Pair& first, const Pair& other, const Context& in_context) {
  constexpr double clearly = 0.02;
  const auto worse = [&](double Criteria::*criterion) {
    return first.criteria.*criterion - other.criteria.*criterion > clearly;
  };
  const Catheter& a = in_context.catheter(first);
  const Catheter& b = in_context.catheter(other);
  std::vector<std::string> reasons;
  if (is_fenced(in_context.vein(other), in_context.nursing_case))
    reasons.emplace_back("a limb to be left alone comes last, and only with a reason.");
  if (worse(&Criteria::gauge) && b.gauge > a.gauge)
    reasons.emplace_back("wider than the therapy needs; a wider catheter irritates the vein more.");
  if (worse(&Criteria::gauge) && b.gauge < a.gauge)
    reasons.emplace_back("narrower; narrow catheters block and come out sooner.");
  if (worse(&Criteria::ratio))
    reasons.push_back("fills " + show(other.ratio) + " of its vein against " + show(first.ratio) + ".");
  if (worse(&Criteria::share))
    reasons.push_back(show(other.share_in_vein) + " of it lies in the vein against " + show(first.share_in_vein) + ".");
  if (worse(&Criteria::region)) reasons.emplace_back("the site lasts less well.");
  if (worse(&Criteria::side)) reasons.emplace_back("the dominant or a restricted arm.");
  if (worse(&Criteria::flow)) reasons.emplace_back("less flow in hand.");
  if (reasons.empty()) reasons.emplace_back("nearly equal; small differences add up.");
  return reasons;
}

std::string with_capital(std::string words) {
  if (!words.empty() && words.front() >= 'a' && words.front() <= 'z') words.front() -= 'a' - 'A';
  return words;
}

Option option_of(const Pair& pair, const Pair& first, const Context& in_context, infusate::HarmClass harm) {
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
  const auto band = open_band(catheter, in_context.policy.gravity, in_context.setting);
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
    const std::string below =
        "Below " + in_context.catheter(first).id + " in the " + access::describe(in_context.vein(first).site) + ": ";
    for (const auto& reason : reasons) option.reasons.push_back(below + reason);
    option.why = with_capital(reasons.front());
  }
  option.cautions = cautions(pair, in_context, harm);
  if (in_context.setting.gravity && band.low < in_context.setting.needed_flow)
    option.cautions.push_back({Severity::caution,
                               "flow_near_limit",
                               "The line may turn out too slow for this order: count it with the clamp open.",
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
  Exclusion out{vein.id, {}, "", ""};
  if (limit == Limit::restricted_limb) {
    out.reason = stops_in(access::check_limb(vein.site, nursing_case.patient.restrictions));
    out.change = "none: use the other limb";
  } else if (limit == Limit::failed_site) {
    out.reason = stops_in(access::check_restart(vein.site, nursing_case.failed_sites));
    out.change = "the other limb, or a vein above";
  } else if (limit == Limit::region_for_age) {
    out.reason = "The scalp is for newborns and young infants only.";
    out.change = "choose the forearm";
  } else if (limit == Limit::palmar_wrist) {
    out.reason = "Palm side of the wrist: nerves and tendons lie close.";
    out.change = "choose the forearm";
  } else {
    std::string faults;
    for (const auto fault : vein.faults) {
      std::string word(json::name_of(fault));
      std::replace(word.begin(), word.end(), '_', ' ');
      faults += (faults.empty() ? " " : ", ") + word;
    }
    out.reason = "The vein is" + faults + ".";
    out.change = "wait until it has healed, or another vein";
  }
  return out;
}

struct LimitWords {
  std::string reason, change;
};

LimitWords limit_words(Limit limit, const Pair& example, const Context& in_context) {
  const auto& vessel = in_context.policy.vessel;
  const Catheter& catheter = in_context.catheter(example);
  switch (limit) {
    case Limit::vein_share:
      return {"Would fill more than " + show(vessel.highest_ratio.value) + " of the vein (" + catheter.id + ": " +
                  show(example.ratio) + ").",
              "a vein of at least " + show(least_vein(catheter, vessel)) + " for " + catheter.id};
    case Limit::share_in_vein:
      return {"Too little of the catheter would lie in the vein (" + catheter.id + ": " + show(example.share_in_vein) +
                  ", at least " + show(vessel.least_share_in_vein.value) + ").",
              "a catheter of at least " +
                  show(vessel::length_for_share(vessel.least_share_in_vein.value, in_context.vein(example).depth,
                                                in_context.setting.angle_degrees, vessel.exposed_length.value))};
    case Limit::straight_length:
      return {"The straight part of the vein is shorter than the catheter would lie in it.", "a shorter catheter"};
    case Limit::flow:
      return {"The open gravity line gives only " + show(example.open_flow) + " through " + catheter.id + "; " +
                  show(in_context.setting.needed_flow) + " is needed.",
              "a pump, or a wider catheter"};
    default: return {"", ""};
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
      Exclusion row{vein.id, {}, "", ""};
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
      return look.say(Severity::stop, "no_short_catheter",
                      "No short catheter is advised for this; the list is for an emergency, by order.", practice);
    case infusate::Route::ask_pharmacy:
      return look.say(Severity::stop, "no_short_catheter",
                      "No catheter is advised before pharmacy has said what this is.", practice);
    case infusate::Route::not_as_it_stands:
      return look.say(Severity::stop, "no_short_catheter", "This may run into no vein as it stands.", practice);
  }
}

template <>
void take<PlanLook::limb>(const PlanCase& c, Look& look) {
  if (!c.plan.options.empty() && c.plan.options.front().needs_reason)
    look.say(Severity::caution, "only_restricted_limb",
             "Only a vein that is to be left alone is left: use it only with a reason.",
             {"common practice, no source", Mark::practice});
}

template <>
void take<PlanLook::fit>(const PlanCase& c, Look& look) {
  const bool carried = c.plan.suitability.route != infusate::Route::not_as_it_stands;
  if (carried && c.plan.options.empty())
    look.say(Severity::stop, "no_option", "No catheter of the catalogue fits any assessed vein within policy.",
             {"the ward's policy on vein and catheter", Mark::practice});
}

template <>
void take<PlanLook::viscosity>(const PlanCase& c, Look& look) {
  if (!c.setting.gravity) return look.does_not_apply();
  for (const auto& name : c.setting.without_viscosity) look.lacks("the viscosity of " + name);
}

/// The plan's own looks join those of the order and of what runs; the worst of all is the verdict.
void judge(const Case& nursing_case, const Setting& setting, Plan& plan) {
  const PlanCase look_at{nursing_case, setting, plan};
  auto own = verdict::take_all<PlanLook>([&](auto which, Look& look) { take<which()>(look_at, look); });
  plan.verdict = std::max({own.verdict, plan.order.verdict, plan.suitability.verdict});
  plan.looks = std::move(own.looks);
  for (auto& finding : own.findings) plan.findings.push_back(std::move(finding));
}

std::string summary_of(const Plan& plan, const Case& nursing_case) {
  if (plan.suitability.route == infusate::Route::not_as_it_stands)
    return "No first choice: this may run into no vein as it stands.";
  if (plan.options.empty())
    return "No catheter of the catalogue fits any assessed vein within policy. See what would have to change, and "
           "consider ultrasound, a specialist or another route.";
  if (!short_catheter_may_carry(plan.suitability.route))
    return "No first choice: no short catheter is advised for this.";
  const auto& best = plan.options.front();
  if (best.needs_reason) return "No first choice: only a vein that is to be left alone is left.";
  const auto vein = std::find_if(nursing_case.veins.begin(), nursing_case.veins.end(),
                                 [&](const Vein& v) { return v.id == best.vein; });
  return "First choice: " + best.catheter + " in the " + access::describe(vein->site) + ".";
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
    plan.findings.push_back({Severity::information,
                             "large_bore",
                             "Surgery, blood or rapid fluids expected: wider catheters are put first.",
                             {"common practice, no source", Mark::practice}});
  }
}

}  // namespace

Checked<Plan> plan(const Case& nursing_case, const Catalogue& catalogue, const infusate::Formulary& formulary,
                   const policy::Policy& policy) {
  FieldErrors errors = check_veins(nursing_case);
  if (const auto& height = nursing_case.bag_height; height && (*height < Length() || *height > 3.0 * metre))
    errors.push_back({"/bag_height", show_in(*height, centimetre, "cm"), "0 cm to 3 m"});
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
  for (std::size_t i = 0; i < std::min(feasible.size(), most_options); ++i) {
    plan.options.push_back(option_of(*feasible[i], *feasible.front(), context, harm));
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
  plan.summary = summary_of(plan, nursing_case);
  return plan;
}

}  // namespace dwell::device
