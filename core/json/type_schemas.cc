// The schemas of what every described type is made of.
#include "json/codec.h"

namespace dwell::json {
namespace {

/// "mass_rate_per_mass" is MassRatePerMass in schemas, as in C++.
std::string type_of(QuantityKind kind) {
  std::string out;
  bool capital = true;
  for (const char c : name_of(kind)) {
    if (c != '_') out += capital && c >= 'a' ? static_cast<char>(c - 'a' + 'A') : c;
    capital = c == '_';
  }
  return out;
}

/// {"value", "unit", "text"}; what is read may leave the text out.
Value value_and_unit(const char* number, Value unit, const Schemas& schemas) {
  Array required{"value", "unit"};
  if (!schemas.reads()) required.emplace_back("text");
  return Object{
      {"type", "object"},
      {"properties",
       Object{{"value", Object{{"type", number}}}, {"unit", std::move(unit)}, {"text", Object{{"type", "string"}}}}},
      {"required", std::move(required)},
      {"additionalProperties", false}};
}

Value described(std::string description, Value schema) {
  Object out{{"description", std::move(description)}};
  for (auto& member : schema.as_object()) out.emplace(member.key(), std::move(member.value()));
  return out;
}

/// A number that a person may have typed: read from its text too.
Value number_schema(const char* type, const Schemas& schemas) {
  if (schemas.reads()) return Object{{"type", Array{type, "string"}}};
  return Object{{"type", type}};
}

}  // namespace

Value quantity_schema(QuantityKind kind, Schemas& schemas) {
  const auto units = unit_names(kind);
  return schemas.named(type_of(kind), &units.front(), [&]() -> Value {
    const std::string name = "a " + std::string(quantity_name(kind));
    if (!schemas.reads())
      return described(
          name, value_and_unit("number", Object{{"const", boost::json::string_view(units.front().ucum)}}, schemas));
    Array accepted, ways{Object{{"type", "string"}}};
    for (const auto& unit : units) accepted.emplace_back(boost::json::string_view(unit.ucum));
    if (kind == QuantityKind::ratio) ways.emplace_back(Object{{"type", "number"}});
    ways.emplace_back(value_and_unit("number", Object{{"enum", std::move(accepted)}}, schemas));
    return Object{{"description", name + ": text with its unit, or value and unit"}, {"anyOf", std::move(ways)}};
  });
}

Value Codec<Message>::schema(Schemas& schemas) {
  static const char identity = 0;
  return schemas.named("Said", &identity, [] {
    return Object{
        {"title", "message"},
        {"anyOf", Array{Object{{"type", "string"}}, Object{{"type", "object"},
                                                           {"properties", Object{{"id", Object{{"type", "string"}}},
                                                                                 {"args", Object{{"type", "object"}}}}},
                                                           {"required", Array{"id", "args"}},
                                                           {"additionalProperties", false}}}}};
  });
}

Value Codec<Wording>::schema(Schemas& schemas) {
  static const char identity = 0;
  return schemas.named("Wording", &identity, [] {
    return Object{{"title", "wording"},
                  {"description", "text by language; plain text is English"},
                  {"anyOf", Array{Object{{"type", "string"}},
                                  Object{{"type", "object"}, {"additionalProperties", Object{{"type", "string"}}}}}}};
  });
}

Value Codec<AnyQuantity>::schema(Schemas& schemas) {
  static const char identity = 0;
  return schemas.named("Quantity", &identity, [&] {
    Array kinds;
    boost::mp11::mp_for_each<boost::describe::describe_enumerators<QuantityKind>>(
        [&](auto kind) { kinds.push_back(quantity_schema(kind.value, schemas)); });
    return Object{{"description", "a quantity of the kind that was asked for: value and unit"},
                  {"anyOf", std::move(kinds)}};
  });
}
Value Codec<bool>::schema(Schemas&) { return Object{{"type", "boolean"}}; }
Value Codec<int>::schema(Schemas& schemas) { return number_schema("integer", schemas); }
Value Codec<std::int64_t>::schema(Schemas&) { return Object{{"type", "integer"}}; }
Value Codec<double>::schema(Schemas& schemas) { return number_schema("number", schemas); }
Value Codec<std::string>::schema(Schemas&) { return Object{{"type", "string"}}; }
Value Codec<Instant>::schema(Schemas&) { return Object{{"type", "string"}, {"format", "date-time"}}; }
Value Codec<Date>::schema(Schemas&) { return Object{{"type", "string"}, {"format", "date"}}; }
Value Codec<Gauge>::schema(Schemas&) { return Object{{"type", "integer"}, {"description", "gauge"}}; }
Value Codec<Value>::schema(Schemas&) { return Object{}; }

Value Codec<Interval>::schema(Schemas& schemas) {
  static const char identity = 0;
  return schemas.named("Interval", &identity, [&]() -> Value {
    Value whole = value_and_unit("integer", Object{{"const", "s"}}, schemas);
    if (!schemas.reads()) return described("a time", std::move(whole));
    return Object{{"description", "a time: text such as \"4 h\", or whole seconds"},
                  {"anyOf", Array{Object{{"type", "string"}}, std::move(whole)}}};
  });
}

Value Codec<Temperature>::schema(Schemas& schemas) {
  static const char identity = 0;
  return schemas.named("Temperature", &identity, [&]() -> Value {
    if (!schemas.reads())
      return described("a temperature", value_and_unit("number", Object{{"const", "Cel"}}, schemas));
    return Object{{"description", "a temperature: text with its unit, a number in degrees Celsius, or value and unit"},
                  {"anyOf", Array{Object{{"type", "number"}}, Object{{"type", "string"}},
                                  value_and_unit("number", Object{{"enum", Array{"Cel", "[degF]"}}}, schemas)}}};
  });
}

Value schema_of_members(std::span<const Member> members, Schemas& schemas) {
  Object properties;
  Array required;
  for (const auto& member : members) {
    const auto& operations = *member.operations;
    Value schema = operations.schema(schemas);
    // A member that is not known is not written at all: never null.
    if (!schemas.reads() && operations.present) schema = Value(schema.at("anyOf").at(0));
    properties.emplace(member.name, std::move(schema));
    const bool may_miss = schemas.reads() ? operations.may_be_absent : operations.present != nullptr;
    if (!may_miss) required.emplace_back(boost::json::string_view(member.name));
  }
  Object out{{"type", "object"}, {"properties", std::move(properties)}};
  if (!required.empty()) out.emplace("required", std::move(required));
  out.emplace("additionalProperties", false);
  return out;
}

namespace {

Value schema_of_alternative(const Alternative& alternative, Schemas& schemas) {
  const std::string type = alternative.name();
  return schemas.named(type.empty() ? type : type + "Alternative", alternative.kind.data(), [&] {
    Value schema = schema_of_members(alternative.members(), schemas);
    schema.at("properties").as_object()["kind"] = Object{{"const", boost::json::string_view(alternative.kind)}};
    Array required{"kind"};
    if (const auto* others = schema.as_object().if_contains("required"))
      required.insert(required.end(), others->as_array().begin(), others->as_array().end());
    schema.as_object()["required"] = std::move(required);
    return schema;
  });
}

}  // namespace

Value schema_of_alternatives(std::span<const Alternative> all, Schemas& schemas) {
  Array alternatives;
  for (const auto& alternative : all) alternatives.push_back(schema_of_alternative(alternative, schemas));
  return Object{{"oneOf", std::move(alternatives)}};
}

}  // namespace dwell::json
