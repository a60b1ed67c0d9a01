#pragma once
// The engine's manual, written from the engine itself: a page for each room, a part for each function, with formula,
// symbols, what it refuses, source, fields, and one worked example.
#include <filesystem>
#include <string>

#include "engine/engine.h"

namespace dwell::cli {

/// One function's part, Markdown. `example` is the input to show and run; null when there is none.
[[nodiscard]] std::string function_text(const engine::Function& function, const json::Value& example,
                                        const engine::Library& library);

/// Writes README.md and a page for each room into `folder`; examples are FUNCTION.json in `examples`.
void write_engine_pages(const std::filesystem::path& folder, const std::filesystem::path& examples,
                        const engine::Library& library);

}  // namespace dwell::cli
