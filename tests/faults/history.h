#pragma once
// Did the record behave as one list to which entries are added one at a time, whatever went on at once? Clients write
// down when they asked and when they were answered; the check says whether there is an order of all of it that fits
// every answer and never contradicts the clock (linearizability, Herlihy and Wing 1990). For any object that is hard;
// for a list whose answers name places it takes sorting and one walk.
#include <atomic>
#include <cstdint>
#include <limits>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

namespace dwell::faults {

/// One question to the record and what came back. Times are places in one order of everything that happened.
struct Operation {
  enum class Kind { append, read };
  /// `unknown`: no answer came; it may have been done, or be done later.
  enum class Outcome { returned, refused, unknown };
  static constexpr std::int64_t never = std::numeric_limits<std::int64_t>::max();
  struct Seen {
    std::int64_t sequence = 0;
    std::string id;
  };

  Kind kind = Kind::append;
  Outcome outcome = Outcome::unknown;
  int client = 0;
  std::int64_t invoked = 0, returned = never;
  std::string id;             ///< of an append; the same id may be sent again
  std::int64_t sequence = 0;  ///< where it came to lie; 0: not said
  std::int64_t after = 0;     ///< of a read: it asked for all that lies after this place, to the end
  std::vector<Seen> seen;
};

/// What many clients do, written down as they do it.
class History {
 public:
  /// A moment after every moment that was given out before.
  [[nodiscard]] std::int64_t moment() { return ++clock_; }
  void note(Operation operation) {
    const std::lock_guard lock(mutex_);
    operations_.push_back(std::move(operation));
  }
  /// Once everybody has ended.
  [[nodiscard]] const std::vector<Operation>& operations() const { return operations_; }

 private:
  std::atomic<std::int64_t> clock_ = 0;
  std::mutex mutex_;
  std::vector<Operation> operations_;
};

/// What one list could not have answered, in a sentence; nothing when it could. The history must hold a read of
/// everything that was made after all else: what was acknowledged and is not in it is lost. O(n log n).
[[nodiscard]] std::optional<std::string> anomaly_of(const std::vector<Operation>& operations);

}  // namespace dwell::faults
