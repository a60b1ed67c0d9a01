#include "care/task_row.h"

#include <array>
#include <boost/mp11.hpp>

namespace dwell::care {
namespace {

constexpr const char* ruler[]{"ruler"};
constexpr const char* flushing[]{"flush, in date", "hub wipe"};
constexpr const char* dressing[]{"gloves", "skin antiseptic", "dressing", "label"};
constexpr const char* set[]{"gloves", "set, in date", "hub wipe", "label"};
constexpr const char* add_ons[]{"gloves", "connector and extension, in date", "flush, in date", "hub wipe"};
constexpr const char* bag[]{"next container, as ordered", "hub wipe"};
constexpr const char* watch[]{"watch with seconds"};
constexpr const char* removing[]{"gloves", "gauze and tape", "ruler"};
constexpr const char* missing[]{"tourniquet", "container for every piece"};
constexpr const char* answering[]{"gloves", "ruler", "skin marker"};
constexpr const char* following_up[]{"ruler", "skin marker"};

/// In the order of the enum.
constexpr std::array rows{
    TaskRow{Task::site_check, 80, ruler},
    TaskRow{Task::flush, 40, flushing},
    TaskRow{Task::dressing_change, 30, dressing},
    TaskRow{Task::set_change, 35, set},
    TaskRow{Task::add_on_change, 32, add_ons},
    TaskRow{Task::bag_change, 75, bag},
    TaskRow{Task::drip_recount, 60, watch},
    TaskRow{Task::tubing_trace, 85, {}},
    TaskRow{Task::need_review, 20, {}},
    TaskRow{Task::removal, 70, removing},
    TaskRow{Task::catheter_missing_alarm, 1000, missing},
    TaskRow{Task::response, alarm_from, answering},
    TaskRow{Task::after_check, 50, ruler},
    TaskRow{Task::follow_up, 88, following_up},
    TaskRow{Task::contradiction, 95, {}},
};

constexpr bool one_for_each_task() {
  for (std::size_t i = 0; i < rows.size(); ++i)
    if (rows[i].task != static_cast<Task>(i)) return false;
  return rows.size() == boost::mp11::mp_size<boost::describe::describe_enumerators<Task>>::value;
}
static_assert(one_for_each_task());

}  // namespace

const TaskRow& row_of(Task task) { return rows.at(static_cast<std::size_t>(task)); }

}  // namespace dwell::care
