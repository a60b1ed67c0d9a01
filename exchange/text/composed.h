#pragma once
// Composed form (NFC): a letter and its accent are one character where Unicode has one, so that two spellings that
// nobody can tell apart are not two names. The page composes what is typed; here what comes in is held to it. It needs
// Unicode's tables and so stands outside core/.
#include <string>
#include <string_view>

#include "say/record.h"

#include "text/each_text.h"

namespace dwell::unicode {

/// Whether UTF-8 text is in composed form.
[[nodiscard]] bool is_composed(std::string_view text);

/// Adds an error for each text in `value` that is not; paths begin with `path`.
template <class T>
void check_composed(const std::string& path, const T& value, FieldErrors& errors) {
  text::each_text(value, [&](const std::string& text, text::Rule, const text::Trail& trail) {
    if (!is_composed(text)) errors.push_back({path + trail.path(), text, say::text_in_composed_form()});
  });
}

}  // namespace dwell::unicode
