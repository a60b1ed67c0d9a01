#pragma once
// Answers that many ask for at the same moment, each made once: forty tablets on a ward look at one board. One serves
// until something was charted, and for a second at most, because what falls due moves with the clock.
#include <chrono>
#include <cstdint>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "quantity/time.h"

namespace dwell::server {

/// An answer in bytes, as it goes out.
struct Made {
  std::string body, gzipped;
  std::vector<std::string> lines;  ///< that are told of, for the audit of each who asks
  std::int64_t sequence = 0;       ///< of the last entry taken in
  Instant at{};
};

class Prepared {
 public:
  /// Nothing when none was made for this key, or it is too old. From any thread, as keep().
  [[nodiscard]] std::shared_ptr<const Made> find(const std::string& key, std::int64_t sequence, Instant now) const {
    const std::lock_guard lock(mutex_);
    const auto found = made_.find(key);
    if (found == made_.end()) return nullptr;
    const auto& made = found->second;
    const bool fresh = made->sequence == sequence && made->at <= now && now < made->at + longest;
    return fresh ? made : nullptr;
  }
  void keep(const std::string& key, std::shared_ptr<const Made> made) {
    const std::lock_guard lock(mutex_);
    if (made_.size() >= most) made_.clear();
    made_[key] = std::move(made);
  }

 private:
  static constexpr std::chrono::seconds longest{1};
  static constexpr std::size_t most = 64;  ///< keys: wards, and who may see what
  mutable std::mutex mutex_;
  std::map<std::string, std::shared_ptr<const Made>> made_;
};

}  // namespace dwell::server
