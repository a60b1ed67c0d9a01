#include "coverage.h"

#include <algorithm>
#include <map>
#include <set>

namespace dwell::golden {
namespace {

using json::Object;
using json::Value;

class Walk {
 public:
  explicit Walk(Absent absent) : absent_(absent) {}

  void look(const Value& schema, const Texts& kept, const std::string& path) {
    const Object& of = schema.as_object();
    if (const auto* words = of.if_contains("enum")) return look_at_words(words->as_array(), kept, path);
    if (const auto* kinds = of.if_contains("oneOf")) return look_at_kinds(kinds->as_array(), kept, path);
    if (const auto* members = of.if_contains("properties"))
      return look_at_members(of, members->as_object(), kept, path);
    if (const auto* item = of.if_contains("items")) return look(*item, items_of(kept), path);
    if (const auto* item = of.if_contains("additionalProperties"); item && item->is_object())
      return look(*item, values_of(kept), path);
    // An optional is "this or null"; the other choices are ways of writing one quantity, of which Dwell writes one.
    if (const auto* choices = of.if_contains("anyOf"); choices && is_null(choices->as_array().back()))
      look(choices->as_array().front(), kept, path);
  }

  [[nodiscard]] std::vector<std::string> missing() const {
    auto all = missing_;
    for (const auto& [names, words] : words_)
      for (const auto& word : words.left) all.push_back(words.path + " = " + word);
    return all;
  }

 private:
  struct Words {
    std::string path;
    std::set<std::string> left;
  };

  static bool is_null(const Value& schema) {
    const auto* type = schema.as_object().if_contains("type");
    return type && *type == "null";
  }
  static bool is_empty(const Value& value) {
    return value.is_null() || (value.is_array() && value.as_array().empty()) ||
           (value.is_object() && value.as_object().empty());
  }
  static Texts items_of(const Texts& kept) {
    Texts out;
    for (const auto* value : kept)
      if (const auto* list = value->if_array())
        for (const auto& item : *list) out.push_back(&item);
    return out;
  }
  static Texts values_of(const Texts& kept) {
    Texts out;
    for (const auto* value : kept)
      if (const auto* map = value->if_object())
        for (const auto& member : *map) out.push_back(&member.value());
    return out;
  }

  void look_at_words(const json::Array& names, const Texts& kept, const std::string& path) {
    auto [found, added] = words_.try_emplace(json::to_text(names));
    auto& words = found->second;
    if (added) {
      words.path = path;
      for (const auto& name : names) words.left.emplace(name.as_string());
    }
    for (const auto* value : kept)
      if (const auto* word = value->if_string()) words.left.erase(std::string(*word));
  }

  void look_at_kinds(const json::Array& kinds, const Texts& kept, const std::string& path) {
    for (const auto& kind : kinds) {
      const auto& name = kind.at("properties").at("kind").at("const");
      Texts of_kind;
      std::copy_if(kept.begin(), kept.end(), std::back_inserter(of_kind),
                   [&](const Value* value) { return value->is_object() && value->at("kind") == name; });
      const std::string here = path + "/" + std::string(name.as_string());
      if (of_kind.empty()) missing_.push_back(here);
      look(kind, of_kind, here);
    }
  }

  void look_at_members(const Object& of, const Object& members, const Texts& kept, const std::string& path) {
    const auto* needed = of.if_contains("required");
    for (const auto& member : members) {
      if (member.value().as_object().contains("const")) continue;
      const std::string here = path + "/" + std::string(member.key());
      Texts present;
      for (const auto* value : kept)
        if (const auto* found = value->is_object() ? value->as_object().if_contains(member.key()) : nullptr)
          if (!is_empty(*found)) present.push_back(found);
      if (present.empty()) missing_.push_back(here);
      const bool always = needed && std::find(needed->as_array().begin(), needed->as_array().end(),
                                              Value(member.key())) != needed->as_array().end();
      if (absent_ == Absent::asked_too && !always && present.size() == kept.size())
        missing_.push_back(here + ", absent");
      look(member.value(), present, here);
    }
  }

  Absent absent_;
  std::vector<std::string> missing_;
  std::map<std::string, Words> words_;
};

}  // namespace

std::vector<std::string> held_by_none(const Value& schema, const Texts& kept, Absent absent) {
  Walk walk(absent);
  walk.look(schema, kept, "");
  return walk.missing();
}

}  // namespace dwell::golden
