#pragma once
// One codec for every public type of the engine. A type is described once (Boost.Describe); from that description come
// its JSON form, its reading with every wrong field named, and its JSON Schema. Nothing is written by hand per type.
//
// Conventions
//   quantity      written {"value": 125, "unit": "mL/h", "text": "125 mL/h"}; read also from the plain text "125 mL/h"
//   moment, date  "2026-11-25T08:19:02.000Z", "2026-11-25"
//   interval      written {"value": 14400, "unit": "s", "text": "4 h"}; read also from "4 h"
//   enum          its lower-case name
//   optional      absent or null when unknown; unknown is never a default
//   list, map     absent means empty
//   variant       an object with "kind" naming the alternative
// A field that nobody knows is refused, because it is usually a misspelt one that somebody needed.
#include <array>
#include <boost/describe.hpp>
#include <boost/json.hpp>
#include <boost/mp11.hpp>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <type_traits>
#include <variant>
#include <vector>

#include "quantity/checked.h"
#include "quantity/display.h"
#include "quantity/quantity.h"
#include "quantity/time.h"
#include "quantity/unit_names.h"

namespace dwell::json {

using Value = boost::json::value;
using Object = boost::json::object;
using Array = boost::json::array;

/// Where in the input we are; a chain on the stack, written out only when something is wrong.
struct Path {
  const Path* parent = nullptr;
  std::string_view field;
  std::size_t index = 0;
  [[nodiscard]] std::string text() const;
};

/// Collects every error of one reading.
class Reading {
 public:
  void refuse(const Path& path, const Value& found, std::string expected);
  void refuse_text(const Path& path, std::string found, std::string expected);
  /// Takes over errors of a part, putting `path` before theirs.
  void refuse(const Path& path, const FieldErrors& errors);
  [[nodiscard]] const FieldErrors& errors() const { return errors_; }
  [[nodiscard]] FieldErrors take() { return std::move(errors_); }

 private:
  FieldErrors errors_;
};

/// A short rendering of what was found, for messages.
[[nodiscard]] std::string found_text(const Value& value);

template <class T, class = void>
struct Codec;

template <class T>
[[nodiscard]] Value encode(const T& value) {
  return Codec<T>::encode(value);
}

template <class T>
[[nodiscard]] Checked<T> decode(const Value& value) {
  Reading reading;
  T out{};
  Codec<T>::decode(value, Path{}, reading, out);
  if (!reading.errors().empty()) return refuse(reading.take());
  return out;
}

/// JSON Schema (draft 2020-12) of a type, without references.
template <class T>
[[nodiscard]] Value schema() {
  return Codec<T>::schema();
}

/// Reads JSON text; a syntax error is a field error with its position.
[[nodiscard]] Checked<Value> parse_text(std::string_view text);
[[nodiscard]] std::string to_text(const Value& value);
/// Indented, for people.
[[nodiscard]] std::string to_pretty_text(const Value& value);

// ---- quantities, times: thin templates over plain functions, so that each unit of compilation stays small ----

Value encode_quantity(QuantityKind kind, double si);
void decode_quantity(QuantityKind kind, const Value& value, const Path& path, Reading& reading, double& si);
Value quantity_schema(QuantityKind kind);

template <QuantityType Q>
struct Codec<Q> {
  static Value encode(Q q) { return encode_quantity(KindOf<Q>::value, q.value()); }
  static void decode(const Value& v, const Path& path, Reading& reading, Q& out) {
    double si = 0;
    decode_quantity(KindOf<Q>::value, v, path, reading, si);
    out = Q::from_value(si);
  }
  static Value schema() { return quantity_schema(KindOf<Q>::value); }
};

#define DWELL_PLAIN_CODEC(Type)                                                        \
  template <>                                                                          \
  struct Codec<Type> {                                                                 \
    static Value encode(const Type& v);                                                \
    static void decode(const Value& v, const Path& path, Reading& reading, Type& out); \
    static Value schema();                                                             \
  }
DWELL_PLAIN_CODEC(bool);
DWELL_PLAIN_CODEC(int);
DWELL_PLAIN_CODEC(double);
DWELL_PLAIN_CODEC(std::string);
DWELL_PLAIN_CODEC(Instant);
DWELL_PLAIN_CODEC(Interval);
DWELL_PLAIN_CODEC(Date);
DWELL_PLAIN_CODEC(Gauge);
DWELL_PLAIN_CODEC(Temperature);
DWELL_PLAIN_CODEC(Value);
#undef DWELL_PLAIN_CODEC

// ---- described enums ----

template <class E>
struct Codec<E, std::enable_if_t<boost::describe::has_describe_enumerators<E>::value>> {
  static std::string_view name(E e) {
    std::string_view found = "unknown";
    boost::mp11::mp_for_each<boost::describe::describe_enumerators<E>>([&](auto d) {
      if (d.value == e) found = strip(d.name);
    });
    return found;
  }
  static std::optional<E> from_name(std::string_view text) {
    std::optional<E> found;
    boost::mp11::mp_for_each<boost::describe::describe_enumerators<E>>([&](auto d) {
      if (strip(d.name) == text) found = d.value;
    });
    return found;
  }
  static Array names() {
    Array all;
    boost::mp11::mp_for_each<boost::describe::describe_enumerators<E>>(
        [&](auto d) { all.emplace_back(strip(d.name)); });
    return all;
  }
  static Value encode(E e) { return Value(boost::json::string_view(name(e))); }
  static void decode(const Value& v, const Path& path, Reading& reading, E& out) {
    if (v.is_string())
      if (auto e = from_name(std::string_view(v.as_string()))) {
        out = *e;
        return;
      }
    std::string expected = "one of";
    for (const auto& n : names()) expected += " " + std::string(n.as_string()) + ",";
    expected.pop_back();
    reading.refuse(path, v, std::move(expected));
  }
  static Value schema() { return Object{{"type", "string"}, {"enum", names()}}; }

