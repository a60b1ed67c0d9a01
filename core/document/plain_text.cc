#include "document/plain_text.h"

#include "document/wrap.h"
#include "text/own_words.h"

namespace dwell::document {

std::string plain_text(const Note& note, const std::string& written) {
  constexpr std::size_t columns = 78;
  std::string text = wrap(note.title, columns, "  ") + "\n" + wrap(note.patient, columns, "  ") + "\n";
  if (!written.empty()) text += wrap(written, columns, "  ") + "\n";
  for (const auto& section : note.sections) {
    text += "\n" + section.heading + "\n";
    for (const auto& line : section.lines) text += wrap("- " + line, columns, "  ") + "\n";
  }
  return text;
}

std::string charted(const line::HistoryEntry& entry) {
  if (entry.author.empty()) return entry.text;
  if (entry.text.find(text::opening) != std::string::npos) return text::attributed(entry.text, entry.author);
  return entry.text + " (" + text::unmarked(entry.author) + ")";
}

}  // namespace dwell::document
