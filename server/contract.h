#pragma once
// What the server and the engine take and give, as documents for programs and people: made of the types themselves and
// of the one table of routes.
#include <string>

#include "json/codec.h"

namespace dwell::server {

/// One JSON Schema document: `$defs` of every type that crosses a seam, among them `Functions` (each function's input
/// and output) and `Routes` (each request's body and answer).
[[nodiscard]] json::Value schema_document();

/// The same interface as OpenAPI 3.1.
[[nodiscard]] json::Value openapi_document();

/// An OpenAPI document as a plain page of HTML, which needs nothing from elsewhere.
[[nodiscard]] std::string browsable(const json::Value& openapi);

}  // namespace dwell::server
