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
//   message       {"id", "args": {name: {type: value}}}; "" where nothing is said; any other text is read as own words
//   wording       {"en": "Stop.", "es": "Parar."}; plain text is English, and is written so where only English is there
//   variant       an object with "kind" naming the alternative
// A field that nobody knows is refused, because it is usually a misspelt one that somebody needed.
// What is kept for ever declares beside its type how older forms of it are read: in_todays_form (upcast/upcast.h).
#include <array>
#include <boost/describe.hpp>
#include <boost/json.hpp>
#include <boost/mp11.hpp>
#include <cstdint>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <type_traits>
#include <variant>
#include <vector>

#include "json/schemas.h"
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
  Reading() = default;
  /// Quantities in the text are written with this decimal sign.
  explicit Reading(DecimalSign sign) : sign_(sign) {}
  [[nodiscard]] DecimalSign decimal_sign() const { return sign_; }
  void refuse(const Path& path, const Value& found, Message expected);
  void refuse_text(const Path& path, std::string found, Message expected);
  /// Takes over errors of a part, putting `path` before theirs.
  void refuse(const Path& path, const FieldErrors& errors);
  [[nodiscard]] const FieldErrors& errors() const { return errors_; }
  [[nodiscard]] FieldErrors take() { return std::move(errors_); }

 private:
  FieldErrors errors_;
  DecimalSign sign_ = DecimalSign::unknown;
};

/// A short rendering of what was found, for messages.
[[nodiscard]] std::string found_text(const Value& value);

template <class T, class = void>
struct Codec;

template <class T>
[[nodiscard]] Value encode(const T& value) {
  return Codec<T>::encode(value);
}

/// `sign` is how the one who wrote the value writes decimals; not known, a number that it would change is a question.
template <class T>
[[nodiscard]] Checked<T> decode(const Value& value, DecimalSign sign) {
  Reading reading(sign);
  T out{};
  Codec<T>::decode(value, Path{}, reading, out);
  if (!reading.errors().empty()) return refuse(reading.take());
  return out;
}

template <class T>
[[nodiscard]] Checked<T> decode(const Value& value) {
  return decode<T>(value, DecimalSign::unknown);
}

/// JSON Schema of a type as it is read, without references.
template <class T>
[[nodiscard]] Value schema() {
  Schemas in_place(Form::read);
  return Codec<T>::schema(in_place);
}

/// Reads JSON text; a syntax error is a field error with its position.
[[nodiscard]] Checked<Value> parse_text(std::string_view text);
[[nodiscard]] std::string to_text(const Value& value);
/// Indented, for people.
[[nodiscard]] std::string to_pretty_text(const Value& value);

// ---- quantities, times: thin templates over plain functions, so that each unit of compilation stays small ----

Value encode_quantity(QuantityKind kind, double si);
void decode_quantity(QuantityKind kind, const Value& value, const Path& path, Reading& reading, double& si);
Value quantity_schema(QuantityKind kind, Schemas& schemas);

template <QuantityType Q>
struct Codec<Q> {
  static Value encode(Q q) { return encode_quantity(KindOf<Q>::value, q.value()); }
  static void decode(const Value& v, const Path& path, Reading& reading, Q& out) {
    double si = 0;
    decode_quantity(KindOf<Q>::value, v, path, reading, si);
    out = Q::from_value(si);
  }
  static Value schema(Schemas& schemas) { return quantity_schema(KindOf<Q>::value, schemas); }
};

#define DWELL_PLAIN_CODEC(Type)                                                        \
  template <>                                                                          \
  struct Codec<Type> {                                                                 \
    static Value encode(const Type& v);                                                \
    static void decode(const Value& v, const Path& path, Reading& reading, Type& out); \
    static Value schema(Schemas& schemas);                                             \
  }
DWELL_PLAIN_CODEC(bool);
DWELL_PLAIN_CODEC(int);
DWELL_PLAIN_CODEC(std::int64_t);
DWELL_PLAIN_CODEC(double);
DWELL_PLAIN_CODEC(std::string);
DWELL_PLAIN_CODEC(Instant);
DWELL_PLAIN_CODEC(Interval);
DWELL_PLAIN_CODEC(Date);
DWELL_PLAIN_CODEC(Gauge);
DWELL_PLAIN_CODEC(Temperature);
DWELL_PLAIN_CODEC(Value);
DWELL_PLAIN_CODEC(Message);
DWELL_PLAIN_CODEC(Wording);
#undef DWELL_PLAIN_CODEC

/// A quantity whose kind is known only when it is there; it is written, never read.
struct AnyQuantity {
  QuantityKind kind = QuantityKind::ratio;
  double si = 0;
};
template <>
struct Codec<AnyQuantity> {
  static Value encode(const AnyQuantity& v) { return encode_quantity(v.kind, v.si); }
  static Value schema(Schemas& schemas);
};

