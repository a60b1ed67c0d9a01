#pragma once
// What happened to a line, one fact an event. Facts are appended and never changed; a correction is a new event that
// names the old one. A fact that breaks policy is kept and marked, not refused: what happened, happened.
//
// Beside its members a fact declares what the checks and the fold have to know of it:
//   names_in        those texts that are names (text/text_rule.h); every other text is a note
//   phrases_in      those that bring back Dwell's own words: steps ticked, advice given
//   needs_catheter  that it is done to a catheter in the vein, and as which deed a contradiction names it
#include <array>
#include <boost/describe.hpp>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <tuple>
#include <variant>
#include <vector>

#include "dosing/order.h"
#include "json/codec.h"
#include "limb/vein.h"
#include "patient/patient.h"
#include "quantity/quantity.h"
#include "quantity/time.h"
#include "signs/scale.h"
#include "task/task.h"

namespace dwell::line {

struct Place {
  std::string facility;
  std::string unit;  ///< ward
  std::string bed;
  friend bool operator==(const Place&, const Place&) = default;
};
BOOST_DESCRIBE_STRUCT(Place, (), (facility, unit, bed))
constexpr auto names_in(const Place*) { return std::tuple(&Place::facility, &Place::unit, &Place::bed); }

/// What is done to a catheter in the vein.
enum class Deed {
  infusion_started,
  rate_changed,
  drip_counted,
  infusion_ended,
  flushed,
  site_checked,
  dressing_changed,
  set_changed,
  add_on_changed,
  tubing_traced
};
BOOST_DESCRIBE_ENUM(Deed, infusion_started, rate_changed, drip_counted, infusion_ended, flushed, site_checked,
                    dressing_changed, set_changed, add_on_changed, tubing_traced)

/// The story of a line begins: whose it is, where they lie.
struct Opened {
  static constexpr std::string_view kind = "opened";
  Patient patient;
  Place place;
};
BOOST_DESCRIBE_STRUCT(Opened, (), (patient, place))

struct Ordered {
  static constexpr std::string_view kind = "ordered";
  dosing::Order order;
};
BOOST_DESCRIBE_STRUCT(Ordered, (), (order))

/// Limbs and veins as looked at before the plan.
struct Assessed {
  static constexpr std::string_view kind = "assessed";
  std::vector<access::Vein> veins;
};
BOOST_DESCRIBE_STRUCT(Assessed, (), (veins))

/// A second person's own entry of the same order; `agrees` is computed by compare_orders on the author's device.
struct OrderDoubleChecked {
  static constexpr std::string_view kind = "order_double_checked";
  std::string second_person;
  bool agrees = false;
  std::string note;
};
BOOST_DESCRIBE_STRUCT(OrderDoubleChecked, (), (second_person, agrees, note))
constexpr auto names_in(const OrderDoubleChecked*) { return std::tuple(&OrderDoubleChecked::second_person); }

/// The option chosen; with a reason when it was not the first offered or broke a limit.
struct Planned {
  static constexpr std::string_view kind = "planned";
  std::string catheter;
  access::Site site;
  std::optional<std::string> override_reason;
};
BOOST_DESCRIBE_STRUCT(Planned, (), (catheter, site, override_reason))
constexpr auto names_in(const Planned*) { return std::tuple(&Planned::catheter); }

/// What was settled before the needle: the patient's wish, and what brings the vein up and numbs the skin.
struct Prepared {
  static constexpr std::string_view kind = "prepared";
  std::optional<access::Side> preferred_side;  ///< as the patient says
  std::optional<access::Side> dominant_hand;
  std::string earlier_sites;                      ///< lines of before and how they ended, as told
  std::string topical_anaesthetic;                ///< generic name, or empty
  std::optional<Instant> anaesthetic_applied_at;  ///< its dwell runs from here
  std::optional<bool> warmed;
  std::string positioning;
};
BOOST_DESCRIBE_STRUCT(Prepared, (),
                      (preferred_side, dominant_hand, earlier_sites, topical_anaesthetic, anaesthetic_applied_at,
                       warmed, positioning))
constexpr auto names_in(const Prepared*) { return std::tuple(&Prepared::topical_anaesthetic); }

/// The patient said no: to the line, to another attempt, to a check. It is theirs to say.
struct Refused {
  static constexpr std::string_view kind = "refused";
  std::string what;
  std::string reason;
  std::string told;  ///< what was explained, and who was told
};
BOOST_DESCRIBE_STRUCT(Refused, (), (what, reason, told))

struct SupplyUsed {
  static constexpr std::string_view kind = "supply_used";
  std::string what;
  std::optional<std::string> gtin, lot;
  std::optional<Date> expiry;
  std::optional<std::string> reason;  ///< when used although expired or unknown
};
BOOST_DESCRIBE_STRUCT(SupplyUsed, (), (what, gtin, lot, expiry, reason))
constexpr auto names_in(const SupplyUsed*) {
  return std::tuple(&SupplyUsed::what, &SupplyUsed::gtin, &SupplyUsed::lot);
}

enum class AttemptOutcome {
  placed,
  no_flashback,
  no_advance,
  infiltrated,
  haematoma,
  arterial,
  nerve_pain,
  patient_stopped
};
BOOST_DESCRIBE_ENUM(AttemptOutcome, placed, no_flashback, no_advance, infiltrated, haematoma, arterial, nerve_pain,
                    patient_stopped)

struct Attempted {
  static constexpr std::string_view kind = "attempted";
  access::Site site;
  Gauge gauge;
  std::string clinician;
  AttemptOutcome outcome = AttemptOutcome::no_flashback;
  std::string aid;  ///< "ultrasound", "near-infrared", or empty
};
BOOST_DESCRIBE_STRUCT(Attempted, (), (site, gauge, clinician, outcome, aid))
constexpr auto names_in(const Attempted*) { return std::tuple(&Attempted::clinician, &Attempted::aid); }

enum class Asepsis { aseptic, not_assured };
BOOST_DESCRIBE_ENUM(Asepsis, aseptic, not_assured)
/// Where the line was started, when it came with the patient.
enum class Origin { here, field, other_hospital, other_unit };
BOOST_DESCRIBE_ENUM(Origin, here, field, other_hospital, other_unit)
enum class Dressing { film, gauze };
BOOST_DESCRIBE_ENUM(Dressing, film, gauze)

struct Placed {
  static constexpr std::string_view kind = "placed";
  access::Site site;
  Gauge gauge;
  Length length;         ///< of the catheter
  std::string inserter;  ///< name or initials of the clinician
  Asepsis asepsis = Asepsis::aseptic;
  std::string antiseptic;
  std::optional<Interval> dried_for;
  std::optional<bool> blood_return;
  std::optional<Volume> flushed;
  Dressing dressing = Dressing::film;
  std::string securement;
  std::string tolerance;  ///< how the patient bore it
  std::string teaching;   ///< what the patient was told
  std::optional<std::string> lot;
  std::optional<Origin> origin;                     ///< absent: here
  std::optional<std::vector<std::string>> samples;  ///< drawn through it before anything was given
  std::optional<std::string> stands_in_for;         ///< id of the failed line that this one replaces
};
BOOST_DESCRIBE_STRUCT(Placed, (),
                      (site, gauge, length, inserter, asepsis, antiseptic, dried_for, blood_return, flushed, dressing,
                       securement, tolerance, teaching, lot, origin, samples, stands_in_for))
constexpr auto names_in(const Placed*) {
  return std::tuple(&Placed::inserter, &Placed::antiseptic, &Placed::securement, &Placed::lot, &Placed::samples,
                    &Placed::stands_in_for);
}

enum class Delivery { gravity, pump };
BOOST_DESCRIBE_ENUM(Delivery, gravity, pump)

struct InfusionStarted {
  static constexpr std::string_view kind = "infusion_started";
  static constexpr Deed needs_catheter = Deed::infusion_started;
  infusate::Mixture mixture;
  Flow flow;
  Delivery delivery = Delivery::pump;
  std::optional<DropFactor> drop_factor;
};
BOOST_DESCRIBE_STRUCT(InfusionStarted, (), (mixture, flow, delivery, drop_factor))

struct RateChanged {
  static constexpr std::string_view kind = "rate_changed";
  static constexpr Deed needs_catheter = Deed::rate_changed;
  Flow flow;
  std::string reason;
};
BOOST_DESCRIBE_STRUCT(RateChanged, (), (flow, reason))

struct DripCounted {
  static constexpr std::string_view kind = "drip_counted";
  static constexpr Deed needs_catheter = Deed::drip_counted;
  DropRate drop_rate;
  Flow flow, flow_low, flow_high;
  std::string advice;
};
BOOST_DESCRIBE_STRUCT(DripCounted, (), (drop_rate, flow, flow_low, flow_high, advice))
constexpr auto phrases_in(const DripCounted*) { return std::tuple(&DripCounted::advice); }

struct InfusionEnded {
  static constexpr std::string_view kind = "infusion_ended";
  static constexpr Deed needs_catheter = Deed::infusion_ended;
  std::optional<Volume> given;
  std::string reason;
};
BOOST_DESCRIBE_STRUCT(InfusionEnded, (), (given, reason))

/// A pushed dose or a flush; `locks` when the line was left locked afterwards.
struct Flushed {
  static constexpr std::string_view kind = "flushed";
  static constexpr Deed needs_catheter = Deed::flushed;
  std::string fluid;
  Volume volume;
  std::optional<bool> blood_return;
  bool resistance = false;
  bool locks = false;
};
BOOST_DESCRIBE_STRUCT(Flushed, (), (fluid, volume, blood_return, resistance, locks))
constexpr auto names_in(const Flushed*) { return std::tuple(&Flushed::fluid); }

struct GradeGiven {
  std::string scale, version;
  std::optional<int> grade;
  bool unmatched = false;
  friend bool operator==(const GradeGiven&, const GradeGiven&) = default;
};
BOOST_DESCRIBE_STRUCT(GradeGiven, (), (scale, version, grade, unmatched))
constexpr auto names_in(const GradeGiven*) { return std::tuple(&GradeGiven::scale, &GradeGiven::version); }

/// Why a look has no figure for pain: asked, and the patient cannot say; or nobody asked.
enum class PainUnsaid { cannot_say, not_asked };
BOOST_DESCRIBE_ENUM(PainUnsaid, cannot_say, not_asked)

struct SiteChecked {
  static constexpr std::string_view kind = "site_checked";
  static constexpr Deed needs_catheter = Deed::site_checked;
  site::Signs signs;
  std::vector<GradeGiven> grades;  ///< as computed and confirmed, with the scale's version
  std::optional<bool> dressing_intact;
  std::optional<bool> still_needed;
  std::string response;  ///< name of the response card opened, or empty
  std::string note;
  std::optional<bool> blood_return = std::nullopt;       ///< when it was drawn back; absent: nobody tried
  std::optional<PainUnsaid> pain_unsaid = std::nullopt;  ///< absent: a figure was told, or nothing is known of it
  std::optional<bool> seen_before_gone = std::nullopt;   ///< looked for what was found before; absent: nobody said
};
BOOST_DESCRIBE_STRUCT(SiteChecked, (),
                      (signs, grades, dressing_intact, still_needed, response, note, blood_return, pain_unsaid,
                       seen_before_gone))
constexpr auto names_in(const SiteChecked*) { return std::tuple(&SiteChecked::response); }

struct DressingChanged {
  static constexpr std::string_view kind = "dressing_changed";
  static constexpr Deed needs_catheter = Deed::dressing_changed;
  Dressing dressing = Dressing::film;
  std::string reason;
};
BOOST_DESCRIBE_STRUCT(DressingChanged, (), (dressing, reason))

struct SetChanged {
  static constexpr std::string_view kind = "set_changed";
  static constexpr Deed needs_catheter = Deed::set_changed;
  std::string reason;
};
BOOST_DESCRIBE_STRUCT(SetChanged, (), (reason))

/// Extension, connector or stopcock.
struct AddOnChanged {
  static constexpr std::string_view kind = "add_on_changed";
  static constexpr Deed needs_catheter = Deed::add_on_changed;
  std::string add_on;
  std::string reason;
};
BOOST_DESCRIBE_STRUCT(AddOnChanged, (), (add_on, reason))
constexpr auto names_in(const AddOnChanged*) { return std::tuple(&AddOnChanged::add_on); }

/// The tubing followed by hand from the bag to the vein: the right fluid goes where it is meant to go.
struct TubingTraced {
  static constexpr std::string_view kind = "tubing_traced";
  static constexpr Deed needs_catheter = Deed::tubing_traced;
  bool as_meant = false;
  std::string note;  ///< what was found when it was not
};
BOOST_DESCRIBE_STRUCT(TubingTraced, (), (as_meant, note))

inline constexpr int largest_photo = 8 * 1024 * 1024;

/// A picture of the site. The picture itself lies beside the record; its hash stands here, in the chain.
struct Photographed {
  static constexpr std::string_view kind = "photographed";
  std::string hash;        ///< BLAKE2b-256 of the picture, 64 lower-case hex digits
  std::string media_type;  ///< "image/jpeg"
  int bytes = 0;
  std::string note;
};
BOOST_DESCRIBE_STRUCT(Photographed, (), (hash, media_type, bytes, note))
constexpr auto names_in(const Photographed*) { return std::tuple(&Photographed::hash, &Photographed::media_type); }

/// A task that waits, and why. It stays on the list.
struct PutOff {
  static constexpr std::string_view kind = "put_off";
  care::Task task = care::Task::site_check;
  Instant until{};
  std::string reason;
};
BOOST_DESCRIBE_STRUCT(PutOff, (), (task, until, reason))

/// Who looks after the line from now on.
struct Assigned {
  static constexpr std::string_view kind = "assigned";
  std::string nurse;
};
BOOST_DESCRIBE_STRUCT(Assigned, (), (nurse))
constexpr auto names_in(const Assigned*) { return std::tuple(&Assigned::nurse); }

/// One nurse gave the line to the next, both at the bed.
struct HandedOver {
  static constexpr std::string_view kind = "handed_over";
  std::string from, to;
  std::string note;
};
BOOST_DESCRIBE_STRUCT(HandedOver, (), (from, to, note))
constexpr auto names_in(const HandedOver*) { return std::tuple(&HandedOver::from, &HandedOver::to); }

/// The record of this line is to be kept beyond its time: a complaint, a claim, a study.
struct RetentionHeld {
  static constexpr std::string_view kind = "retention_held";
  std::string reason;
};
BOOST_DESCRIBE_STRUCT(RetentionHeld, (), (reason))

struct RetentionReleased {
  static constexpr std::string_view kind = "retention_released";
  std::string reason;
};
BOOST_DESCRIBE_STRUCT(RetentionReleased, (), (reason))

/// What was done about a problem: the steps ticked on the response card.
struct Responded {
  static constexpr std::string_view kind = "responded";
  std::string response;
  std::vector<std::string> done;
  std::string called;
  std::string note;
  /// Of the card's acts those done, by name; absent: not asked.
  std::optional<std::vector<std::string>> acts = std::nullopt;
};
BOOST_DESCRIBE_STRUCT(Responded, (), (response, done, called, note, acts))
constexpr auto phrases_in(const Responded*) { return std::tuple(&Responded::done); }
constexpr auto names_in(const Responded*) {
  return std::tuple(&Responded::response, &Responded::called, &Responded::acts);
}

enum class RemovalReason {
  therapy_complete,
  ordered,
  phlebitis,
  infiltration,
  extravasation,
  occlusion,
  dislodgement,
  leakage,
  infection,
  pain,
  idle,
  emergency_line_due,
  routine_replacement,
  patient_request,
  discharge,
  death,
  other,
  unknown
};
BOOST_DESCRIBE_ENUM(RemovalReason, therapy_complete, ordered, phlebitis, infiltration, extravasation, occlusion,
                    dislodgement, leakage, infection, pain, idle, emergency_line_due, routine_replacement,
                    patient_request, discharge, death, other, unknown)

struct RemovalOrdered {
  static constexpr std::string_view kind = "removal_ordered";
  std::string prescriber;
  std::string reason;
};
BOOST_DESCRIBE_STRUCT(RemovalOrdered, (), (prescriber, reason))
constexpr auto names_in(const RemovalOrdered*) { return std::tuple(&RemovalOrdered::prescriber); }

struct Removed {
  static constexpr std::string_view kind = "removed";
  RemovalReason reason = RemovalReason::unknown;
  std::string ground;  ///< the order, or why the nurse took it out
  std::optional<Length> length_found;
  std::optional<bool> tip_whole;
  std::optional<Interval> pressed_for;
  std::optional<bool> bleeding_stopped;
  site::Signs signs;
  std::vector<GradeGiven> grades;
  std::string remover;
  std::string tolerance, teaching;
};
BOOST_DESCRIBE_STRUCT(Removed, (),
                      (reason, ground, length_found, tip_whole, pressed_for, bleeding_stopped, signs, grades, remover,
                       tolerance, teaching))
constexpr auto names_in(const Removed*) { return std::tuple(&Removed::remover); }

struct AfterChecked {
  static constexpr std::string_view kind = "after_checked";
  site::Signs signs;
  std::vector<GradeGiven> grades;
  bool healed = false;
  std::string note;
  std::optional<PainUnsaid> pain_unsaid = std::nullopt;  ///< as of a look while it was in
  std::optional<bool> seen_before_gone = std::nullopt;
};
BOOST_DESCRIBE_STRUCT(AfterChecked, (), (signs, grades, healed, note, pain_unsaid, seen_before_gone))

struct Moved {
  static constexpr std::string_view kind = "moved";
  Place place;
};
BOOST_DESCRIBE_STRUCT(Moved, (), (place))

enum class Departure { unknown, discharged, transferred, left_unannounced, died, bed_emptied };
BOOST_DESCRIBE_ENUM(Departure, unknown, discharged, transferred, left_unannounced, died, bed_emptied)

/// The patient is gone from this house's care, or the bed was found empty. A move within the house is Moved.
struct Departed {
  static constexpr std::string_view kind = "departed";
  Departure how = Departure::unknown;
  std::string to;  ///< where to, as far as it is known
};
BOOST_DESCRIBE_STRUCT(Departed, (), (how, to))
constexpr auto names_in(const Departed*) { return std::tuple(&Departed::to); }

/// The line stays in on purpose although the patient leaves: said of the departures before it, never of a later one.
struct LeftWithLine {
  static constexpr std::string_view kind = "left_with_line";
  std::string why;
  std::string told;            ///< who was told that it is in
  std::string looks_after_it;  ///< who does from now on
};
BOOST_DESCRIBE_STRUCT(LeftWithLine, (), (why, told, looks_after_it))
constexpr auto names_in(const LeftWithLine*) { return std::tuple(&LeftWithLine::told, &LeftWithLine::looks_after_it); }

/// Why it must be a vein.
enum class NeedGround {
  no_other_form,
  cannot_swallow_or_absorb,
  within_minutes,
  volume,
  contrast,
  blood,
  in_case,
  none
};
BOOST_DESCRIBE_ENUM(NeedGround, no_other_form, cannot_swallow_or_absorb, within_minutes, volume, contrast, blood,
                    in_case, none)
enum class AskedFor { nothing, another_route, removal };
BOOST_DESCRIBE_ENUM(AskedFor, nothing, another_route, removal)

/// Whether a line is needed, asked before it is placed and each day while it is in.
struct NeedReviewed {
  static constexpr std::string_view kind = "need_reviewed";
  NeedGround ground = NeedGround::none;
  std::string what_for;
  std::optional<Instant> next_use;  ///< planned; absent: none is planned
  std::string in_case_by;           ///< who wants it "in case"
  AskedFor asked = AskedFor::nothing;
  std::string prescriber;  ///< who was asked
};
BOOST_DESCRIBE_STRUCT(NeedReviewed, (), (ground, what_for, next_use, in_case_by, asked, prescriber))
constexpr auto names_in(const NeedReviewed*) {
  return std::tuple(&NeedReviewed::in_case_by, &NeedReviewed::prescriber);
}

enum class NotPlacedReason { another_route, usable_line_in, not_needed, refused, no_vein, other };
BOOST_DESCRIBE_ENUM(NotPlacedReason, another_route, usable_line_in, not_needed, refused, no_vein, other)

/// It was decided against a line: an outcome like any other.
struct NotPlaced {
  static constexpr std::string_view kind = "not_placed";
  NotPlacedReason reason = NotPlacedReason::other;
  std::string note;
};
BOOST_DESCRIBE_STRUCT(NotPlaced, (), (reason, note))

struct Noted {
  static constexpr std::string_view kind = "noted";
  std::string text;
};
BOOST_DESCRIBE_STRUCT(Noted, (), (text))

/// The named event was wrong and is taken back; the entry itself stays readable in the record.
struct Retracted {
  static constexpr std::string_view kind = "retracted";
  std::string reason;
};
BOOST_DESCRIBE_STRUCT(Retracted, (), (reason))

using Body = std::variant<Opened, Ordered, Assessed, OrderDoubleChecked, Planned, Prepared, Refused, SupplyUsed,
                          Attempted, Placed, InfusionStarted, RateChanged, DripCounted, InfusionEnded, Flushed,
                          SiteChecked, DressingChanged, SetChanged, AddOnChanged, TubingTraced, Photographed, PutOff,
                          Assigned, HandedOver, Responded, RemovalOrdered, Removed, AfterChecked, Moved, Noted,
                          Retracted, RetentionHeld, RetentionReleased, Departed, LeftWithLine, NeedReviewed, NotPlaced>;

/// 2 and 3 since kinds were added that the version before cannot read.
inline constexpr int schema_version = 3;

/// Where an entry lies in the record, and when it came by the clock of the server that took it in. The record gives it;
/// no device can.
struct Receipt {
  std::int64_t sequence = 0;
  std::optional<Instant> at;  ///< absent for entries from before receipts were kept
  friend bool operator==(const Receipt&, const Receipt&) = default;
};
BOOST_DESCRIBE_STRUCT(Receipt, (), (sequence, at))

struct Event {
  std::string id;    ///< UUIDv7, made by the author's device, so that a resend is harmless
  std::string line;  ///< UUID of the line
  Instant occurred_at{};
  Instant recorded_at{};
  std::string author;
  std::string device;
  int schema = schema_version;
  std::optional<std::string> corrects;  ///< id of the event that this one replaces (or takes back, when Retracted)
  std::optional<std::string> deviation_reason;  ///< why policy was not followed, when it was not
  Body body;
  std::optional<Receipt> receipt;  ///< absent while it is on its way to the record; no part of what is hashed
};
BOOST_DESCRIBE_STRUCT(Event, (),
                      (id, line, occurred_at, recorded_at, author, device, schema, corrects, deviation_reason, body,
                       receipt))
constexpr auto names_in(const Event*) {
  return std::tuple(&Event::id, &Event::line, &Event::author, &Event::device, &Event::corrects);
}

/// Read through the upcasters, so that what was once accepted can be read for ever.
[[nodiscard]] const json::Value& in_todays_form(const Event*, const json::Value& kept, json::Value& room);

/// An entry of a line that this program cannot read. It is named until somebody takes it back or charts it anew.
struct SetAside {
  std::string id;
  std::int64_t sequence = 0;  ///< its place in the record
  std::string reason;         ///< what could not be read
  friend bool operator==(const SetAside&, const SetAside&) = default;
};
BOOST_DESCRIBE_STRUCT(SetAside, (), (id, sequence, reason))

[[nodiscard]] std::string_view kind_of(const Body& body);

/// Whether the fact is done to a catheter in the vein; a removal is one too.
[[nodiscard]] bool needs_catheter(const Body& body);
/// Whether the fact says that a catheter went into the vein.
[[nodiscard]] bool puts_catheter_in(const Body& body);

/// A UUIDv7 (RFC 9562) from a moment and 10 random bytes.
[[nodiscard]] std::string make_id(Instant now, const std::array<std::uint8_t, 10>& random);
/// An entry's id: a UUIDv7 in the one form in which Dwell writes it, 36 characters in lower case. Nothing else ever is.
[[nodiscard]] bool is_id(std::string_view text);
/// A line's id: a UUID of any version in that form.
[[nodiscard]] bool is_line_id(std::string_view text);

/// What a single event must hold whatever came before: ids well formed, moments plausible (not more than 5 minutes
/// after `now`, not before 2000), texts within the rule for names and the one for notes, quantities physically
/// possible, a move to a ward that is named. All faults at once.
[[nodiscard]] FieldErrors check(const Event& event, Instant now);

}  // namespace dwell::line

extern template struct dwell::json::Codec<dwell::line::Event>;  // compiled once, in event.cc
