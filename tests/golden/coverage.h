#pragma once
// What a type can hold and no frozen text does. It is worked out from the type's JSON Schema, so that a member, a kind
// or a word of an enum that is added tomorrow is missed from its first build.
#include <string>
#include <vector>

#include "json/codec.h"

namespace dwell::golden {

using Texts = std::vector<const json::Value*>;

/// Whether it is enough that a member that may be absent was once present, or must also once have been absent.
enum class Absent { not_asked, asked_too };

/// Paths of what none of `kept` holds: "/body/placed/lot", "/body/placed/lot, absent", "/body/removed/reason = death".
/// A word of an enum counts wherever that same enum is written.
[[nodiscard]] std::vector<std::string> held_by_none(const json::Value& schema, const Texts& kept, Absent absent);

}  // namespace dwell::golden
