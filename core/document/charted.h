#pragma once
// Who charted what stands in a document.
#include <string>

#include "line/state.h"
#include "message/message.h"

namespace dwell::document {

/// An entry's text with who charted it: before each of their own words, or else in brackets at the end.
[[nodiscard]] Message charted(const line::HistoryEntry& entry);

/// A person's own words on one line between their marks, and whose they are; "not recorded" for none.
[[nodiscard]] Message words_of(const std::string& words, const std::string& author);

/// A name, or a text that somebody gave, on one line; "not recorded" for none.
[[nodiscard]] Message text_or_missing(const std::string& text);

/// "FAMILY, Given"
[[nodiscard]] Message name_of(const line::Patient& patient);

}  // namespace dwell::document
