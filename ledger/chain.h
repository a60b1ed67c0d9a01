#pragma once
// The chain of hashes: each entry's hash covers the one before and the event's canonical JSON, so that an edit anywhere
// in history shows. Canonical JSON is what the codec writes: fixed member order, absent optionals left out.
#include <string>
#include <string_view>

#include "line/event.h"

namespace dwell::ledger {

[[nodiscard]] std::string canonical_json(const line::Event& event);

/// 64 zeros: what the first entry follows.
[[nodiscard]] const std::string& genesis_hash();

/// BLAKE2b-256 over the previous hash (32 bytes) and the JSON text; 64 hex digits.
[[nodiscard]] std::string chain_hash(std::string_view previous_hash, std::string_view json);

/// BLAKE2b-256 of plain bytes, for checking the library against its RFC's vectors.
[[nodiscard]] std::string blake2b_256(std::string_view bytes);

}  // namespace dwell::ledger
