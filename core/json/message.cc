// The JSON form of messages: {"id": …, "args": {name: {type: value}}}. Each argument names its type, so that whoever
// shows it needs no catalogue for that.
#include <algorithm>

#include "json/codec.h"
#include "say/common.h"
#include "say/json.h"

namespace dwell::json {
namespace {

using message::Argument;

struct Encode {
  Object operator()(const message::Quantity& quantity) const {
    Array parts;
    for (const auto& part : quantity.parts) parts.push_back(Array{Value(part.digits), Value(part.unit)});
    return {{"quantity", std::move(parts)}};
  }
  Object operator()(const message::Count& count) const { return {{"count", count.count}, {"digits", count.digits}}; }
  Object operator()(const message::Moment& moment) const { return {{"moment", iso(moment.at)}}; }
  Object operator()(const message::Day& day) const { return {{"day", iso(day.date)}}; }
  Object operator()(const message::Enumerator& enumerator) const { return {{"enumerator", enumerator.name}}; }
  Object operator()(const message::OwnWords& own) const { return {{"own_words", own.words}}; }
  Object operator()(const message::ListedName& listed) const { return {{"listed", listed.name}}; }
  Object operator()(const Wording& wording) const { return {{"wording", Codec<Wording>::encode(wording)}}; }
  Object operator()(const message::Messages& messages) const {
    Array all;
    for (const auto& one : messages.all) all.push_back(Codec<Message>::encode(one));
    return {{"messages", std::move(all)}, {"join", messages.join == message::Join::list ? "list" : "sentences"}};
  }
};

const std::string* text_in(const Value& value, std::string& held) {
  if (!value.is_string()) return nullptr;
  held = std::string(value.as_string());
  return &held;
}

message::Quantity quantity_from(const Value& value, const Path& path, Reading& reading) {
  message::Quantity out;
  if (!value.is_array()) {
    reading.refuse(path, value, say::a_list_of_digits_and_units());
    return out;
  }
  for (const auto& one : value.as_array()) {
    std::string digits, unit;
    if (!one.is_array() || one.as_array().size() != 2 || !text_in(one.as_array()[0], digits) ||
        !text_in(one.as_array()[1], unit))
      reading.refuse(path, one, say::digits_and_unit());
    else
      out.parts.push_back({std::move(digits), std::move(unit)});
  }
  return out;
}

message::Messages messages_from(const Value& value, const Value* join, const Path& path, Reading& reading) {
  message::Messages out;
  Codec<std::vector<Message>>::decode(value, path, reading, out.all);
  std::string how;
  if (join && text_in(*join, how) && how == "sentences") out.join = message::Join::sentences;
  return out;
}

/// The one member that names the type decides how the rest is read.
std::optional<message::Value> value_from(const Object& given, const Path& path, Reading& reading) {
  std::string text;
  if (const auto* v = given.if_contains("quantity")) return quantity_from(*v, path, reading);
  if (const auto* v = given.if_contains("messages")) return messages_from(*v, given.if_contains("join"), path, reading);
  if (const auto* v = given.if_contains("enumerator"); v && text_in(*v, text)) return message::Enumerator{text};
  if (const auto* v = given.if_contains("own_words"); v && text_in(*v, text)) return message::OwnWords{text};
  if (const auto* v = given.if_contains("listed"); v && text_in(*v, text)) return message::ListedName{text};
  if (const auto* v = given.if_contains("wording")) {
    Wording wording;
    Codec<Wording>::decode(*v, path, reading, wording);
    return wording;
  }
  if (const auto* v = given.if_contains("count"); v && v->is_int64()) {
    const auto* digits = given.if_contains("digits");
    if (digits && text_in(*digits, text)) return message::Count{v->as_int64(), text};
  }
  if (const auto* v = given.if_contains("moment")) {
    message::Moment moment;
    Codec<Instant>::decode(*v, path, reading, moment.at);
    return moment;
  }
  if (const auto* v = given.if_contains("day")) {
    message::Day day{};
    Codec<Date>::decode(*v, path, reading, day.date);
    return day;
  }
  return std::nullopt;
}

}  // namespace

Value Codec<Message>::encode(const Message& message) {
  if (message.empty()) return Value("");
  Object args;
  for (const auto& argument : message.arguments()) args.emplace(argument.name, std::visit(Encode{}, argument.value));
  return Object{{"id", message.id()}, {"args", std::move(args)}};
}

void Codec<Message>::decode(const Value& v, const Path& path, Reading& reading, Message& out) {
  if (v.is_string()) {
    const std::string words(v.as_string());
    out = words.empty() ? Message() : say::as_written(words);
    return;
  }
  const Object* object = v.if_object();
  const Value* id = object ? object->if_contains("id") : nullptr;
  const Value* args = object ? object->if_contains("args") : nullptr;
  if (!id || !id->is_string() || !args || !args->is_object()) return reading.refuse(path, v, say::a_message_or_text());
  std::vector<Argument> arguments;
  for (const auto& member : args->as_object()) {
    const Path here{&path, std::string_view(member.key()), 0};
    const Object* given = member.value().if_object();
    auto value = given ? value_from(*given, here, reading) : std::nullopt;
    if (!value)
      reading.refuse(here, member.value(), say::an_argument_with_its_type());
    else
      arguments.push_back({std::string(member.key()), std::move(*value)});
  }
  out = Message::of(std::string(id->as_string()), std::move(arguments));
}

}  // namespace dwell::json
