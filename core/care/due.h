#pragma once
// What falls due on a line, and when: policy × state × now. A forgotten site is how people get hurt, so every item says
// why it exists and whose rule it is; late is shown as late.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "line/state.h"
#include "message/message.h"
#include "policy/policy.h"
#include "quantity/time.h"
#include "task/task.h"

namespace dwell::care {

enum class DueState { later, soon, due, overdue };
BOOST_DESCRIBE_ENUM(DueState, later, soon, due, overdue)

/// Whether leaving it can hurt now. It follows from the urgency, so that neither colour nor order is ever milder than
/// the other, and from no clock of the page's own.
///   emergency  part of a catheter may be missing, a line left unseen, or a card that the policy calls an emergency is
///              not answered
///   can_hurt   something found is not answered; or overdue: a record that says two things, a look at a site where
///              something that burns, or that nobody knows, ran
enum class Danger { none, can_hurt, emergency };
BOOST_DESCRIBE_ENUM(Danger, none, can_hurt, emergency)

struct DueItem {
  Task task = Task::site_check;
  Instant due_at{};
  DueState state = DueState::later;
  int urgency = 0;  ///< larger is first; orders a ward
  Message title;    ///< "Check the site"
  Message why;      ///< "vesicant running: every 1 h"
  Source source;
  std::optional<Instant> put_off_until;  ///< somebody put it off; until then it waits, in sight
  std::optional<std::string> put_off_because;
  bool may_wait = true;            ///< whether it may be put off with a reason
  std::vector<std::string> cards;  ///< response cards that answer it, gravest first
  Danger danger = Danger::none;
};
BOOST_DESCRIBE_STRUCT(DueItem, (),
                      (task, due_at, state, urgency, title, why, source, put_off_until, put_off_because, may_wait,
                       cards, danger))

/// Urgency, so that a ward can be ordered by one number:
///   1000  catheter not whole
///    950  response to something found that stands, where a card that answers it is an emergency
///    900  the patient left, and the line may still be in
///    800  response to anything else found that stands
///   else  overdue 300, due 200, soon 100, later 0, and within these: contradiction 95, site check of a vesicant line
///   90,
///         follow-up of a card 88, tubing to trace 85, other site check 80, bag change 75, removal 70, drip recount 60,
///         after-check 50, flush 40, set change 35, add-on change 32, dressing 30, need 20
///
/// All items of one line, most urgent first. Due exactly at due_at; overdue once 15 minutes or a quarter of the
/// interval (whichever is less) have passed; soon within policy.watch.soon. An item that was put off since it began to
/// run keeps its due_at and waits until then; what has been done in the meantime starts anew. Hard limits (an emergency
/// line, a set that held blood or lipid) are overdue at once and are not put off. `formulary` gives the harm class of
/// what ran.
[[nodiscard]] std::vector<DueItem> due_items(const line::State& state, const policy::Policy& policy,
                                             const infusate::Formulary& formulary, Instant now);

/// When the dressing is to be changed or looked at; a broken one at once. Nothing while none is charted.
[[nodiscard]] std::optional<Instant> dressing_due_at(const line::State& state, const policy::Policy& policy);

/// How long a ward lists a line; nothing: for as long as it is not closed. A removed line that only waits for an answer
/// leaves the list when the policy's time since its last entry, or since the last look that a card asks for, is over,
/// and stands on its own page. What may hide a catheter, an infusion or part of a catheter never leaves.
[[nodiscard]] std::optional<Instant> listed_until(const line::State& state, const policy::Policy& policy);
[[nodiscard]] bool is_listed(const line::State& state, const policy::Policy& policy, Instant now);

/// What a clock needs to be read at any moment, without words: for a hospital of lines (board.h).
struct DueClock {
  Task task = Task::site_check;
  Instant due_at{};
  Instant overdue_at{};
  Instant soon_at{};
  int weight = 0;  ///< its urgency but for lateness
};
BOOST_DESCRIBE_STRUCT(DueClock, (), (task, due_at, overdue_at, soon_at, weight))

/// The clocks of a line as due_items has them, and until when they hold: a bag that runs empty or a birthday moves
/// them.
struct DueClocks {
  std::vector<DueClock> clocks;
  std::optional<Instant> hold_until;
};
BOOST_DESCRIBE_STRUCT(DueClocks, (), (clocks, hold_until))
[[nodiscard]] DueClocks due_clocks(const line::State& state, const policy::Policy& policy,
                                   const infusate::Formulary& formulary, Instant now);

/// Urgency of a clock at a moment, and whether leaving it can hurt then.
[[nodiscard]] int urgency_at(const DueClock& clock, Instant now);
[[nodiscard]] Danger danger_at(const DueClock& clock, Instant now);
/// When that changes next; nothing when it stays.
[[nodiscard]] std::optional<Instant> next_change(const DueClock& clock, Instant now);

struct LineDue {
  std::string line;
  std::string unit;
  std::string bed;
  std::string patient;
  Message site;  ///< empty: none is placed or planned
  std::vector<DueItem> items;
  int urgency = 0;
  std::optional<Instant> next_at;  ///< the earliest moment at which an item is, or was, due
  std::string nurse;               ///< who looks after it; empty: nobody assigned
  std::vector<Finding> findings;   ///< what another line of the same patient means for this one
};
BOOST_DESCRIBE_STRUCT(LineDue, (), (line, unit, bed, patient, site, items, urgency, next_at, nurse, findings))

/// The whole ward, most urgent line first, ties by bed. Lines that are not listed are left out. Two lines in one limb
/// of a patient (by number, else by name in one bed) are said on both.
[[nodiscard]] std::vector<LineDue> ward_due(const std::vector<line::State>& states, const policy::Policy& policy,
                                            const infusate::Formulary& formulary, Instant now);

/// One visit to one bed: everything due or soon there, and what to take along.
struct Visit {
  std::string unit;
  std::string bed;
  std::vector<Message> tasks;
  std::vector<Message> take_along;
  int urgency = 0;
  std::vector<std::string> nurses;  ///< who looks after the lines of this bed
};
BOOST_DESCRIBE_STRUCT(Visit, (), (unit, bed, tasks, take_along, urgency, nurses))

/// urgency: the most urgent bed first. walk: alarms, then what is overdue, due, soon, and within each by unit and bed,
/// so that nobody walks the ward to and fro; bed 9 comes before bed 10.
enum class RoundOrder { urgency, walk };
BOOST_DESCRIBE_ENUM(RoundOrder, urgency, walk)
[[nodiscard]] std::vector<Visit> visits(const std::vector<LineDue>& ward, RoundOrder order = RoundOrder::urgency);

/// The lines of one nurse; with an empty name, those that nobody is assigned to.
[[nodiscard]] std::vector<LineDue> lines_of(const std::vector<LineDue>& ward, const std::string& nurse);

/// Which clock the site check follows: of all classes that apply, the one with the shortest interval in this policy.
/// A vesicant counts that runs, was pushed or has ended, until the site is seen sound; a mixture with an unknown part
/// counts as one, unknown is never taken as safe. The bend of a joint counts while something runs.
[[nodiscard]] policy::SiteCheckClass site_check_class(const line::State& state, const policy::Policy& policy,
                                                      const infusate::Formulary& formulary, Date today);

}  // namespace dwell::care
