// The engine for the browser: the same dispatcher as on the server, behind two functions.
#include <emscripten/bind.h>

#include <optional>

#include "engine/engine.h"

namespace {

std::optional<dwell::engine::Library>& library() {
  static std::optional<dwell::engine::Library> held;
  return held;
}

std::string outcome(const dwell::Checked<dwell::json::Value>& result) {
  using namespace dwell;
  if (result) return json::to_text(json::Object{{"ok", true}, {"value", *result}});
  return json::to_text(json::Object{{"ok", false}, {"errors", json::encode(result.error())}});
}

/// Takes the ward's library (policy and catalogues) as the server gives it at api/library.
std::string engine_configure(const std::string& text) {
  using namespace dwell;
  return outcome(json::parse_text(text).and_then(json::decode<engine::Library>).map([](engine::Library read) {
    library() = std::move(read);
    return json::Value(true);
  }));
}

std::string engine_call(const std::string& name, const std::string& input) {
  using namespace dwell;
  if (!library()) return outcome(refuse("", "nothing", "the ward's library first (engine_configure)"));
  return engine::call_text(name, input, *library());
}

}  // namespace

EMSCRIPTEN_BINDINGS(dwell_core) {
  emscripten::function("engine_configure", &engine_configure);
  emscripten::function("engine_call", &engine_call);
}
