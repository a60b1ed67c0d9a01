#pragma once
// A document as plain text, for a terminal or a record that takes only text.
#include <string>

#include "document/handover.h"
#include "document/note.h"
#include "exchange/said/said.h"

namespace dwell::documents {

/// Title, patient's line, when it was written, then each section; wrapped at 78 columns, further lines of an item
/// indented.
[[nodiscard]] std::string plain_text(const document::Note& note, const said::Reader& reader);
/// A sheet's second line says when it was written.
[[nodiscard]] std::string plain_text(const document::HandoverSheet& sheet, const said::Reader& reader);
[[nodiscard]] std::string plain_text(const document::Label& label, const said::Reader& reader);

}  // namespace dwell::documents
