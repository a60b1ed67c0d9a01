#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <mutex>
#include <set>
#include <utility>

#include "ledger/disk.h"
#include "ledger/ledger.h"
#include "ledger/open.h"

namespace dwell::ledger {
namespace {

/// Files that this process holds. SQLite's own locks are the process's: closing any descriptor of the file lets them
/// all go, and another program could then take the record for closed. So a file that is held here is never opened a
/// second time, and the lock is taken before the record is opened and given back after it is closed.
class HeldHere {
 public:
  bool add(const std::string& identity) {
    const std::lock_guard lock(mutex_);
    return files_.insert(identity).second;
  }
  void remove(const std::string& identity) {
    const std::lock_guard lock(mutex_);
    files_.erase(identity);
  }
  bool has(const std::string& identity) {
    const std::lock_guard lock(mutex_);
    return files_.contains(identity);
  }

 private:
  std::mutex mutex_;
  std::set<std::string> files_;
};

HeldHere& held_here() {
  static HeldHere held;
  return held;
}

tl::unexpected<FieldErrors> served_already(const std::string& path) {
  return refuse("/ledger", path,
                in_english_only("a ledger that is not being served already; another Dwell serves this one"));
}

}  // namespace

/// flock() on the database file itself: it is the file's, whatever the name or link that leads to it, and there is no
/// lock file that somebody could tidy away. SQLite locks by fcntl(), which on a machine's own disk knows nothing of
/// flock(). It ends with the process, however that ends.
struct ServeLock::Impl {
  int file = -1;
  std::string identity;
  Impl(int opened, std::string which) : file(opened), identity(std::move(which)) {}
  Impl(const Impl&) = delete;
  Impl& operator=(const Impl&) = delete;
  ~Impl() {
    if (file >= 0) close(file);
    held_here().remove(identity);
  }
};

Checked<ServeLock> ServeLock::take(const std::string& ledger_path) {
  Disk& disk = machine_disk();
  // A record that is yet to be made is locked as the empty file that it begins as.
  if (const auto there = disk.facts(ledger_path); there && !*there)
    if (auto made = disk.create(ledger_path, ""); !made)
      return refuse("/ledger", ledger_path, made.error().front().expected);
  constexpr int most_attempts = 10;
  for (int attempt = 0; attempt < most_attempts; ++attempt) {
    const auto before = disk.facts(ledger_path);
    if (!before || !*before) return refuse("/ledger", ledger_path, in_english_only("a file that can be read"));
    const std::string identity = (*before)->identity;
    if (!held_here().add(identity)) return served_already(ledger_path);
    auto impl = std::make_unique<Impl>(open(ledger_path.c_str(), O_RDWR | O_CLOEXEC), identity);
    if (impl->file < 0)
      return refuse("/ledger", ledger_path,
                    in_english_only(std::string("a file that can be written (") + std::strerror(errno) + ")"));
    if (flock(impl->file, LOCK_EX | LOCK_NB) != 0) {
      if (errno == EWOULDBLOCK) return served_already(ledger_path);
      return refuse("/ledger", ledger_path, in_english_only("a disk on which a file can be locked"));
    }
    // Somebody may have put another file in its place meanwhile: what is locked must be what is served.
    struct stat locked {};
    const auto after = disk.facts(ledger_path);
    if (fstat(impl->file, &locked) == 0 && after && *after && (*after)->identity == identity &&
        identity == std::to_string(locked.st_dev) + ":" + std::to_string(locked.st_ino))
      return ServeLock(std::move(impl));
  }
  return refuse("/ledger", ledger_path,
                in_english_only("a file that stays where it is; another program keeps replacing it"));
}

bool is_served(const std::string& ledger_path) {
  const auto facts = machine_disk().facts(ledger_path);
  if (!facts || !*facts) return false;
  if (held_here().has((*facts)->identity)) return true;
  const int file = open(ledger_path.c_str(), O_RDONLY | O_CLOEXEC);
  if (file < 0) return false;
  const bool served = flock(file, LOCK_SH | LOCK_NB) != 0 && errno == EWOULDBLOCK;
  close(file);
  return served;
}

ServeLock::ServeLock(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
ServeLock::ServeLock(ServeLock&&) noexcept = default;
ServeLock& ServeLock::operator=(ServeLock&&) noexcept = default;
ServeLock::~ServeLock() = default;

}  // namespace dwell::ledger
