// The engine for the browser: the same dispatcher as on the server, behind two functions.
#include <emscripten/emscripten.h>

#include <optional>

#include "engine/engine.h"

namespace {

std::optional<dwell::engine::Library>& library() {
  static std::optional<dwell::engine::Library> held;
  return held;
}

/// How the page's language writes decimals.
std::optional<dwell::DecimalSign>& page() {
  static std::optional<dwell::DecimalSign> held;
  return held;
}

std::string outcome(const dwell::Checked<dwell::json::Value>& result) {
  using namespace dwell;
  if (result) return json::to_text(json::Object{{"ok", true}, {"value", *result}});
  return json::to_text(json::Object{{"ok", false}, {"errors", json::encode(result.error())}});
}

/// The functions that this module has: the page asks the others elsewhere without trying them here first.
dwell::json::Value names() {
  dwell::json::Array all;
  for (const auto& function : dwell::engine::functions()) all.emplace_back(function.name);
  return all;
}

std::string configure(std::string_view text, std::string_view decimal) {
  using namespace dwell;
  page() = json::Codec<DecimalSign>::from_name(decimal);
  if (!page()) return outcome(refuse("/decimal", std::string(decimal), in_english_only("point or comma")));
  const auto read = [](const json::Value& value) { return json::decode<engine::Library>(value); };
  return outcome(json::parse_text(text).and_then(read).map([](engine::Library given) {
    library() = std::move(given);
    return names();
  }));
}

std::string call(std::string_view name, std::string_view input) {
  using namespace dwell;
  if (!library()) return outcome(refuse("", "nothing", in_english_only("the ward's library first (engine_configure)")));
  return engine::call_text(name, input, *library(), page());
}

/// Keeps an answer until the next one, so that the page can copy it out.
const char* kept(std::string text) {
  static std::string last;
  last = std::move(text);
  return last.c_str();
}

}  // namespace

// Plain C names and texts: the binding library's tables would cost more to download than what they say here.
extern "C" {

/// Takes the ward's library (policy and catalogues) as the server gives it at api/library, and how the page's language
/// writes decimals: "point" or "comma". Answers what can be called.
EMSCRIPTEN_KEEPALIVE const char* engine_configure(const char* text, const char* decimal) {
  return kept(configure(text, decimal));
}

EMSCRIPTEN_KEEPALIVE const char* engine_call(const char* name, const char* input) { return kept(call(name, input)); }

/// What the C++ runtime would name an exception's type with before giving up. Nobody reads it in a browser, and its
/// demangler is a tenth of the engine.
char* __cxa_demangle(const char*, char*, std::size_t*, int* status) {
  if (status) *status = -1;
  return nullptr;
}

}  // extern "C"
