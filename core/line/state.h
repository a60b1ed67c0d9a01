#pragma once
// One line as it stands, folded from its events. Any order of arrival and any repetition of the same events gives the
// same state; what breaks policy is kept and marked; what contradicts itself is shown for a person to resolve.
#include <boost/describe.hpp>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "line/event.h"
#include "message/message.h"
#include "policy/policy.h"
#include "site/trend.h"

namespace dwell::line {

/// The response card that answers a catheter that came out short; until it is charted the line does not close.
inline constexpr std::string_view catheter_fragment_response = "catheter_fragment";

/// The response card that answers a catheter from which no blood comes when it is drawn back.
inline constexpr std::string_view no_blood_return_response = "no_blood_return";

/// The response card for an attempt at which the vein gave way.
inline constexpr std::string_view infiltrated_attempt_response = "infiltrated_attempt";

enum class Stage { planned, attempted, dwelling, removed, closed };
BOOST_DESCRIBE_ENUM(Stage, planned, attempted, dwelling, removed, closed)

/// Whether a ward sees a line whose place names `unit`: the ward's own, and every line whose unit is unknown (empty, or
/// nothing that can be seen), so that a catheter in a vein always has somebody who looks. An empty `ward` asks for all.
[[nodiscard]] bool belongs_to(std::string_view unit, std::string_view ward);
[[nodiscard]] bool belongs_to(const Place& place, std::string_view ward);

/// The catheter as placed, with its moment.
struct Placement {
  Instant at{};
  std::string author;
  Placed placed;
};
BOOST_DESCRIBE_STRUCT(Placement, (), (at, author, placed))

/// The container now running. Volume given is rate × time, rate by rate, up to `as_of` in running_state().
struct Running {
  Instant started_at{};
  infusate::Mixture mixture;
  Volume total;
  Flow flow;  ///< now
  Instant flow_since{};
  Volume given_before;  ///< at flow_since
  Delivery delivery = Delivery::pump;
  std::optional<DropFactor> drop_factor;
  std::optional<Instant> drip_counted_at;
};
BOOST_DESCRIBE_STRUCT(Running, (),
                      (started_at, mixture, total, flow, flow_since, given_before, delivery, drop_factor,
                       drip_counted_at))

struct CheckMark {
  Instant at{};
  std::string author;
  SiteChecked check;
};
BOOST_DESCRIBE_STRUCT(CheckMark, (), (at, author, check))

struct AttemptMark {
  Instant at{};
  Attempted attempt;
};
BOOST_DESCRIBE_STRUCT(AttemptMark, (), (at, attempt))

struct RemovalMark {
  Instant at{};
  std::string author;
  Removed removed;
  bool catheter_short = false;  ///< found shorter than placed, or tip not whole: alarm
  std::optional<Length> missing;
};
BOOST_DESCRIBE_STRUCT(RemovalMark, (), (at, author, removed, catheter_short, missing))

struct AfterMark {
  Instant at{};
  std::string author;
  AfterChecked check;
};
BOOST_DESCRIBE_STRUCT(AfterMark, (), (at, author, check))

/// What was done about a problem, and when.
struct ResponseMark {
  Instant at{};
  std::string author;
  Responded response;
};
BOOST_DESCRIBE_STRUCT(ResponseMark, (), (at, author, response))

/// Something found that asks for an act. It stands until acts that fit it are charted, until it is taken back, or until
/// somebody who looked at the same things finds it gone; gone sooner than tissue heals, it is to be confirmed.
struct FoundMark {
  std::string event;  ///< the entry that found it first
  std::string kind;   ///< of that entry
  Instant since{};    ///< found first
  Instant as_now{};   ///< since when it is as bad as it is
  Instant at{};       ///< last seen
  Message what;       ///< of what is no look at the site: "2 mm missing"
  bool alarm = false;
  site::Signs signs;
  std::vector<GradeGiven> grades;      ///< above 0, or unmatched
  std::vector<std::string> responses;  ///< cards opened with it, or asked for by it
  std::vector<infusate::Mixture> ran;  ///< what may be under the skin
  std::optional<Instant> given_at;     ///< when something last went in before it was last seen
  std::optional<Instant> gone_at;      ///< a later look did not find it any more, sooner than tissue heals
  std::string gone_by;
  /// Where in the record it was last found: a look that the record had before cannot have looked for it.
  std::optional<std::int64_t> sequence = std::nullopt;
  /// No look can end it, only an answer.
  [[nodiscard]] bool only_answered() const { return signs.present.empty() && grades.empty(); }
};
BOOST_DESCRIBE_STRUCT(FoundMark, (),
                      (event, kind, since, as_now, at, what, alarm, signs, grades, responses, ran, given_at, gone_at,
                       gone_by, sequence))

/// Something that went in by hand, and when it last did.
struct PushMark {
  std::string fluid;  ///< empty: not recorded
  Instant at{};
};
BOOST_DESCRIBE_STRUCT(PushMark, (), (fluid, at))

/// A task that somebody put off, and for how long.
struct PutOffMark {
  Instant at{};
  std::string author;
  PutOff put_off;
};
BOOST_DESCRIBE_STRUCT(PutOffMark, (), (at, author, put_off))

/// A picture of the site; the picture lies beside the record.
struct PhotoMark {
  Instant at{};
  std::string author;
  Photographed photo;
};
BOOST_DESCRIBE_STRUCT(PhotoMark, (), (at, author, photo))

/// What the patient said no to.
struct RefusalMark {
  Instant at{};
  std::string author;
  Refused refused;
};
BOOST_DESCRIBE_STRUCT(RefusalMark, (), (at, author, refused))

struct HandoverMark {
  Instant at{};
  HandedOver handed_over;
};
BOOST_DESCRIBE_STRUCT(HandoverMark, (), (at, handed_over))

struct DepartureMark {
  Instant at{};
  std::string author;
  Departed departed;
};
BOOST_DESCRIBE_STRUCT(DepartureMark, (), (at, author, departed))

struct LeftMark {
  Instant at{};
  std::string author;
  LeftWithLine left;
};
BOOST_DESCRIBE_STRUCT(LeftMark, (), (at, author, left))

/// The patient's leaving with the line, as far as it was charted.
struct Leaving {
  std::optional<DepartureMark> departed;   ///< the last
  std::optional<LeftMark> left_with_line;  ///< the last
  /// The patient departed then, and nobody has said since that the line stays in on purpose.
  std::optional<Instant> unseen_since;
};
BOOST_DESCRIBE_STRUCT(Leaving, (), (departed, left_with_line, unseen_since))

struct NeedMark {
  Instant at{};
  std::string author;
  NeedReviewed reviewed;
};
BOOST_DESCRIBE_STRUCT(NeedMark, (), (at, author, reviewed))

struct NotPlacedMark {
  Instant at{};
  std::string author;
  NotPlaced not_placed;
};
BOOST_DESCRIBE_STRUCT(NotPlacedMark, (), (at, author, not_placed))

/// A mark on the ribbon: anything that happened, in one short text.
struct HistoryEntry {
  std::string id;
  Instant at{};
  std::string kind;
  Message text;
  std::string author;
  std::optional<int> worst_grade;
  bool corrected = false;                        ///< replaced or taken back by a later event
  std::optional<bool> unmatched = std::nullopt;  ///< true: a look whose signs match no grade of a scale
};
BOOST_DESCRIBE_STRUCT(HistoryEntry, (), (id, at, kind, text, author, worst_grade, corrected, unmatched))

struct Deviation {
  std::string event;
  Instant at{};
  Message text;
  std::optional<std::string> reason;
};
BOOST_DESCRIBE_STRUCT(Deviation, (), (event, at, text, reason))

/// How far this state itself may be wrong.
struct Doubt {
  bool may_hide = false;              ///< a contradiction that may hide a catheter, an infusion or a wound
  std::vector<std::string> not_kept;  ///< members that an older program did not keep: what they would say is not known
};
BOOST_DESCRIBE_STRUCT(Doubt, (), (may_hide, not_kept))

/// What the line is for, and whether it left. A base of the state, whose own members are as many as can be described.
struct Purpose {
  std::optional<NeedMark> need;             ///< as last asked
  std::optional<NotPlacedMark> not_placed;  ///< until it is tried or planned after all
  std::optional<Leaving> leaving;           ///< absent: none was charted
};
BOOST_DESCRIBE_STRUCT(Purpose, (), (need, not_placed, leaving))

struct State : Purpose {
  std::string id;
  Stage stage = Stage::planned;
  Patient patient;
  Place place;
  std::optional<dosing::Order> order;
  std::vector<access::Vein> veins;  ///< as last assessed
  std::optional<OrderDoubleChecked> double_check;
  std::optional<Planned> planned;
  std::optional<Prepared> prepared;
  std::vector<RefusalMark> refusals;
  std::vector<AttemptMark> attempts;
  std::optional<Placement> placement;
  std::optional<Running> running;
  std::vector<Placement> also_placed;   ///< charted beside it, and not charted as removed: perhaps in a vein too
  std::optional<Instant> last_used_at;  ///< last infusion running; a dose by hand stands in `pushed`
  std::vector<PushMark> pushed;         ///< each fluid once
  std::optional<Instant> last_flush_at;
  std::optional<Instant> dressing_since;
  std::optional<Dressing> dressing;
  std::optional<Instant> set_since;
  bool set_intermittent = false;         ///< disconnected and reconnected
  std::vector<std::string> through_set;  ///< names of all that ran through this set
  std::optional<Instant> add_ons_since;
  std::optional<Instant> moved_at;         ///< last move to another bed or unit
  std::optional<Instant> traced_at;        ///< last time the tubing was traced and found as meant
  std::optional<Instant> not_as_meant_at;  ///< tubing found to run otherwise than meant, and not yet put right
  std::string nurse;                       ///< who looks after the line; empty: nobody assigned
  std::optional<HandoverMark> handover;
  std::vector<PutOffMark> put_off;  ///< the last one of each task
  std::optional<CheckMark> last_check;
  std::optional<Instant> last_look_at;                   ///< last look at the site that was one; after removal too
  std::optional<Instant> dressing_broken_at;             ///< and not changed since
  std::optional<Instant> not_needed_at;                  ///< asked, and answered so; until it is asked again
  std::vector<FoundMark> findings;                       ///< that stand, in the order in which they came
  std::optional<Instant> last_sound_check_at;            ///< last check with every grade 0
  Volume given_until_sound_check;                        ///< through the line, up to that check
  std::vector<infusate::Mixture> ran_since_sound_check;  ///< and so may be under the skin, the one running too
  std::vector<site::Look> looks;                         ///< at the dwelling site, oldest first
  std::vector<PhotoMark> photos;
  std::vector<ResponseMark> responses;
  std::optional<std::string> removal_order;  ///< its reason; empty: none was charted
  std::optional<Instant> removal_ordered_at;
  std::optional<RemovalMark> removal;
  std::vector<AfterMark> after_checks;
  std::vector<HistoryEntry> history;  ///< by occurred_at, then id
  std::vector<Deviation> deviations;
  std::vector<Message> contradictions;      ///< each once
  std::optional<std::string> held_because;  ///< kept beyond its time
  Volume given_in_all;                      ///< finished containers and flushes
  std::vector<SetAside> set_aside;          ///< entries that could not be read, unanswered: the rest may be wrong
  std::optional<Instant> no_blood_return_at = std::nullopt;  ///< drawn back, and none came; until it comes again
  std::optional<Doubt> doubt = std::nullopt;                 ///< absent: not known
};
BOOST_DESCRIBE_STRUCT(State, (Purpose),
                      (id, stage, patient, place, order, veins, double_check, planned, prepared, refusals, attempts,
                       placement, also_placed, running, last_used_at, pushed, last_flush_at, dressing_since, dressing,
                       set_since, set_intermittent, through_set, add_ons_since, moved_at, traced_at, not_as_meant_at,
                       nurse, handover, put_off, last_check, last_look_at, dressing_broken_at, not_needed_at, findings,
                       last_sound_check_at, given_until_sound_check, ran_since_sound_check, looks, photos, responses,
                       removal_order, removal_ordered_at, removal, after_checks, history, deviations, contradictions,
                       held_because, given_in_all, set_aside, no_blood_return_at, doubt))

/// The reason of the removal ordered, as it is shown: a prescriber's own words between their marks; absent when none
/// is.
[[nodiscard]] std::optional<Message> shown_removal_order(const State& state);

/// Whether, as far as the record can say, a catheter may be in the vein: it dwells; an attempt succeeded of which no
/// placement is charted; or what was charted contradicts itself or could not be read, so that nothing shows it is out.
[[nodiscard]] bool catheter_may_be_in(const State& state);

/// Folds the events of one line. Events of other lines are a broken promise (std::invalid_argument).
/// `policy` marks deviations (attempts beyond the limit, dry time cut short, catheter short, pressure too short).
/// `set_aside` are the line's entries that could not be read: each is a contradiction, and keeps the line from closing,
/// until an entry corrects it.
[[nodiscard]] State fold(std::span<const Event> events, const policy::Policy& policy,
                         std::span<const SetAside> set_aside = {});

struct RunningState {
  Volume given, left;
  std::optional<Instant> empty_at;
  Ratio share_left;
};
BOOST_DESCRIBE_STRUCT(RunningState, (), (given, left, empty_at, share_left))
/// The running bag at a moment: given = given_before + flow × (now − flow_since), not above the total.
[[nodiscard]] RunningState running_state(const Running& running, Instant now);

}  // namespace dwell::line

extern template struct dwell::json::Codec<dwell::line::State>;  // compiled once, in state_codec.cc