// ---- what can be done with a value of some type, the type erased ----
//
// Lists, structs and variants walk these tables in plain functions; only the steps that need the type are templates.
// (Written out per type, those walks were most of the build time and most of the browser's download.)

struct Operations {
  bool may_be_absent;
  bool (*present)(const void* object);  ///< null: always
  Value (*encode)(const void* object);
  void (*decode)(const Value& v, const Path& path, Reading& reading, void* object);
  Value (*schema)(Schemas& schemas);  ///< null in a build without schemas
};

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
struct OperationsOf {
  static bool present(const void* object) {
    if constexpr (is_optional<T>::value)
      return static_cast<const T*>(object)->has_value();
    else
      return true;
  }
  static Value encode(const void* object) { return Codec<T>::encode(*static_cast<const T*>(object)); }
  static void decode(const Value& v, const Path& path, Reading& reading, void* object) {
    Codec<T>::decode(v, path, reading, *static_cast<T*>(object));
  }
#ifdef DWELL_WITHOUT_SCHEMAS
  static constexpr Value (*schema)(Schemas&) = nullptr;
#else
  static Value schema(Schemas& schemas) { return Codec<T>::schema(schemas); }
#endif
  static constexpr Operations all{may_be_absent<T>::value, is_optional<T>::value ? &present : nullptr, &encode, &decode,
                                  schema};
};

// ---- described enums ----

struct Enumerator {
  std::string_view name;
  long long value;
};

/// C++ words that are also words of the trade carry a trailing underscore in C++ only.
constexpr std::string_view without_underscore(std::string_view text) {
  if (text.ends_with('_')) text.remove_suffix(1);
  return text;
}
std::string_view enumerator_name(std::span<const Enumerator> all, long long value);
std::optional<long long> enumerator_value(std::span<const Enumerator> all, std::string_view name);
std::optional<long long> decode_enumerator(std::span<const Enumerator> all, const Value& v, const Path& path,
                                           Reading& reading);
Array enumerator_names(std::span<const Enumerator> all);

template <class E>
struct Codec<E, std::enable_if_t<boost::describe::has_describe_enumerators<E>::value>> {
  static std::string_view name(E e) { return enumerator_name(all(), static_cast<long long>(e)); }
  static std::optional<E> from_name(std::string_view text) {
    const auto value = enumerator_value(all(), text);
    return value ? std::optional(static_cast<E>(*value)) : std::nullopt;
  }
  static Array names() { return enumerator_names(all()); }
  static Value encode(E e) { return Value(boost::json::string_view(name(e))); }
  static void decode(const Value& v, const Path& path, Reading& reading, E& out) {
    if (const auto value = decode_enumerator(all(), v, path, reading)) out = static_cast<E>(*value);
  }
  static Value schema(Schemas& schemas) {
    return schemas.named(type_name<E>(), all().data(), [] { return Object{{"type", "string"}, {"enum", names()}}; });
  }

 private:
  template <class... D>
  static std::span<const Enumerator> table(boost::mp11::mp_list<D...>) {
    static constexpr std::array<Enumerator, sizeof...(D)> listed{
        Enumerator{without_underscore(D::name), static_cast<long long>(D::value)}...};
    return listed;
  }
  static std::span<const Enumerator> all() {
    return table(boost::mp11::mp_rename<boost::describe::describe_enumerators<E>, boost::mp11::mp_list>());
  }
};

/// The JSON name of a described enumerator.
template <class E>
[[nodiscard]] std::string_view name_of(E e) {
  return Codec<E>::name(e);
}

// ---- containers ----

template <class T>
struct Codec<std::optional<T>> {
  static Value encode(const std::optional<T>& v) { return v ? Codec<T>::encode(*v) : Value(nullptr); }
  static void decode(const Value& v, const Path& path, Reading& reading, std::optional<T>& out) {
    out.reset();
    if (!v.is_null()) Codec<T>::decode(v, path, reading, out.emplace());
  }
  static Value schema(Schemas& schemas) {
    return Object{{"anyOf", Array{Codec<T>::schema(schemas), Object{{"type", "null"}}}}};
  }
};

Value encode_list(const Operations& item, const void* first, std::size_t count, std::size_t stride);
void decode_list(const Operations& item, const Value& v, const Path& path, Reading& reading, void* list,
                 void* (*append)(void* list));

template <class T>
struct Codec<std::vector<T>> {
  static Value encode(const std::vector<T>& v) {
    return encode_list(OperationsOf<T>::all, v.data(), v.size(), sizeof(T));
  }
  static void decode(const Value& v, const Path& path, Reading& reading, std::vector<T>& out) {
    out.clear();
    decode_list(OperationsOf<T>::all, v, path, reading, &out,
                [](void* list) -> void* { return &static_cast<std::vector<T>*>(list)->emplace_back(); });
  }
  static Value schema(Schemas& schemas) { return Object{{"type", "array"}, {"items", Codec<T>::schema(schemas)}}; }
};