 private:
  /// C++ words that are also words of the trade carry a trailing underscore in C++ only.
  static std::string_view strip(std::string_view text) {
    if (text.ends_with('_')) text.remove_suffix(1);
    return text;
  }
};

/// The JSON name of a described enumerator.
template <class E>
[[nodiscard]] std::string_view name_of(E e) {
  return Codec<E>::name(e);
}

// ---- containers ----

template <class T>
struct is_optional : std::false_type {};
template <class T>
struct is_optional<std::optional<T>> : std::true_type {};
template <class T>
struct may_be_absent : is_optional<T> {};
template <class T>
struct may_be_absent<std::vector<T>> : std::true_type {};
template <class K, class T>
struct may_be_absent<std::map<K, T>> : std::true_type {};

template <class T>
struct Codec<std::optional<T>> {
  static Value encode(const std::optional<T>& v) { return v ? Codec<T>::encode(*v) : Value(nullptr); }
  static void decode(const Value& v, const Path& path, Reading& reading, std::optional<T>& out) {
    if (v.is_null()) {
      out.reset();
      return;
    }
    T value{};
    Codec<T>::decode(v, path, reading, value);
    out = std::move(value);
  }
  static Value schema() { return Object{{"anyOf", Array{Codec<T>::schema(), Object{{"type", "null"}}}}}; }
};

template <class T>
struct Codec<std::vector<T>> {
  static Value encode(const std::vector<T>& v) {
    Array out;
    out.reserve(v.size());
    for (const auto& item : v) out.push_back(Codec<T>::encode(item));
    return out;
  }
  static void decode(const Value& v, const Path& path, Reading& reading, std::vector<T>& out) {
    out.clear();
    if (v.is_null()) return;
    if (!v.is_array()) {
      reading.refuse(path, v, "a list");
      return;
    }
    out.reserve(v.as_array().size());
    std::size_t i = 0;
    for (const auto& item : v.as_array()) {
      T value{};
      Codec<T>::decode(item, Path{&path, {}, i++}, reading, value);
      out.push_back(std::move(value));
    }
  }
  static Value schema() { return Object{{"type", "array"}, {"items", Codec<T>::schema()}}; }
};

/// Maps keep names of an open set (or of an enum) as object keys.
template <class K, class T>
struct Codec<std::map<K, T>> {
  static Value encode(const std::map<K, T>& v) {
    Object out;
    for (const auto& [key, item] : v) out.emplace(key_text(key), Codec<T>::encode(item));
    return out;
  }
  static void decode(const Value& v, const Path& path, Reading& reading, std::map<K, T>& out) {
    out.clear();
    if (v.is_null()) return;
    if (!v.is_object()) {
      reading.refuse(path, v, "an object");
      return;
    }
    for (const auto& member : v.as_object()) {
      const Path here{&path, std::string_view(member.key()), 0};
      K key{};
      if constexpr (std::is_enum_v<K>)
        Codec<K>::decode(Value(member.key()), here, reading, key);
      else
        key = K(std::string_view(member.key()));
      T item{};
      Codec<T>::decode(member.value(), here, reading, item);
      out.insert_or_assign(std::move(key), std::move(item));
    }
  }
  static Value schema() { return Object{{"type", "object"}, {"additionalProperties", Codec<T>::schema()}}; }

