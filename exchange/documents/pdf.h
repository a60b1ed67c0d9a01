#pragma once
// What is carried on paper: the note, the sheet of the handover, the dressing label. What they say comes from
// core/document; here it is said in the reader's language, set and drawn. The same document makes the same bytes.
#include <string>

#include "document/handover.h"
#include "document/note.h"
#include "exchange/said/said.h"

namespace dwell::documents {

/// A4, one or more pages, numbered, the patient's line on each; the line's life as a ribbon under the head. The bytes
/// of a PDF file.
[[nodiscard]] std::string note_pdf(const document::Note& note, const said::Reader& reader);

/// A4 across, a row a line of the ward, most urgent first; nothing is cut: a row is as high as it must be.
[[nodiscard]] std::string handover_pdf(const document::HandoverSheet& sheet, const said::Reader& reader);

/// One label with its code as a Data Matrix (ISO/IEC 16022). The bytes of a PDF file.
[[nodiscard]] std::string label_pdf(const document::Label& label, document::LabelSize size, const said::Reader& reader);

}  // namespace dwell::documents
