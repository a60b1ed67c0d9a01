// The JSON form of wordings: {"en": "Stop.", "es": "Parar."}. Where only English is there it is the plain text, as it
// was before other languages stood beside it: what was kept then reads on, and is written back letter for letter.
#include <algorithm>

#include "json/codec.h"
#include "say/wording.h"

namespace dwell::json {
namespace {

/// "en", "es", "pt-BR".
bool names_a_language(std::string_view key) {
  const auto is_letter = [](char c) { return c >= 'a' && c <= 'z'; };
  const auto own = key.substr(0, key.find('-'));
  if (own.size() < 2 || own.size() > 3 || !std::all_of(own.begin(), own.end(), is_letter)) return false;
  return own.size() == key.size() || (key.size() > own.size() + 1 && key.size() <= 12);
}

}  // namespace

Value Codec<Wording>::encode(const Wording& wording) {
  const auto& texts = wording.texts();
  if (texts.empty()) return Value("");
  if (texts.size() == 1 && wording.has("en")) return Value(texts.begin()->second);
  Object out;
  for (const auto& [language, text] : texts) out.emplace(language, text);
  return out;
}

void Codec<Wording>::decode(const Value& v, const Path& path, Reading& reading, Wording& out) {
  if (v.is_string()) {
    out = Wording(std::string(v.as_string()));
    return;
  }
  const Object* given = v.if_object();
  if (!given || given->empty()) return reading.refuse(path, v, say::text_or_text_by_language());
  Wording::Texts texts;
  for (const auto& member : *given) {
    const Path here{&path, std::string_view(member.key()), 0};
    const std::string_view language = member.key();
    if (!names_a_language(language))
      reading.refuse_text(here, std::string(language), say::a_language());
    else if (!member.value().is_string() || member.value().as_string().empty())
      reading.refuse(here, member.value(), say::text_of_this_language());
    else
      texts.emplace(language, std::string(member.value().as_string()));
  }
  out = Wording(std::move(texts));
}

}  // namespace dwell::json