/// The members of an object that is read as a map; null when it is absent or no object (which is then refused).
const Object* map_members(const Value& v, const Path& path, Reading& reading);

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
    const Object* given = map_members(v, path, reading);
    if (!given) return;
    for (const auto& member : *given) {
      const Path here{&path, std::string_view(member.key()), 0};
      K key{};
      if constexpr (std::is_enum_v<K>)
        Codec<K>::decode(Value(member.key()), here, reading, key);
      else
        key = K(std::string_view(member.key()));
      Codec<T>::decode(member.value(), here, reading, out[std::move(key)]);
    }
  }
  static Value schema(Schemas& schemas) {
    return Object{{"type", "object"}, {"additionalProperties", Codec<T>::schema(schemas)}};
  }

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

struct Member {
  std::string_view name;
  const Operations* operations;
  void* (*within)(void* object);  ///< where the member lies in its object
};

void encode_members(std::span<const Member> members, const void* object, Object& out);
void decode_members(std::span<const Member> members, const Value& v, const Path& path, Reading& reading, void* object,
                    std::string_view also_known);
Value schema_of_members(std::span<const Member> members, Schemas& schemas);

template <class T, class D>
struct MemberOf {
  using M = std::remove_cvref_t<decltype(std::declval<T&>().*D::pointer)>;
  static void* within(void* object) { return &(static_cast<T*>(object)->*D::pointer); }
  static constexpr Member member() { return {D::name, &OperationsOf<M>::all, &within}; }
};

/// Its members stand outside, so that a type in wide use can be compiled once: `extern template struct json::Codec<T>;`
/// beside the type, `template struct json::Codec<T>;` in one source.
template <class T>
struct Codec<T, std::enable_if_t<DescribedStruct<T>>> {
  static Value encode(const T& v);
  static void decode(const Value& v, const Path& path, Reading& reading, T& out);
  static Value schema(Schemas& schemas);
  static std::string name();
  static std::span<const Member> members();

 private:
  template <class... D>
  static std::span<const Member> table(boost::mp11::mp_list<D...>) {
    static constexpr std::array<Member, sizeof...(D)> all{MemberOf<T, D>::member()...};
    return all;
  }
};

template <class T>
Value Codec<T, std::enable_if_t<DescribedStruct<T>>>::encode(const T& v) {
  Object out;
  encode_members(members(), &v, out);
  return out;
}

template <class T>
void Codec<T, std::enable_if_t<DescribedStruct<T>>>::decode(const Value& v, const Path& path, Reading& reading,
                                                            T& out) {
  if constexpr (requires(Value room) { in_todays_form(&out, v, room); }) {
    Value room;
    decode_members(members(), in_todays_form(&out, v, room), path, reading, &out, {});
  } else {
    decode_members(members(), v, path, reading, &out, {});
  }
}

template <class T>
Value Codec<T, std::enable_if_t<DescribedStruct<T>>>::schema(Schemas& schemas) {
  return schemas.named(name(), &OperationsOf<T>::all, [&] { return schema_of_members(members(), schemas); });
}

template <class T>
std::string Codec<T, std::enable_if_t<DescribedStruct<T>>>::name() {
  return type_name<T>();
}

template <class T>
std::span<const Member> Codec<T, std::enable_if_t<DescribedStruct<T>>>::members() {
  return table(boost::mp11::mp_rename<members_of<T>, boost::mp11::mp_list>());
}

// ---- variants of described structs, each with a static `kind` ----

struct Alternative {
  std::string_view kind;
  std::span<const Member> (*members)();
  void* (*choose)(void* variant);  ///< makes it the held one and says where it lies
  std::string (*name)();           ///< of its type; null in a build without schemas
};

Value encode_alternative(const Alternative& alternative, const void* object);
void decode_alternative(std::span<const Alternative> all, const Value& v, const Path& path, Reading& reading,
                        void* variant);
Value schema_of_alternatives(std::span<const Alternative> all, Schemas& schemas);

template <class... A>
struct Codec<std::variant<A...>> {
  static Value encode(const std::variant<A...>& v) {
    const void* object = std::visit([](const auto& a) -> const void* { return &a; }, v);
    return encode_alternative(all.at(v.index()), object);
  }
  static void decode(const Value& v, const Path& path, Reading& reading, std::variant<A...>& out) {
    decode_alternative(all, v, path, reading, &out);
  }
  static Value schema(Schemas& schemas) { return schema_of_alternatives(all, schemas); }

 private:
  template <class S>
  static void* choose(void* variant) {
    return &static_cast<std::variant<A...>*>(variant)->template emplace<S>();
  }
  template <class S>
  static constexpr std::string (*name())() {
#ifdef DWELL_WITHOUT_SCHEMAS
    return nullptr;
#else
    return &Codec<S>::name;
#endif
  }
  static constexpr std::array<Alternative, sizeof...(A)> all{
      Alternative{A::kind, &Codec<A>::members, &choose<A>, name<A>()}...};
};

}  // namespace dwell::json
