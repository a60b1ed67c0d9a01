#include "exchange/documents/plain_text.h"

#include "exchange/documents/on_paper.h"
#include "exchange/documents/wrap.h"
#include "say/document.h"

namespace dwell::documents {
namespace {

constexpr std::size_t columns = 78;

std::string written(const document::Note& note, const said::Reader& reader, const Message& when) {
  const auto line = [&](const Message& message) { return wrap(on_paper(message, reader), columns, "  ") + "\n"; };
  std::string text = line(note.title) + line(note.patient);
  if (!when.empty()) text += line(when);
  for (const auto& section : note.sections) {
    text += "\n" + on_paper(section.heading, reader) + "\n";
    for (const auto& item : section.lines) text += wrap("- " + on_paper(item, reader), columns, "  ") + "\n";
  }
  return text;
}

}  // namespace

std::string plain_text(const document::Note& note, const said::Reader& reader) {
  return written(note, reader, say::written_at(note.written));
}

std::string plain_text(const document::HandoverSheet& sheet, const said::Reader& reader) {
  return written(sheet, reader, {});
}

std::string plain_text(const document::Label& label, const said::Reader& reader) {
  return on_paper(label.text, reader);
}

}  // namespace dwell::documents
