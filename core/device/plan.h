#pragma once
// Which catheter in which vein. Every pair is tried against hard limits; what passes is ranked in the open, with its
// margins and reasons, and what fails says why and what would change it. The nurse chooses, and may choose otherwise.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "access/restart.h"
#include "dosing/order.h"
#include "json/codec.h"
#include "limb/vein.h"
#include "patient/patient.h"
#include "policy/policy.h"
#include "suitability/suitability.h"

namespace dwell::device {

/// An entry of data/catheters.toml: over-needle short peripheral catheters by size, not by maker.
struct Catheter {
  std::string id;  ///< "22 gauge 25 mm"
  Gauge gauge;
  Length length;
  Diameter outer, bore;
  std::string colour;  ///< of the hub, by standard
  std::optional<Pressure> highest_pressure;
  Source source;
  std::optional<Flow> declared_flow = std::nullopt;  ///< on the pack: water at 22 °C from 1 m; counts before the bore
  friend bool operator==(const Catheter&, const Catheter&) = default;
};
BOOST_DESCRIBE_STRUCT(Catheter, (), (id, gauge, length, outer, bore, colour, highest_pressure, source, declared_flow))

using access::Vein;
using access::VeinFault;

struct Case {
  line::Patient patient;
  dosing::Order order;
  std::vector<Vein> veins;
  bool surgery_expected = false;
  bool blood_expected = false;
  bool rapid_fluids_expected = false;
  std::optional<Flow> contrast_flow;
  Instant now;
  std::vector<access::FailedSite> failed_sites;     ///< of earlier lines of this patient
  std::optional<Length> bag_height = std::nullopt;  ///< surface above the site; absent: the policy's usual, 0 to 3 m
  std::vector<dosing::Companion> beside = {};       ///< what runs into the same vein beside the order
};
BOOST_DESCRIBE_STRUCT(Case, (),
                      (patient, order, veins, surgery_expected, blood_expected, rapid_fluids_expected, contrast_flow,
                       now, failed_sites, bag_height, beside))

/// Which side of the limit is allowed.
enum class MarginRule { at_most, at_least };
BOOST_DESCRIBE_ENUM(MarginRule, at_most, at_least)

/// One number against its limit: drawn as a bar.
struct Margin {
  Message name;               ///< "share of the vein"
  Message value;              ///< "31 %"
  Message limit;              ///< "at most 45 %"
  double share_of_limit = 0;  ///< value/limit for upper limits, limit/value for lower ones; <= 1 is inside
  bool inside = true;
  Working working;
  /// The same as a share of a whole, so that every margin stands on one axis from 0 to 100 %; of a flow, the share of
  /// the open flow that the order uses.
  Ratio share, limit_share;
  MarginRule rule = MarginRule::at_most;
  std::optional<Ratio> likely_low, likely_high;  ///< the band that the share likely lies in
};
BOOST_DESCRIBE_STRUCT(Margin, (),
                      (name, value, limit, share_of_limit, inside, working, share, limit_share, rule, likely_low,
                       likely_high))

/// How the catheter would lie, for a drawing to scale.
struct Lie {
  Diameter vein, catheter;  ///< inner and outer
  Length depth;             ///< from the skin to the vein
  Length in_vein;
  double angle_degrees = 0;
};
BOOST_DESCRIBE_STRUCT(Lie, (), (vein, catheter, depth, in_vein, angle_degrees))

struct Option {
  std::string catheter;
  std::string vein;
  Gauge gauge;
  Length length;
  access::Site site;
  double score = 0;                    ///< 0 to 1 by the policy's weights
  bool pareto_best = false;            ///< no other option is at least as good in everything
  Flow open_flow;                      ///< what the open gravity line would give at the bedside
  Flow open_flow_low, open_flow_high;  ///< the band that holds nine of ten lines, and the slow ones that were published
  Ratio fits_probability;  ///< that the vein is wide enough for the policy's limit, from what is believed of its size
  Lie lie;
  std::vector<Margin> margins;
  std::vector<Message> reasons;  ///< why it stands where it stands
  std::optional<Message> why;    ///< the weightiest of them in one line; absent for the first of a plan
  bool needs_reason = false;     ///< a limb or vein to be left alone: only when somebody says why
  std::vector<Finding> cautions;
};
BOOST_DESCRIBE_STRUCT(Option, (),
                      (catheter, vein, gauge, length, site, score, pareto_best, open_flow, open_flow_low,
                       open_flow_high, fits_probability, lie, margins, reasons, why, needs_reason, cautions))

/// Pairs that a hard limit takes out, one row a vein and reason.
struct Exclusion {
  std::string vein;
  std::vector<std::string> catheters;  ///< empty: the whole vein is out
  Message reason;
  Message change;  ///< smallest change that would let them in
};
BOOST_DESCRIBE_STRUCT(Exclusion, (), (vein, catheters, reason, change))

/// What is looked at before a first choice is named, beside all that the order's check and the suitability look at.
enum class PlanLook { carried, limb, fit, viscosity };
BOOST_DESCRIBE_ENUM(PlanLook, carried, limb, fit, viscosity)

struct Plan {
  verdict::Verdict verdict = verdict::Verdict::not_fully_checked;  ///< of all looks: order, suitability, plan
  std::vector<verdict::LookReport> looks;                          ///< of the plan alone
  infusate::Suitability suitability;
  dosing::OrderCheck order;
  Flow needed_flow;
  std::vector<Option> options;             ///< best first, at most most_options; none for what no vein may carry
  bool first_is_choice = false;            ///< the first is advised; else the list is for an emergency alone
  int further_options = 0;                 ///< feasible too, but ranked below those listed
  std::optional<Ratio> first_probability;  ///< that the first option stays first in its vein once its size is known
  std::vector<Exclusion> exclusions;
  Message summary;
  std::vector<Finding> findings;
};
BOOST_DESCRIBE_STRUCT(Plan, (),
                      (verdict, looks, suitability, order, needed_flow, options, first_is_choice, further_options,
                       first_probability, exclusions, summary, findings))

using Catalogue = std::vector<Catheter>;

inline constexpr std::size_t most_options = 8;

/// Tries every catheter of the catalogue in every vein of the case. Hard limits: limb restriction, fault of the vein,
/// a place below an earlier leak or inflammation, share of the vein, share of the catheter in the vein, flow (gravity
/// lines), straight vein length. What passes is scored by the policy's weights; the Pareto front is marked. A limb that
/// is to be left alone comes last, whatever its score, and needs a reason. No first choice is named for what no short
/// catheter may carry, nor on such a limb. Errors: what `check_order` and `suitability` refuse; vein diameters 0.3 to
/// 20 mm, depths 0 to 60 mm; no veins at all.
[[nodiscard]] Checked<Plan> plan(const Case& nursing_case, const Catalogue& catalogue,
                                 const infusate::Formulary& formulary, const policy::Policy& policy);

}  // namespace dwell::device