 private:
  static std::string_view key_text(const K& key) {
    if constexpr (std::is_enum_v<K>)
      return name_of(key);
    else
      return key;
  }
};

// ---- described structs ----

template <class T>
using members_of = boost::describe::describe_members<T, boost::describe::mod_public | boost::describe::mod_inherited>;

template <class T>
concept DescribedStruct = boost::describe::has_describe_members<T>::value && !std::is_union_v<T> && std::is_class_v<T>;

/// One member of a described struct, its type erased, so that all structs share three plain functions. (Written out per
/// struct, the loops over members were most of the build time and most of the browser's download.)
struct Member {
  std::string_view name;
  bool may_be_absent;
  void (*encode)(const void* object, std::string_view name, Object& out);
  void (*decode)(const Value& v, const Path& path, Reading& reading, void* object);
  Value (*schema)();
};

void encode_members(std::span<const Member> members, const void* object, Object& out);
void decode_members(std::span<const Member> members, const Value& v, const Path& path, Reading& reading, void* object,
                    std::string_view also_known);
Value schema_of_members(std::span<const Member> members);

template <class T, class D>
struct MemberOf {
  using M = std::remove_cvref_t<decltype(std::declval<T&>().*D::pointer)>;
  static void encode(const void* object, std::string_view name, Object& out) {
    const M& member = static_cast<const T*>(object)->*D::pointer;
    if constexpr (is_optional<M>::value) {
      if (!member.has_value()) return;
    }
    out.emplace(name, Codec<M>::encode(member));
  }
  static void decode(const Value& v, const Path& path, Reading& reading, void* object) {
    Codec<M>::decode(v, path, reading, static_cast<T*>(object)->*D::pointer);
  }
  static constexpr Member member() { return {D::name, may_be_absent<M>::value, &encode, &decode, &Codec<M>::schema}; }
};

template <class T>
struct Codec<T, std::enable_if_t<DescribedStruct<T>>> {
  static Value encode(const T& v) {
    Object out;
    encode_into(out, v);
    return out;
  }
  static void encode_into(Object& out, const T& v) { encode_members(members(), &v, out); }
  static void decode(const Value& v, const Path& path, Reading& reading, T& out, std::string_view also_known = {}) {
    decode_members(members(), v, path, reading, &out, also_known);
  }
  static Value schema() { return schema_of_members(members()); }

 private:
  template <class... D>
  static std::span<const Member> table(boost::mp11::mp_list<D...>) {
    static constexpr std::array<Member, sizeof...(D)> all{MemberOf<T, D>::member()...};
    return all;
  }
  static std::span<const Member> members() {
    return table(boost::mp11::mp_rename<members_of<T>, boost::mp11::mp_list>());
  }
};

// ---- variants of described structs, each with a static `kind` ----

template <class... A>
struct Codec<std::variant<A...>> {
  static Value encode(const std::variant<A...>& v) {
    return std::visit(
        [](const auto& a) -> Value {
          using S = std::remove_cvref_t<decltype(a)>;
          Object out{{"kind", boost::json::string_view(S::kind)}};
          Codec<S>::encode_into(out, a);
          return out;
        },
        v);
  }
  static void decode(const Value& v, const Path& path, Reading& reading, std::variant<A...>& out) {
    const Value* kind = v.is_object() ? v.as_object().if_contains("kind") : nullptr;
    const std::string_view text = kind && kind->is_string() ? std::string_view(kind->as_string()) : std::string_view();
    const bool found = ((text == A::kind ? (decode_as<A>(v, path, reading, out), true) : false) || ...);
    if (found) return;
    std::string expected = "one of";
    ((expected += " " + std::string(A::kind) + ","), ...);
    expected.pop_back();
    if (kind)
      reading.refuse(Path{&path, "kind", 0}, *kind, std::move(expected));
    else
      reading.refuse_text(Path{&path, "kind", 0}, "nothing", std::move(expected));
  }
  static Value schema() {
    Array all;
    (all.push_back(alternative_schema<A>()), ...);
    return Object{{"oneOf", std::move(all)}};
  }

 private:
  template <class S>
  static void decode_as(const Value& v, const Path& path, Reading& reading, std::variant<A...>& out) {
    S alternative{};
    Codec<S>::decode(v, path, reading, alternative, "kind");
    out = std::move(alternative);
  }
  template <class S>
  static Value alternative_schema() {
    Value s = Codec<S>::schema();
    s.as_object()["properties"].as_object()["kind"] = Object{{"const", boost::json::string_view(S::kind)}};
    return s;
  }
};

}  // namespace dwell::json
