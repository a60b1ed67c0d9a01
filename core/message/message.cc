#include "message/message.h"

namespace dwell {
namespace message {

bool operator==(const Messages& a, const Messages& b) { return a.join == b.join && a.all == b.all; }
bool operator==(const Argument& a, const Argument& b) { return a.name == b.name && a.value == b.value; }

}  // namespace message

Message Message::of(std::string id, std::vector<message::Argument> arguments) {
  Message out;
  out.id_ = std::move(id);
  out.arguments_ = std::move(arguments);
  return out;
}

Wording::Wording(std::string english) {
  if (!english.empty()) texts_.emplace("en", std::move(english));
}

std::string Wording::known_as() const {
  if (texts_.empty()) return {};
  const auto english = texts_.find("en");
  return english != texts_.end() ? english->second : texts_.begin()->second;
}

Wording::operator Message() const { return empty() ? Message() : Message::of("wording", {{"wording", *this}}); }

Read read_in(std::string_view language, const Wording& wording) {
  const auto& texts = wording.texts();
  if (texts.empty()) return {};
  for (const auto wanted : {language, language.substr(0, language.find('-'))})
    if (const auto found = texts.find(wanted); found != texts.end()) return {found->second, ""};
  const auto english = texts.find("en");
  const auto& [instead, text] = english != texts.end() ? *english : *texts.begin();
  return {text, instead};
}

bool operator==(const Message& a, const Message& b) { return a.id_ == b.id_ && a.arguments_ == b.arguments_; }

}  // namespace dwell
