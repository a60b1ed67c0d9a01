#include "line/corrections.h"

#include <algorithm>
#include <limits>
#include <map>
#include <optional>
#include <set>
#include <string_view>
#include <tuple>

#include "json/codec.h"
#include "line/findings.h"
#include "say/line.h"
#include "text/text_rule.h"

namespace dwell::line {
namespace {

/// What an entry says, whether or not the record has it already.
std::string content_of(Event event) {
  event.receipt.reset();
  return json::to_text(json::encode(event));
}

/// The order of the record; what is on its way comes after all that is there. No device's clock decides between two
/// entries that the record holds.
bool later(const Event& a, const Event& b) {
  const auto place = [](const Event& event) {
    return event.receipt ? event.receipt->sequence : std::numeric_limits<std::int64_t>::max();
  };
  return std::tuple(place(a), a.recorded_at, std::string_view(a.id)) >
         std::tuple(place(b), b.recorded_at, std::string_view(b.id));
}

/// Each id once. A resend is harmless; another content under the same id is not, and the text that sorts first is kept,
/// so that the order of arrival does not decide.
std::vector<const Event*> once_each(std::vector<const Event*> sorted, std::vector<Message>& contradictions) {
  std::sort(sorted.begin(), sorted.end(), [](const Event* a, const Event* b) { return a->id < b->id; });
  std::vector<const Event*> kept;
  for (auto first = sorted.begin(); first != sorted.end();) {
    const auto next = std::find_if(first, sorted.end(), [&](const Event* e) { return e->id != (*first)->id; });
    const Event* chosen = *first;
    if (next - first > 1) {
      std::map<std::string, const Event*> contents;
      for (auto at = first; at != next; ++at) {
        const Event*& same = contents[content_of(**at)];
        if (!same || later(*same, **at)) same = *at;  // the record's own copy rather than one on its way
      }
      chosen = contents.begin()->second;
      if (contents.size() > 1) contradictions.push_back(say::entry_of_two_contents(chosen->id));
    }
    kept.push_back(chosen);
    first = next;
  }
  std::sort(kept.begin(), kept.end(), [](const Event* a, const Event* b) {
    return std::tie(a->occurred_at, a->id) < std::tie(b->occurred_at, b->id);
  });
  return kept;
}

constexpr std::size_t nothing = static_cast<std::size_t>(-1);

/// The chains of corrections over entries by index.
class Chains {
 public:
  Chains(const std::vector<const Event*>& events, std::span<const SetAside> set_aside,
         std::vector<Message>& contradictions)
      : events_(events),
        corrections_of_(events.size()),
        stand_in_(events.size(), nothing),
        corrects_(events.size(), nothing),
        contradictions_(contradictions) {
    std::map<std::string_view, std::size_t> by_id;
    std::set<std::string_view> of_set_aside;
    for (const auto& one : set_aside) of_set_aside.insert(one.id);
    for (std::size_t i = 0; i < events.size(); ++i) by_id.emplace(events[i]->id, i);
    for (std::size_t i = 0; i < events.size(); ++i) {
      if (!events[i]->corrects) {
        from_roots_.push_back(i);
      } else if (const auto target = by_id.find(*events[i]->corrects); target != by_id.end()) {
        corrections_of_[target->second].push_back(i);
        corrects_[i] = target->second;
      } else {
        from_roots_.push_back(i);
        if (!of_set_aside.contains(*events[i]->corrects))
          contradictions_.push_back(say::corrects_unknown_entry(events[i]->id));
      }
    }
    // Breadth first from the roots: every correction comes after what it corrects.
    roots_ = from_roots_.size();
    for (std::size_t i = 0; i < from_roots_.size(); ++i)
      for (const std::size_t correction : corrections_of_[from_roots_[i]]) from_roots_.push_back(correction);
    if (from_roots_.size() < events.size()) contradictions_.push_back(say::corrections_in_circle());
  }

  /// True for each entry that stands.
  [[nodiscard]] std::vector<bool> standing() {
    for (auto i = from_roots_.rbegin(); i != from_roots_.rend(); ++i) stand_in_[*i] = stand_in_for(*i);
    std::vector<bool> stands(events_.size(), false);
    for (std::size_t i = 0; i < roots_; ++i)
      if (const auto s = stand_in_[from_roots_[i]]; s != nothing) stands[s] = true;
    mark_effective_retractions(stands);
    for (std::size_t i = 0; i < events_.size(); ++i)
      if (stands[i]) question_what_it_replaces(i, stands);
    return stands;
  }

  /// The entries not among these that something in force corrects. After standing().
  [[nodiscard]] std::set<std::string_view> corrected_from_afar() const {
    std::set<std::string_view> ids;
    for (std::size_t i = 0; i < roots_; ++i) {
      const std::size_t root = from_roots_[i];
      if (events_[root]->corrects && stand_in_[root] != nothing) ids.insert(*events_[root]->corrects);
    }
    return ids;
  }

 private:
  [[nodiscard]] bool takes_back(std::size_t i) const { return std::holds_alternative<Retracted>(events_[i]->body); }

