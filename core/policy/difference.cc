#include "policy/difference.h"

#include <algorithm>
#include <set>

#include "json/codec.h"

namespace dwell::policy {
namespace {

using json::Object;
using json::Value;

const Value* member(const Value* of, const char* name) {
  return of && of->is_object() ? of->as_object().if_contains(name) : nullptr;
}

bool is_figure(const Value* value) { return member(value, "mark") && member(value, "value"); }

/// {"en": …, "es": …}: the members are languages, and no member of a policy has a name so short that holds a text.
bool is_wording(const Value* value) {
  const auto* object = value ? value->if_object() : nullptr;
  return object && !object->empty() && std::all_of(object->begin(), object->end(), [](const auto& member) {
           return member.value().is_string() && member.key().substr(0, member.key().find('-')).size() <= 3;
         });
}

/// A text that stands alone is English.
std::string text_in(const std::string& language, const Value* wording) {
  if (wording && wording->is_string()) return language == "en" ? std::string(wording->as_string()) : "";
  const auto* text = member(wording, language.c_str());
  return text ? std::string(text->as_string()) : "";
}

std::set<std::string> languages_of(const Value* here, const Value* there) {
  std::set<std::string> all;
  for (const auto* wording : {here, there}) {
    if (wording && wording->is_string()) all.insert("en");
    if (is_wording(wording))
      for (const auto& [language, unused] : wording->as_object()) all.insert(std::string(language));
  }
  return all;
}

std::string words(const Value* value) {
  if (!value || value->is_null()) return "";
  if (is_wording(value)) {
    const auto all = languages_of(value, nullptr);
    return text_in(all.contains("en") ? "en" : *all.begin(), value);
  }
  if (is_figure(value)) return words(member(value, "value"));
  if (const auto* text = member(value, "text")) return words(text);
  if (value->is_string()) return std::string(value->as_string());
  if (!value->is_array()) return json::to_text(*value);
  std::string all;
  for (const auto& item : value->as_array()) all += (all.empty() ? "" : ", ") + words(&item);
  return all;
}

class Walk {
 public:
  void compare(const std::string& path, const Value* here, const Value* there) {
    if (here && there && *here == *there) return;
    if (is_wording(here) || is_wording(there)) return note_texts(path, here, there, nullptr);
    if (is_figure(here) && is_figure(there)) {
      const auto *ours = member(here, "value"), *theirs = member(there, "value");
      if ((is_wording(ours) || is_wording(theirs)) && *ours != *theirs) return note_texts(path, ours, theirs, here);
    }
    if (is_figure(here) || is_figure(there) || is_leaf(here) || is_leaf(there)) return note(path, here, there);
    if (const bool lists = (!here || here->is_array()) && (!there || there->is_array()); lists)
      return compare_lists(path, here, there);
    std::set<std::string> names;
    for (const auto* side : {here, there})
      if (side)
        for (const auto& [name, unused] : side->as_object()) names.insert(std::string(name));
    for (const auto& name : names) {
      std::string inner = path;
      inner.append("/").append(name);
      compare(inner, member(here, name.c_str()), member(there, name.c_str()));
    }
  }
  std::vector<Difference> found;

 private:
  static bool is_leaf(const Value* value) {
    return value && ((!value->is_object() && !value->is_array()) || member(value, "text") != nullptr);
  }

  void compare_lists(const std::string& path, const Value* here, const Value* there) {
    if (!here || !there || here->as_array().size() != there->as_array().size()) return note(path, here, there);
    for (std::size_t i = 0; i < here->as_array().size(); ++i)
      compare(path + "/" + std::to_string(i), &here->as_array()[i], &there->as_array()[i]);
  }

  void note(const std::string& path, const Value* here, const Value* there) {
    add({path, words(here), words(there), {}, {}}, here);
  }
  /// Each language in which two texts differ; `figure` is the one whose value `here` is, if any.
  void note_texts(const std::string& path, const Value* here, const Value* there, const Value* figure) {
    for (const auto& language : languages_of(here, there)) {
      std::string ours = text_in(language, here), theirs = text_in(language, there);
      std::string place = path;
      place.append("/").append(language);
      if (ours != theirs) add({std::move(place), std::move(ours), std::move(theirs), {}, {}}, figure);
    }
  }
  void add(Difference one, const Value* figure) {
    one.source = words(member(figure, "source"));
    if (is_figure(figure))
      if (auto mark = json::decode<Mark>(*member(figure, "mark"))) one.mark = *mark;
    found.push_back(std::move(one));
  }
};

}  // namespace

std::vector<Difference> differences(const Policy& here, const Policy& there) {
  const Value ours = json::encode(here), theirs = json::encode(there);
  Walk walk;
  walk.compare("", &ours, &theirs);
  return std::move(walk.found);
}

}  // namespace dwell::policy
