#pragma once
// What was kept is never written anew; it is brought into today's form when it is read. Each way in which something was
// once written and is written no more has one upcaster here, and nothing else in Dwell knows of older forms. Frozen
// texts of every form (tests/golden) are read with each build, so that a change of a type that would need an upcaster
// fails until it has one.
#include <span>
#include <string_view>

#include "json/codec.h"

namespace dwell::upcast {

enum class Kept { event, policy_change, practice };
BOOST_DESCRIBE_ENUM(Kept, event, policy_change, practice)

struct Upcaster {
  Kept of;
  std::string_view from;  ///< the last records that hold it so: "ledger schema 3"
  std::string_view name;
  std::string_view does;
  bool (*fits)(const json::Object& kept);  ///< never what is written today
  void (*apply)(json::Object& kept);       ///< afterwards it fits no more
};

/// In the order in which they are applied: the oldest form first.
[[nodiscard]] std::span<const Upcaster> upcasters();

/// What was kept, in today's form: `kept` itself when no upcaster fits, else made in `room`. What is no object is left
/// for the codec to refuse.
[[nodiscard]] const json::Value& in_todays_form(Kept of, const json::Value& kept, json::Value& room);

}  // namespace dwell::upcast
