#include "ledger/copy.h"

#include <algorithm>

namespace dwell::ledger {

Checked<std::int64_t> copy_chain(Ledger& from, Ledger& to, const std::function<void(VerifyProgress)>& progress) {
  const std::int64_t total = from.last_sequence();
  std::int64_t done = to.last_sequence();
  const auto differs = [&](const std::string& found) {
    return refuse("/to", found, "an empty ledger, or one that holds the beginning of this very chain");
  };
  if (done > total) return differs(std::to_string(done) + " entries, more than there are here");
  if (done > 0) {
    const auto here = from.stored_after(done - 1, 1), there = to.stored_after(done - 1, 1);
    if (here.empty() || there.empty() || here.front().hash != there.front().hash)
      return differs("another chain of " + std::to_string(done) + " entries");
  }
  constexpr std::size_t page = 2000;
  while (done < total) {
    const auto entries = from.stored_after(done, page);
    if (entries.empty()) return refuse("/from", "no entry after " + std::to_string(done), "a chain without a gap");
    if (auto added = to.append_stored(entries); !added) return refuse(added.error());
    done = entries.back().sequence;
    progress({done, total});
  }
  return done;
}

Checked<std::int64_t> copy_photos(Ledger& from, Ledger& to) {
  const auto there = to.photo_hashes();
  std::int64_t copied = 0;
  for (const auto& hash : from.photo_hashes()) {
    if (std::binary_search(there.begin(), there.end(), hash)) continue;
    const auto photo = from.photo(hash);
    if (!photo) continue;
    if (auto kept = to.keep_photo(*photo); !kept) return refuse(kept.error());
    ++copied;
  }
  return copied;
}

}  // namespace dwell::ledger
