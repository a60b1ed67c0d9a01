#include "ledger/readable.h"

#include <algorithm>
#include <array>

#include "exchange/said/said.h"
#include "json/codec.h"
#include "ledger/chain.h"
#include "ledger/policy_change.h"
#include "ledger/same.h"
#include "say/json.h"
#include "say/record.h"
#include "upcast/upcast.h"

namespace dwell::ledger {
namespace {

/// A paper as it stands in the chain.
struct PaperText {
  std::string id, kind, who;
  Instant at{};
  json::Value content;  ///< an object; a text where an older record held what was none
};
BOOST_DESCRIBE_STRUCT(PaperText, (), (id, kind, who, at, content))

template <class T>
Checked<T> decoded(const std::string& text) {
  return json::parse_text(text).and_then([](const json::Value& value) { return json::decode<T>(value); });
}

/// `text` is what encoding `written` gave: does it come back, and would it then be written as before? What comes back
/// the very same would be; a quantity that was rounded when it was written is written again to see.
template <class T>
Checked<std::string> as_it_reads(const T& written, std::string text) {
  const auto back = decoded<T>(text);
  if (!back) return refuse(back.error());
  if (!is_same(*back, written) && json::to_text(json::encode(*back)) != text)
    return refuse("", "", say::what_reads_back_as_written());
  return text;
}

bool is_quantity(const json::Object& object) {
  constexpr std::size_t members = 3;
  return object.size() == members && object.contains("value") && object.contains("unit") && object.contains("text");
}

/// Whether two values are written alike, but for the words in which their quantities are shown.
bool alike(const json::Value& a, const json::Value& b);

bool alike(const json::Array& a, const json::Array& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](const json::Value& one, const json::Value& other) { return alike(one, other); });
}

/// Members in the same order, as one codec writes them.
bool alike(const json::Object& a, const json::Object& b) {
  const bool a_shows = is_quantity(a), b_shows = is_quantity(b);
  auto one = a.begin(), other = b.begin();
  for (;; ++one, ++other) {
    if (a_shows && one != a.end() && one->key() == "text") ++one;
    if (b_shows && other != b.end() && other->key() == "text") ++other;
    if (one == a.end() || other == b.end()) return one == a.end() && other == b.end();
    if (one->key() != other->key() || !alike(one->value(), other->value())) return false;
  }
}

bool alike(const json::Value& a, const json::Value& b) {
  if (a.is_object() && b.is_object()) return alike(a.as_object(), b.as_object());
  if (a.is_array() && b.is_array()) return alike(a.as_array(), b.as_array());
  if (a.is_string() && b.is_string()) return a.as_string() == b.as_string();
  return a.is_structured() == b.is_structured() && json::to_text(a) == json::to_text(b);
}

/// What comes in is as this program writes it, and without faults by today's rules. What was kept was so by the rules
/// and in the form of its day.
enum class Comes { in, from_the_record };

FieldErrors faults_of(const Paper& paper, const Checked<json::Value>& content, Comes comes) {
  FieldErrors errors;
  if (!line::is_id(paper.id)) errors.push_back({"/id", paper.id, say::id_as_entries_have()});
  if (paper.kind != policy_paper && paper.kind != practice_paper)
    errors.push_back({"/kind", paper.kind, say::one_of_two_kinds_of_paper(policy_paper, practice_paper)});
  if (!content)
    for (const auto& e : content.error()) errors.push_back({"/json" + e.path, e.found, e.expected});
  else if (!content->is_object())
    errors.push_back({"/json", json::found_text(*content), say::an_object()});
  else if (paper.kind == policy_paper) {
    const bool in = comes == Comes::in;
    const auto change = in ? new_policy_change(*content) : read_policy_change(paper.json);
    if (!change)
      for (const auto& e : change.error()) errors.push_back({"/json" + e.path, e.found, e.expected});
    else if (change->id != paper.id)
      errors.push_back({"/json/id", change->id, say::the_papers_own_id(paper.id)});
    else if (in && json::to_text(json::encode(*change)) != json::to_text(*content))
      errors.push_back({"/json", "", say::what_reads_back_as_written()});
  }
  return errors;
}

/// What a paper holds, in today's form.
json::Value todays_content(const PaperText& paper) {
  json::Value room;
  const auto form = [&](upcast::Kept of) { return upcast::in_todays_form(of, paper.content, room); };
  if (paper.kind == policy_paper) return form(upcast::Kept::policy_change);
  return paper.kind == practice_paper ? form(upcast::Kept::practice) : paper.content;
}

