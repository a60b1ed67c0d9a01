#pragma once
// A disk in memory that loses power. What was written and not synced may be gone after the cut, there, or anything
// between, sector by sector; so a test sees what a program had really made durable, not what a kind machine kept for
// it.
//
// SQLite reaches it as the default VFS. The rules are those by which SQLite was built:
//   - only xSync makes a file's content durable; "Atomic Commit In SQLite", section 2: writes may come to lie on the
//   disk
//     in any order, and a sector is written from one end to the other, so that a cut leaves one part new, one part old;
//   - the size of a file and its content are two things; a file may have grown and hold anything where it grew (the
//   same
//     section);
//   - a name is durable when its folder was synced: with the first sync of a journal or write-ahead log that was opened
//   to
//     be made, and with a deletion that asks for it, as SQLite's own layer for Unix does;
//   - without powersafe overwrite a cut may also spoil the rest of a sector that was being written; with it only the
//   bytes
//     written ("Powersafe Overwrite", https://sqlite.org/psow.html). A plain file beside the database is always kept
//     with it, as SQLite, too, counts on it unless told otherwise: to a file that only grows line by line, its absence
//     could cost what was synced long before.
// Not modelled: bits that rot by themselves, and a disk that lies about its syncs (but see Habits::forgets_syncs).
#include <sqlite3.h>

#include <cstdint>
#include <map>
#include <memory>
#include <mutex>
#include <random>
#include <string>
#include <vector>

namespace dwell::faults {

class PowerCutDisk {
 public:
  struct Habits {
    std::size_t sector = 512;
    bool powersafe_overwrite = false;
    /// Says of every sync that it was done, and does none: what a test must notice.
    bool forgets_syncs = false;
  };

  /// Becomes SQLite's default file layer until it is destroyed. Everything that happens follows from the seed.
  PowerCutDisk(std::uint64_t seed, Habits habits);
  ~PowerCutDisk();
  PowerCutDisk(const PowerCutDisk&) = delete;
  PowerCutDisk& operator=(const PowerCutDisk&) = delete;

  /// The power goes during the next call but `operations` that would change the disk. From then on every call fails.
  void cut_after(int operations);
  /// The power goes now.
  void cut_now();
  /// The program is ended, the machine goes on: what was written stays, synced or not.
  void kill_now();
  /// Nothing will be cut.
  void stay_on();
  [[nodiscard]] bool is_dark() const;
  /// The power is back, on what survived. Every file must have been closed.
  void restart();

  /// As if its cable were out: every call fails, nothing is lost, and when it is back all goes on.
  void set_away(bool away);
  /// No file may grow while it is full.
  void set_full(bool full);

  // ---- plain files, for what lies beside the database ----

  [[nodiscard]] bool exists(const std::string& name);
  /// Empty when there is none.
  [[nodiscard]] std::string read(const std::string& name);
  /// These answer whether it was done; not when the power went.
  [[nodiscard]] bool write_at(const std::string& name, std::size_t offset, const std::string& bytes);
  [[nodiscard]] bool cut_short(const std::string& name, std::size_t size);
  [[nodiscard]] bool sync(const std::string& name);
  [[nodiscard]] bool rename(const std::string& from, const std::string& to);
  [[nodiscard]] bool remove(const std::string& name);
  [[nodiscard]] bool sync_folder();

  /// How much was asked of it since it was made, for a test that says what it did.
  struct Counts {
    std::int64_t changes = 0, syncs = 0, cuts = 0, sectors_lost = 0, sectors_torn = 0, sectors_spoiled = 0,
                 names_lost = 0;
  };
  [[nodiscard]] Counts counts() const;

 private:
  /// A write at a place, or (no bytes) a cut to a size.
  struct Change {
    std::size_t at = 0;
    std::string bytes;
    bool is_size = false;
  };
  struct Handle;
  struct Inode {
    std::string current;          ///< what a program reads
    std::string durable;          ///< what was synced
    std::vector<Change> pending;  ///< what lies between
    std::vector<Handle*> open;
    bool is_plain = false;                                   ///< a file beside the database
    std::vector<std::unique_ptr<std::vector<char>>> shared;  ///< the regions of the write-ahead log's index
  };
  using InodePointer = std::shared_ptr<Inode>;
  /// Which file a name means; none when it was deleted.
  struct NameChange {
    std::string name;
    InodePointer inode;
  };
  struct Methods;

  /// Nothing answers now.
  [[nodiscard]] bool silent() const { return dark_ || away_; }
  [[nodiscard]] InodePointer find(const std::string& name) const;
  [[nodiscard]] InodePointer make(const std::string& name);
  void set_name(const std::string& name, InodePointer inode);
  /// Counts a change; whether the power goes with it.
  [[nodiscard]] bool strikes();
  void go_dark();
  static void apply(std::string& content, const Change& change);
  void change(Inode& inode, Change change);
  void settle(Inode& inode);
  void settle_names();
  [[nodiscard]] std::string survivor(const Inode& inode);
  void spoil(std::string& content, std::size_t sector, const Inode& inode);
  [[nodiscard]] std::size_t below(std::size_t limit);
  [[nodiscard]] bool one_in(std::size_t times) { return below(times) == 0; }

  mutable std::mutex mutex_;
  std::mt19937_64 random_;
  Habits habits_;
  sqlite3_vfs vfs_{};
  std::string vfs_name_;
  sqlite3_vfs* before_ = nullptr;
  std::map<std::string, InodePointer> names_, durable_names_;
  std::vector<NameChange> pending_names_;
  int left_ = -1;
  bool dark_ = false, away_ = false, full_ = false;
  Counts counts_;
};

}  // namespace dwell::faults
