#include "care/task_row.h"

#include <array>
#include <boost/mp11.hpp>

#include "say/care.h"

namespace dwell::care {
namespace {

using Take = Message (*)();
constexpr Take ruler[]{say::take_ruler};
constexpr Take flushing[]{say::take_flush_in_date, say::take_hub_wipe};
constexpr Take dressing[]{say::take_gloves, say::take_skin_antiseptic, say::take_dressing, say::take_label};
constexpr Take set[]{say::take_gloves, say::take_set_in_date, say::take_hub_wipe, say::take_label};
constexpr Take add_ons[]{say::take_gloves, say::take_connector_in_date, say::take_flush_in_date, say::take_hub_wipe};
constexpr Take bag[]{say::take_next_container, say::take_hub_wipe};
constexpr Take watch[]{say::take_watch_with_seconds};
constexpr Take removing[]{say::take_gloves, say::take_gauze_and_tape, say::take_ruler};
constexpr Take missing[]{say::take_tourniquet, say::take_container_for_pieces};
constexpr Take answering[]{say::take_gloves, say::take_ruler, say::take_skin_marker};
constexpr Take following_up[]{say::take_ruler, say::take_skin_marker};

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
    TaskRow{Task::left_unseen, 900, {}},
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
