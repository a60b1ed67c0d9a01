#include "ledger/soci_ledger.h"

#include <algorithm>
#include <chrono>
#include <map>
#include <stdexcept>
#include <tuple>
#include <utility>

#include "exchange/said/said.h"
#include "exchange/text/composed.h"
#include "json/codec.h"
#include "ledger/chain.h"
#include "ledger/projection.h"
#include "ledger/readable.h"
#include "ledger/soci_transaction.h"
#include "say/record.h"

namespace dwell::ledger {
namespace {

/// The columns that serve the indexes say what the hashed content says.
bool columns_fit(const Row& row) {
  const auto content = json::parse_text(row.json);
  const auto says = [&](const char* member, const std::string& column) {
    const auto* value = content && content->is_object() ? content->as_object().if_contains(member) : nullptr;
    return value && value->is_string() && std::string_view(value->as_string()) == column;
  };
  const bool paper = !row.kind.empty() && row.kind != event_entry;
  return says("id", row.id) && (paper ? row.line.empty() && says("kind", row.kind) : says("line", row.line));
}

/// The picture that this entry names, if it names one.
std::optional<std::string> picture_of(const Row& row) {
  if (row.json.find(line::Photographed::kind) == std::string::npos) return std::nullopt;
  const Entry entry = read_entry(stored(row));
  const auto* taken = entry.event ? std::get_if<line::Photographed>(&entry.event->body) : nullptr;
  return taken ? std::optional(taken->hash) : std::nullopt;
}

std::string fault_of(const Row& row, bool indexed, const Verification& so_far) {
  const auto in_one_line = [](const std::string& text) { return text.find('\n') == std::string::npos; };
  if (row.sequence != so_far.entries + 1) return "an entry is missing before it";
  if (row.previous != so_far.head) return "it does not follow the entry before";
  if (!in_one_line(row.kind) || !in_one_line(row.received) ||
      chain_hash(row.previous, row.kind, row.received, row.json) != row.hash)
    return "its content does not fit its hash";
  if (!columns_fit(row)) return "its id or line was changed beside its content";
  if (!indexed) return "it is missing from an index of the file";
  return "";
}

std::vector<PaperBeside> papers_beside_the_chain(soci::session& sql) {
  PaperBeside paper;
  soci::statement select =
      (sql.prepare << "SELECT id, kind, who, at, json FROM paper", soci::into(paper.id), soci::into(paper.kind),
       soci::into(paper.who), soci::into(paper.at), soci::into(paper.json));
  std::vector<PaperBeside> papers;
  select.execute();
  while (select.fetch()) papers.push_back(paper);
  std::sort(papers.begin(), papers.end(),
            [](const PaperBeside& a, const PaperBeside& b) { return std::tie(a.at, a.id) < std::tie(b.at, b.id); });
  return papers;
}

constexpr const char* insert_row =
    "INSERT INTO event (sequence, id, line, kind, received, json, previous, hash) "
    "VALUES (:sequence, :id, :line, :kind, :received, :json, :previous, :hash)";

FieldErrors at_place(std::size_t place, const FieldErrors& errors) {
  FieldErrors placed;
  for (const auto& e : errors) placed.push_back({"/" + std::to_string(place) + e.path, e.found, e.expected});
  return placed;
}

}  // namespace

Checked<std::vector<std::string>> SociLedger::texts_of(const std::vector<line::Event>& events, Instant now) {
  FieldErrors errors;
  std::vector<std::string> texts;
  for (std::size_t i = 0; i < events.size(); ++i) {
    auto wrong = line::check(events[i], now);
    unicode::check_composed("", events[i], wrong);
    // What is in the record stays true when a clock jumps back: a resend is harmless then too.
    auto text = wrong.empty()      ? readable_json(events[i])
                : holds(events[i]) ? Checked<std::string>(canonical_json(events[i]))
                                   : Checked<std::string>(refuse(std::move(wrong)));
    if (text)
      texts.push_back(std::move(*text));
    else
      for (auto& e : at_place(i, text.error())) errors.push_back(std::move(e));
  }
  if (!errors.empty()) return refuse(std::move(errors));
  return texts;
}

Checked<Appended> SociLedger::append(const std::vector<line::Event>& events, Instant now) {
  auto texts = texts_of(events, now);
  if (!texts) return refuse(std::move(texts.error()));

  // The disk's sync is what an append waits for. Who comes while one is under way waits for the next, which takes all
  // of them along; the first of those who wait does it.
  Request request{events, std::move(*texts), iso(now)};
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
  for (auto& kept : request.kept) {
    line::Event event = events[kept.event];
    event.receipt = line::Receipt{kept.sequence, now};
    out.entries.push_back({kept.sequence, event.id, event.line, event_entry, now, std::move(event), "",
                           std::move(kept.previous), std::move(kept.hash)});
  }
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

/// What one of them brings that the engine does not take must not stop the others: then each is tried by itself. A
/// record that takes nothing at the moment takes none of them.
void SociLedger::commit_together(const std::vector<Request*>& requests) {
  const std::lock_guard lock(mutex_);
  auto fault = try_to_commit(requests);
  if (!fault) return;
  if (requests.size() == 1 || is_of_the_record(fault)) return settle(requests, fault);
  for (std::size_t i = 0; i < requests.size(); ++i) {
    fault = try_to_commit({requests[i]});
    if (!fault) continue;
    if (is_of_the_record(fault))
      return settle({requests.begin() + static_cast<std::ptrdiff_t>(i), requests.end()}, fault);
    settle({requests[i]}, fault);
  }
}

std::exception_ptr SociLedger::try_to_commit(const std::vector<Request*>& requests) {
  for (Request* request : requests) {
    request->kept.clear();
    request->already_there.clear();
    request->refusal.clear();
  }
  try {
    get_ready();
    Transaction transaction(*this);
    Row head = last();
    const auto there = held_of(requests);
    Texts fresh;
    rows_.clear();
    for (Request* request : requests) append_in_transaction(*request, head, there, fresh);
    insert_rows();
    transaction.commit(head.sequence);
    return nullptr;
  } catch (const soci::soci_error&) {
    drop_statements();
    return std::current_exception();
  } catch (...) {
    return std::current_exception();
  }
}

bool SociLedger::is_of_the_record(const std::exception_ptr& fault) const {
  try {
    std::rethrow_exception(fault);
  } catch (const soci::soci_error& e) {
    return blame(e) == Blame::record;
  } catch (...) {
    return false;
  }
}

void SociLedger::settle(const std::vector<Request*>& requests, const std::exception_ptr& fault) const {
  for (Request* request : requests) {
    try {
      std::rethrow_exception(fault);
    } catch (const soci::soci_error& e) {
      if (blame(e) == Blame::entry)
        request->refusal = {
            {request->events.size() == 1 ? "/0" : "", "",
             in_english_only("an entry that it takes (" + said::in_english(spoken(e).front().expected) + ")")}};
      else
        request->failure = std::make_exception_ptr(unreachable(e));
    } catch (...) {
      request->failure = fault;
    }
  }
}

Unreachable SociLedger::unreachable(const soci::soci_error& error) const {
  const auto words = spoken(error).front();
  return Unreachable(words.found + ": " + said::in_english(words.expected));
}

std::vector<Entry> SociLedger::read_after(std::int64_t sequence, std::size_t limit) {
  std::vector<Entry> entries;
  for (const auto& one : stored_after(sequence, limit)) entries.push_back(read_entry(one));
  return entries;
}

LineEntries SociLedger::read_line(const std::string& line) {
  const auto rows = reading([&] { return stored_where("line = :value ORDER BY sequence", line); });
  LineEntries out;
  for (const auto& row : rows) take_in(out, read_entry(row));
  return out;
}

/// Only what can be an id is asked for: an engine may not take every text.
bool SociLedger::holds(const line::Event& event) {
  if (!line::is_id(event.id)) return false;
  return reading([&] {
    row_.id = event.id;
    return fetch_one(*find_) && says_the_same(found_, canonical_json(event));
  });
}

bool SociLedger::holds_line(const std::string& line) {
  return reading([&] {
    long long first = 0;
    sql_ << "SELECT sequence FROM event WHERE line = :line ORDER BY sequence LIMIT 1", soci::use(line),
        soci::into(first);
    return sql_.got_data();
  });
}

std::int64_t SociLedger::last_sequence() {
  return reading([&] { return std::int64_t{last().sequence}; });
}

Checked<void> SociLedger::append_stored_in_transaction(const std::vector<StoredEntry>& entries) {
  Verification so_far;
  const Row at = last();
  so_far.entries = at.sequence;
  so_far.head = at.hash;
  for (const auto& entry : entries) {
    row_ = {entry.sequence, entry.id,   entry.line,          entry.kind,
            entry.received, entry.json, entry.previous_hash, entry.hash};
    if (const auto fault = fault_of(row_, true, so_far); !fault.empty())
      return refuse("/" + std::to_string(entry.sequence), entry.hash,
                    in_english_only("an entry that follows the chain; " + fault));
    insert_->execute(true);
    ++so_far.entries;
    so_far.head = entry.hash;
  }
  return {};
}

std::vector<StoredEntry> SociLedger::stored_after(std::int64_t sequence, std::size_t limit) {
  const long long after = sequence;
  return reading(
      [&] { return stored_where("sequence > :value ORDER BY sequence LIMIT " + std::to_string(limit), after); });
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
    get_ready();
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
      if (auto picture = picture_of(row)) pictures.insert(std::move(*picture));
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
  if (from < 4) {
    sql_ << "ALTER TABLE event ADD COLUMN kind TEXT NOT NULL DEFAULT ''";
    sql_ << "ALTER TABLE event ADD COLUMN received TEXT NOT NULL DEFAULT ''";
    sql_ << "CREATE INDEX event_paper ON event (kind, sequence) WHERE line = ''";
    migrate_papers();
    // A cache without its seal is made anew.
    sql_ << "DELETE FROM meta WHERE name IN ('projected_with', 'projected_to')";
  }
  if (from < ledger_schema) set_meta("schema", std::to_string(ledger_schema));
}

/// Papers lay beside the chain once; they become entries of it in the order of their time, which is all that is known.
/// When they came is not, so that they have no receipt.
void SociLedger::migrate_papers() {
  Row head;
  head.hash = genesis_hash();
  sql_ << "SELECT sequence, hash FROM event ORDER BY sequence DESC LIMIT 1", soci::into(head.sequence),
      soci::into(head.hash);
  if (!sql_.got_data()) head.sequence = 0, head.hash = genesis_hash();
  for (auto& paper : papers_beside_the_chain(sql_)) {
    int taken = 0;
    sql_ << "SELECT count(*) FROM event WHERE id = :id", soci::use(paper.id), soci::into(taken);
    if (taken != 0) paper.id = another_id(paper);
    const std::string json = kept_text(paper);
    const long long sequence = head.sequence + 1;
    const std::string hash = chain_hash(head.hash, paper.kind, "", json);
    sql_ << "INSERT INTO event (sequence, id, line, kind, json, previous, hash) VALUES (:sequence, :id, '', :kind, "
            ":json, :previous, :hash)",
        soci::use(sequence), soci::use(paper.id), soci::use(paper.kind), soci::use(json), soci::use(head.hash),
        soci::use(hash);
    head.sequence = sequence;
    head.hash = hash;
  }
  sql_ << "DROP TABLE paper";
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
  insert_.emplace((sql_.prepare << insert_row, soci::use(row_.sequence), soci::use(row_.id), soci::use(row_.line),
                   soci::use(row_.kind), soci::use(row_.received), soci::use(row_.json), soci::use(row_.previous),
                   soci::use(row_.hash)));
  find_.emplace((sql_.prepare << "SELECT json FROM event WHERE id = :id", soci::use(row_.id), soci::into(found_)));
  greatest_.emplace((sql_.prepare << "SELECT id FROM event ORDER BY id DESC LIMIT 1", soci::into(found_)));
  find_many_.emplace((sql_.prepare << std::string("SELECT id, json FROM event WHERE ") + among_ids(),
                      soci::use(asked_ids_), soci::into(row_.id), soci::into(found_)));
  last_.emplace((sql_.prepare << "SELECT sequence, hash FROM event ORDER BY sequence DESC LIMIT 1",
                 soci::into(head_.sequence), soci::into(head_.hash)));
}

void SociLedger::get_ready() {
  be_ready();
  if (!insert_) prepare_statements();
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
  if (!fetch_one(*last_)) head_.sequence = 0, head_.hash = genesis_hash();
  return head_;
}

std::map<std::string, std::string> SociLedger::held_of(const std::vector<Request*>& requests) {
  std::map<std::string, std::string> held;
  if (requests.size() == 1 && requests.front()->events.size() == 1) {
    row_.id = requests.front()->events.front().id;
    if (fetch_one(*find_)) held.emplace(row_.id, found_);
    return held;
  }
  // Ids rise with time: most are above all that are there, and need not be looked for. What is no id, from a foreign
  // chain, has no place in that order.
  if (!fetch_one(*greatest_)) return held;
  const bool ordered = line::is_id(found_);
  asked_ids_.clear();
  for (const Request* request : requests)
    for (const auto& event : request->events)
      if (!ordered || event.id <= found_) asked_ids_ += (asked_ids_.empty() ? "" : ",") + event.id;
  if (asked_ids_.empty()) return held;
  find_many_->execute();
  while (find_many_->fetch()) held.emplace(row_.id, found_);
  return held;
}

/// Looks at all of a request before it takes one into `rows`: a refused request leaves nothing among the others'.
void SociLedger::append_in_transaction(Request& request, Row& head, const std::map<std::string, std::string>& there,
                                       Texts& fresh) {
  std::vector<std::size_t> wanted;
  std::map<std::string_view, std::size_t> own;
  const auto known = [&](const std::string& id) -> const std::string* {
    if (const auto found = there.find(id); found != there.end()) return &found->second;
    if (const auto found = fresh.find(id); found != fresh.end()) return found->second;
    const auto found = own.find(id);
    return found != own.end() ? &request.jsons[found->second] : nullptr;
  };
  for (std::size_t i = 0; i < request.events.size(); ++i) {
    const auto& id = request.events[i].id;
    const std::string* json = known(id);
    if (!json) {
      wanted.push_back(i);
      own.emplace(id, i);
    } else if (says_the_same(*json, request.jsons[i])) {
      request.already_there.push_back(id);
    } else {
      request.refusal.push_back({"/" + std::to_string(i) + "/id", id, say::an_id_of_its_own()});
    }
  }
  if (!request.refusal.empty()) return request.already_there.clear();
  for (const auto i : wanted) {
    const auto& event = request.events[i];
    Kept kept{i, head.sequence + 1, head.hash, chain_hash(head.hash, event_entry, request.received, request.jsons[i])};
    rows_.sequence.push_back(kept.sequence);
    rows_.id.push_back(event.id);
    rows_.line.push_back(event.line);
    rows_.kind.emplace_back(event_entry);
    rows_.received.push_back(request.received);
    rows_.json.push_back(request.jsons[i]);
    rows_.previous.push_back(kept.previous);
    rows_.hash.push_back(kept.hash);
    fresh.emplace(event.id, &request.jsons[i]);
    head.sequence = kept.sequence;
    head.hash = kept.hash;
    request.kept.push_back(std::move(kept));
  }
}

/// Bound anew each time: a driver may hold on to the number of rows that it first saw.
void SociLedger::insert_many(const Rows& rows) {
  sql_ << insert_row, soci::use(rows.sequence), soci::use(rows.id), soci::use(rows.line), soci::use(rows.kind),
      soci::use(rows.received), soci::use(rows.json), soci::use(rows.previous), soci::use(rows.hash);
}

void SociLedger::insert_rows() {
  if (rows_.sequence.size() != 1) {
    if (!rows_.sequence.empty()) insert_many(rows_);
    return;
  }
  row_ = {rows_.sequence[0], rows_.id[0],   rows_.line[0],     rows_.kind[0],
          rows_.received[0], rows_.json[0], rows_.previous[0], rows_.hash[0]};
  insert_->execute(true);
}

}  // namespace dwell::ledger
