#pragma once
// The record: an append-only chain of events. An acknowledged entry survives a killed process; the chain of hashes
// shows any edit of history. One interface, so that SQLite today and PostgreSQL for a hospital behave alike.
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

#include "line/event.h"
#include "quantity/checked.h"

namespace dwell::ledger {

// Kinds of entry. What is of no line, a policy put into force or a run of practice, is a paper.
inline constexpr const char* event_entry = "event";
inline constexpr const char* policy_paper = "policy";
inline constexpr const char* practice_paper = "practice";

/// An entry in its place in the chain. One that this program cannot read is an entry all the same.
struct Entry {
  std::int64_t sequence = 0;  ///< 1, 2, 3 … without gaps
  std::string id;
  std::string line;                    ///< empty for a paper
  std::string kind;                    ///< event_entry, policy_paper or practice_paper
  std::optional<Instant> received_at;  ///< by the server's clock; absent for entries from before receipts were kept
  std::optional<line::Event> event;    ///< with its receipt; absent for a paper and for what cannot be read
  std::string unreadable;              ///< why it cannot be read; empty when it can
  std::string previous_hash;           ///< 64 hex digits; zeros for the first
  std::string hash;                    ///< chain_hash() of what it holds
};

/// An entry as it is stored: the very texts that its hash covers.
struct StoredEntry {
  std::int64_t sequence = 0;
  std::string id, line;
  std::string kind, received;  ///< both empty for an entry from before receipts were kept
  std::string json, previous_hash, hash;
  friend bool operator==(const StoredEntry&, const StoredEntry&) = default;
};

/// The entries of one line, oldest first: what they say, and those that cannot be read.
struct LineEntries {
  std::vector<line::Event> events;
  std::vector<line::SetAside> set_aside;
};

struct Appended {
  std::vector<Entry> entries;              ///< newly written, in order
  std::vector<std::string> already_there;  ///< ids that were in the record before: a resend, harmless
};

struct VerifyProgress {
  std::int64_t checked = 0, total = 0;
};

struct Verification {
  std::int64_t entries = 0;
  std::string head;                       ///< hash of the last entry
  std::optional<std::int64_t> first_bad;  ///< sequence of the first entry that does not fit
  std::string reason;
  std::vector<std::string> lost_pictures;  ///< hashes that the chain names whose picture is gone or has changed
};

/// One row a line, made from its events: a cache, so that a server need not read every line that ever was. What it
/// holds is made by projection.h and can be made again at any time.
struct ProjectedLine {
  std::string line;
  bool open = false;  ///< not closed: somebody may have to come
  std::string unit, bed;
  std::string clocks;  ///< care::DueClocks as JSON
  std::string row;     ///< statistics::LineRow as JSON; empty when nothing was placed
  friend bool operator==(const ProjectedLine&, const ProjectedLine&) = default;
};

/// How far the cache reaches, and what it was made with: another policy or program makes it anew.
struct ProjectionMark {
  std::string made_with;
  std::int64_t sequence = 0;
  friend bool operator==(const ProjectionMark&, const ProjectionMark&) = default;
};

/// The cache as it lies there, seen at one moment.
struct Projection {
  ProjectionMark mark;
  std::vector<ProjectedLine> lines;
  bool as_kept = false;  ///< these rows and this mark are what keep_projection wrote, by their digest
};

/// A picture of a site, beside the chain; the chain holds its hash.
struct Photo {
  std::string hash;        ///< BLAKE2b-256 of the bytes, 64 hex digits
  std::string media_type;  ///< "image/jpeg"
  std::string bytes;
};

/// What is of no line.
struct Paper {
  std::string id;    ///< its own; a resend is harmless
  std::string kind;  ///< policy_paper or practice_paper
  std::string who;   ///< the learner; who put the policy into force
  Instant at{};      ///< as its author says; its place in the record decides what is last
  std::string json;
  friend bool operator==(const Paper&, const Paper&) = default;
};

/// Papers in the order of the record, and those of the kind that cannot be read.
struct Papers {
  std::vector<Paper> papers;
  std::vector<line::SetAside> set_aside;
};

/// Thrown by reading and writing when the record cannot be reached or written: a database that is gone, a disk that is
/// full or fails. It is no fault of what was to be kept. The words are for people; a later try may succeed.
class Unreachable : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

class Ledger {
 public:
  virtual ~Ledger() = default;
  /// All or none, durable when it returns. Refuses (with paths "/0/…" into `events`) what line::check refuses and an id
  /// that is already there with another content; whoever else writes at that moment is not held up by it. `now` is the
  /// receipt's time.
  virtual Checked<Appended> append(const std::vector<line::Event>& events, Instant now) = 0;
  /// Entries after a sequence number, oldest first, at most `limit`.
  virtual std::vector<Entry> read_after(std::int64_t sequence, std::size_t limit) = 0;
  virtual LineEntries read_line(const std::string& line) = 0;
  /// Whether any entry speaks of this line.
  virtual bool holds_line(const std::string& line) = 0;
  virtual std::int64_t last_sequence() = 0;
  /// Walks the chain in one stream; `progress` is called now and then. `known` are hashes by sequence that were signed
  /// before (heads.h): the chain must still hold each.
  virtual Verification verify(const std::function<void(VerifyProgress)>& progress,
                              const std::map<std::int64_t, std::string>& known) = 0;
  [[nodiscard]] Verification verify(const std::function<void(VerifyProgress)>& progress) {
    return verify(progress, {});
  }

