#include "server/watch.h"

#include <algorithm>
#include <iostream>
#include <utility>

#include "json/codec.h"
#include "ledger/policy_change.h"

namespace dwell::server {
namespace {

std::shared_ptr<const InForce> made(engine::Library library, std::string paper) {
  auto text = json::to_text(json::encode(library));
  return std::make_shared<const InForce>(InForce{std::move(library), std::move(text), std::move(paper)});
}

/// Whether the library now holds the policy of this paper.
bool take_in(const ledger::Paper& paper, engine::Library& library) {
  const auto change = ledger::read_policy_change(paper.json);
  if (change)
    library.policy = change->policy;
  else
    std::cerr << "the policy of " << iso(paper.at) << " cannot be read by this version; the one before stays\n";
  return change.has_value();
}

}  // namespace

Watch::Watch(ledger::Ledger& record, engine::Library library, Instant now) : record_(record) {
  const auto last = record_.last_paper(ledger::policy_paper);
  if (last) take_in(*last, library);
  in_force_ = made(std::move(library), last ? last->id : "");
  ward_ = std::make_unique<Ward>(record_, in_force_->library, now);
  standing_ = {now, ward_->sequence(), true};
}

/// The ward of another policy is read beside the one that is, which answers until the new one is whole.
void Watch::take_policy(Instant now) {
  const auto last = record_.last_paper(ledger::policy_paper);
  const auto before = in_force();
  if (!last || last->id == before->policy_paper) return;
  engine::Library library = before->library;
  const bool changed = take_in(*last, library);
  const auto after = made(std::move(library), last->id);
  auto ward = std::make_unique<Ward>(record_, after->library, now);
  const std::lock_guard lock(mutex_);
  ward_ = std::move(ward);
  policy_changed_ = policy_changed_ || changed;
  const std::lock_guard short_lock(standing_mutex_);
  in_force_ = after;
  standing_.sequence = ward_->sequence();
}

/// With the ward's lock.
void Watch::catch_up(Instant now) {
  for (auto& line : ward_->catch_up(now)) changed_.insert(std::move(line));
  const std::lock_guard lock(standing_mutex_);
  standing_.true_at = std::max(standing_.true_at, now);
  standing_.sequence = ward_->sequence();
}

void Watch::read_behind_apart() {
  try {
    read_apart([&](const Ward& ward) { return record_.lines_after(ward.sequence()); });
  } catch (const std::exception&) {
    return;
  }
}

/// Whoever charted sees it, also when the look that follows an entry has not come yet, or could not read.
void Watch::catch_up_with_ourselves(Instant now) {
  if (standing().sequence >= written_) return;
  try {
    catch_up(now);
  } catch (const std::exception&) {
    // The standing says how old the ward is; the next look says why.
    return;
  }
}

void Watch::refresh(Instant now) {
  const std::lock_guard one_at_a_time(looking_);
  const bool reachable_before = standing().reachable;
  bool reachable = true;
  try {
    take_policy(now);
    read_behind_apart();
    const std::lock_guard lock(mutex_);
    catch_up(now);
  } catch (const ledger::Unreachable& e) {
    if (reachable_before) std::cerr << "the record cannot be reached: " << e.what() << '\n';
    reachable = false;
  } catch (const std::exception&) {
    // What it says may hold words of an entry.
    if (reachable_before) std::cerr << "the board could not take in what is in the record; it is tried again\n";
    reachable = false;
  }
  if (reachable && !reachable_before) std::cerr << "the record can be reached again\n";
  const std::lock_guard lock(mutex_);
  reachability_changed_ = reachability_changed_ || reachable != reachable_before;
  const std::lock_guard short_lock(standing_mutex_);
  standing_.reachable = reachable;
}

Watch::Looked Watch::look(Instant now) {
  refresh(now);
  const std::lock_guard lock(mutex_);
  Looked out;
  out.changed.assign(changed_.begin(), changed_.end());
  changed_.clear();
  out.policy_changed = std::exchange(policy_changed_, false);
  out.reachability_changed = std::exchange(reachability_changed_, false);
  out.standing = standing();
  return out;
}

std::int64_t Watch::wrote(std::int64_t sequence) {
  std::int64_t before = written_;
  while (before < sequence && !written_.compare_exchange_weak(before, sequence)) continue;
  return std::max({sequence, before, standing().sequence});
}

Standing Watch::standing() const {
  const std::lock_guard lock(standing_mutex_);
  return standing_;
}

std::shared_ptr<const InForce> Watch::in_force() const {
  const std::lock_guard lock(standing_mutex_);
  return in_force_;
}

void Watch::keep() {
  try {
    const std::lock_guard lock(mutex_);
    ward_->keep();
  } catch (const ledger::Unreachable& e) {
    std::cerr << "the cache of lines was not kept: " << e.what() << '\n';
  }
}

}  // namespace dwell::server
