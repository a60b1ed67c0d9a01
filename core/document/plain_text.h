#pragma once
// A note as plain text, for a terminal or a record that takes only text.
#include <string>

#include "document/note.h"

namespace dwell::document {

/// Title, patient's line, `written` when it is not empty, then each section; wrapped at 78 columns, further lines of an
/// item indented.
[[nodiscard]] std::string plain_text(const Note& note, const std::string& written);

/// An entry's text with who charted it: before each of their own words, or else in brackets at the end.
[[nodiscard]] std::string charted(const line::HistoryEntry& entry);

}  // namespace dwell::document
