#include <boost/interprocess/sync/file_lock.hpp>
#include <fstream>

#include "ledger/ledger.h"

namespace dwell::ledger {

struct ServeLock::Impl {
  boost::interprocess::file_lock lock;
};

Checked<ServeLock> ServeLock::take(const std::string& ledger_path) {
  const std::string path = ledger_path + ".serving";
  if (!std::ofstream(path, std::ios::app)) return refuse("/ledger", path, "a folder that can be written");
  auto impl = std::make_unique<Impl>(Impl{boost::interprocess::file_lock(path.c_str())});
  if (!impl->lock.try_lock())
    return refuse("/ledger", ledger_path, "a ledger that is not being served already; another Dwell serves this one");
  return ServeLock(std::move(impl));
}

ServeLock::ServeLock(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
ServeLock::ServeLock(ServeLock&&) noexcept = default;
ServeLock& ServeLock::operator=(ServeLock&&) noexcept = default;
ServeLock::~ServeLock() = default;

}  // namespace dwell::ledger
