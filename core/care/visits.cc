// One visit to one bed, so that nobody walks twice.
#include <algorithm>
#include <iterator>
#include <map>
#include <set>
#include <string_view>
#include <utility>

#include "care/due.h"
#include "care/task_row.h"
#include "line/clauses.h"
#include "say/care.h"

namespace dwell::care {
namespace {

/// What is on the lists of one visit; a bed that nobody named may gather the lines of a whole house.
struct Listed {
  std::set<std::string> tasks, things, nurses;
};

void add_once(std::vector<Message>& list, std::set<std::string>& listed, Message message) {
  if (listed.insert(line::key_of(message)).second) list.push_back(std::move(message));
}

/// Bed 9 before bed 10, bed 10a after bed 10: runs of digits compare as numbers.
bool comes_before(std::string_view a, std::string_view b) {
  const auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
  const auto digits = [&](std::string_view text) {
    std::size_t n = 0;
    while (n < text.size() && is_digit(text[n])) ++n;
    return n;
  };
  while (!a.empty() && !b.empty()) {
    const std::size_t in_a = digits(a), in_b = digits(b);
    if (in_a > 0 && in_b > 0) {
      std::string_view x = a.substr(0, in_a), y = b.substr(0, in_b);
      x.remove_prefix(std::min(x.find_first_not_of('0'), x.size()));
      y.remove_prefix(std::min(y.find_first_not_of('0'), y.size()));
      if (x.size() != y.size()) return x.size() < y.size();
      if (x != y) return x < y;
      a.remove_prefix(in_a);
      b.remove_prefix(in_b);
    } else {
      if (a.front() != b.front()) return a.front() < b.front();
      a.remove_prefix(1);
      b.remove_prefix(1);
    }
  }
  return a.size() < b.size();
}

/// Alarms, overdue, due, soon.
int band_of(int urgency) {
  constexpr int alarm = 8;
  return std::min(urgency / 100, alarm);
}

bool earlier_on_the_walk(const Visit& a, const Visit& b) {
  if (band_of(a.urgency) != band_of(b.urgency)) return band_of(a.urgency) > band_of(b.urgency);
  if (a.unit != b.unit) return comes_before(a.unit, b.unit);
  return comes_before(a.bed, b.bed);
}

}  // namespace

std::vector<Visit> visits(const std::vector<LineDue>& ward, RoundOrder order) {
  std::vector<Visit> out;
  std::vector<Listed> listed;
  std::map<std::pair<std::string_view, std::string_view>, std::size_t> by_bed;
  for (const auto& line : ward)
    for (const auto& item : line.items) {
      if (item.state == DueState::later) continue;
      const auto [place, is_new] =
          by_bed.emplace(std::pair(std::string_view(line.unit), std::string_view(line.bed)), out.size());
      if (is_new) {
        out.push_back({line.unit, line.bed, {}, {}, 0, {}});
        listed.emplace_back();
      }
      Visit& visit = out[place->second];
      Listed& on = listed[place->second];
      add_once(visit.tasks, on.tasks, line.site.empty() ? item.title : say::task_at_site(item.title, line.site));
      for (const auto thing : row_of(item.task).take_along) add_once(visit.take_along, on.things, thing());
      if (!line.nurse.empty() && on.nurses.insert(line.nurse).second) visit.nurses.push_back(line.nurse);
      visit.urgency = std::max(visit.urgency, item.urgency);
    }
  if (order == RoundOrder::walk)
    std::stable_sort(out.begin(), out.end(), earlier_on_the_walk);
  else
    std::stable_sort(out.begin(), out.end(), [](const Visit& a, const Visit& b) { return a.urgency > b.urgency; });
  return out;
}

std::vector<LineDue> lines_of(const std::vector<LineDue>& ward, const std::string& nurse) {
  std::vector<LineDue> out;
  std::copy_if(ward.begin(), ward.end(), std::back_inserter(out), [&](const LineDue& l) { return l.nurse == nurse; });
  return out;
}

}  // namespace dwell::care
