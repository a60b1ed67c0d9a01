#pragma once
// The kinds of care that fall due on a line. Apart from due.h, because an entry of the record may name one: a task that
// somebody put off.
#include <boost/describe.hpp>

namespace dwell::care {

enum class Task {
  site_check,
  flush,
  dressing_change,
  set_change,
  add_on_change,
  bag_change,
  drip_recount,
  tubing_trace,
  need_review,
  removal,
  catheter_missing_alarm,
  response,
  after_check,
  follow_up,      ///< what a response card leaves behind
  contradiction,  ///< the record says two things: somebody looks, and corrects it
  left_unseen     ///< the patient left, and nothing says that the line is out or stays in on purpose
};
BOOST_DESCRIBE_ENUM(Task, site_check, flush, dressing_change, set_change, add_on_change, bag_change, drip_recount,
                    tubing_trace, need_review, removal, catheter_missing_alarm, response, after_check, follow_up,
                    contradiction, left_unseen)

/// What may be put off with a reason. An alarm, the answer to a finding, a contradiction and a line that left unseen
/// may not.
[[nodiscard]] constexpr bool may_be_put_off(Task task) {
  return task != Task::catheter_missing_alarm && task != Task::response && task != Task::contradiction &&
         task != Task::left_unseen;
}

}  // namespace dwell::care
