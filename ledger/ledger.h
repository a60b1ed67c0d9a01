#pragma once
// The record: an append-only chain of events. An acknowledged entry survives a killed process; the chain of hashes
// shows any edit of history. One interface, so that SQLite today and PostgreSQL for a hospital behave alike.
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "line/event.h"
#include "quantity/checked.h"

namespace dwell::ledger {

/// An event in its place in the chain.
struct Entry {
  std::int64_t sequence = 0;  ///< 1, 2, 3 … without gaps
  line::Event event;
  std::string previous_hash;  ///< 64 hex digits; zeros for the first
  std::string hash;           ///< BLAKE2b-256 of previous hash and the event's canonical JSON
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
};

class Ledger {
 public:
  virtual ~Ledger() = default;
  /// All or none, durable when it returns. Refuses (with paths "/0/…" into `events`) what line::check refuses and an id
  /// that is already there with another content. A full or read-only disk is refused with a clear message and changes
  /// nothing.
  virtual Checked<Appended> append(const std::vector<line::Event>& events, Instant now) = 0;
  /// Entries after a sequence number, oldest first, at most `limit`.
  virtual std::vector<Entry> read_after(std::int64_t sequence, std::size_t limit) = 0;
  /// All events of a line, oldest first.
  virtual std::vector<line::Event> read_line(const std::string& line) = 0;
  virtual std::int64_t last_sequence() = 0;
  /// Walks the chain in one stream; `progress` is called now and then.
  virtual Verification verify(const std::function<void(VerifyProgress)>& progress) = 0;
};

/// Opens or makes the SQLite ledger (WAL, synchronous=FULL). Refuses a ledger of a newer schema, a file that is not a
/// ledger, a folder that cannot be written.
[[nodiscard]] Checked<std::unique_ptr<Ledger>> open_sqlite(const std::string& path);

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
