#pragma once
// A value of any described type with everything in it, or with as little as it may hold. What they say is invented and
// need not be sound: a frozen text shows how something is written.
#include <algorithm>
#include <boost/describe.hpp>
#include <boost/mp11.hpp>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "json/codec.h"

namespace dwell::golden {

class Specimen {
 public:
  /// `turn` chooses the word of each enum.
  Specimen(bool full, int turn) : full_(full), turn_(turn) {}

  template <class T>
  [[nodiscard]] T make() {
    T made{};
    fill(made);
    return made;
  }
  /// How many turns show every word of the enums that were met.
  [[nodiscard]] int turns() const { return turns_; }

 private:
  template <class E>
  static constexpr int words = static_cast<int>(boost::mp11::mp_size<boost::describe::describe_enumerators<E>>::value);
  template <class E>
  static E word(int at) {
    E out{};
    boost::mp11::mp_for_each<boost::describe::describe_enumerators<E>>([&](auto each) {
      if (at-- == 0) out = each.value;
    });
    return out;
  }

  void fill(bool& value) { value = full_; }
  void fill(int& value) { value = 3; }
  void fill(std::int64_t& value) { value = 3; }
  void fill(double& value) { value = 0.5; }
  void fill(std::string& value) { value = full_ ? "text " + std::to_string(++texts_) : ""; }
  void fill(Wording& value) {
    const std::string text = "text " + std::to_string(++texts_);
    value = full_ ? Wording(Wording::Texts{{"en", text}, {"es", text + " in Spanish"}}) : Wording();
  }
  void fill(Message& value) {
    value =
        full_ ? Message::of("symbol", {{"symbol", message::OwnWords{"text " + std::to_string(++texts_)}}}) : Message();
  }
  void fill(Instant& value) { value = Instant{std::chrono::sys_days{std::chrono::year{2026} / 11 / 29}}; }
  void fill(Interval& value) { value = std::chrono::minutes{90}; }
  void fill(Date& value) { value = std::chrono::year{2028} / 2 / 29; }
  void fill(Gauge& value) { value = Gauge{20}; }
  template <QuantityType Q>
  void fill(Q& value) {
    value = Q::from_value(1.5 * unit_names(KindOf<Q>::value).front().si);
  }
  template <class T>
  void fill(std::optional<T>& value) {
    value.reset();
    if (full_) fill(value.emplace());
  }
  /// All words of an enum; of anything else one that is full, and one that is not.
  template <class T>
  void fill(std::vector<T>& value) {
    value.clear();
    if (!full_) return;
    if constexpr (std::is_enum_v<T>) {
      for (int i = 0; i < words<T>; ++i) value.push_back(word<T>(i));
    } else {
      fill(value.emplace_back());
      full_ = false;
      fill(value.emplace_back());
      full_ = true;
    }
  }
  template <class K, class T>
  void fill(std::map<K, T>& value) {
    value.clear();
    if (!full_) return;
    if constexpr (std::is_enum_v<K>)
      for (int i = 0; i < words<K>; ++i) fill(value[word<K>(i)]);
    else
      fill(value["name"]);
  }
  template <class T>
  requires(!QuantityType<T>) void fill(T& value) {
    if constexpr (std::is_enum_v<T>) {
      value = word<T>(turn_ % words<T>);
      turns_ = std::max(turns_, words<T>);
    } else {
      boost::mp11::mp_for_each<json::members_of<T>>([&](auto member) { fill(value.*member.pointer); });
    }
  }

  bool full_;
  int turn_, turns_ = 1, texts_ = 0;
};

}  // namespace dwell::golden
