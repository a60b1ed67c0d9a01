#include "ledger/soci_ledger.h"

#include <chrono>
#include <map>
#include <stdexcept>
#include <utility>

#include "json/codec.h"
#include "ledger/chain.h"
#include "ledger/soci_transaction.h"

namespace dwell::ledger {
namespace {

/// What was written by us must be readable by us.
line::Event decode(const std::string& text) {
  auto event = json::parse_text(text).and_then([](const json::Value& v) { return json::decode<line::Event>(v); });
  if (!event)
    throw std::runtime_error("an entry of the ledger cannot be read: " + event.error().front().path + ", " +
                             event.error().front().expected);
  return std::move(*event);
}

/// The columns that serve the indexes say what the hashed content says.
bool columns_fit(const Row& row) {
  const auto content = json::parse_text(row.json);
  const auto says = [&](const char* member, const std::string& column) {
    const auto* value = content && content->is_object() ? content->as_object().if_contains(member) : nullptr;
    return value && value->is_string() && std::string_view(value->as_string()) == column;
  };
  return says("id", row.id) && says("line", row.line);
}

/// The picture that this entry names, if it names one.
std::optional<std::string> picture_of(const std::string& json) {
  if (json.find(line::Photographed::kind) == std::string::npos) return std::nullopt;
  const line::Event event = decode(json);
  const auto* taken = std::get_if<line::Photographed>(&event.body);
  return taken ? std::optional(taken->hash) : std::nullopt;
}

std::string fault_of(const Row& row, bool indexed, const Verification& so_far) {
  if (row.sequence != so_far.entries + 1) return "an entry is missing before it";
  if (row.previous != so_far.head) return "it does not follow the entry before";
  if (chain_hash(row.previous, row.json) != row.hash) return "its content does not fit its hash";
  if (!columns_fit(row)) return "its id or line was changed beside its content";
  if (!indexed) return "it is missing from an index of the file";
  return "";
}

}  // namespace

Checked<Appended> SociLedger::append(const std::vector<line::Event>& events, Instant now) {
  FieldErrors errors;
  for (std::size_t i = 0; i < events.size(); ++i) {
    auto wrong = line::check(events[i], now);
    // What is in the record stays true when a clock jumps back: a resend is harmless then too.
    if (wrong.empty() || holds(events[i])) continue;
    for (auto& e : wrong) errors.push_back({"/" + std::to_string(i) + e.path, e.found, e.expected});
  }
  if (!errors.empty()) return refuse(std::move(errors));

  // The disk's sync is what an append waits for. Who comes while one is under way waits for the next, which takes all
  // of them along; the first of those who wait does it.
  Request request{events, {}};
  for (const auto& event : events) request.jsons.push_back(canonical_json(event));
  std::unique_lock waiting(queue_mutex_);
  const std::shared_ptr<Group> group = group_;
  group->requests.push_back(&request);
  const bool leads = group->requests.size() == 1;
  if (group->requests.size() >= crowd_) gathered_.notify_one();
  if (leads) {
    lead(waiting, *group);
  } else {
    waiting.unlock();
    group->end.wait();
  }
  if (request.failure) std::rethrow_exception(request.failure);
  if (!request.refusal.empty()) return refuse(std::move(request.refusal));
  Appended out;
  out.already_there = std::move(request.already_there);
  out.entries.reserve(request.kept.size());
  for (auto& kept : request.kept)
    out.entries.push_back({kept.sequence, events[kept.event], std::move(kept.previous), std::move(kept.hash)});
  return out;
}

/// `group` is the one that takes who comes, and the caller's is its first request.
void SociLedger::lead(std::unique_lock<std::mutex>& waiting, Group& group) {
  if (const std::shared_ptr<Group> before = before_) {
    waiting.unlock();
    before->end.wait();
    waiting.lock();
  }
  gather(waiting, group);
  before_ = std::exchange(group_, std::make_shared<Group>());
  waiting.unlock();
  commit_together(group.requests);
  waiting.lock();
  crowd_ = group.requests.size() + group_->requests.size();
  waiting.unlock();
  group.ended.set_value();
}

/// Under load, those who were just answered come again at once: a moment's wait takes them along, and a commit of many
/// costs little more than a commit of few. Whoever is alone does not wait.
void SociLedger::gather(std::unique_lock<std::mutex>& waiting, const Group& group) {
  constexpr std::size_t few = 8;
  constexpr std::chrono::microseconds moment{300};
  if (crowd_ > few) gathered_.wait_for(waiting, moment, [&] { return group.requests.size() >= crowd_; });
}

void SociLedger::commit_together(const std::vector<Request*>& requests) {
  const std::lock_guard lock(mutex_);
  try {
    be_ready();
    Transaction transaction(*this);
    Row head = last();
    const auto there = held_of(requests);
    std::map<std::string, std::string> fresh;
    rows_.clear();
    for (Request* request : requests) append_in_transaction(*request, head, there, fresh);
    insert_rows();
    transaction.commit(head.sequence);
  } catch (const soci::soci_error& e) {
    for (Request* request : requests) request->refusal = spoken(e);
  } catch (...) {
    for (Request* request : requests) request->failure = std::current_exception();
  }
}

std::vector<Entry> SociLedger::read_after(std::int64_t sequence, std::size_t limit) {
  std::vector<Entry> entries;
  for (auto& stored : stored_after(sequence, limit))
    entries.push_back({stored.sequence, decode(stored.json), stored.previous_hash, stored.hash});
  return entries;
}

std::vector<line::Event> SociLedger::read_line(const std::string& line) {
  return reading([&] { return events_of(line); });
}

bool SociLedger::holds(const line::Event& event) {
  return reading([&] {
    row_.id = event.id;
    return fetch_one(*find_) && found_ == canonical_json(event);
  });
}

std::int64_t SociLedger::last_sequence() {
  return reading([&] { return std::int64_t{last().sequence}; });
}

std::vector<StoredEntry> SociLedger::stored_rows_after(std::int64_t sequence, std::size_t limit) {
  Row row;
  const auto most = static_cast<long long>(limit);
  const long long after = sequence;
  soci::statement select = (sql_.prepare << "SELECT sequence, id, line, json, previous, hash FROM event "
                                            "WHERE sequence > :after ORDER BY sequence LIMIT :most",
                            soci::use(after), soci::use(most), soci::into(row.sequence), soci::into(row.id),
                            soci::into(row.line), soci::into(row.json), soci::into(row.previous), soci::into(row.hash));
  std::vector<StoredEntry> entries;
  select.execute();
  while (select.fetch()) entries.push_back({row.sequence, row.id, row.line, row.json, row.previous, row.hash});
  return entries;
}

Checked<void> SociLedger::append_stored_in_transaction(const std::vector<StoredEntry>& entries) {
  Verification so_far;
  const Row at = last();
  so_far.entries = at.sequence;
  so_far.head = at.hash;
  for (const auto& entry : entries) {
    row_ = {entry.sequence, entry.id, entry.line, entry.json, entry.previous_hash, entry.hash};
    if (const auto fault = fault_of(row_, true, so_far); !fault.empty())
      return refuse("/" + std::to_string(entry.sequence), entry.hash, "an entry that follows the chain; " + fault);
    insert_->execute(true);
    ++so_far.entries;
    so_far.head = entry.hash;
  }
  return {};
}

std::vector<line::Event> SociLedger::events_of(const std::string& line) {
  std::string json;
  soci::statement select = (sql_.prepare << "SELECT json FROM event WHERE line = :line ORDER BY sequence",
                            soci::use(line), soci::into(json));
  std::vector<line::Event> events;
  select.execute();
  while (select.fetch()) events.push_back(decode(json));
  return events;
}

std::vector<StoredEntry> SociLedger::stored_after(std::int64_t sequence, std::size_t limit) {
  return reading([&] { return stored_rows_after(sequence, limit); });
}

Checked<void> SociLedger::append_stored(const std::vector<StoredEntry>& entries) {
  return writing([&] { return append_stored_in_transaction(entries); });
}

std::string SociLedger::remark(const std::string& name) {
  return reading([&] { return meta("remark " + name); });
}

Checked<void> SociLedger::keep_remark(const std::string& name, const std::string& text) {
  return writing([&]() -> Checked<void> {
    if (const std::string kept = "remark " + name; text.empty())
      sql_ << "DELETE FROM meta WHERE name = :name", soci::use(kept);
    else
      set_meta(kept, text);
    return {};
  });
}

std::string SociLedger::place() {
  return reading([&] { return where_it_lies(); });
}

Verification SociLedger::verify(const std::function<void(VerifyProgress)>& progress,
                                const std::map<std::int64_t, std::string>& known) {
  std::set<std::string> pictures;
  Verification result = verify_chain(progress, known, pictures);
  if (result.first_bad) return result;
  for (const auto& hash : pictures)
    if (!holds_picture(hash)) result.lost_pictures.push_back(hash);
  return result;
}

Verification SociLedger::verify_chain(const std::function<void(VerifyProgress)>& progress,
                                      const std::map<std::int64_t, std::string>& known,
                                      std::set<std::string>& pictures) {
  const std::lock_guard lock(mutex_);
  Verification result;
  result.head = genesis_hash();
  try {
    be_ready();
    const std::int64_t total = last().sequence;
    walk([&](const Row& row, bool indexed) {
      auto fault = fault_of(row, indexed, result);
      const auto signed_before = known.find(row.sequence);
      if (fault.empty() && signed_before != known.end() && signed_before->second != row.hash)
        fault = "it was signed with another hash: history was rewritten up to here";
      if (!fault.empty()) {
        result.first_bad = row.sequence;
        result.reason = std::move(fault);
        return false;
      }
      if (auto picture = picture_of(row.json)) pictures.insert(std::move(*picture));
      ++result.entries;
      result.head = row.hash;
      if (result.entries % 1000 == 0) progress({result.entries, total});
      return true;
    });
    if (const auto damaged = result.first_bad ? std::string() : damage(); !damaged.empty()) {
      result.first_bad = result.entries + 1;
      result.reason = "the chain is whole, but the file is damaged beside it: " + damaged;
    }
    if (!result.first_bad && !known.empty() && known.rbegin()->first > result.entries) {
      result.first_bad = result.entries + 1;
      result.reason = "entries up to " + std::to_string(known.rbegin()->first) + " were signed; they are gone";
    }
    if (!result.first_bad) progress({result.entries, total});
  } catch (const soci::soci_error& e) {
    result.first_bad = result.entries + 1;
    result.reason = std::string("the record cannot be read here: ") + e.what();
  }
  return result;
}

void SociLedger::migrate(const char* sequence_type) {
  sql_ << "CREATE TABLE IF NOT EXISTS meta (name TEXT PRIMARY KEY, value TEXT NOT NULL)";
  std::string found;
  soci::indicator known = soci::i_null;
  sql_ << "SELECT value FROM meta WHERE name = 'schema'", soci::into(found, known);
  const int from = sql_.got_data() && known == soci::i_ok ? std::stoi(found) : 0;
  if (from < 1) {
    sql_ << std::string("CREATE TABLE event (sequence ") + sequence_type +
                " PRIMARY KEY, id TEXT NOT NULL UNIQUE, line TEXT NOT NULL, json TEXT NOT NULL, previous TEXT NOT "
                "NULL, hash TEXT NOT NULL)";
    sql_ << "CREATE INDEX event_line ON event (line, sequence)";
    sql_ << "INSERT INTO meta VALUES ('made_at', '" +
                iso(floor<std::chrono::milliseconds>(std::chrono::system_clock::now())) + "')";
  }
  if (from < 2) {
    sql_ << "CREATE TABLE line_now (line TEXT PRIMARY KEY, open INTEGER NOT NULL, unit TEXT NOT NULL, "
            "bed TEXT NOT NULL, clocks TEXT NOT NULL, learned TEXT NOT NULL)";
    sql_ << "CREATE INDEX line_now_open ON line_now (open)";
    sql_ << "CREATE TABLE photo (hash TEXT PRIMARY KEY, media_type TEXT NOT NULL, content TEXT NOT NULL)";
  }
  if (from < 3) {
    sql_ << "CREATE TABLE paper (id TEXT PRIMARY KEY, kind TEXT NOT NULL, who TEXT NOT NULL, at TEXT NOT NULL, "
            "json TEXT NOT NULL)";
    sql_ << "CREATE INDEX paper_kind ON paper (kind, at)";
  }
  if (from < ledger_schema) set_meta("schema", std::to_string(ledger_schema));
}

void SociLedger::set_meta(const std::string& name, const std::string& value) {
  sql_ << "INSERT INTO meta (name, value) VALUES (:name, :value) ON CONFLICT (name) DO UPDATE SET value = "
          "excluded.value",
      soci::use(name), soci::use(value);
}

std::string SociLedger::meta(const std::string& name) {
  std::string value;
  sql_ << "SELECT value FROM meta WHERE name = :name", soci::use(name), soci::into(value);
  return sql_.got_data() ? value : "";
}

void SociLedger::prepare_statements() {
  insert_.emplace((sql_.prepare << "INSERT INTO event (sequence, id, line, json, previous, hash) "
                                   "VALUES (:sequence, :id, :line, :json, :previous, :hash)",
                   soci::use(row_.sequence), soci::use(row_.id), soci::use(row_.line), soci::use(row_.json),
                   soci::use(row_.previous), soci::use(row_.hash)));
  find_.emplace((sql_.prepare << "SELECT json FROM event WHERE id = :id", soci::use(row_.id), soci::into(found_)));
  greatest_.emplace((sql_.prepare << "SELECT id FROM event ORDER BY id DESC LIMIT 1", soci::into(found_)));
  find_many_.emplace((sql_.prepare << std::string("SELECT id, json FROM event WHERE ") + among_ids(),
                      soci::use(asked_ids_), soci::into(row_.id), soci::into(found_)));
  last_.emplace((sql_.prepare << "SELECT sequence, hash FROM event ORDER BY sequence DESC LIMIT 1",
                 soci::into(head_.sequence), soci::into(head_.hash)));
}

void SociLedger::drop_statements() {
  insert_.reset();
  find_.reset();
  find_many_.reset();
  greatest_.reset();
  last_.reset();
}

bool SociLedger::fetch_one(soci::statement& statement) {
  statement.execute();
  const bool found = statement.fetch();
  while (found && statement.fetch()) continue;
  return found;
}

Row SociLedger::last() {
  if (!fetch_one(*last_)) head_ = {0, "", "", "", "", genesis_hash()};
  return head_;
}

std::map<std::string, std::string> SociLedger::held_of(const std::vector<Request*>& requests) {
  std::map<std::string, std::string> held;
  if (requests.size() == 1 && requests.front()->events.size() == 1) {
    row_.id = requests.front()->events.front().id;
    if (fetch_one(*find_)) held.emplace(row_.id, found_);
    return held;
  }
  // Ids rise with time: most are above all that are there, and need not be looked for.
  if (!fetch_one(*greatest_)) return held;
  asked_ids_.clear();
  for (const Request* request : requests)
    for (const auto& event : request->events)
      if (event.id <= found_) asked_ids_ += (asked_ids_.empty() ? "" : ",") + event.id;
  if (asked_ids_.empty()) return held;
  find_many_->execute();
  while (find_many_->fetch()) held.emplace(row_.id, found_);
  return held;
}

/// Looks at all of a request before it takes one into `rows`: a refused request leaves nothing among the others'.
void SociLedger::append_in_transaction(Request& request, Row& head, const std::map<std::string, std::string>& there,
                                       std::map<std::string, std::string>& fresh) {
  std::vector<std::size_t> wanted;
  std::map<std::string_view, std::size_t> own;
  const auto known = [&](const std::string& id) -> const std::string* {
    if (const auto found = there.find(id); found != there.end()) return &found->second;
    if (const auto found = fresh.find(id); found != fresh.end()) return &found->second;
    const auto found = own.find(id);
    return found != own.end() ? &request.jsons[found->second] : nullptr;
  };
  for (std::size_t i = 0; i < request.events.size(); ++i) {
    const auto& id = request.events[i].id;
    const std::string* json = known(id);
    if (!json) {
      wanted.push_back(i);
      own.emplace(id, i);
    } else if (*json == request.jsons[i]) {
      request.already_there.push_back(id);
    } else {
      request.already_there.clear();
      request.refusal = {{"/" + std::to_string(i) + "/id", id, "an id of its own; another entry already has this one"}};
      return;
    }
  }
  for (const auto i : wanted) {
    const auto& event = request.events[i];
    Kept kept{i, head.sequence + 1, head.hash, chain_hash(head.hash, request.jsons[i])};
    rows_.sequence.push_back(kept.sequence);
    rows_.id.push_back(event.id);
    rows_.line.push_back(event.line);
    rows_.json.push_back(request.jsons[i]);
    rows_.previous.push_back(kept.previous);
    rows_.hash.push_back(kept.hash);
    fresh.emplace(event.id, std::move(request.jsons[i]));
    head.sequence = kept.sequence;
    head.hash = kept.hash;
    request.kept.push_back(std::move(kept));
  }
}

/// Bound anew each time: a driver may hold on to the number of rows that it first saw.
void SociLedger::insert_many(const Rows& rows) {
  sql_ << "INSERT INTO event (sequence, id, line, json, previous, hash) "
          "VALUES (:sequence, :id, :line, :json, :previous, :hash)",
      soci::use(rows.sequence), soci::use(rows.id), soci::use(rows.line), soci::use(rows.json),
      soci::use(rows.previous), soci::use(rows.hash);
}

void SociLedger::insert_rows() {
  if (rows_.sequence.size() != 1) {
    if (!rows_.sequence.empty()) insert_many(rows_);
    return;
  }
  row_ = {rows_.sequence[0], rows_.id[0], rows_.line[0], rows_.json[0], rows_.previous[0], rows_.hash[0]};
  insert_->execute(true);
}

}  // namespace dwell::ledger
