#include "server/charting.h"

#include <algorithm>
#include <charconv>
#include <map>
#include <set>

#include "exchange/said/said.h"
#include "exchange/text/likeness.h"
#include "json/parse.h"
#include "json/told_errors.h"
#include "ledger/chain.h"
#include "say/record.h"
#include "server/replies.h"
#include "text/own_words.h"

namespace dwell::server {
namespace {

using json::Array;
using json::Value;

/// What a ledger refused, by event ("/3/occurred_at" speaks of event 3). What it says otherwise is no fault of an
/// entry.
std::map<std::size_t, FieldErrors> by_event(const FieldErrors& errors, std::size_t of) {
  std::map<std::size_t, FieldErrors> wrong;
  for (const auto& e : errors) {
    std::size_t place = 0;
    const char* end = e.path.data() + e.path.size();
    const auto [read_to, failure] = e.path.starts_with('/') ? std::from_chars(e.path.data() + 1, end, place)
                                                            : std::from_chars_result{end, std::errc::invalid_argument};
    if (failure != std::errc() || place >= of) return {};
    wrong[place].push_back({std::string(read_to, end), e.found, e.expected});
  }
  return wrong;
}

Value sent_id(const Value& event) {
  const Value* id = event.is_object() ? event.as_object().if_contains("id") : nullptr;
  return id && id->is_string() ? *id : Value(nullptr);
}

/// The line that this would open; also when it cannot be read as a whole.
std::string opens(const Value& event) {
  boost::json::error_code absent;
  const Value* kind = event.find_pointer("/body/kind", absent);
  const Value* line = event.find_pointer("/line", absent);
  const bool opening = kind && kind->is_string() && std::string_view(kind->as_string()) == line::Opened::kind;
  return opening && line && line->is_string() ? std::string(line->as_string()) : std::string();
}

}  // namespace

Reply Charting::events(const Request& request, const Asker& asker, std::vector<std::string>& lines) {
  constexpr json::Limits limits{16, 250'000};
  const auto given = json::parse_text(request.body, limits);
  if (!given) return refusal(422, given.error());
  if (!given->is_array()) return refusal(422, "", json::found_text(*given), say::a_list_of_events());
  const Array& list = given->as_array();
  if (list.size() > most_events)
    return refusal(413, "", std::to_string(list.size()), say::entries_at_most(most_events));
  Batch batch = batch_of(list, Query(request.target).has("together"), asker);
  const auto kept = keep(batch);
  std::set<std::string> charted;
  for (const auto& entry : kept.entries) charted.insert(entry.line);
  lines.assign(charted.begin(), charted.end());
  return reply_of(batch, kept);
}

Charting::Batch Charting::batch_of(const Array& given, bool together, const Asker& asker) {
  Batch batch;
  batch.together = together;
  for (std::size_t i = 0; i < given.size(); ++i) {
    batch.openings.insert(opens(given[i]));
    auto event = json::decode<line::Event>(given[i]);
    auto wrong = event ? not_hers(*event, asker) : event.error();
    if (wrong.empty())
      batch.asked.push_back({i, std::move(*event)});
    else
      batch.refused.push_back({i, sent_id(given[i]), std::move(wrong)});
  }
  return batch;
}

FieldErrors Charting::not_hers(const line::Event& event, const Asker& asker) {
  const auto* person = asker.person();
  if (!person) return {};
  if (event.author != person->name) return {{"/author", event.author, say::entry_waits_for_its_author(person->name)}};
  if (person->role != accounts::Role::charge_nurse) {
    const auto* assigned = std::get_if<line::Assigned>(&event.body);
    if (assigned && !assigned->nurse.empty() && assigned->nurse != person->name)
      return {{"/body/nurse", assigned->nurse, say::yourself_or_a_charge_nurse_shares_out()}};
    const auto* handed = std::get_if<line::HandedOver>(&event.body);
    if (handed && handed->from != person->name)
      return {{"/body/from", handed->from, say::yourself_or_a_charge_nurse_acts()}};
  }
  if (const auto* opened = std::get_if<line::Opened>(&event.body))
    return asker.sees(opened->place.unit)
               ? FieldErrors()
               : FieldErrors{{"/body/place/unit", opened->place.unit, say::a_ward_of_yours()}};
  return was_on_her_wards(event.line, asker) ? FieldErrors()
                                             : FieldErrors{{"/line", event.line, say::a_line_of_your_wards()}};
}

/// Now or at any time before: what she did at the bedside is charted, also when the patient has been moved since. Of a
/// line that is not in the record it is decided by others.
bool Charting::was_on_her_wards(const std::string& line, const Asker& asker) {
  return watch_.with_line(clock_(), line, [&](Ward& ward, const Standing&) {
    const auto* found = ward.entries(line);
    if (!found || asker.sees(found->state().place.unit)) return true;
    return std::any_of(found->events().begin(), found->events().end(), [&](const line::Event& event) {
      const auto* opened = std::get_if<line::Opened>(&event.body);
      const auto* moved = std::get_if<line::Moved>(&event.body);
      return (opened && asker.sees(opened->place.unit)) || (moved && asker.sees(moved->place.unit));
    });
  });
}

/// Asks the record until what is asked is clean: it names all faults of one kind at once, so a few times are enough.
ledger::Appended Charting::keep(Batch& batch) {
  constexpr int most_rounds = 8;
  for (int round = 0; round < most_rounds; ++round) {
    if (batch.together && !batch.refused.empty()) return {};
    take_out_unopened(batch);
    if (batch.asked.empty() || (batch.together && !batch.refused.empty())) return {};
    std::vector<line::Event> events;
    events.reserve(batch.asked.size());
    for (const auto& one : batch.asked) events.push_back(one.event);
    auto kept = record_.append(events, clock_());
    if (kept) return std::move(*kept);
    auto wrong = by_event(kept.error(), events.size());
    if (wrong.empty()) return keep_one_by_one(batch, kept.error());
    std::vector<Asked> clean;
    for (std::size_t i = 0; i < batch.asked.size(); ++i) {
      auto& one = batch.asked[i];
      if (const auto found = wrong.find(i); found != wrong.end())
        batch.refused.push_back({one.place, Value(one.event.id), std::move(found->second)});
      else
        clean.push_back(std::move(one));
    }
    batch.asked = std::move(clean);
  }
  throw ledger::Unreachable("others keep entries of the same ids at this moment");
}

/// When the record does not say which of them it does not take: each is asked by itself.
ledger::Appended Charting::keep_one_by_one(Batch& batch, const FieldErrors& why) {
  if (batch.together || batch.asked.size() == 1)
    throw ledger::Unreachable(why.front().found + ": " + said::in_english(why.front().expected));
  ledger::Appended all;
  for (auto& one : batch.asked) {
    auto kept = record_.append({one.event}, clock_());
    if (!kept) {
      auto wrong = by_event(kept.error(), 1);
      if (wrong.empty())
        throw ledger::Unreachable(kept.error().front().found + ": " + said::in_english(kept.error().front().expected));
      batch.refused.push_back({one.place, Value(one.event.id), std::move(wrong[0])});
      continue;
    }
    for (auto& entry : kept->entries) all.entries.push_back(std::move(entry));
    for (auto& id : kept->already_there) all.already_there.push_back(std::move(id));
  }
  return all;
}

/// A wrong line's id would begin a line of nobody: who a line is of is said first, in the record or in this list. What
/// follows an opening that is refused here has no fault of its own, and waits.
void Charting::take_out_unopened(Batch& batch) {
  std::unordered_set<std::string> opened;
  for (const auto& one : batch.asked)
    if (std::holds_alternative<line::Opened>(one.event.body)) opened.insert(one.event.line);
  std::vector<Asked> clean;
  for (auto& one : batch.asked) {
    const auto& event = one.event;
    if (opened.contains(event.line) || knows(event))
      clean.push_back(std::move(one));
    else if (!batch.openings.contains(event.line))
      batch.refused.push_back(
          {one.place, Value(event.id), {{"/line", event.line, say::a_line_opened_in_this_record()}}});
  }
  batch.asked = std::move(clean);
}

bool Charting::knows(const line::Event& event) {
  constexpr std::size_t most_known = 50'000;
  {
    const std::lock_guard lock(known_mutex_);
    if (known_.contains(event.line)) return true;
  }
  // What is no id at all is not asked for: the record refuses it by that.
  for (const auto& fault : line::check(event, clock_()))
    if (fault.path == "/line") return true;
  if (!record_.holds_line(event.line)) return false;
  const std::lock_guard lock(known_mutex_);
  if (known_.size() >= most_known) known_.clear();
  known_.insert(event.line);
  return true;
}

/// Of the people who came in: their names look like others of the ward, or are of several writings. Of a ward that was
/// named: no other line is there. It is advice, and what was kept is answered without it when the ward cannot be asked.
std::vector<Saying> Charting::said_of(const std::vector<ledger::Entry>& kept) {
  constexpr std::size_t most_known = 500;
  std::vector<const line::Event*> opened;
  std::vector<std::pair<const line::Event*, std::string>> places;
  for (const auto& entry : kept) {
    if (!entry.event) continue;
    const auto* first = std::get_if<line::Opened>(&entry.event->body);
    const auto* moved = std::get_if<line::Moved>(&entry.event->body);
    if (first) opened.push_back(&*entry.event);
    if (first || moved) places.emplace_back(&*entry.event, first ? first->place.unit : moved->place.unit);
  }
  std::vector<Saying> said;
  if (places.empty()) return said;
  const auto is_new = [&](const std::string& line) {
    return std::any_of(opened.begin(), opened.end(), [&](const line::Event* event) { return event->line == line; });
  };
  unicode::Likeness likeness;
  try {
    const auto wanted = [&](const Ward& ward) {
      return opened.empty() ? std::vector<std::string>() : ward.open_lines("", "", most_known);
    };
    watch_.with_ward(clock_(), wanted, [&](Ward& ward, const Standing&) {
      if (!opened.empty())
        for (const auto* state : ward.open_states("", "", most_known))
          if (!is_new(state->id)) likeness.know(*state);
      for (const auto& [event, unit] : places)
        if (ward.is_alone_on(unit, event->line))
          said.push_back({event->id, "/body/place/unit", say::no_other_line_on_this_ward(text::quoted(unit))});
    });
  } catch (const std::exception&) {
    return said;
  }
  for (const auto* event : opened)
    for (const auto& one : likeness.say(*event)) said.push_back({event->id, one.path, one.text});
  return said;
}

Reply Charting::reply_of(const Batch& batch, const ledger::Appended& kept) {
  Charted answer;
  for (const auto& entry : kept.entries) answer.written.push_back(entry.id);
  answer.already_there = kept.already_there;
  answer.ok = batch.refused.empty() || !(batch.together || (answer.written.empty() && answer.already_there.empty()));
  auto refused = batch.refused;
  std::sort(refused.begin(), refused.end(), [](const Refused& a, const Refused& b) { return a.place < b.place; });
  std::size_t told = 0;
  for (auto& one : refused) {
    // Each that is refused says why; only the first say all.
    if (told > json::most_told_errors) one.errors.resize(1);
    one.errors = json::told(one.errors);
    told += one.errors.size();
    answer.refused.push_back({static_cast<int>(one.place), one.id, one.errors});
  }
  answer.sequence = watch_.wrote(kept.entries.empty() ? 0 : kept.entries.back().sequence);
  answer.said = said_of(kept.entries);
  Reply reply = json_reply(answer.ok ? 200 : 422, json::encode(answer));
  reply.changed = !kept.entries.empty();
  return reply;
}

Reply Charting::photo(const Request& request) {
  const ledger::Photo photo{ledger::blake2b_256(request.body), header(request, "content-type"), request.body};
  const bool picture =
      photo.media_type == "image/jpeg" || photo.media_type == "image/png" || photo.media_type == "image/webp";
  if (!picture) return refusal(415, "/content-type", photo.media_type, say::a_picture_of_known_kind());
  if (request.body.empty()) return refusal(422, "", "", say::the_bytes_of_a_picture());
  if (const auto kept = record_.keep_photo(photo); !kept) return refusal(422, kept.error());
  return json_reply(200, json::encode(Charted{true, watch_.wrote(0), {photo.hash}, {}, {}, {}}));
}

}  // namespace dwell::server
