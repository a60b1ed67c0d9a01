#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <cerrno>
#include <utility>

#include "ledger/ledger.h"

namespace dwell::ledger {

/// flock() belongs to the open file, not to the process: opening the lock file once more, and closing it, lets nothing
/// go.
struct ServeLock::Impl {
  int file = -1;
  explicit Impl(int opened) : file(opened) {}
  Impl(const Impl&) = delete;
  Impl& operator=(const Impl&) = delete;
  ~Impl() {
    if (file >= 0) close(file);
  }
};

Checked<ServeLock> ServeLock::take(const std::string& ledger_path) {
  const std::string path = ledger_path + ".serving";
  constexpr mode_t owner_only = 0600;
  auto impl = std::make_unique<Impl>(open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, owner_only));
  if (impl->file < 0) return refuse("/ledger", path, "a folder that can be written");
  if (flock(impl->file, LOCK_EX | LOCK_NB) == 0) return ServeLock(std::move(impl));
  if (errno == EWOULDBLOCK)
    return refuse("/ledger", ledger_path, "a ledger that is not being served already; another Dwell serves this one");
  return refuse("/ledger", path, "a disk on which a file can be locked");
}

ServeLock::ServeLock(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
ServeLock::ServeLock(ServeLock&&) noexcept = default;
ServeLock& ServeLock::operator=(ServeLock&&) noexcept = default;
ServeLock::~ServeLock() = default;

}  // namespace dwell::ledger
