#pragma once
// Placing and removing as guided steps: what comes next, which clock runs, what must be captured. The policy's figures
// stand in the steps with their sources; the words are ours.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "infusate/infusate.h"
#include "line/event.h"
#include "patient/patient.h"
#include "policy/policy.h"

namespace dwell::procedure {

enum class ClockRule { at_least, at_most };
BOOST_DESCRIBE_ENUM(ClockRule, at_least, at_most)

struct Clock {
  ClockRule rule = ClockRule::at_least;
  Interval limit{};
  Message name;  ///< "antiseptic dry time"
  Source source;
};
BOOST_DESCRIBE_STRUCT(Clock, (), (rule, limit, name, source))

enum class Capture {
  none,
  identity_confirmed,
  consent,
  allergies_checked,
  supplies,
  antiseptic,
  dry_time,
  tourniquet,
  attempt,
  blood_return,
  flush,
  dressing,
  securement,
  label,
  teaching,
  tolerance,
  removal_ground,
  pressure,
  catheter_length,
  site_signs,
  wishes,
  topical_anaesthetic,
  samples,
  tubing_traced,
  origin,
  handover,
  dose,
  lock
};
BOOST_DESCRIBE_ENUM(Capture, none, identity_confirmed, consent, allergies_checked, supplies, antiseptic, dry_time,
                    tourniquet, attempt, blood_return, flush, dressing, securement, label, teaching, tolerance,
                    removal_ground, pressure, catheter_length, site_signs, wishes, topical_anaesthetic, samples,
                    tubing_traced, origin, handover, dose, lock)

struct Step {
  std::string id;  ///< "let_dry"
  Message title;   ///< "Let it dry"
  Message detail;
  Message why;
  std::optional<Clock> clock;
  Capture capture = Capture::none;
  std::vector<Message> cautions;
  Source source;
  std::vector<Message> stops{};  ///< what this patient forbids here: answered before going on
};
BOOST_DESCRIBE_STRUCT(Step, (), (id, title, detail, why, clock, capture, cautions, source, stops))

struct PlacingInput {
  line::Patient patient;
  std::string antiseptic;  ///< key of policy.place.antiseptics; empty: the usual one
  std::optional<Gauge> gauge;
  Date today;
  std::optional<std::string> topical_anaesthetic =
      std::nullopt;                            ///< key of policy.place.topical_anaesthetics, when one is ordered
  std::optional<bool> samples = std::nullopt;  ///< blood is to be drawn before anything is given
};
BOOST_DESCRIBE_STRUCT(PlacingInput, (), (patient, antiseptic, gauge, today, topical_anaesthetic, samples))

/// Errors: an antiseptic or a topical anaesthetic that the policy does not know; weeks at
/// birth outside 20 to 45; a birth date to come.
[[nodiscard]] Checked<std::vector<Step>> placing_steps(const PlacingInput& input, const policy::Policy& policy);

/// What a failed attempt asks for: a card where it hurt more than the skin, and the step at which the next one begins.
struct FailedAttempt {
  std::optional<std::string> response;  ///< name of a card of the policy
  std::optional<policy::ResponseCard> card;
  std::string go_on_at;  ///< id of a step of placing_steps
  std::vector<Finding> findings;
};
BOOST_DESCRIBE_STRUCT(FailedAttempt, (), (response, card, go_on_at, findings))

[[nodiscard]] FailedAttempt after_failed_attempt(line::AttemptOutcome outcome, const policy::Policy& policy);

struct RemovingInput {
  line::Patient patient;
  std::optional<Length> length_placed;
  infusate::HarmClass running = infusate::HarmClass::unknown;
  bool leak_suspected = false;
  std::optional<std::vector<std::string>> cards{};  ///< response cards opened by what was found; one of a leak tells it
};
BOOST_DESCRIBE_STRUCT(RemovingInput, (), (patient, length_placed, running, leak_suspected, cards))

/// Pressure: the anticoagulant's longer time also when it is unknown whether one is taken. A leak is suspected when it
/// is said, or when one of the cards answers a leak by the policy (site::answers_leak).
[[nodiscard]] std::vector<Step> removing_steps(const RemovingInput& input, const policy::Policy& policy);

struct CheckingInput {
  line::Patient patient;
  infusate::HarmClass running = infusate::HarmClass::unknown;
  bool infusing = true;
};
BOOST_DESCRIBE_STRUCT(CheckingInput, (), (patient, running, infusing))

/// A look at the site, as it is practised; charting it goes by its signs.
[[nodiscard]] std::vector<Step> checking_steps(const CheckingInput& input);

/// The patient goes to another bed or unit with a line that runs.
[[nodiscard]] std::vector<Step> transfer_steps(const policy::Policy& policy);

struct ReceivingInput {
  std::optional<line::Origin> origin;    ///< absent: not known
  std::optional<line::Asepsis> asepsis;  ///< as told or labelled; absent: not known, taken as not assured
  std::optional<Interval> in_for;        ///< since it was placed, as told or labelled
};
BOOST_DESCRIBE_STRUCT(ReceivingInput, (), (origin, asepsis, in_for))

/// A line arrives with its patient, from the field, another hospital or unit: what to look at before it is used, and
/// by when it must be replaced when its asepsis is not known.
[[nodiscard]] std::vector<Step> receiving_steps(const ReceivingInput& input, const policy::Policy& policy);

struct CatheterCheck {
  bool alarm = false;
  std::optional<Length> missing;
  std::vector<Finding> findings;
  std::optional<policy::ResponseCard> card;  ///< response "catheter_fragment" on alarm
};
BOOST_DESCRIBE_STRUCT(CatheterCheck, (), (alarm, missing, findings, card))

/// Length found against length placed, and the tip. Unknown length or tip is never "whole".
[[nodiscard]] Checked<CatheterCheck> check_catheter(std::optional<Length> placed, std::optional<Length> found,
                                                    std::optional<bool> tip_whole, const policy::Policy& policy);

}  // namespace dwell::procedure
