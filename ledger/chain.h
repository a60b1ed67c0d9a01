#pragma once
// The chain of hashes: each entry's hash covers the one before and the event's canonical JSON, so that an edit anywhere
// in history shows. Canonical JSON is what the codec writes: fixed member order, absent optionals left out. Entries
// from before receipts were kept are hashed as they were then; a text of today's cannot be taken for one of those,
// which begin with a brace.
#include <string>
#include <string_view>

#include "line/event.h"

namespace dwell::ledger {

/// Without the receipt, which the record gives.
[[nodiscard]] std::string canonical_json(const line::Event& event);

/// 64 zeros: what the first entry follows.
[[nodiscard]] const std::string& genesis_hash();

/// BLAKE2b-256 over the previous hash (32 bytes) and
///   "dwell entry 2\n" kind "\n" received "\n" json
/// or, without kind and receipt, the JSON alone; 64 hex digits. Neither kind nor received may hold a line's end.
[[nodiscard]] std::string chain_hash(std::string_view previous_hash, std::string_view kind, std::string_view received,
                                     std::string_view json);

/// BLAKE2b-256 of plain bytes, for checking the library against its RFC's vectors.
[[nodiscard]] std::string blake2b_256(std::string_view bytes);

}  // namespace dwell::ledger