  [[nodiscard]] std::size_t stand_in_for(std::size_t entry) {
    std::size_t latest = nothing;
    int holding = 0;
    for (const std::size_t c : corrections_of_[entry]) {
      if (stand_in_[c] == nothing) continue;  // this correction was itself taken back
      ++holding;
      if (latest == nothing || later(*events_[c], *events_[latest])) latest = c;
    }
    if (holding > 1) contradictions_.push_back(say::corrected_twice(events_[entry]->id));
    if (latest == nothing) return entry;
    return takes_back(stand_in_[latest]) ? nothing : stand_in_[latest];
  }

  /// A finding is taken back with a reason, or stands. What is named is the entry that found it.
  void question_what_it_replaces(std::size_t entry, const std::vector<bool>& stands) {
    const Event& now = *events_[entry];
    const auto* back = std::get_if<Retracted>(&now.body);
    if (!text::is_blank(back ? back->reason : now.deviation_reason.value_or(""))) return;
    std::size_t at = entry;
    for (std::size_t steps = 0; steps < events_.size() && corrects_[at] != nothing; ++steps) {
      at = corrects_[at];
      if (stands[at]) return;  // a taking back that was taken back itself
      if (takes_back(at) || !finds_less(now.body, events_[at]->body)) continue;
      contradictions_.push_back(say::corrected_to_less(events_[at]->id));
      return;
    }
  }

  /// A taking back that holds is an entry in force too, though it brings no fact.
  void mark_effective_retractions(std::vector<bool>& stands) const {
    for (std::size_t i = 0; i < events_.size(); ++i)
      if (takes_back(i) && stand_in_[i] == i) stands[i] = true;
  }

  const std::vector<const Event*>& events_;
  std::vector<std::vector<std::size_t>> corrections_of_;
  std::vector<std::size_t> from_roots_;
  std::size_t roots_ = 0;
  std::vector<std::size_t> stand_in_;  ///< by entry: which one stands for it, or nothing
  std::vector<std::size_t> corrects_;  ///< by correction: what it corrects, or nothing
  std::vector<Message>& contradictions_;
};

template <class Fact>
bool is(const Entry& entry) {
  return std::holds_alternative<Fact>(entry.event->body);
}

template <class Fact>
bool has_lost(std::span<const Entry> entries) {
  const auto of_kind = [](bool corrected) {
    return [corrected](const Entry& entry) { return is<Fact>(entry) && entry.corrected == corrected; };
  };
  return std::any_of(entries.begin(), entries.end(), of_kind(true)) &&
         std::none_of(entries.begin(), entries.end(), of_kind(false));
}

/// The fact of this kind that the record took in last.
template <class Fact>
const Event* last_known(std::span<const Entry> entries) {
  const Event* last = nullptr;
  for (const auto& entry : entries)
    if (is<Fact>(entry) && (!last || later(*entry.event, *last))) last = entry.event;
  return last;
}

/// Each once, in order, and none corrects another: the usual line, of which there is nothing to sort out.
bool stand_as_they_are(const std::vector<const Event*>& events) {
  const auto out_of_order = [](const Event* a, const Event* b) {
    return a->occurred_at > b->occurred_at || a->id >= b->id;
  };
  return std::none_of(events.begin(), events.end(), [](const Event* event) { return event->corrects.has_value(); }) &&
         std::adjacent_find(events.begin(), events.end(), out_of_order) == events.end();
}

}  // namespace

Standing resolve(std::span<const Event> events, std::span<const SetAside> set_aside) {
  std::vector<const Event*> all;
  all.reserve(events.size());
  for (const auto& event : events) all.push_back(&event);
  return resolve(std::move(all), set_aside);
}

Standing resolve(std::vector<const Event*> events, std::span<const SetAside> set_aside) {
  Standing out;
  if (set_aside.empty() && stand_as_they_are(events)) {
    out.entries.reserve(events.size());
    for (const Event* event : events) out.entries.push_back({event, false});
    return out;
  }
  const auto each = once_each(std::move(events), out.contradictions);
  Chains chains(each, set_aside, out.contradictions);
  const auto stands = chains.standing();
  out.entries.reserve(each.size());
  for (std::size_t i = 0; i < each.size(); ++i) out.entries.push_back({each[i], !stands[i]});
  const auto corrected = chains.corrected_from_afar();
  for (const auto& one : set_aside)
    if (!corrected.contains(one.id)) out.set_aside.push_back(one);
  return out;
}

bool same_content(const Event& a, const Event& b) { return content_of(a) == content_of(b); }

InUse in_use(std::span<const Entry> entries) {
  const auto stands = [&](auto&& what) {
    return std::any_of(entries.begin(), entries.end(),
                       [&](const Entry& entry) { return !entry.corrected && what(entry); });
  };
  InUse out;
  out.taken_back_whole = !entries.empty() && !stands([](const Entry& entry) {
    return !is<Retracted>(entry);
  }) && std::none_of(entries.begin(), entries.end(), [](const Entry& e) { return puts_catheter_in(e.event->body); });
  if (has_lost<Opened>(entries)) {
    out.opening = last_known<Opened>(entries);
    if (!out.taken_back_whole) out.contradictions.push_back(say::opening_taken_back());
  }
  if (has_lost<Placed>(entries) && stands([](const Entry& entry) { return needs_catheter(entry.event->body); })) {
    out.placement = last_known<Placed>(entries);
    out.contradictions.push_back(say::placement_taken_back());
  }
  return out;
}

}  // namespace dwell::line
