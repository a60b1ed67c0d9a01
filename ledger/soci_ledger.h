#pragma once
// What both engines have in common: the rows of the chain through SOCI. An engine says how to open, how to take the
// write lock, and what its errors mean to a person.
#include <soci/soci.h>

#include <condition_variable>
#include <exception>
#include <future>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <set>
#include <string>
#include <utility>

#include "ledger/cache_digest.h"
#include "ledger/ledger.h"

namespace dwell::ledger {

/// As SOCI binds it: a stored entry whose sequence is a long long.
struct Row {
  long long sequence = 0;
  std::string id, line, kind, received, json, previous, hash;
};
inline constexpr const char* row_columns = "sequence, id, line, kind, received, json, previous, hash";

/// Many rows, column by column, as SOCI binds them.
struct Rows {
  std::vector<long long> sequence;
  std::vector<std::string> id, line, kind, received, json, previous, hash;
  void clear() {
    sequence.clear();
    for (auto* column : {&id, &line, &kind, &received, &json, &previous, &hash}) column->clear();
  }
};

/// 1: the chain. 2: kinds of events that the first cannot read; the cache of lines; pictures. 3: papers beside the
/// chain. 4: papers within it; kinds and receipts; the cache sealed.
inline constexpr int ledger_schema = 4;

/// Whose an error of the engine is: of what was to be written, of the record as a whole, or not to be told.
enum class Blame { entry, record, unclear };

class SociLedger : public Ledger {
 public:
  Checked<Appended> append(const std::vector<line::Event>& events, Instant now) final;
  std::vector<Entry> read_after(std::int64_t sequence, std::size_t limit) final;
  LineEntries read_line(const std::string& line) final;
  bool holds_line(const std::string& line) final;
  std::int64_t last_sequence() final;
  using Ledger::verify;
  Verification verify(const std::function<void(VerifyProgress)>& progress,
                      const std::map<std::int64_t, std::string>& known) final;
  Projection projected(bool open_only) final;
  std::vector<std::string> lines_after(std::int64_t sequence) final;
  bool keep_projection(const ProjectionMark& mark, const std::vector<ProjectedLine>& lines,
                       const std::optional<ProjectionMark>& follows) final;
  Checked<void> keep_photo(const Photo& photo) final;
  std::optional<Photo> photo(const std::string& hash) final;
  std::vector<std::string> photo_hashes() final;
  Checked<void> keep_paper(const Paper& paper, const std::optional<std::string>& after, Instant now) final;
  std::optional<Paper> last_paper(const std::string& kind) final;
  Papers papers(const std::string& kind, const std::string& who) final;
  std::vector<StoredEntry> stored_after(std::int64_t sequence, std::size_t limit) final;
  Checked<void> append_stored(const std::vector<StoredEntry>& entries) final;
  std::string remark(const std::string& name) final;
  Checked<void> keep_remark(const std::string& name, const std::string& text) final;
  std::string place() final;

 protected:
  SociLedger() = default;

  /// Opens a write transaction so that nobody else can add to the chain until it ends.
  virtual void begin_writing() = 0;
  /// Opens a transaction that sees the record as it stands at one moment.
  virtual void begin_view() = 0;
  /// Rows that follow the chain, in one go where the engine can.
  virtual void insert_many(const Rows& rows);
  /// A condition that holds for the ids of `:ids`, a list of ids with commas between (ids are hexadecimal and hyphens).
  [[nodiscard]] virtual const char* among_ids() const = 0;
  /// Just before the commit; the highest sequence now in the record.
  virtual void before_commit(std::int64_t last) = 0;
  [[nodiscard]] virtual FieldErrors spoken(const soci::soci_error& error) const = 0;
  [[nodiscard]] virtual Blame blame(const soci::soci_error& error) const = 0;
  /// Calls `check` with each row in order, and whether the row's indexes find it, until it says stop.
  virtual void walk(const std::function<bool(const Row&, bool indexed)>& check) = 0;
  /// What the engine itself finds damaged in what it holds, also outside the chain; empty when nothing.
  [[nodiscard]] virtual std::string damage() = 0;
  /// The same for every name, link or address that leads to this record.
  [[nodiscard]] virtual std::string where_it_lies() = 0;
  /// Called before each use, under the lock: the place to mend a connection that was lost.
  virtual void be_ready() = 0;

  /// Brings the tables of an older schema up to this one, inside the caller's transaction; a new ledger comes from
  /// none. `sequence_type` is the engine's for a number that is the row's own key.
  void migrate(const char* sequence_type);

  /// Binds the statements; again after a reconnect, before which they are dropped, and after an error of the engine: a
  /// driver may not let go of what it had bound when it failed.
  void prepare_statements();
  void drop_statements();
  [[nodiscard]] soci::session& sql() { return sql_; }

