#include "cli/engine_pages.h"

#include <fstream>
#include <map>
#include <sstream>
#include <vector>

#include "cli/session.h"
#include "engine/notes.h"

namespace dwell::cli {
namespace {

namespace fs = std::filesystem;
using json::Object;
using json::Value;

struct Field {
  std::string path, kind, accepts;
  bool optional = false;
};

std::string joined(const json::Array& words, std::string_view between) {
  std::string text;
  for (const auto& word : words)
    if (word.is_string()) text += (text.empty() ? "" : std::string(between)) + std::string(word.as_string());
  return text;
}

/// "a volume: text with its unit, or value and unit" with the units it may have.
bool read_quantity(const Object& schema, Field& field) {
  const auto* description = schema.if_contains("description");
  if (!description) return false;
  const std::string_view text = description->as_string();
  field.kind = std::string(text.substr(0, text.find(':')));
  if (const auto* ways = schema.if_contains("anyOf"))
    for (const auto& way : ways->as_array())
      if (const auto* properties = way.as_object().if_contains("properties")) {
        const Object& unit = properties->at("unit").as_object();
        if (const auto* names = unit.if_contains("enum")) field.accepts = joined(names->as_array(), ", ");
        if (const auto* only = unit.if_contains("const")) field.accepts = std::string(only->as_string());
      }
  return true;
}

void read_schema(const Value& value, Field field, std::vector<Field>& out);

void read_members(const Object& properties, const std::string& prefix, std::vector<Field>& out) {
  for (const auto& member : properties) {
    Field field;
    field.path = prefix + std::string(member.key());
    read_schema(member.value(), field, out);
  }
}

/// Which of `anyOf` is not null; a variant keeps its first form.
const Value* present_form(const Object& schema, Field& field) {
  const Value* first = nullptr;
  for (const auto& form : schema.at("anyOf").as_array()) {
    const auto* type = form.as_object().if_contains("type");
    if (type && type->is_string() && type->as_string() == "null")
      field.optional = true;
    else if (!first)
      first = &form;
  }
  return first;
}

/// Its own, before the text that would be read for it; null when there is none.
const Value* type_of(const Object& schema) {
  const auto* type = schema.if_contains("type");
  if (const auto* list = type ? type->if_array() : nullptr) type = list->if_contains(0);
  return type && type->is_string() ? type : nullptr;
}

void read_array(const Object& schema, Field field, std::vector<Field>& out) {
  const auto* items = schema.if_contains("items");
  if (items && items->is_object() && items->as_object().contains("properties")) {
    out.push_back({field.path, "list", "", field.optional});
    read_members(items->at("properties").as_object(), field.path + "[].", out);
    return;
  }
  field.path += "[]";
  if (items) read_schema(*items, field, out);
}

void read_schema(const Value& value, Field field, std::vector<Field>& out) {
  const Object& schema = value.as_object();
  if (read_quantity(schema, field)) {
    out.push_back(std::move(field));
  } else if (schema.contains("anyOf") || schema.contains("oneOf")) {
    if (const auto* form = schema.contains("anyOf") ? present_form(schema, field) : nullptr)
      read_schema(*form, field, out);
    else
      out.push_back({field.path, "one of several forms, by `kind`", "", field.optional});
  } else if (const auto* names = schema.if_contains("enum")) {
    out.push_back({field.path, "one of", joined(names->as_array(), ", "), field.optional});
  } else if (const auto* type = type_of(schema)) {
    if (type->as_string() == "array") return read_array(schema, field, out);
    if (const auto* properties = schema.if_contains("properties"))
      return read_members(properties->as_object(), field.path.empty() ? "" : field.path + ".", out);
    field.kind = std::string(type->as_string());
    if (const auto* format = schema.if_contains("format")) field.accepts = std::string(format->as_string());
    out.push_back(std::move(field));
  } else {
    out.push_back({field.path, "any", "", field.optional});
  }
}

void write_fields(const Value& schema, bool is_output, std::ostream& out) {
  std::vector<Field> fields;
  read_schema(schema, {}, fields);
  out << "| field | kind | accepts |\n|---|---|---|\n";
  for (const auto& field : fields) {
    // Findings and workings have the same members in every answer; the index page describes them once.
    if (is_output &&
        (field.path.find("findings[].") != std::string::npos || field.path.find("workings[].") != std::string::npos))
      continue;
    out << "| `" << (field.path.empty() ? "(the value itself)" : field.path) << "` | " << field.kind
        << (field.optional ? ", may be absent" : "") << " | " << field.accepts << " |\n";
  }
}

/// What the engine says, in the language of this run.
std::string plain(const Value& text) { return said_here(need(json::decode<Message>(text))); }

/// The workings of an answer, at whatever depth they lie.
void collect_workings(const Value& value, std::vector<const Object*>& out) {
  if (const auto* array = value.if_array()) {
    for (const auto& item : *array) collect_workings(item, out);
  } else if (const auto* object = value.if_object()) {
    if (object->contains("formula") && object->contains("inputs")) out.push_back(object);
    for (const auto& member : *object) collect_workings(member.value(), out);
  }
}

void write_example(const engine::Function& function, const Value& example, const engine::Library& library,
                   std::ostream& out) {
  const auto answer = function.call(example, library, engine::sign_of(library, std::nullopt));
  out << "\nExample, `examples/engine/" << function.name << ".json`:\n\n```json\n"
      << json::to_text(example) << "\n```\n\n";
  if (!answer) {
    out << "is refused.\n";
    return;
  }
  std::vector<const Object*> workings;
  collect_workings(*answer, workings);
  constexpr std::size_t most_shown = 6;
  for (std::size_t i = 0; i < std::min(workings.size(), most_shown); ++i) {
    const auto& w = *workings[i];
    out << "- **" << plain(w.at("name")) << "** = " << plain(w.at("formula")) << "; ";
    for (const auto& input : w.at("inputs").as_array())
      out << plain(input.at("name")) << " " << plain(input.at("value")) << ", ";
    out << "gives **" << plain(w.at("result")) << "** (" << plain(w.at("source").at("text")) << " ["
        << plain(w.at("source").at("mark")) << "])\n";
  }
  if (workings.empty()) {
    constexpr std::size_t longest = 900;
    const std::string text = json::to_text(*answer);
    out << "gives\n\n```json\n" << (text.size() > longest ? text.substr(0, longest) + " …" : text) << "\n```\n";
  }
}

/// "#anchor" in a source text becomes a link to the sources page.
std::string linked(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    if (!text.substr(i).starts_with("(#")) {
      out += text[i++];
      continue;
    }
    const auto end = text.find(')', i);
    const std::string anchor(text.substr(i + 2, end - i - 2));
    out += "([sources](../sources.md#" + anchor + "))";
    i = end + 1;
  }
  return out;
}

void write_file(const fs::path& path, const std::string& text) {
  std::ofstream file(path, std::ios::binary);
  file << text;
  if (!file.flush()) throw std::runtime_error("cannot write " + path.string());
}

Value example_of(const fs::path& examples, const std::string& name) {
  std::ifstream file(examples / (name + ".json"), std::ios::binary);
  if (!file) return nullptr;
  std::ostringstream text;
  text << file.rdbuf();
  auto value = json::parse_text(text.str());
  if (!value) throw std::runtime_error("example " + name + ".json is not JSON");
  return *value;
}

constexpr const char* index_head =
    "# The engine's functions\n\n"
    "Written by `dwell engine describe --into docs/engine --examples examples/engine`; a check compares. Call one "
    "with\n"
    "`dwell engine call NAME < in.json`, with `POST /api/engine/NAME`, or in the page as WebAssembly: the same "
    "code.\n"
    "`dwell engine schema` gives all shapes as one JSON Schema document.\n\n"
    "A quantity is text with its unit (`\"125 mL/h\"`) or value and UCUM unit. Bad input is refused with every field "
    "at\n"
    "once: path, what was found, what was expected. Every answer may hold `findings` (severity information, caution "
    "or\n"
    "stop; code; text; source) and `workings` (name, formula, inputs, result, source): what the page shows under\n"
    "\"Working\". Advice only: the order, local policy and licensed practice decide.\n\n"
    "| function | what it does |\n|---|---|\n";

}  // namespace