  // ---- the cache ----

  virtual Projection projected(bool open_only) = 0;
  /// The lines that entries after a sequence number speak of.
  virtual std::vector<std::string> lines_after(std::int64_t sequence) = 0;
  /// All or none. Without `follows`, what was there goes first. With it, the rows are put over those of a cache that
  /// was made with the same and reaches at least as far, but not beyond `mark`; false, and nothing changed, when the
  /// cache there is another's by now.
  virtual bool keep_projection(const ProjectionMark& mark, const std::vector<ProjectedLine>& lines,
                               const std::optional<ProjectionMark>& follows) = 0;

  // ---- pictures ----

  /// Durable when it returns; one that is already there is left. Refuses bytes that do not fit the hash.
  virtual Checked<void> keep_photo(const Photo& photo) = 0;
  virtual std::optional<Photo> photo(const std::string& hash) = 0;
  virtual std::vector<std::string> photo_hashes() = 0;

  // ---- papers ----

  /// Durable when it returns; one that is already there is left. Refuses what could not be read again, an id that has
  /// another content, and, when `after` is given, a paper that does not follow the last paper of its kind that can be
  /// read (empty: the first): "/after".
  virtual Checked<void> keep_paper(const Paper& paper, const std::optional<std::string>& after, Instant now) = 0;
  /// Of one person, or of everybody when `who` is empty.
  virtual Papers papers(const std::string& kind, const std::string& who = "") = 0;
  /// The last in the record's order that can be read. No clock decides it.
  virtual std::optional<Paper> last_paper(const std::string& kind) = 0;

  /// For copies: as stored, and back, whether or not this program can read it. `append_stored` keeps all or none;
  /// refuses what does not follow the chain's head, or whose hash does not fit.
  virtual std::vector<StoredEntry> stored_after(std::int64_t sequence, std::size_t limit) = 0;
  virtual Checked<void> append_stored(const std::vector<StoredEntry>& entries) = 0;

  // ---- the record as a thing ----

  /// A word beside the chain, such as that a copy is not finished; empty when there is none.
  virtual std::string remark(const std::string& name) = 0;
  /// Durable when it returns; an empty text takes the remark away.
  virtual Checked<void> keep_remark(const std::string& name, const std::string& text) = 0;
  /// Where it lies: the same for every name, link or address that leads to it.
  virtual std::string place() = 0;
};

/// Opens or makes the SQLite ledger (WAL, synchronous=FULL). Refuses a ledger of a newer schema, a file that is not a
/// ledger, a folder that cannot be written.
[[nodiscard]] Checked<std::unique_ptr<Ledger>> open_sqlite(const std::string& path);

/// Opens or prepares the ledger of a hospital in a PostgreSQL database ("postgresql://user@host/database"; the password
/// comes from libpq's own places, or the address). Several servers may hold it at once. Refuses a newer schema and a
/// database in which `event` or `meta` are another program's tables. No message holds the password.
[[nodiscard]] Checked<std::unique_ptr<Ledger>> open_postgresql(const std::string& address);

/// "postgresql://…" or "postgres://…": such a database; anything else is the path of an SQLite file.
[[nodiscard]] bool is_postgresql(const std::string& where);
[[nodiscard]] Checked<std::unique_ptr<Ledger>> open_ledger(const std::string& where);

/// Where the ledger is, for messages and logs: without a password.
[[nodiscard]] std::string shown(const std::string& where);

/// Held by the one server that serves a ledger file; a second gets a clear refusal.
class ServeLock {
 public:
  [[nodiscard]] static Checked<ServeLock> take(const std::string& ledger_path);
  ServeLock(ServeLock&&) noexcept;
  ServeLock& operator=(ServeLock&&) noexcept;
  ~ServeLock();

 private:
  struct Impl;
  explicit ServeLock(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace dwell::ledger
