#pragma once
// One row for each task of care: what orders it among the others, and what is carried to the bed for it. A task without
// a row does not compile.
#include <span>

#include "message/message.h"
#include "task/task.h"

namespace dwell::care {

/// An alarm and the answer to a finding have this weight or more, and are urgent however late they are.
constexpr int alarm_from = 800;
/// From here on it is an emergency: a line that left unseen, an answer to what costs life, limb or tissue, a catheter
/// that is not whole.
constexpr int emergency_from = 900;
/// What is overdue can hurt from this weight on: a look at a site where something that burns ran, a record that says
/// two things.
constexpr int hurts_when_late_from = 90;

struct TaskRow {
  Task task;
  int weight;                                ///< its urgency but for lateness
  std::span<Message (*const)()> take_along;  ///< common practice, no source
};

[[nodiscard]] const TaskRow& row_of(Task task);

}  // namespace dwell::care
