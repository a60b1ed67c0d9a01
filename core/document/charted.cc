#include "document/charted.h"

#include <algorithm>

#include "say/common.h"
#include "say/document.h"
#include "say/line.h"
#include "text/own_words.h"

namespace dwell::document {
namespace {

bool is_marked(const std::string& words) { return words.find(text::opening) != std::string::npos; }

/// Names the author before each of their own words; whether there were any.
bool attribute(Message& message, const std::string& author) {
  auto arguments = message.arguments();
  bool any = false;
  for (auto& argument : arguments) {
    if (auto* own = std::get_if<message::OwnWords>(&argument.value); own && is_marked(own->words)) {
      argument.value = message::Messages{{say::wrote(text::unmarked(author), own->words)}};
      any = true;
    } else if (auto* within = std::get_if<message::Messages>(&argument.value)) {
      for (auto& one : within->all) any |= attribute(one, author);
    }
  }
  if (any) message = Message::of(message.id(), std::move(arguments));
  return any;
}

}  // namespace

Message charted(const line::HistoryEntry& entry) {
  if (entry.author.empty()) return entry.text;
  Message text = entry.text;
  return attribute(text, entry.author) ? text : say::charted_by(std::move(text), text::unmarked(entry.author));
}

Message words_of(const std::string& words, const std::string& author) {
  if (words.empty()) return say::not_recorded();
  const std::string quoted = text::quoted(words);
  return author.empty() ? say::as_written(quoted) : say::wrote(text::unmarked(author), quoted);
}

Message text_or_missing(const std::string& text) {
  return text.empty() ? say::not_recorded() : say::as_written(text::one_line(text));
}

Message name_of(const line::Patient& patient) {
  if (patient.family.empty() && patient.given.empty()) return say::name_not_recorded();
  return say::as_written(text::one_line(line::display_name(patient)));
}

}  // namespace dwell::document
