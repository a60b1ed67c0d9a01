#include "json/schemas.h"

#include <set>
#include <stdexcept>

namespace dwell::json {
namespace {

using boost::json::object;
using boost::json::value;

constexpr std::string_view definitions_at = "#/$defs/";

/// The name without the suffix of what is read; empty when it has none.
std::string_view plain_name(std::string_view name) {
  return name.ends_with(read_suffix) ? name.substr(0, name.size() - read_suffix.size()) : std::string_view();
}

using Names = std::set<std::string, std::less<>>;

/// References to the read form of what `joined` names become references to the plain name.
value with_joined(const value& in, const Names& joined) {
  if (const auto* list = in.if_array()) {
    boost::json::array out;
    for (const auto& item : *list) out.push_back(with_joined(item, joined));
    return out;
  }
  const auto* members = in.if_object();
  if (!members) return in;
  object out;
  for (const auto& member : *members) {
    const auto* target = member.key() == "$ref" ? member.value().if_string() : nullptr;
    const auto plain = target && target->starts_with(definitions_at)
                           ? plain_name(std::string_view(*target).substr(definitions_at.size()))
                           : std::string_view();
    if (!plain.empty() && joined.contains(plain))
      out.emplace(member.key(), std::string(definitions_at) + std::string(plain));
    else
      out.emplace(member.key(), with_joined(member.value(), joined));
  }
  return out;
}

/// Those of `joined` whose forms differ, granted that all of `joined` are the same.
Names differing(const object& definitions, const Names& joined) {
  Names out;
  for (const auto& name : joined) {
    const auto* written = definitions.if_contains(name);
    if (written &&
        with_joined(definitions.at(name + std::string(read_suffix)), joined) != with_joined(*written, joined))
      out.insert(name);
  }
  return out;
}

}  // namespace

std::string name_in_schemas(std::string_view cpp_name) {
  if (cpp_name.find('<') != std::string_view::npos) return "";
  std::string out;
  while (!cpp_name.empty()) {
    const auto end = cpp_name.find("::");
    const auto part = cpp_name.substr(0, end);
    const bool nameless = part.starts_with('{') || part.starts_with('(');
    if (part != "dwell" && !nameless) out += (out.empty() ? "" : ".") + std::string(part);
    cpp_name = end == std::string_view::npos ? std::string_view() : cpp_name.substr(end + 2);
  }
  return out;
}

bool Schemas::is_new(const std::string& name, const void* identity) {
  const auto [known, added] = known_.emplace(name, identity);
  if (known->second != identity) throw std::logic_error("two types of the schema are called " + name);
  return added;
}

void join_forms(object& document) {
  const object definitions = document.at("$defs").as_object();
  Names joined;
  for (const auto& member : definitions)
    if (const auto plain = plain_name(member.key()); !plain.empty()) joined.emplace(plain);
  for (Names apart = differing(definitions, joined); !apart.empty(); apart = differing(definitions, joined))
    for (const auto& name : apart) joined.erase(name);

  object kept;
  for (const auto& member : definitions) {
    const auto plain = plain_name(member.key());
    if (plain.empty() || !joined.contains(plain))
      kept.emplace(member.key(), with_joined(member.value(), joined));
    else if (!definitions.contains(plain))
      kept.emplace(plain, with_joined(member.value(), joined));
  }
  document["$defs"] = nullptr;
  document = with_joined(document, joined).as_object();
  document["$defs"] = std::move(kept);
}

}  // namespace dwell::json
