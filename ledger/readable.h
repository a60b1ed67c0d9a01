#pragma once
// What is taken into the record can be read for ever: nothing is kept whose text does not read back as the very same.
// And the way back: an entry that this program cannot read is set aside with its reason, and never stops another.
#include <string>

#include "ledger/ledger.h"

namespace dwell::ledger {

/// The text that is kept of an event: its canonical JSON. Refuses one that would not read back as the same event.
[[nodiscard]] Checked<std::string> readable_json(const line::Event& event);

/// The text that is kept of a paper: all of it, its content within. Refuses an id that is none, an unknown kind, a
/// content that is no JSON object or, for a policy, no policy change of this id without faults.
[[nodiscard]] Checked<std::string> readable_json(const Paper& paper);

/// Whether two kept texts say the same, whatever program wrote them: in an older form, or with a quantity shown in
/// another way beside its value and unit.
[[nodiscard]] bool says_the_same(const std::string& a, const std::string& b);

/// A paper as records of schema 3 held it, beside the chain.
struct PaperBeside {
  std::string id, kind, who, at, json;
};
/// Its text within the chain, whether or not it can be read: what was no JSON object is kept as the text that it was.
[[nodiscard]] std::string kept_text(const PaperBeside& paper);
/// An id for one whose own is taken; the same paper gets the same again.
[[nodiscard]] std::string another_id(const PaperBeside& paper);

/// Never refuses: what cannot be read says so. Older forms are read as what they come to today (upcast/upcast.h).
[[nodiscard]] Entry read_entry(const StoredEntry& stored);
[[nodiscard]] Checked<Paper> read_paper(const StoredEntry& stored);

/// The first few errors in one line, without what was found: that may be a patient's.
[[nodiscard]] std::string reason_of(const FieldErrors& errors);

}  // namespace dwell::ledger
