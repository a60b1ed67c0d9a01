// One visit to one bed, so that nobody walks twice.
#include <algorithm>
#include <map>
#include <string_view>

#include "care/due.h"

namespace dwell::care {
namespace {

/// What is carried to the bedside for a task (common practice, no source).
std::vector<const char*> take_along(Task task) {
  switch (task) {
    case Task::site_check: return {"ruler"};
    case Task::flush: return {"flush, in date", "hub wipe"};
    case Task::dressing_change: return {"gloves", "skin antiseptic", "dressing", "label"};
    case Task::set_change: return {"gloves", "set, in date", "hub wipe", "label"};
    case Task::bag_change: return {"next container, as ordered", "hub wipe"};
    case Task::drip_recount: return {"watch with seconds"};
    case Task::need_review: return {};
    case Task::removal: return {"gloves", "gauze and tape", "ruler"};
    case Task::catheter_missing_alarm: return {"tourniquet", "container for every piece"};
    case Task::response: return {"gloves", "ruler", "skin marker"};
    case Task::after_check: return {"ruler"};
  }
  return {};
}

template <class Text>
void add_once(std::vector<std::string>& list, const Text& text) {
  if (std::find(list.begin(), list.end(), text) == list.end()) list.emplace_back(text);
}

}  // namespace

std::vector<Visit> visits(const std::vector<LineDue>& ward) {
  std::vector<Visit> out;
  std::map<std::string_view, std::size_t> by_bed;
  for (const auto& line : ward)
    for (const auto& item : line.items) {
      if (item.state == DueState::later) continue;
      const auto [place, is_new] = by_bed.emplace(line.bed, out.size());
      if (is_new) out.push_back({line.bed, {}, {}, 0});
      Visit& visit = out[place->second];
      add_once(visit.tasks, item.title + (line.site.empty() ? "" : " (" + line.site + ")"));
      for (const char* thing : take_along(item.task)) add_once(visit.take_along, thing);
      visit.urgency = std::max(visit.urgency, item.urgency);
    }
  std::stable_sort(out.begin(), out.end(), [](const Visit& a, const Visit& b) { return a.urgency > b.urgency; });
  return out;
}

}  // namespace dwell::care