std::string function_text(const engine::Function& function, const Value& example, const engine::Library& library) {
  std::ostringstream out;
  out << "## " << function.name << "\n\n" << function.summary << "\n\n";
  if (const auto* note = engine::find_note(function.name))
    out << "- Formula: " << note->formula << "\n- Symbols: " << note->symbols << "\n- Refuses: " << note->refuses
        << "\n- Source: " << linked(note->source) << "\n";
  out << "\nInput:\n\n";
  write_fields(engine::input_in_place(function), false, out);
  out << "\nOutput:\n\n";
  write_fields(engine::output_in_place(function), true, out);
  if (!example.is_null()) write_example(function, example, library, out);
  return out.str();
}

void write_engine_pages(const fs::path& folder, const fs::path& examples, const engine::Library& library) {
  fs::create_directories(folder);
  std::map<std::string, std::string> pages;
  std::string index = index_head;
  for (const auto& function : engine::functions()) {
    const std::string room = function.name.substr(0, function.name.find('.'));
    auto& page = pages[room];
    if (page.empty()) page = "# " + room + "\n\n[All functions](README.md)\n\n";
    page += function_text(function, example_of(examples, function.name), library) + "\n";
    std::string anchor = function.name;
    std::erase(anchor, '.');
    index += "| [" + function.name + "](" + room + ".md#" + anchor + ") | " + function.summary + " |\n";
  }
  write_file(folder / "README.md", index);
  for (const auto& [room, text] : pages) write_file(folder / (room + ".md"), text.substr(0, text.size() - 1));
}

}  // namespace dwell::cli
