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
  follow_up,     ///< what a response card leaves behind
  contradiction  ///< the record says two things: somebody looks, and corrects it
};
BOOST_DESCRIBE_ENUM(Task, site_check, flush, dressing_change, set_change, add_on_change, bag_change, drip_recount,
                    tubing_trace, need_review, removal, catheter_missing_alarm, response, after_check, follow_up,
                    contradiction)

/// What may be put off with a reason. An alarm, the answer to a finding and a contradiction may not.
[[nodiscard]] constexpr bool may_be_put_off(Task task) {
  return task != Task::catheter_missing_alarm && task != Task::response && task != Task::contradiction;
}

}  // namespace dwell::care
