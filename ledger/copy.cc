#include "ledger/copy.h"

#include <algorithm>
#include <optional>

namespace dwell::ledger {
namespace {

constexpr const char* unfinished = "unfinished copy";

/// `to` holds nothing, or the beginning of `from`'s chain.
Checked<void> begins_alike(Ledger& from, Ledger& to) {
  const std::int64_t done = to.last_sequence();
  const auto differs = [&](const std::string& found) {
    return refuse("/to", found, in_english_only("an empty ledger, or one that holds the beginning of this very chain"));
  };
  if (done > from.last_sequence()) return differs(std::to_string(done) + " entries, more than there are here");
  if (done == 0) return {};
  const auto here = from.stored_after(done - 1, 1), there = to.stored_after(done - 1, 1);
  if (here.empty() || there.empty() || here.front().hash != there.front().hash)
    return differs("another chain of " + std::to_string(done) + " entries");
  return {};
}

/// Nothing when it is gone, or when what lies there cannot be read.
std::optional<Photo> picture_of(Ledger& from, const std::string& hash) {
  try {
    return from.photo(hash);
  } catch (const Unreachable&) {
    static_cast<void>(from.last_sequence());  // throws when it is the record that cannot be reached
    return std::nullopt;
  }
}

/// The pictures that `to` lacks. One that is gone or does not fit its hash stops no other; the proof names it.
std::int64_t copy_photos(Ledger& from, Ledger& to) {
  const auto there = to.photo_hashes();
  std::int64_t copied = 0;
  for (const auto& hash : from.photo_hashes()) {
    if (std::binary_search(there.begin(), there.end(), hash)) continue;
    const auto photo = picture_of(from, hash);
    if (photo && to.keep_photo(*photo)) ++copied;
  }
  return copied;
}

}  // namespace

Checked<std::int64_t> copy_chain(Ledger& from, Ledger& to, const std::function<void(VerifyProgress)>& progress) {
  if (auto alike = begins_alike(from, to); !alike) return refuse(alike.error());
  constexpr std::size_t page = 2000;
  const std::int64_t total = from.last_sequence();
  std::int64_t done = to.last_sequence();
  while (done < total) {
    const auto entries = from.stored_after(done, page);
    if (entries.empty())
      return refuse("/from", "no entry after " + std::to_string(done), in_english_only("a chain without a gap"));
    if (auto added = to.append_stored(entries); !added) return refuse(added.error());
    done = entries.back().sequence;
    progress({done, total});
  }
  return done;
}

Checked<Copied> copy_record(Ledger& from, Ledger& to, const std::function<void(VerifyProgress)>& progress,
                            bool take_unfinished) {
  if (from.place() == to.place())
    return refuse("/to", "the very record that is to be copied",
                  in_english_only("another; this one goes by two names"));
  if (!take_unfinished && is_unfinished_copy(from))
    return refuse("/from", "a copy that was interrupted",
                  in_english_only("one that is finished: make that copy again first"));
  if (auto alike = begins_alike(from, to); !alike) return refuse(alike.error());
  if (auto marked = to.keep_remark(unfinished, "begun"); !marked) return refuse(marked.error());
  if (auto chain = copy_chain(from, to, progress); !chain) return refuse(chain.error());
  Copied copied;
  copied.pictures = copy_photos(from, to);
  copied.proof = to.verify(progress);
  // A picture that is lost at home is lost in the copy: it is as whole as it can be.
  if (!copied.proof.first_bad)
    if (auto ended = to.keep_remark(unfinished, ""); !ended) return refuse(ended.error());
  return copied;
}

bool is_unfinished_copy(Ledger& ledger) { return !ledger.remark(unfinished).empty(); }

}  // namespace dwell::ledger