 private:
  class Transaction;
  class View;
  /// Where an event of a request came to lie; made into entries by the caller, not by the one who commits for all.
  struct Kept {
    std::size_t event = 0;  ///< place in the request
    std::int64_t sequence = 0;
    std::string previous, hash;
  };
  struct Request;
  /// Those who go into one commit. One call wakes all who wait, and none of them needs a lock to go on.
  struct Group {
    std::vector<Request*> requests;  ///< guarded by queue_mutex_; the first of them commits for all
    std::promise<void> ended;        ///< once it was committed or refused
    const std::shared_future<void> end = ended.get_future().share();
  };
  /// One caller's append, waiting for its commit.
  struct Request {
    const std::vector<line::Event>& events;
    std::vector<std::string> jsons;  ///< as they are kept, of each event; made by the caller, not under a lock
    std::string received;
    std::vector<Kept> kept = {};
    std::vector<std::string> already_there = {};
    FieldErrors refusal = {};
    std::exception_ptr failure = nullptr;
  };
  /// Texts by id, where they lie.
  using Texts = std::map<std::string_view, const std::string*>;

  /// What is kept of each event; refuses what line::check refuses and what could not be read again.
  Checked<std::vector<std::string>> texts_of(const std::vector<line::Event>& events, Instant now);
  bool holds(const line::Event& event);
  /// The chain, and by the way the hashes of the pictures that it names.
  Verification verify_chain(const std::function<void(VerifyProgress)>& progress,
                            const std::map<std::int64_t, std::string>& known, std::set<std::string>& pictures);
  bool holds_picture(const std::string& hash);
  void lead(std::unique_lock<std::mutex>& waiting, Group& group);
  void gather(std::unique_lock<std::mutex>& waiting, const Group& group);
  /// All of these in one durable commit. Each is kept or refused by itself.
  void commit_together(const std::vector<Request*>& requests);
  /// Nothing, or what went wrong; then none of them was kept.
  std::exception_ptr try_to_commit(const std::vector<Request*>& requests);
  /// What went wrong for all of a group that cannot be divided.
  void settle(const std::vector<Request*>& requests, const std::exception_ptr& fault) const;
  [[nodiscard]] bool is_of_the_record(const std::exception_ptr& fault) const;
  [[nodiscard]] Unreachable unreachable(const soci::soci_error& error) const;
  /// Before each use, under the lock.
  void get_ready();
  /// Runs `work` under the lock; what goes wrong in the engine is thrown as Unreachable.
  template <class Work>
  auto reading(Work work);
  /// The same in one durable transaction, which is given up when `work` refuses.
  template <class Work>
  Checked<void> writing(Work work);
  void set_meta(const std::string& name, const std::string& value);
  std::string meta(const std::string& name);  ///< empty when there is none
  /// From beside the chain into it.
  void migrate_papers();
  /// Rows of the chain for which the condition holds, with one value bound to `:value`.
  template <class Value>
  std::vector<StoredEntry> stored_where(const std::string& condition, const Value& value);
  Checked<void> append_stored_in_transaction(const std::vector<StoredEntry>& entries);
  std::optional<Paper> last_paper_now(const std::string& kind);
  Checked<void> add_paper(const Paper& paper, const std::string& json, const std::optional<std::string>& after,
                          const std::string& received);
  ProjectionMark mark_now();
  void put_projection(const std::vector<ProjectedLine>& lines, CacheDigest& digest);
  Row last();
  void append_in_transaction(Request& request, Row& head, const std::map<std::string, std::string>& there,
                             Texts& fresh);
  /// Canonical JSON by id of those of these events that the record holds.
  std::map<std::string, std::string> held_of(const std::vector<Request*>& requests);
  void insert_rows();
  /// A prepared query of one row, read to its end: a statement left half-way would hold its view of the file.
  static bool fetch_one(soci::statement& statement);

  soci::session sql_;
  std::mutex queue_mutex_;
  std::shared_ptr<Group> group_ = std::make_shared<Group>();  ///< takes those who come
  std::shared_ptr<Group> before_ = nullptr;                   ///< the one taken out of it last, done or under way
  std::condition_variable gathered_;
  std::size_t crowd_ = 0;  ///< how many were writing when the last commit ended

  std::mutex mutex_;  ///< of the session
  Row row_, head_;    ///< what the prepared statements are bound to
  std::string found_, asked_ids_;
  Rows rows_;
  std::map<std::string, std::pair<std::string, Paper>> last_read_;  ///< by kind: a paper's hash, and what it says
  std::optional<soci::statement> insert_, find_, find_many_, greatest_,
      last_;  ///< after the session: they end before it
};

}  // namespace dwell::ledger
