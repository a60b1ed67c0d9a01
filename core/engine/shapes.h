#pragma once
// The shapes of all that crosses the engine's seam, as one JSON Schema document: from it the page's types are made.
#include "json/codec.h"

namespace dwell::engine {

/// Where the definitions of one document gather, in both forms.
struct Gathered {
  json::Object definitions;
  json::Schemas read{json::Form::read, definitions};
  json::Schemas written{json::Form::written, definitions};
};

/// An object schema of exactly these members, all of which it must have.
[[nodiscard]] json::Object shape_of(json::Object members);

/// Every function by name, with its input as read and its output as written; gathers their definitions, those of an
/// event as it is sent and as it is told, and what a refusal tells.
[[nodiscard]] json::Object function_shapes(Gathered& gathered);

}  // namespace dwell::engine
