#pragma once
// A note as plain text, for a terminal or a record that takes only text.
#include <string>

#include "document/note.h"

namespace dwell::document {

/// Title, patient's line, `written` when it is not empty, then each section; wrapped at 78 columns, further lines of an
/// item indented.
[[nodiscard]] std::string plain_text(const Note& note, const std::string& written);

}  // namespace dwell::document
