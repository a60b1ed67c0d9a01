#pragma once
#include <string>

#include "exchange/said/said.h"

namespace dwell::documents {

/// A message said for a line of a document: whatever stands in it, it stays one line.
[[nodiscard]] std::string on_paper(const Message& message, const said::Reader& reader);

}  // namespace dwell::documents
