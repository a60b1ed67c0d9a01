#pragma once
// What falls due on a line, and when: policy × state × now. A forgotten site is how people get hurt, so every item says
// why it exists and whose rule it is; late is shown as late.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "line/state.h"
#include "policy/policy.h"
#include "quantity/time.h"

namespace dwell::care {

enum class Task {
  site_check,
  flush,
  dressing_change,
  set_change,
  bag_change,
  drip_recount,
  need_review,
  removal,
  catheter_missing_alarm,
  response,
  after_check
};
BOOST_DESCRIBE_ENUM(Task, site_check, flush, dressing_change, set_change, bag_change, drip_recount, need_review,
                    removal, catheter_missing_alarm, response, after_check)

enum class DueState { later, soon, due, overdue };
BOOST_DESCRIBE_ENUM(DueState, later, soon, due, overdue)

struct DueItem {
  Task task = Task::site_check;
  Instant due_at{};
  DueState state = DueState::later;
  int urgency = 0;    ///< larger is first; orders a ward
  std::string title;  ///< "Check the site"
  std::string why;    ///< "vesicant running: every 1 h"
  Source source;
};
BOOST_DESCRIBE_STRUCT(DueItem, (), (task, due_at, state, urgency, title, why, source))

/// Urgency, so that a ward can be ordered by one number:
///   1000  catheter not whole
///    800  response to what the last look found
///   else  overdue 300, due 200, soon 100, later 0, and within these: site check of a vesicant line 90, other site
///   check
///         80, bag change 75, removal 70, drip recount 60, after-check 50, flush 40, set change 35, dressing 30, need
///         20
///
/// All items of one line, most urgent first. Due exactly at due_at; overdue once 15 minutes or a quarter of the
/// interval (whichever is less) have passed; soon within policy.watch.soon. `formulary` gives the harm class of what
/// runs.
[[nodiscard]] std::vector<DueItem> due_items(const line::State& state, const policy::Policy& policy,
                                             const infusate::Formulary& formulary, Instant now);

struct LineDue {
  std::string line;
  std::string bed;
  std::string patient;
  std::string site;
  std::vector<DueItem> items;
  int urgency = 0;
  std::optional<Instant> next_at;  ///< the earliest moment at which an item is, or was, due
};
BOOST_DESCRIBE_STRUCT(LineDue, (), (line, bed, patient, site, items, urgency, next_at))

/// The whole ward, most urgent line first, ties by bed. Closed lines are left out.
[[nodiscard]] std::vector<LineDue> ward_due(const std::vector<line::State>& states, const policy::Policy& policy,
                                            const infusate::Formulary& formulary, Instant now);

/// One visit to one bed: everything due or soon there, and what to take along.
struct Visit {
  std::string bed;
  std::vector<std::string> tasks;
  std::vector<std::string> take_along;
  int urgency = 0;
};
BOOST_DESCRIBE_STRUCT(Visit, (), (bed, tasks, take_along, urgency))
[[nodiscard]] std::vector<Visit> visits(const std::vector<LineDue>& ward);

/// Which clock the site check follows: of all classes that apply, the one with the shortest interval in this policy.
/// A running mixture with an unknown part counts as vesicant; unknown is never taken as safe.
[[nodiscard]] policy::SiteCheckClass site_check_class(const line::State& state, const policy::Watch& watch,
                                                      const infusate::Formulary& formulary, Date today);

}  // namespace dwell::care
