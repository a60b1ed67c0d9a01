#include "server/contract.h"

#include <algorithm>

#include "engine/engine.h"
#include "engine/shapes.h"
#include "server/routes.h"

namespace dwell::server {
namespace {

using json::Array;
using json::Object;
using json::Value;
using Route = Routes::Route;

Value text(std::string_view words) { return Value(boost::json::string_view(words.data(), words.size())); }

/// What goes in and out by every route whose body or answer is JSON: "GET /api/ward".
Object route_shapes(engine::Gathered& gathered) {
  Object all;
  for (const auto& route : Routes::table()) {
    Object shape;
    if (route.body) shape.emplace("body", route.body(gathered.read));
    if (route.gives) shape.emplace("answer", route.gives(gathered.written));
    if (!shape.empty())
      all.emplace(std::string(route.method) + " " + std::string(route.pattern), engine::shape_of(std::move(shape)));
  }
  return engine::shape_of(std::move(all));
}

/// References into `$defs` as OpenAPI has them.
Value in_components(const Value& schema) {
  constexpr std::string_view from = "#/$defs/";
  if (const auto* list = schema.if_array()) {
    Array out;
    for (const auto& item : *list) out.push_back(in_components(item));
    return out;
  }
  const auto* members = schema.if_object();
  if (!members) return schema;
  Object out;
  for (const auto& member : *members) {
    const auto* target = member.key() == "$ref" ? member.value().if_string() : nullptr;
    if (target && target->starts_with(from))
      out.emplace("$ref", "#/components/schemas/" + std::string(std::string_view(*target).substr(from.size())));
    else
      out.emplace(member.key(), in_components(member.value()));
  }
  return out;
}

Object content(std::string_view types, const Value& schema) {
  Object all;
  while (!types.empty()) {
    const auto type = types.substr(0, types.find(", "));
    all.emplace(type, type == "application/json" ? Object{{"schema", schema}} : Object{});
    types.remove_prefix(std::min(types.size(), type.size() + 2));
  }
  return all;
}

Array parameters_of(const Route& route) {
  Array all;
  for (auto rest = route.pattern; rest.find('{') != std::string_view::npos; rest.remove_prefix(rest.find('}') + 1)) {
    const auto begin = rest.find('{') + 1;
    all.push_back(Object{{"name", text(rest.substr(begin, rest.find('}') - begin))},
                         {"in", "path"},
                         {"required", true},
                         {"schema", Object{{"type", "string"}}}});
  }
  for (const auto& asked : route.asks)
    all.push_back(Object{{"name", text(asked.name)},
                         {"in", "query"},
                         {"description", text(asked.words)},
                         {"schema", Object{{"type", "string"}}}});
  return all;
}

/// "GET /api/lines/{line}" is get_lines_line.
std::string operation_name(std::string_view method, std::string_view path) {
  std::string name;
  constexpr std::string_view common = "/api";
  if (path.starts_with(common)) path.remove_prefix(common.size());
  for (const char c : std::string(method) + std::string(path)) {
    if (c >= 'A' && c <= 'Z')
      name += static_cast<char>(c - 'A' + 'a');
    else if ((c >= 'a' && c <= 'z') || c == '_')
      name += c;
    else if (!name.ends_with('_') && c != '}')
      name += '_';
  }
  return name;
}

Object operation(const Route& route, std::string_view path, std::string_view words, const Value& body,
                 const Value& answer) {
  Object out{{"operationId", operation_name(route.method, path)}, {"summary", text(words)}};
  if (auto parameters = path == route.pattern ? parameters_of(route) : Array(); !parameters.empty())
    out.emplace("parameters", std::move(parameters));
  if (route.body || !route.accepts.empty())
    out.emplace("requestBody",
                Object{{"required", true},
                       {"content", content(route.body ? "application/json" : route.accepts, in_components(body))}});
  const Value refused = Object{{"$ref", "#/components/schemas/server.Refusal"}};
  out.emplace(
      "responses",
      Object{{"200", Object{{"description", "answered"}, {"content", content(route.type, in_components(answer))}}},
             {"4XX", Object{{"description", "a fault of the request, with every wrong field"},
                            {"content", content("application/json", refused)}}},
             {"503", Object{{"description", "no fault of the request: to be tried again"},
                            {"content", content("application/json", refused)}}}});
  return out;
}

std::string lower(std::string_view method) {
  std::string out(method);
  std::transform(out.begin(), out.end(), out.begin(), [](char c) { return static_cast<char>(c - 'A' + 'a'); });
  return out;
}

/// Each function of the engine has a path of its own, with its own types.
void add_functions(const Route& route, const Object& functions, Object& paths) {
  for (const auto& function : engine::functions()) {
    const auto& shape = functions.at("properties").at(function.name).at("properties");
    const std::string path = std::string(route.pattern.substr(0, route.pattern.find('{'))) + function.name;
    const Value envelope =
        Object{{"type", "object"},
               {"properties", Object{{"ok", Object{{"const", true}}}, {"value", shape.at("output")}}},
               {"required", Array{"ok", "value"}}};
    paths.emplace(path,
                  Object{{lower(route.method), operation(route, path, function.summary, shape.at("input"), envelope)}});
  }
}

Object paths_of(const Object& definitions) {
  Object paths;
  const auto& routes = definitions.at("Routes").at("properties").as_object();
  for (const auto& route : Routes::table()) {
    if (route.pattern == "/api/engine/{function}") {
      add_functions(route, definitions.at("Functions").as_object(), paths);
      continue;
    }
    const auto* shape = routes.if_contains(std::string(route.method) + " " + std::string(route.pattern));
    const auto part = [&](const char* name) {
      const auto* found = shape ? shape->at("properties").as_object().if_contains(name) : nullptr;
      return found ? *found : Value(Object{});
    };
    auto& path = paths[route.pattern];
    if (!path.is_object()) path = Object{};
    path.as_object().emplace(lower(route.method),
                             operation(route, route.pattern, route.words, part("body"), part("answer")));
  }
  return paths;
}

std::string escaped(std::string_view words) {
  std::string out;
  for (const char c : words) out += c == '<' ? "&lt;" : c == '>' ? "&gt;" : c == '&' ? "&amp;" : std::string(1, c);
  return out;
}

void browse(const std::string& path, std::string_view method, const Object& operation, std::string& out) {
  std::string name(method);
  std::transform(name.begin(), name.end(), name.begin(), [](char c) { return static_cast<char>(c - 'a' + 'A'); });
  out += "<details><summary><code>" + name + " " + escaped(path) + "</code> " +
         escaped(std::string_view(operation.at("summary").as_string())) + "</summary>\n<pre>" +
         escaped(json::to_pretty_text(operation)) + "</pre></details>\n";
}

}  // namespace

json::Value schema_document() {
  engine::Gathered gathered;
  Object functions = engine::function_shapes(gathered), routes = route_shapes(gathered);
  (void)json::Codec<Refusal>::schema(gathered.written);
  (void)json::Codec<EntriesNews>::schema(gathered.written);
  (void)json::Codec<LookedNews>::schema(gathered.written);
  Object definitions = std::move(gathered.definitions);
  definitions.emplace("Functions", std::move(functions));
  definitions.emplace("Routes", std::move(routes));
  Object document{{"$schema", "https://json-schema.org/draft/2020-12/schema"},
                  {"title", "Dwell"},
                  {"description", "What the engine and the server of Dwell take and give."},
                  {"type", "object"},
                  {"properties", Object{{"functions", Object{{"$ref", "#/$defs/Functions"}}},
                                        {"routes", Object{{"$ref", "#/$defs/Routes"}}}}},
                  {"required", Array{"functions", "routes"}},
                  {"additionalProperties", false},
                  {"$defs", std::move(definitions)}};
  json::join_forms(document);
  return document;
}

json::Value openapi_document() {
  const Value document = schema_document();
  const Object& definitions = document.at("$defs").as_object();
  Object schemas;
  for (const auto& member : definitions)
    if (member.key() != "Functions" && member.key() != "Routes")
      schemas.emplace(member.key(), in_components(member.value()));
  return Object{{"openapi", "3.1.0"},
                {"info", Object{{"title", "Dwell"},
                                {"version", DWELL_VERSION},
                                {"description", "Short peripheral IV lines: planned, placed, run, watched, removed."}}},
                {"paths", paths_of(definitions)},
                {"components", Object{{"schemas", std::move(schemas)}}}};
}

std::string browsable(const json::Value& openapi) {
  std::string out =
      "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>Dwell: the interface</title></head>\n"
      "<body><h1>The interface</h1>\n<p>For programs: <a href=\"api/openapi.json\">OpenAPI 3.1</a></p>\n";
  for (const auto& path : openapi.at("paths").as_object())
    for (const auto& method : path.value().as_object())
      browse(std::string(path.key()), method.key(), method.value().as_object(), out);
  out += "<h2>Shapes</h2>\n";
  for (const auto& schema : openapi.at("components").at("schemas").as_object())
    out += "<details><summary><code>" + escaped(std::string_view(schema.key())) + "</code></summary>\n<pre>" +
           escaped(json::to_pretty_text(schema.value())) + "</pre></details>\n";
  return out + "</body></html>\n";
}

}  // namespace dwell::server
