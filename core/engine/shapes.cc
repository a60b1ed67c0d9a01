#include "engine/shapes.h"

#include "engine/engine.h"
#include "line/event.h"

namespace dwell::engine {

json::Object shape_of(json::Object members) {
  json::Array required;
  for (const auto& member : members) required.emplace_back(member.key());
  return {{"type", "object"},
          {"properties", std::move(members)},
          {"required", std::move(required)},
          {"additionalProperties", false}};
}

json::Object function_shapes(Gathered& gathered) {
  for (auto* schemas : {&gathered.read, &gathered.written}) {
    (void)json::Codec<line::Event>::schema(*schemas);
    (void)json::Codec<Library>::schema(*schemas);
  }
  (void)json::Codec<FieldError>::schema(gathered.written);
  json::Object all;
  for (const auto& function : functions())
    all.emplace(function.name, shape_of({{"input", function.input_schema(gathered.read)},
                                         {"output", function.output_schema(gathered.written)}}));
  return shape_of(std::move(all));
}

}  // namespace dwell::engine
