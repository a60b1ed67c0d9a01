#pragma once
// The ward's policy as typed data. Every figure carries its source and how well that was read; a ward replaces the
// file, not the program. The text is read outside core (exchange/toml); here it is only checked.
#include <boost/describe.hpp>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "infusate/infusate.h"
#include "patient/patient.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"
#include "quantity/time.h"
#include "signs/scale.h"

namespace dwell::policy {

struct Antiseptic {
  std::string name;  ///< "chlorhexidine 2 % in 70 % alcohol": as it is charted
  std::optional<Figure<Interval>> scrub;
  std::optional<Figure<Interval>> dry;  ///< absent: as its maker says
  Wording note;
  std::vector<std::string> allergens{};        ///< by any of these names somebody may be allergic to it
  std::optional<Figure<Interval>> from_age{};  ///< younger: only by the ward's own rule
  std::optional<Wording> younger_note{};       ///< what to do below that age
  std::optional<Wording> title{};              ///< what it is called where it is shown; absent: its name
};
BOOST_DESCRIBE_STRUCT(Antiseptic, (), (name, scrub, dry, note, allergens, from_age, younger_note, title))

/// A cream or gel that numbs the skin; how long it must lie before the needle.
struct TopicalAnaesthetic {
  std::string name;  ///< "lidocaine with prilocaine, cream"
  Figure<Interval> dwell;
  Wording note;
  std::vector<std::string> allergens{};
  std::optional<Figure<Interval>> from_age{};                  ///< younger: not without the prescriber's word
  std::optional<Figure<int>> from_weeks_at_birth{};            ///< a newborn born earlier: not at all
  std::optional<Figure<Interval>> longest{};                   ///< left on for longer it poisons
  std::map<line::AgeBand, Figure<Interval>> longest_of_age{};  ///< where the young may bear it less long
  std::optional<Wording> title{};                              ///< what it is called where it is shown
};
BOOST_DESCRIBE_STRUCT(TopicalAnaesthetic, (),
                      (name, dwell, note, allergens, from_age, from_weeks_at_birth, longest, longest_of_age, title))

/// What the adult's figures of `Place` are for another age.
struct PlaceOfAge {
  std::optional<Figure<Volume>> first_flush;
  std::optional<Figure<Wording>> tourniquet;  ///< in words; a newborn has no room for 10 cm
  std::optional<Figure<Wording>> antiseptic;  ///< the ward's rule, in words
};
BOOST_DESCRIBE_STRUCT(PlaceOfAge, (), (first_flush, tourniquet, antiseptic))

struct Place {
  std::map<std::string, Antiseptic> antiseptics;
  std::map<std::string, TopicalAnaesthetic> topical_anaesthetics;
  std::string usual_antiseptic;
  Figure<Length> tourniquet_nearest, tourniquet_farthest;
  Figure<Interval> tourniquet_longest;
  Figure<int> attempts_per_clinician, attempts_in_all;
  Figure<Volume> first_flush;
  std::map<line::AgeBand, Figure<Wording>> insertion_angle;  ///< words: "10 to 30 degrees"
  std::map<line::AgeBand, PlaceOfAge> ages{};                ///< what differs from the adult's figures above
  std::optional<Figure<Interval>> hub_scrub{};               ///< a connector or port, before every access
};
BOOST_DESCRIBE_STRUCT(Place, (),
                      (antiseptics, topical_anaesthetics, usual_antiseptic, tourniquet_nearest, tourniquet_farthest,
                       tourniquet_longest, attempts_per_clinician, attempts_in_all, first_flush, insertion_angle, ages,
                       hub_scrub))

struct Vessel {
  Figure<Ratio> good_ratio, highest_ratio;  ///< catheter outer diameter / vein diameter
  Figure<Ratio> target_share_in_vein, least_share_in_vein;
  Figure<double> insertion_angle_degrees, insertion_angle_degrees_older;
  Figure<Length> exposed_length;  ///< of the catheter outside the skin at the hub
};
BOOST_DESCRIBE_STRUCT(Vessel, (),
                      (good_ratio, highest_ratio, target_share_in_vein, least_share_in_vein, insertion_angle_degrees,
                       insertion_angle_degrees_older, exposed_length))

/// What a policy of an earlier edition lacks is absent: then that look is not taken, and the verdict says so.
struct InfusateLimits {
  Figure<Osmolarity> caution_osmolarity, highest_osmolarity;
  Figure<double> lowest_ph, highest_ph;  ///< a caution only
  Figure<Interval> longest_short_peripheral, longest_longer_peripheral;
  std::optional<Figure<Osmolarity>> lowest_osmolarity;  ///< below: red cells burst
  std::optional<Figure<Interval>> longest_dose;         ///< a vesicant running longer runs continuously
  std::optional<Figure<Ratio>> undiluted_from;          ///< share of a concentrate in the bag that counts as undiluted
  std::optional<Figure<std::vector<std::string>>> mix_freely;  ///< solutes that may share a bag with one another
  std::vector<infusate::SoluteHarm> harm_by_solute;
};
BOOST_DESCRIBE_STRUCT(InfusateLimits, (),
                      (caution_osmolarity, highest_osmolarity, lowest_ph, highest_ph, longest_short_peripheral,
                       longest_longer_peripheral, lowest_osmolarity, longest_dose, undiluted_from, mix_freely,
                       harm_by_solute))

/// What a body of this age takes, by the hour and kilogram.
struct AgeLimits {
  std::optional<Figure<FlowPerMass>> flow_caution;  ///< absent: caution_flow_per_mass
  Figure<FlowPerMass> flow_stop;                    ///< of whatever runs, without a resuscitation order
  Figure<MassRatePerMass> glucose_caution, glucose_stop;
};
BOOST_DESCRIBE_STRUCT(AgeLimits, (), (flow_caution, flow_stop, glucose_caution, glucose_stop))

/// Limits for children alone; a child is whoever is younger than an adult by line::age_band.
struct ChildLimits {
  Figure<AmountRatePerMass> potassium_rate_caution, potassium_rate_stop;  ///< beside the adult pair: the lower governs
  Figure<AmountConcentration> potassium_concentration_stop;
  Figure<FlowPerMass> newborn_day_most;               ///< fluid of a day, all of it
  Figure<AmountConcentration> isotonic_sodium_least;  ///< maintenance below this lowers sodium
  Figure<int> isotonic_until_years;
  Figure<FlowPerMass> blood_flow_most;
  std::optional<Figure<FlowPerMass>> keep_open_most;  ///< beside the ward's keep_open_most: the lower governs
  /// Share of a day's need: what a dose is made up in is judged as any fluid is when more of it runs in a day.
  std::optional<Figure<Ratio>> dose_fluid_most;
};
BOOST_DESCRIBE_STRUCT(ChildLimits, (),
                      (potassium_rate_caution, potassium_rate_stop, potassium_concentration_stop, newborn_day_most,
                       isotonic_sodium_least, isotonic_until_years, blood_flow_most, keep_open_most, dose_fluid_most))

struct OrderLimits {
  Figure<Flow> highest_flow;                  ///< above this: is it a slip of the pen?
  Figure<FlowPerMass> caution_flow_per_mass;  ///< sustained, without a resuscitation order
  Figure<Flow> caution_flow_older;            ///< from older_age, or heart or kidney failure
  Figure<int> older_age;
  Figure<FlowPerMass> maintenance_low, maintenance_high, maintenance_low_frail, maintenance_high_frail;  ///< adults
  Figure<Flow> maintenance_ceiling;
  Figure<Flow> child_ceiling;
  Figure<AmountRate> potassium_rate_caution, potassium_rate_stop;
  Figure<AmountConcentration> potassium_concentration_caution, potassium_concentration_stop;
  Figure<Interval> bag_hang;  ///< of a bag that is neither blood nor lipid
  Figure<Interval> lipid_hang;
  Figure<Interval> blood_hang;                          ///< from leaving controlled storage
  Figure<Flow> blood_first_flow;                        ///< while the first reactions would show
  Figure<Interval> blood_first_period;                  ///< how long it runs so slowly
  std::optional<Figure<Interval>> blood_start_within;   ///< of leaving controlled storage
  std::optional<Figure<VolumePerMass>> sustained_from;  ///< a container above this is no short dose: its rate counts
  std::map<line::AgeBand, AgeLimits> by_age;
  std::optional<ChildLimits> child;
  std::optional<Figure<AmountConcentration>> potassium_failing_from;      ///< above: a question to failing kidneys
  std::optional<Figure<AmountConcentration>> resuscitation_sodium_least;  ///< below: no fluid to fill vessels with
  std::optional<Figure<VolumePerMass>> resuscitation_most_child;          ///< one bolus before somebody looks again
  std::optional<Figure<VolumePerMass>> resuscitation_most_adult;
  std::optional<Figure<Flow>> blood_flow_most;  ///< of an adult who does not bleed
  std::optional<Figure<Flow>> keep_open_most;
  std::optional<Figure<Volume>> largest_syringe;
  std::optional<Figure<Amount>> potassium_day_caution, potassium_day_stop;  ///< of all that runs in any 24 h
  std::optional<Figure<AmountConcentration>> sodium_most;                   ///< above: it raises the blood's sodium
};
BOOST_DESCRIBE_STRUCT(OrderLimits, (),
                      (highest_flow, caution_flow_per_mass, caution_flow_older, older_age, maintenance_low,
                       maintenance_high, maintenance_low_frail, maintenance_high_frail, maintenance_ceiling,
                       child_ceiling, potassium_rate_caution, potassium_rate_stop, potassium_concentration_caution,
                       potassium_concentration_stop, bag_hang, lipid_hang, blood_hang, blood_first_flow,
                       blood_first_period, blood_start_within, sustained_from, by_age, child, potassium_failing_from,
                       resuscitation_sodium_least, resuscitation_most_child, resuscitation_most_adult, blood_flow_most,
                       keep_open_most, largest_syringe, potassium_day_caution, potassium_day_stop, sodium_most))

/// Which table of signs is looked at.
enum class DehydrationGroup { infant, older_child };
BOOST_DESCRIBE_ENUM(DehydrationGroup, infant, older_child)

/// A grade of dehydration by signs: how much of the body weight is missing.
struct DehydrationGrade {
  DehydrationGroup group = DehydrationGroup::infant;
  std::string name;  ///< "moderate"
  Figure<Ratio> least, most;
  std::vector<std::string> signs;  ///< of this grade and of no milder one; replaceable
};
BOOST_DESCRIBE_STRUCT(DehydrationGrade, (), (group, name, least, most, signs))

struct Hydration {
  Figure<Osmolarity> calculated_screen;  ///< above: dehydration is likely, measure
  Figure<Osmolarity> measured_impending, measured_dehydrated;
  Figure<AmountConcentration> sodium_change_caution, sodium_change_stop;  ///< in any 24 h, up or down
  Figure<AmountConcentration> sodium_change_stop_two_days;                ///< in any 48 h
  Figure<Flow> insensible_loss;                                           ///< of an adult at rest
  Figure<Ratio> overload_caution, overload_stop;                          ///< fluid gained / body weight
  Figure<FlowPerMass> urine_least_adult, urine_least_child;
  Figure<Interval> deficit_over;  ///< how long a deficit is usually replaced over
  std::vector<DehydrationGrade> dehydration;
};
BOOST_DESCRIBE_STRUCT(Hydration, (),
                      (calculated_screen, measured_impending, measured_dehydrated, sodium_change_caution,
                       sodium_change_stop, sodium_change_stop_two_days, insensible_loss, overload_caution,
                       overload_stop, urine_least_adult, urine_least_child, deficit_over, dehydration))

/// One answer to an item of a difficulty scale.
struct DifficultyAnswer {
  std::string name;  ///< "not_felt"
  Wording text;
  int points = 0;
};
BOOST_DESCRIBE_STRUCT(DifficultyAnswer, (), (name, text, points))

struct DifficultyItem {
  std::string name;  ///< "vein_felt"
  Wording question;
  std::vector<DifficultyAnswer> answers;
  std::string evidence;  ///< "odds ratio 4.94 (2.85 to 8.56)"; may be empty
};
BOOST_DESCRIBE_STRUCT(DifficultyItem, (), (name, question, answers, evidence))

/// What a number of points means; it holds up to the next band.
struct DifficultyBand {
  int from = 0;
  std::string name;                      ///< "high"
  std::optional<Figure<Ratio>> success;  ///< published share of first attempts that succeed; absent: not known
  bool call_for_help = false;            ///< specialist or ultrasound before the first attempt
  Source source;
  std::optional<Wording> title{};  ///< what it is called where it is shown; absent: its name
};
BOOST_DESCRIBE_STRUCT(DifficultyBand, (), (from, name, success, call_for_help, source, title))

enum class DifficultyAges { adults, children };
BOOST_DESCRIBE_ENUM(DifficultyAges, adults, children)

/// A published score of how hard a vein will be to enter; our own words, replaceable, with credit.
struct DifficultyScale {
  std::string name;
  std::string version;
  DifficultyAges ages = DifficultyAges::adults;
  Wording credit;
  Source source;
  std::vector<DifficultyItem> items;
  std::vector<DifficultyBand> bands;  ///< rising from 0
  std::optional<Wording> title{};     ///< what it is called where it is shown; absent: its name
};
BOOST_DESCRIBE_STRUCT(DifficultyScale, (), (name, version, ages, credit, source, items, bands, title))

struct Access {
  Figure<Flow> vein_saving_filtration;  ///< of a body surface of 1.73 m²; below: spare the arm veins
  std::vector<DifficultyScale> difficulty;
  std::optional<Figure<Flow>> vein_saving_stop{};  ///< below: no arm vein above the hand
};
BOOST_DESCRIBE_STRUCT(Access, (), (vein_saving_filtration, difficulty, vein_saving_stop))

/// A giving set, known by what it passes with its end open: saline at 20 °C from 1 m. Absent figures: those of
/// flow/usual_line.h.
struct GivingSet {
  std::optional<Figure<Flow>> open_flow, open_flow_low, open_flow_high;  ///< low and high hold 95 % of such sets
  std::optional<Figure<Ratio>> laminar_share;                            ///< of its loss that falls with viscosity
};
BOOST_DESCRIBE_STRUCT(GivingSet, (), (open_flow, open_flow_low, open_flow_high, laminar_share))

struct Gravity {
  Figure<Length> bag_height;
  Figure<Pressure> venous_pressure;
  Figure<Ratio> drop_size_tolerance;
  Figure<Ratio> catch_up_limit;  ///< how much faster a late bag may run without a new order
  std::optional<GivingSet> ward_set, wide_set;
  std::optional<Figure<Pressure>> venous_spread;  ///< one standard deviation between patients
  std::optional<Figure<Pressure>> sleeve_shift,
      sleeve_spread;                        ///< pressure in the fluid less that on the sleeve's gauge
  std::optional<Figure<Ratio>> rig_spread;  ///< between lines that look alike, one standard deviation
  // Of policies written before the set had figures of its own. They are read and shown, and count for nothing.
  std::optional<Figure<Length>> tubing_bore, tubing_length;
  std::optional<Figure<Ratio>> bedside_factor, bedside_factor_low, bedside_factor_high;
};
BOOST_DESCRIBE_STRUCT(Gravity, (),
                      (bag_height, venous_pressure, drop_size_tolerance, catch_up_limit, ward_set, wide_set,
                       venous_spread, sleeve_shift, sleeve_spread, rig_spread, tubing_bore, tubing_length,
                       bedside_factor, bedside_factor_low, bedside_factor_high))

/// Which clock a site check follows; the strictest that applies wins.
enum class SiteCheckClass {
  adult_infusing,
  cannot_report,
  child,
  vesicant,
  flexion_site,
  locked,
  neonate,
  infant,
  child_locked
};
BOOST_DESCRIBE_ENUM(SiteCheckClass, adult_infusing, cannot_report, child, vesicant, flexion_site, locked, neonate,
                    infant, child_locked)

/// What a ward's allowance for a leak is for: the class of what runs; of a vesicant also where, and in whom. Little
/// tissue: hand, wrist, elbow crease, leg, foot and scalp.
enum class LeakOf { harmless, irritant, irritant_child, vesicant, vesicant_little_tissue, vesicant_child };
BOOST_DESCRIBE_ENUM(LeakOf, harmless, irritant, irritant_child, vesicant, vesicant_little_tissue, vesicant_child)

struct Watch {
  std::map<SiteCheckClass, Figure<Interval>> site_check;
  Figure<Interval> film_dressing, gauze_dressing;
  Figure<Interval> flush_locked;
  Figure<Interval> set_continuous, set_intermittent, set_blood;
  Figure<Interval> idle;                                 ///< not used this long: ask whether it may come out
  Figure<Interval> emergency_dwell;                      ///< placed without assured asepsis: out by then
  std::optional<Figure<Interval>> routine_dwell;         ///< only where the ward replaces on schedule
  Figure<Interval> soon;                                 ///< this long before it is due, it counts as due soon
  Figure<Interval> drip_recount;                         ///< gravity line: count again
  Figure<Interval> add_ons;                              ///< connector, extension, stopcock
  Figure<Interval> trace_after_move;                     ///< tubing traced by then in the new place
  Figure<Interval> longest_put_off;                      ///< a task put off for longer is a deviation
  std::map<line::AgeBand, Figure<Wording>> film_rule{};  ///< in words, where a film is not changed by the calendar
  std::optional<Figure<Interval>> set_lipid;             ///< absent: as for blood
  /// Sets of single infusates, by name, where they are stricter than the rest.
  std::optional<std::map<std::string, Figure<Interval>>> set_of;
  /// What is gone sooner after it was last seen is to be confirmed; absent: always.
  std::optional<Figure<Interval>> heals_not_before;
  /// How much may go under the skin before somebody looks: what the ward allows itself, never a safe volume. Absent: no
  /// look is suggested sooner than the clocks above.
  std::optional<std::map<LeakOf, Figure<Volume>>> leak_at_most = std::nullopt;
};
BOOST_DESCRIBE_STRUCT(Watch, (),
                      (site_check, film_dressing, gauze_dressing, flush_locked, set_continuous, set_intermittent,
                       set_blood, idle, emergency_dwell, routine_dwell, soon, drip_recount, add_ons, trace_after_move,
                       longest_put_off, film_rule, set_lipid, set_of, heals_not_before, leak_at_most))

struct Remove {
  Figure<Interval> pressure, pressure_anticoagulant;
  Figure<Length> length_tolerance;  ///< shorter than placed by more than this: alarm
  Figure<Interval> after_watch;
  /// How long after the last entry a removed line that only waits for an answer stays on the ward's list; absent: until
  /// it is answered. A catheter that is not whole is never bounded by it.
  std::optional<Figure<Interval>> stays_listed = std::nullopt;
};
BOOST_DESCRIBE_STRUCT(Remove, (), (pressure, pressure_anticoagulant, length_tolerance, after_watch, stays_listed))

/// How wide the veins of a region are in people, measured.
struct VeinSize {
  Figure<Length> mean, spread;  ///< spread: standard deviation
};
BOOST_DESCRIBE_STRUCT(VeinSize, (), (mean, spread))

struct Choice {
  std::map<line::AgeBand, Figure<std::vector<Gauge>>> preferred_gauges;   ///< best first
  std::optional<Figure<std::vector<Gauge>>> preferred_gauges_large_bore;  ///< surgery, blood or rapid fluids expected
  std::map<access::Region, Figure<double>> region_preference;             ///< 1 best … 0 worst
  std::map<access::Region, VeinSize> vein_sizes;                          ///< only regions with a published figure
  Figure<Length> diameter_error_by_eye, diameter_error_ultrasound;        ///< standard deviations of an assessment
  /// Weights of the ranking; only their proportions matter.
  Figure<double> weight_gauge, weight_region, weight_ratio, weight_share, weight_flow, weight_side;
};
BOOST_DESCRIBE_STRUCT(Choice, (),
                      (preferred_gauges, preferred_gauges_large_bore, region_preference, vein_sizes,
                       diameter_error_by_eye, diameter_error_ultrasound, weight_gauge, weight_region, weight_ratio,
                       weight_share, weight_flow, weight_side))

/// First response to a problem: our words, the policy's source. Local protocol governs.
struct ResponseStep {
  Wording text;
  Source source;
};
BOOST_DESCRIBE_STRUCT(ResponseStep, (), (text, source))

/// An act without which a charted response is no answer; ticked by name, so that its words may change.
struct ResponseAct {
  std::string name;  ///< "called"
  Wording text;      ///< "Practitioner called"
};
BOOST_DESCRIBE_STRUCT(ResponseAct, (), (name, text))

/// A look that a card leaves behind, counted from when it was charted: again and again, at some moments, or both.
struct FollowUp {
  Wording text;                                     ///< "Look at the site: size, colour, feeling, pain"
  std::optional<Figure<Interval>> every, until;     ///< both or neither
  std::optional<Figure<std::vector<Interval>>> at;  ///< rising
};
BOOST_DESCRIBE_STRUCT(FollowUp, (), (text, every, until, at))

/// What makes a charted card an answer, and what it leaves behind.
struct Answering {
  std::optional<std::vector<ResponseAct>> acts;          ///< absent: anything done, said or noted
  std::optional<std::vector<std::string>> also_answers;  ///< milder cards that it answers too
  std::optional<std::vector<FollowUp>> follow_up;
};
BOOST_DESCRIBE_STRUCT(Answering, (), (acts, also_answers, follow_up))

struct ResponseCard {
  Wording title;
  bool stop_infusion = false;
  bool remove_advised = false;
  Wording call;  ///< whom, when
  std::vector<ResponseStep> steps;
  std::vector<Wording> cautions;
  std::optional<bool> emergency{};  ///< true: life, limb or tissue is lost while nobody acts; it stands before all else
  std::optional<Answering> answering{};
  std::optional<bool> leak{};  ///< what it answers is a leak at the catheter; absent: site::answers_leak
};
BOOST_DESCRIBE_STRUCT(ResponseCard, (),
                      (title, stop_infusion, remove_advised, call, steps, cautions, emergency, answering, leak))

/// Which card signs open in one region of the body, beside those that they open anywhere: where there is little room
/// between skin and bone, or an artery or a nerve lies beside the vein.
struct RegionRule {
  std::vector<access::Region> regions;
  std::vector<site::Sign> all_of, any_of;                ///< all of these, and one of those where any are named
  std::optional<std::vector<infusate::HarmClass>> harm;  ///< of what ran; absent: whatever ran
  std::optional<std::vector<line::AgeBand>> ages;        ///< absent: every age; an unknown age is any
  std::string card;                                      ///< name of the response
  Source source;
};
BOOST_DESCRIBE_STRUCT(RegionRule, (), (regions, all_of, any_of, harm, ages, card, source))

/// How long the record of a closed line is kept. Law and the facility decide; a hold keeps it longer.
struct Record {
  Figure<Interval> keep_closed;
};
BOOST_DESCRIBE_STRUCT(Record, (), (keep_closed))

/// A procedure done on an invented patient while somebody watches: what makes it good enough, and for how long.
struct Practice {
  Figure<double> least_share;                ///< of the steps, done in their order; 0 … 1
  Figure<Interval> valid_for;                ///< a passed check counts for so long
  Figure<std::vector<std::string>> placing;  ///< ids of the steps that nobody may miss
  Figure<std::vector<std::string>> removing;
  std::optional<Figure<std::vector<std::string>>> receiving{}, checking{};
};
BOOST_DESCRIBE_STRUCT(Practice, (), (least_share, valid_for, placing, removing, receiving, checking))

struct Policy {
  std::string name;
  std::string version;
  std::optional<Figure<DecimalSign>> decimal_sign;  ///< as the ward's language writes numbers; absent: not known
  Place place;
  Vessel vessel;
  InfusateLimits infusate;
  OrderLimits order;
  Hydration hydration;
  Access access;
  Gravity gravity;
  Watch watch;
  Remove remove;
  Record record;
  Practice practice;
  Choice choice;
  std::vector<site::Scale> scales;
  std::map<std::string, ResponseCard> responses;  ///< by name: phlebitis_watch, phlebitis_remove, leak_harmless,
                                                  ///< leak_irritant, leak_vesicant_vasopressor, …
  std::optional<std::vector<RegionRule>> region_rules = std::nullopt;
};
BOOST_DESCRIBE_STRUCT(Policy, (),
                      (name, version, decimal_sign, place, vessel, infusate, order, hydration, access, gravity, watch,
                       remove, record, practice, choice, scales, responses, region_rules))

/// What one of these is called where it is shown. Without a title it is its name, which is English.
template <class Named>
[[nodiscard]] Wording title_of(const Named& one) {
  return one.title.value_or(Wording(one.name));
}

/// As the ward writes numbers; unknown where its policy does not say.
[[nodiscard]] inline DecimalSign decimal_sign(const Policy& policy) {
  return policy.decimal_sign ? policy.decimal_sign->value : DecimalSign::unknown;
}

/// What no codec can see. Every figure, wherever it stands, is walked to by its described members and held within the
/// bounds of its kind (policy.cc names the few that need others), so that a figure added later is bounded too; lower
/// bounds below upper ones, every figure with a source, every named response present, scales with rising grades. All
/// faults at once.
[[nodiscard]] FieldErrors check(const Policy& policy);

}  // namespace dwell::policy
