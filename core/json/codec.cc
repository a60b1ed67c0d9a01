#include "json/codec.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "json/told_errors.h"
#include "say/json.h"
#include "say/quantity.h"

namespace dwell::json {

std::string Path::text() const {
  if (!parent) return "";
  return parent->text() + "/" + (field.empty() ? std::to_string(index) : std::string(field));
}

void Reading::refuse(const Path& path, const Value& found, Message expected) {
  add_error(errors_, [&] { return FieldError{path.text(), found_text(found), std::move(expected)}; });
}

void Reading::refuse_text(const Path& path, std::string found, Message expected) {
  add_error(errors_, [&] { return FieldError{path.text(), std::move(found), std::move(expected)}; });
}

void Reading::refuse(const Path& path, const FieldErrors& errors) {
  for (const auto& e : errors)
    add_error(errors_, [&] { return FieldError{path.text() + e.path, e.found, e.expected}; });
}

std::string found_text(const Value& value) {
  if (value.is_string()) return std::string(value.as_string());
  std::string text = boost::json::serialize(value);
  constexpr std::size_t longest = 120;
  if (text.size() <= longest) return text;
  std::size_t end = longest;
  while (end > 0 && (text[end] & 0xC0) == 0x80) --end;  // never within a character
  return text.substr(0, end) + "…";
}

std::string to_text(const Value& value) { return boost::json::serialize(value); }

namespace {

void write_pretty(const Value& value, std::string& out, std::size_t depth) {
  const auto indent = [&](std::size_t d) { out += "\n" + std::string(d * 2, ' '); };
  const auto write_all = [&](const auto& items, char open, char close, const auto& write_item) {
    out += open;
    bool first = true;
    for (const auto& item : items) {
      if (!std::exchange(first, false)) out += ',';
      indent(depth + 1);
      write_item(item);
    }
    if (!first) indent(depth);
    out += close;
  };
  if (value.is_object())
    write_all(value.as_object(), '{', '}', [&](const auto& member) {
      out += boost::json::serialize(member.key()) + ": ";
      write_pretty(member.value(), out, depth + 1);
    });
  else if (value.is_array())
    write_all(value.as_array(), '[', ']', [&](const Value& item) { write_pretty(item, out, depth + 1); });
  else
    out += boost::json::serialize(value);
}

std::optional<double> number(const Value& v) {
  if (v.is_double()) return v.as_double();
  if (v.is_int64()) return static_cast<double>(v.as_int64());
  if (v.is_uint64()) return static_cast<double>(v.as_uint64());
  return std::nullopt;
}

/// A number, or the text of one as a person types it; a refusal says what a doubtful one could mean.
Checked<double> number_or_text(const Value& v, const Reading& reading, const Message& expected) {
  if (const auto n = number(v)) return *n;
  if (!v.is_string()) return dwell::refuse("", found_text(v), expected);
  const auto typed = trimmed(std::string_view(v.as_string()));
  if (typed.find_first_of("0123456789") == std::string_view::npos) return dwell::refuse("", found_text(v), expected);
  auto read = leading_number(typed, reading.decimal_sign());
  if (!read) return dwell::refuse(std::move(read.error()));
  if (read->length != typed.size()) return dwell::refuse("", found_text(v), expected);
  return read->value;
}

std::string_view text_member(const Object& object, std::string_view key) {
  const Value* member = object.if_contains(key);
  return member && member->is_string() ? std::string_view(member->as_string()) : std::string_view();
}

/// Binary noise of a unit conversion is taken off at 12 significant digits; figures are never measured finer. What is
/// read of the number so written is written alike again.
double without_noise(double v) {
  constexpr double smallest = 1e-290;  // nearer to nothing no twelve digits are held
  if (!std::isfinite(v)) return v;
  if (std::abs(v) < smallest) return 0;
  const double scale = std::pow(10.0, 11 - std::floor(std::log10(std::abs(v))));
  return std::round(v * scale) / scale;
}

/// Whole numbers as integers, so that 125 is written 125 and not 1.25E2.
Value number_value(double v) {
  v = without_noise(v);
  if (v == std::floor(v) && std::abs(v) < 9e15) return Value(static_cast<std::int64_t>(v));
  return Value(v);
}

}  // namespace

std::string to_pretty_text(const Value& value) {
  std::string out;
  write_pretty(value, out, 0);
  return out;
}

namespace {

/// Names as they are typed, parted by commas.
template <class All, class Name>
std::string listed(const All& all, const Name& name) {
  std::string names;
  for (const auto& one : all) names += (names.empty() ? "" : ", ") + std::string(name(one));
  return names;
}

void refuse_unknown(const Path& path, std::string_view key, const Value& value, std::string known, Reading& reading) {
  reading.refuse(Path{&path, key, 0}, value, say::no_such_field(std::move(known)));
}

void refuse_unknown_fields(const Object& object, std::initializer_list<std::string_view> known, const Path& path,
                           Reading& reading) {
  for (const auto& member : object) {
    const std::string_view key(member.key());
    if (std::find(known.begin(), known.end(), key) != known.end()) continue;
    refuse_unknown(path, key, member.value(), listed(known, [](std::string_view name) { return name; }), reading);
  }
}

}  // namespace

Value encode_quantity(QuantityKind kind, double si) {
  // The text is that of the number beside it, so that whoever reads one reads the other.
  const UnitName& unit = unit_names(kind).front();
  const double value = without_noise(si / unit.si);
  return Object{{"value", number_value(value)},
                {"unit", boost::json::string_view(unit.ucum)},
                {"text", show_quantity(kind, value * unit.si)}};
}

void decode_quantity(QuantityKind kind, const Value& value, const Path& path, Reading& reading, double& si) {
  Checked<double> read = 0.0;
  if (value.is_string()) {
    read = parse_quantity(kind, std::string_view(value.as_string()), reading.decimal_sign());
  } else if (const Object* object = value.if_object()) {
    const Value* member = object->if_contains("value");
    const auto n = member ? number(*member) : std::nullopt;
    if (!n) return reading.refuse(path, value, say::a_value_and_its_unit());
    read = convert_quantity(kind, *n, text_member(*object, "unit"));
    refuse_unknown_fields(*object, {"value", "unit", "text"}, path, reading);
  } else if (kind == QuantityKind::ratio && number(value)) {
    read = *number(value);
  } else {
    read = parse_quantity(kind, found_text(value), reading.decimal_sign());
  }
  if (read)
    si = *read;
  else
    reading.refuse(path, read.error());
}

Value Codec<bool>::encode(const bool& v) { return Value(v); }
void Codec<bool>::decode(const Value& v, const Path& path, Reading& reading, bool& out) {
  if (v.is_bool())
    out = v.as_bool();
  else
    reading.refuse(path, v, say::true_or_false());
}

Value Codec<int>::encode(const int& v) { return Value(v); }
void Codec<int>::decode(const Value& v, const Path& path, Reading& reading, int& out) {
  const auto n = number_or_text(v, reading, say::a_whole_number());
  constexpr std::numeric_limits<int> limits;
  if (!n)
    reading.refuse_text(path, found_text(v), n.error().front().expected);
  else if (*n == std::floor(*n) && *n >= limits.min() && *n <= limits.max())
    out = static_cast<int>(*n);
  else
    reading.refuse(path, v, say::a_whole_number());
}

Value Codec<std::int64_t>::encode(const std::int64_t& v) { return Value(v); }
void Codec<std::int64_t>::decode(const Value& v, const Path& path, Reading& reading, std::int64_t& out) {
  if (v.is_int64())
    out = v.as_int64();
  else
    reading.refuse(path, v, say::a_whole_number());
}

Value Codec<double>::encode(const double& v) { return std::isfinite(v) ? number_value(v) : Value(nullptr); }
void Codec<double>::decode(const Value& v, const Path& path, Reading& reading, double& out) {
  const auto n = number_or_text(v, reading, say::a_number());
  if (n && std::isfinite(*n))
    out = *n;
  else
    reading.refuse_text(path, found_text(v), n ? say::a_number() : n.error().front().expected);
}

Value Codec<std::string>::encode(const std::string& v) { return Value(v); }
void Codec<std::string>::decode(const Value& v, const Path& path, Reading& reading, std::string& out) {
  if (v.is_string())
    out = std::string(v.as_string());
  else
    reading.refuse(path, v, say::a_text());
}

Value Codec<Instant>::encode(const Instant& v) { return Value(iso(v)); }
void Codec<Instant>::decode(const Value& v, const Path& path, Reading& reading, Instant& out) {
  if (auto read = parse_instant(found_text(v)))
    out = *read;
  else
    reading.refuse(path, read.error());
}

Value Codec<Interval>::encode(const Interval& v) {
  return Object{{"value", v.count()}, {"unit", "s"}, {"text", show(v)}};
}
void Codec<Interval>::decode(const Value& v, const Path& path, Reading& reading, Interval& out) {
  if (const Object* object = v.if_object()) {
    const Value* member = object->if_contains("value");
    const auto n = member ? number(*member) : std::nullopt;
    if (!n || *n != std::floor(*n) || std::abs(*n) > static_cast<double>(longest_interval.count()) ||
        text_member(*object, "unit") != "s")
      return reading.refuse(path, v, say::whole_seconds_or_a_time());
    out = Interval{static_cast<Interval::rep>(*n)};
    return refuse_unknown_fields(*object, {"value", "unit", "text"}, path, reading);
  }
  if (auto read = parse_interval(found_text(v), reading.decimal_sign()))
    out = *read;
  else
    reading.refuse(path, read.error());
}
Value Codec<Date>::encode(const Date& v) { return v.ok() ? Value(iso(v)) : Value(nullptr); }
void Codec<Date>::decode(const Value& v, const Path& path, Reading& reading, Date& out) {
  if (auto read = parse_date(found_text(v)))
    out = *read;
  else
    reading.refuse(path, read.error());
}

Value Codec<Gauge>::encode(const Gauge& v) { return Value(v.number); }
void Codec<Gauge>::decode(const Value& v, const Path& path, Reading& reading, Gauge& out) {
  const auto n = number(v);
  constexpr int widest = 10, narrowest = 30;
  if (n && *n == std::floor(*n) && *n >= widest && *n <= narrowest)
    out = Gauge{static_cast<int>(*n)};
  else
    reading.refuse(path, v, say::a_gauge_from_to(widest, narrowest));
}

Value Codec<Temperature>::encode(const Temperature& v) {
  const double value = without_noise(v.celsius);
  return Object{{"value", number_value(value)}, {"unit", "Cel"}, {"text", show(Temperature{value})}};
}
void Codec<Temperature>::decode(const Value& v, const Path& path, Reading& reading, Temperature& out) {
  Checked<Temperature> read;
  if (v.is_string()) {
    read = parse_temperature(std::string_view(v.as_string()), reading.decimal_sign());
  } else if (const Object* object = v.if_object()) {
    const Value* member = object->if_contains("value");
    const auto n = member ? number(*member) : std::nullopt;
    if (!n) return reading.refuse(path, v, say::a_value_and_its_unit());
    read = convert_temperature(*n, text_member(*object, "unit"));
    refuse_unknown_fields(*object, {"value", "unit", "text"}, path, reading);
  } else {
    const auto n = number(v);
    read = convert_temperature(n.value_or(std::numeric_limits<double>::quiet_NaN()), "Cel");
  }
  if (read)
    out = *read;
  else
    reading.refuse_text(path, found_text(v), read.error().front().expected);
}
Value Codec<Value>::encode(const Value& v) { return v; }
void Codec<Value>::decode(const Value& v, const Path&, Reading&, Value& out) { out = v; }

std::string_view enumerator_name(std::span<const Enumerator> all, long long value) {
  const auto found = std::find_if(all.begin(), all.end(), [&](const Enumerator& e) { return e.value == value; });
  return found != all.end() ? found->name : "unknown";
}

std::optional<long long> enumerator_value(std::span<const Enumerator> all, std::string_view name) {
  const auto found = std::find_if(all.begin(), all.end(), [&](const Enumerator& e) { return e.name == name; });
  return found != all.end() ? std::optional(found->value) : std::nullopt;
}

std::optional<long long> decode_enumerator(std::span<const Enumerator> all, const Value& v, const Path& path,
                                           Reading& reading) {
  if (v.is_string())
    if (const auto value = enumerator_value(all, std::string_view(v.as_string()))) return value;
  reading.refuse(path, v, say::one_of_these(listed(all, [](const Enumerator& e) { return e.name; })));
  return std::nullopt;
}

Array enumerator_names(std::span<const Enumerator> all) {
  Array names;
  for (const auto& e : all) names.emplace_back(boost::json::string_view(e.name));
  return names;
}

Value encode_list(const Operations& item, const void* first, std::size_t count, std::size_t stride) {
  Array out;
  out.reserve(count);
  const auto* bytes = static_cast<const std::byte*>(first);
  for (std::size_t i = 0; i < count; ++i) out.push_back(item.encode(bytes + i * stride));
  return out;
}

void decode_list(const Operations& item, const Value& v, const Path& path, Reading& reading, void* list,
                 void* (*append)(void* list)) {
  if (v.is_null()) return;
  if (!v.is_array()) return reading.refuse(path, v, say::a_list());
  std::size_t i = 0;
  for (const auto& each : v.as_array()) {
    // A list that is wrong everywhere is not read to its end: each of its items would take the room of a right one.
    if (reading.errors().size() > most_told_errors) return;
    item.decode(each, Path{&path, {}, i++}, reading, append(list));
  }
}

const Object* map_members(const Value& v, const Path& path, Reading& reading) {
  if (!v.is_null() && !v.is_object()) reading.refuse(path, v, say::an_object());
  return v.if_object();
}

void encode_members(std::span<const Member> members, const void* object, Object& out) {
  out.reserve(out.size() + members.size());
  for (const auto& member : members) {
    // One table serves reading and writing, so it gives a place that may be changed; nothing is changed here.
    const void* place = member.within(const_cast<void*>(object));
    const auto& operations = *member.operations;
    if (!operations.present || operations.present(place)) out.emplace(member.name, operations.encode(place));
  }
}

void decode_members(std::span<const Member> members, const Value& v, const Path& path, Reading& reading, void* object,
                    std::string_view also_known) {
  const Object* given = v.if_object();
  if (!given) return reading.refuse(path, v, say::an_object());
  for (const auto& member : members) {
    const Path here{&path, member.name, 0};
    if (const Value* value = given->if_contains(member.name))
      member.operations->decode(*value, here, reading, member.within(object));
    else if (!member.operations->may_be_absent)
      reading.refuse_text(here, "", say::a_needed_value());
  }
  for (const auto& member : *given) {
    const std::string_view key(member.key());
    if (key == also_known && !also_known.empty()) continue;
    if (std::any_of(members.begin(), members.end(), [&](const Member& m) { return m.name == key; })) continue;
    const std::string first = also_known.empty() ? "" : std::string(also_known) + ", ";
    refuse_unknown(path, key, member.value(), first + listed(members, [](const Member& m) { return m.name; }), reading);
  }
}

Value encode_alternative(const Alternative& alternative, const void* object) {
  Object out{{"kind", boost::json::string_view(alternative.kind)}};
  encode_members(alternative.members(), object, out);
  return out;
}

void decode_alternative(std::span<const Alternative> all, const Value& v, const Path& path, Reading& reading,
                        void* variant) {
  const Value* kind = v.is_object() ? v.as_object().if_contains("kind") : nullptr;
  const std::string_view text = kind && kind->is_string() ? std::string_view(kind->as_string()) : std::string_view();
  const auto found = std::find_if(all.begin(), all.end(), [&](const Alternative& a) { return a.kind == text; });
  if (found != all.end()) return decode_members(found->members(), v, path, reading, found->choose(variant), "kind");
  Message expected = say::one_of_these(listed(all, [](const Alternative& a) { return a.kind; }));
  if (kind)
    reading.refuse(Path{&path, "kind", 0}, *kind, std::move(expected));
  else
    reading.refuse_text(Path{&path, "kind", 0}, "", std::move(expected));
}

}  // namespace dwell::json
