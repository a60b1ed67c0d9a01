#pragma once
// JSON Schemas (draft 2020-12) of described types. A type is read in more ways than it is written: a quantity may come
// as text and is always given back as value, unit and text; an empty list may be left out and is always written. So
// each type has two forms, and whoever gathers definitions has both by name.
#include <boost/json.hpp>
#include <boost/type_index/ctti_type_index.hpp>
#include <map>
#include <string>
#include <string_view>
#include <utility>

namespace dwell::json {

/// "dwell::line::State" is "line.State"; a nameless namespace is left out. Empty for a template's instance, which has
/// no name of its own and is written out where it stands.
[[nodiscard]] std::string name_in_schemas(std::string_view cpp_name);

/// The name of a type as its schema bears it; from the compiler, the same with and without type information at run
/// time.
template <class T>
[[nodiscard]] std::string type_name() {
  return name_in_schemas(boost::typeindex::ctti_type_index::type_id<T>().pretty_name());
}

enum class Form { read, written };

/// What an input's form is called beside the form that is written: "line.State" and "line.StateIn".
inline constexpr std::string_view read_suffix = "In";

class Schemas {
 public:
  /// Everything is written out in place, nothing by reference.
  explicit Schemas(Form form) : form_(form) {}
  /// Named types go into `definitions`, once, and are referred to.
  Schemas(Form form, boost::json::object& definitions) : form_(form), definitions_(&definitions) {}

  [[nodiscard]] bool reads() const { return form_ == Form::read; }

  /// The schema that `make` gives, or a reference to it. `identity` tells two types of one name apart, which is a
  /// broken promise: one of them must be called otherwise.
  template <class Make>
  boost::json::value named(std::string name, const void* identity, const Make& make) {
    if (!definitions_ || name.empty()) return make();
    if (reads()) name += read_suffix;
    if (is_new(name, identity)) {
      // The place is taken first: a type may hold itself.
      definitions_->emplace(name, nullptr);
      boost::json::value made = make();
      (*definitions_)[name] = std::move(made);
    }
    return boost::json::object{{"$ref", "#/$defs/" + name}};
  }

 private:
  bool is_new(const std::string& name, const void* identity);

  Form form_;
  boost::json::object* definitions_ = nullptr;
  std::map<std::string, const void*> known_;
};

/// Takes the two forms of a type together where they are the same, and gives a type that is only read its plain name:
/// in the document's `$defs` and in every reference of the document.
void join_forms(boost::json::object& document);

}  // namespace dwell::json
