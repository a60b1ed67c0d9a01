#pragma once
// A state as somebody kept it: a tablet may hold one that an older program folded. What it lacks is no fault of the
// one who asks, and is never taken for nothing: it is named, and what falls due on the line says so.
#include <algorithm>
#include <array>
#include <string_view>
#include <utility>

#include "json/codec.h"
#include "line/state.h"

namespace dwell::engine {

struct KeptState {
  line::State state;
};

}  // namespace dwell::engine

namespace dwell::json {

template <>
struct Codec<engine::KeptState> {
  static Value encode(const engine::KeptState& v) { return Codec<line::State>::encode(v.state); }

  /// Whose line it is, where, and how far it has come is asked for; every other member may be missing.
  static void decode(const Value& v, const Path& path, Reading& reading, engine::KeptState& out) {
    std::vector<std::string> lacks = v.is_object() ? lacking(v.get_object()) : std::vector<std::string>();
    if (lacks.empty()) return Codec<line::State>::decode(v, path, reading, out.state);
    Object filled = v.get_object();
    const Value nothing = Codec<line::State>::encode(line::State{});
    for (const auto& name : lacks)
      if (const auto* empty = nothing.get_object().if_contains(name)) filled[name] = *empty;
    Codec<line::State>::decode(Value(std::move(filled)), path, reading, out.state);
    // What went in is not known, and so not known to be harmless.
    if (std::find(lacks.begin(), lacks.end(), "ran_since_sound_check") != lacks.end())
      out.state.ran_since_sound_check.emplace_back();
    auto& doubt = out.state.doubt;
    if (!doubt) doubt.emplace();
    doubt->not_kept = std::move(lacks);
  }

  static Value schema(Schemas& schemas) { return Codec<line::State>::schema(schemas); }

 private:
  static std::vector<std::string> lacking(const Object& given) {
    static constexpr std::array<std::string_view, 4> asked_for{"id", "stage", "patient", "place"};
    std::vector<std::string> names;
    boost::mp11::mp_for_each<members_of<line::State>>([&](auto member) {
      using M = std::remove_cvref_t<decltype(std::declval<line::State>().*member.pointer)>;
      const std::string_view name = member.name;
      const bool may_lack =
          !is_optional<M>::value && std::find(asked_for.begin(), asked_for.end(), name) == asked_for.end();
      if (may_lack && !given.contains(name)) names.emplace_back(name);
    });
    // From before states said how far they may be wrong, and before anybody kept this.
    if (!given.contains("doubt")) names.emplace_back("no_blood_return_at");
    return names;
  }
};

}  // namespace dwell::json
