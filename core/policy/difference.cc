#include "policy/difference.h"

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

std::string words(const Value* value) {
  if (!value || value->is_null()) return "";
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
    Difference one{path, words(here), words(there), words(member(here, "source")), {}};
    if (is_figure(here))
      if (auto mark = json::decode<Mark>(*member(here, "mark"))) one.mark = *mark;
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
