#pragma once
// The note and the dressing label on paper. The words come from core/document; here they are only set. Without a font
// that has the letters there is no document (std::runtime_error): sheets of empty boxes would look like a note.
#include <string>

#include "document/note.h"

namespace dwell::documents {

/// A4, one or more pages, numbered, the patient's line on each. The bytes of a PDF file.
[[nodiscard]] std::string note_pdf(const document::Note& note);

/// One label of 70 by 30 mm, for the edge of the dressing. The bytes of a PDF file.
[[nodiscard]] std::string label_pdf(const document::Label& label);

}  // namespace dwell::documents
