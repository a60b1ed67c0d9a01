#pragma once
// The ward for many threads, and what it knows of its own age. One thread at a time is with the ward, for as long as it
// takes to copy what it needs; whoever answers works on the copy. What came of the last look at the record stands with
// every answer, so that old news says that it is old.
#include <atomic>
#include <chrono>
#include <memory>
#include <mutex>
#include <set>
#include <string>
#include <vector>

#include "engine/engine.h"
#include "ledger/ledger.h"
#include "server/ward.h"

namespace dwell::server {

/// The library with the policy that counts now. Never changed, only replaced.
struct InForce {
  engine::Library library;
  std::string json;          ///< of the library
  std::string policy_paper;  ///< id of the policy's; empty: the ward's own file
};

/// What stands with every answer that tells of lines.
struct Standing {
  Instant true_at{};          ///< when the record was last looked at, and read to its end
  std::int64_t sequence = 0;  ///< of the last entry taken in
  bool reachable = true;      ///< whether the last look reached the record
};

class Watch {
 public:
  /// Reads the ward. `library` holds until another policy was put into force.
  Watch(ledger::Ledger& record, engine::Library library, Instant now);

  struct Looked {
    std::vector<std::string> changed;  ///< lines, since this was last told
    bool policy_changed = false;
    bool reachability_changed = false;
    Standing standing;
  };
  /// Looks whether the record holds another policy or more entries. A fault is logged, leaves the ward as it was, and
  /// is healed by the next look.
  void refresh(Instant now);
  /// The same, and what is to be told of it.
  Looked look(Instant now);

  /// What `take` makes of the ward and its standing, while nobody else is with it. Throws Unreachable when what it
  /// needs is not in memory and cannot be read, or when others take too long.
  template <class Take>
  auto with_ward(Instant now, const Take& take) {
    if (is_behind()) read_behind_apart();
    const auto lock = locked();
    catch_up_with_ourselves(now);
    return take(*ward_, standing());
  }
  /// The same; the lines that `wanted` names of the ward are read first where they are not in memory, and nobody waits
  /// for the ward meanwhile.
  template <class Wanted, class Take>
  auto with_ward(Instant now, const Wanted& wanted, const Take& take) {
    read_apart(wanted);
    return with_ward(now, take);
  }
  /// The same for one line.
  template <class Take>
  auto with_line(Instant now, const std::string& line, const Take& take) {
    return with_ward(
        now, [&](const Ward&) { return std::vector{line}; }, take);
  }

  /// Entries of this server lie in the record up to here: whoever asks next sees them. The highest so far.
  std::int64_t wrote(std::int64_t sequence);

  [[nodiscard]] Standing standing() const;
  /// Are there entries of this server that the ward has not taken in yet?
  [[nodiscard]] bool is_behind() const { return standing().sequence < written_; }
  [[nodiscard]] std::shared_ptr<const InForce> in_force() const;

  /// Writes the record's cache of lines. A cache that cannot be kept makes the next start slower, and nothing else.
  void keep();

 private:
  static constexpr std::chrono::seconds longest_wait{5};
  static auto until_long_enough() {
#ifdef __SANITIZE_THREAD__
    // GCC 12's thread sanitizer sees no lock that was waited for by the steady clock.
    return std::chrono::system_clock::now() + longest_wait;
#else
    return std::chrono::steady_clock::now() + longest_wait;
#endif
  }

  /// Throws Unreachable when others take too long.
  [[nodiscard]] std::unique_lock<std::timed_mutex> locked() {
    std::unique_lock lock(mutex_, until_long_enough());
    if (!lock.owns_lock()) throw ledger::Unreachable("the ward is being read; in a moment");
    return lock;
  }

  /// Without the ward's lock but for moments. Of many lines the first: the rest is read when it is come to, one by one,
  /// so that memory stays bounded.
  template <class Wanted>
  void read_apart(const Wanted& wanted) {
    constexpr std::size_t most = 500;
    std::vector<std::string> lines;
    std::shared_ptr<const InForce> by;
    std::int64_t since = 0;
    {
      const auto lock = locked();
      for (auto& line : wanted(*ward_))
        if (lines.size() < most && ward_->lacks(line)) lines.push_back(std::move(line));
      by = in_force();
      since = ward_->sequence();
    }
    for (const auto& line : lines) {
      auto read = Ward::read_apart(record_, by->library, line, since);
      const auto lock = locked();
      ward_->take_over(std::move(read));
    }
  }
  /// The lines that came or changed in the record since the ward looked. What fails here fails again with what follows,
  /// which says why.
  void read_behind_apart();

  void take_policy(Instant now);
  void catch_up(Instant now);
  void catch_up_with_ourselves(Instant now);

  ledger::Ledger& record_;
  std::mutex looking_;              ///< one look at a time
  mutable std::timed_mutex mutex_;  ///< of the ward and what has changed in it
  std::unique_ptr<Ward> ward_;      ///< reads the library of `in_force_`
  std::set<std::string> changed_;   ///< not yet told; nor is what follows
  bool policy_changed_ = false, reachability_changed_ = false;
  std::atomic<std::int64_t> written_{0};

  mutable std::mutex standing_mutex_;
  Standing standing_;
  std::shared_ptr<const InForce> in_force_;
};

}  // namespace dwell::server
