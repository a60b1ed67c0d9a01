#include "tests/faults/history.h"

#include <algorithm>
#include <map>
#include <unordered_map>

namespace dwell::faults {
namespace {

using Kind = Operation::Kind;
using Outcome = Operation::Outcome;

/// All that was done to add one entry: sent once or again and again, it is added once.
struct Addition {
  std::int64_t invoked = Operation::never;   ///< first
  std::int64_t returned = Operation::never;  ///< first that was acknowledged
  std::int64_t sequence = 0;
  bool may_be_there = false;  ///< not every attempt was refused
  [[nodiscard]] bool acknowledged() const { return returned != Operation::never; }
};

class Check {
 public:
  explicit Check(const std::vector<Operation>& operations) : operations_(operations) {}

  std::optional<std::string> anomaly() {
    gather();
    place();
    if (!anomaly_) walk();
    return anomaly_;
  }

 private:
  void say(std::string what) {
    if (!anomaly_) anomaly_ = std::move(what);
  }

  void gather() {
    for (const auto& one : operations_) {
      if (one.kind != Kind::append) continue;
      auto& addition = additions_[one.id];
      addition.invoked = std::min(addition.invoked, one.invoked);
      addition.may_be_there = addition.may_be_there || one.outcome != Outcome::refused;
      if (one.outcome == Outcome::returned) addition.returned = std::min(addition.returned, one.returned);
    }
  }

  /// Whoever was told a place, or saw one, must name the same entry at it.
  void lies_at(const std::string& id, std::int64_t sequence) {
    const auto [there, is_new] = at_.try_emplace(sequence, id);
    if (!is_new && there->second != id)
      return say("place " + std::to_string(sequence) + " holds " + there->second + " and " + id);
    auto& addition = additions_.at(id);
    if (addition.sequence != 0 && addition.sequence != sequence)
      return say(id + " lies at " + std::to_string(addition.sequence) + " and at " + std::to_string(sequence));
    addition.sequence = sequence;
  }

  void place() {
    for (const auto& one : operations_) {
      if (one.outcome != Outcome::returned) continue;
      if (one.kind == Kind::append && one.sequence != 0) lies_at(one.id, one.sequence);
      std::int64_t expected = one.after;
      for (const auto& seen : one.seen) {
        if (seen.sequence != ++expected) return say("a read has a gap before " + std::to_string(seen.sequence));
        const auto known = additions_.find(seen.id);
        if (known == additions_.end() || !known->second.may_be_there) return say("nobody added " + seen.id);
        lies_at(seen.id, seen.sequence);
      }
      if (one.kind == Kind::read) reads_[expected].push_back(&one);
      furthest_ = std::max(furthest_, expected);
    }
    std::int64_t expected = 0;
    for (const auto& [sequence, id] : at_)
      if (sequence != ++expected) return say("nothing lies at " + std::to_string(expected));
    if (furthest_ > expected) return say("somebody read up to " + std::to_string(furthest_) + ", where nothing lies");
    for (const auto& [id, addition] : additions_)
      if (addition.acknowledged() && addition.sequence == 0) return say(id + " was acknowledged and is lost");
  }

  /// Each entry takes effect as early as it can: after it was sent, after the entry before it, and after every read
  /// that did not see it yet. If even that is later than an answer allows, no order fits.
  void walk() {
    std::int64_t now = 0;
    now = read_at(0, now);
    for (const auto& [sequence, id] : at_) {
      const Addition& addition = additions_.at(id);
      now = std::max(now, addition.invoked);
      if (now > addition.returned)
        return say(id + " was acknowledged before what lies before it was sent, or before a read that missed it");
      now = read_at(sequence, now);
    }
  }

  /// All reads that ended here; the moment after which an entry may follow.
  std::int64_t read_at(std::int64_t sequence, std::int64_t now) {
    std::int64_t last = now;
    for (const Operation* read : reads_[sequence]) {
      if (now > read->returned) say("a read saw up to " + std::to_string(sequence) + " before that was sent");
      last = std::max(last, read->invoked);
    }
    return last;
  }

  const std::vector<Operation>& operations_;
  std::unordered_map<std::string, Addition> additions_;
  std::map<std::int64_t, std::string> at_;
  std::unordered_map<std::int64_t, std::vector<const Operation*>> reads_;
  std::int64_t furthest_ = 0;
  std::optional<std::string> anomaly_;
};

}  // namespace

std::optional<std::string> anomaly_of(const std::vector<Operation>& operations) { return Check(operations).anomaly(); }

}  // namespace dwell::faults