/// What a kept text says, as this program would write it; as it stands where it cannot be read.
std::optional<json::Value> in_todays_words(const std::string& text) {
  if (const auto event = decoded<line::Event>(text)) return json::encode(*event);
  auto paper = decoded<PaperText>(text);
  if (paper) {
    paper->content = todays_content(*paper);
    if (paper->kind == policy_paper)
      if (const auto change = json::decode<PolicyChange>(paper->content)) paper->content = json::encode(*change);
    return json::encode(*paper);
  }
  const auto value = json::parse_text(text);
  return value ? std::optional(*value) : std::nullopt;
}

/// The event of a row, when it says what the row's columns say.
Checked<line::Event> event_of(const StoredEntry& stored) {
  auto event = decoded<line::Event>(stored.json);
  if (!event) return event;
  if (event->id != stored.id) return refuse("/id", event->id, say::the_id_it_is_kept_under());
  if (event->line != stored.line) return refuse("/line", event->line, say::the_line_it_is_kept_under());
  if (event->receipt)
    return refuse("/receipt", std::to_string(event->receipt->sequence), say::nothing_in_the_text_itself());
  return event;
}

}  // namespace

std::string reason_of(const FieldErrors& errors) {
  constexpr std::size_t most = 3;
  std::string text;
  for (std::size_t i = 0; i < std::min(most, errors.size()); ++i) {
    const auto& e = errors[i];
    text += (i ? "; " : "") + (e.path.empty() ? "" : e.path + ": ") + "expected " + said::in_english(e.expected);
  }
  if (errors.size() > most) text += "; and " + std::to_string(errors.size() - most) + " more";
  return text;
}

Checked<std::string> readable_json(const line::Event& event) {
  if (!event.receipt) return as_it_reads(event, canonical_json(event));
  auto as_sent = event;
  as_sent.receipt.reset();
  return as_it_reads(as_sent, canonical_json(as_sent));
}

Checked<std::string> readable_json(const Paper& paper) {
  auto content = json::parse_text(paper.json);
  if (auto errors = faults_of(paper, content, Comes::in); !errors.empty()) return refuse(std::move(errors));
  const PaperText text{paper.id, paper.kind, paper.who, paper.at, std::move(*content)};
  return as_it_reads(text, json::to_text(json::encode(text)));
}

bool says_the_same(const std::string& a, const std::string& b) {
  if (a == b) return true;
  const auto one = in_todays_words(a), other = in_todays_words(b);
  return one && other && alike(*one, *other);
}

std::string kept_text(const PaperBeside& paper) {
  const auto content = json::parse_text(paper.json);
  const bool object = content && content->is_object();
  auto value =
      json::encode(PaperText{paper.id, paper.kind, paper.who, {}, object ? *content : json::Value(paper.json)});
  value.as_object()["at"] = paper.at;
  return json::to_text(value);
}

std::string another_id(const PaperBeside& paper) {
  const std::string hash = blake2b_256(paper.id + paper.json);
  std::array<std::uint8_t, 10> drawn{};
  std::copy_n(hash.begin(), drawn.size(), drawn.begin());
  return line::make_id(parse_instant(paper.at).value_or(Instant{}), drawn);
}

Checked<Paper> read_paper(const StoredEntry& stored) {
  const auto text = decoded<PaperText>(stored.json);
  if (!text) return refuse(text.error());
  if (text->id != stored.id || text->kind != stored.kind)
    return refuse("/id", text->id, say::the_id_and_kind_it_is_kept_under());
  const auto content = todays_content(*text);
  const auto* plain = content.if_string();
  Paper paper{text->id, text->kind, text->who, text->at, plain ? std::string(*plain) : json::to_text(content)};
  if (auto errors = faults_of(paper, plain ? json::parse_text(paper.json) : Checked<json::Value>(content),
                              Comes::from_the_record);
      !errors.empty())
    return refuse(std::move(errors));
  return paper;
}

Entry read_entry(const StoredEntry& stored) {
  Entry entry{
      stored.sequence,      stored.id,  stored.line, stored.kind.empty() ? event_entry : stored.kind, {}, {}, {},
      stored.previous_hash, stored.hash};
  if (const auto at = parse_instant(stored.received)) entry.received_at = *at;
  if (entry.kind == event_entry) {
    auto event = event_of(stored);
    if (!event) return entry.unreadable = reason_of(event.error()), entry;
    event->receipt = line::Receipt{stored.sequence, entry.received_at};
    entry.event = std::move(*event);
  } else if (entry.kind == policy_paper || entry.kind == practice_paper) {
    if (const auto paper = read_paper(stored); !paper) entry.unreadable = reason_of(paper.error());
  } else {
    entry.unreadable = "expected a kind of entry that this program knows";
  }
  return entry;
}

}  // namespace dwell::ledger
