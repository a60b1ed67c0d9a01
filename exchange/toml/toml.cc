#include "exchange/toml/toml.h"

#include <toml++/toml.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <sstream>

namespace dwell::toml_text {
namespace {

template <class T>
std::string as_text(const T& value) {
  std::ostringstream out;
  out << value;
  return std::move(out).str();
}

json::Value convert(const ::toml::node& node, const std::string& path, std::map<std::string, Location>& locations) {
  const auto& at = node.source().begin;
  locations[path] = {at.line, at.column};
  if (const auto* table = node.as_table()) {
    json::Object out;
    for (const auto& [key, child] : *table)
      out.emplace(key.str(), convert(child, path + "/" + std::string(key.str()), locations));
    return out;
  }
  if (const auto* array = node.as_array()) {
    json::Array out;
    std::size_t i = 0;
    for (const auto& child : *array) out.push_back(convert(child, path + "/" + std::to_string(i++), locations));
    return out;
  }
  if (const auto* text = node.as_string()) return json::Value(text->get());
  if (const auto* integer = node.as_integer()) return json::Value(integer->get());
  // TOML knows nan and inf; as text every codec refuses them by name.
  if (const auto* number = node.as_floating_point())
    return std::isfinite(number->get()) ? json::Value(number->get()) : json::Value(as_text(number->get()));
  if (const auto* boolean = node.as_boolean()) return json::Value(boolean->get());
  if (const auto* date = node.as_date()) return json::Value(as_text(date->get()));
  if (const auto* time = node.as_time()) return json::Value(as_text(time->get()));
  if (const auto* moment = node.as_date_time()) return json::Value(as_text(moment->get()));
  return json::Value(nullptr);
}

std::string place(const std::string& file, const Location& at) {
  return file + ", line " + std::to_string(at.line) + ", column " + std::to_string(at.column);
}

/// What stands in a line, for messages: without the blanks around it, and not longer than a message can bear.
std::string line_text(std::string_view text, std::size_t line) {
  for (; line > 1 && text.find('\n') != std::string_view::npos; --line) text.remove_prefix(text.find('\n') + 1);
  text = text.substr(0, text.find_first_of("\r\n"));
  text.remove_prefix(std::min(text.find_first_not_of(" \t"), text.size()));
  constexpr std::size_t longest = 80;
  return std::string(text.substr(0, longest)) + (text.size() > longest ? " …" : "");
}

/// How deep a text reaches, without parsing it: the parser, and whoever walks what it made, go one call deeper for each
/// level, and a key of very many parts would be their end. Looks past texts and comments. The line where it is deeper
/// than anybody writes, or nothing.
class Depth {
 public:
  [[nodiscard]] std::optional<std::size_t> too_deep(std::string_view text) {
    for (rest_ = text; !rest_.empty();) {
      if (take_text()) continue;
      const char c = rest_.front();
      rest_.remove_prefix(1);
      if (c == '#') rest_.remove_prefix(std::min(rest_.find('\n'), rest_.size()));
      if (c == '.') ++parts_;
      if (c == '[' || c == '{') ++nested_;
      if ((c == ']' || c == '}') && nested_ > 0) --nested_;
      if (std::string_view("=,[]{}#\n").find(c) != std::string_view::npos) parts_ = 0;
      if (parts_ >= most || nested_ > most) return line_;
      if (c == '\n') ++line_;
    }
    return std::nullopt;
  }

 private:
  static constexpr int most = 32;

  /// A quoted text at the front, of one line or of several; false when there is none.
  bool take_text() {
    for (const std::string_view quotes : {"\"\"\"", "'''", "\"", "'"}) {
      if (!rest_.starts_with(quotes)) continue;
      const bool several_lines = quotes.size() > 1, escapes = quotes.front() == '"';
      rest_.remove_prefix(quotes.size());
      while (!rest_.empty() && !rest_.starts_with(quotes) && (several_lines || rest_.front() != '\n')) {
        const std::size_t length = escapes && rest_.front() == '\\' ? std::min<std::size_t>(2, rest_.size()) : 1;
        line_ += static_cast<std::size_t>(
            std::count(rest_.begin(), rest_.begin() + static_cast<std::ptrdiff_t>(length), '\n'));
        rest_.remove_prefix(length);
      }
      if (rest_.starts_with(quotes)) rest_.remove_prefix(quotes.size());
      return true;
    }
    return false;
  }

  std::string_view rest_;
  std::size_t line_ = 1;
  int parts_ = 0, nested_ = 0;
};

}  // namespace

Checked<Document> parse(std::string_view text, const std::string& file) {
  if (const auto line = Depth().too_deep(text))
    return refuse("", file + ", line " + std::to_string(*line) + ": " + line_text(text, *line),
                  in_english_only("TOML of at most 32 levels, in a key as in a value"));
  try {
    Document document;
    document.file = file;
    document.value = convert(::toml::parse(text), "", document.locations);
    return document;
  } catch (const ::toml::parse_error& e) {
    const auto& at = e.source().begin;
    return refuse("", place(file, {at.line, at.column}) + ": " + line_text(text, at.line),
                  in_english_only("TOML: " + std::string(e.description())));
  }
}

FieldErrors located(FieldErrors errors, const Document& document) {
  for (auto& error : errors) {
    std::string path = error.path;
    auto found = document.locations.find(path);
    while (found == document.locations.end() && !path.empty()) {
      path.resize(path.rfind('/'));
      found = document.locations.find(path);
    }
    if (found != document.locations.end() && found->second.line > 0)
      error.found = place(document.file, found->second) + ": " + error.found;
    else
      error.found = document.file + ": " + error.found;
  }
  return errors;
}

}  // namespace dwell::toml_text
