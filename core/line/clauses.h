#pragma once
// Several messages as one, and messages as keys.
#include <string>
#include <vector>

#include "message/message.h"

namespace dwell::line {

/// Those that say something, one after another: "no signs; dressing intact". Empty when none does.
[[nodiscard]] Message clauses(std::vector<Message> parts);

/// The same for two messages exactly when they say the same; the order that it gives is always the same one.
[[nodiscard]] std::string key_of(const Message& message);

}  // namespace dwell::line
