#pragma once
// One verdict, made of all looks. A part of the engine that gives a verdict lists its looks as an enum; each says what
// it found, or what it could not look at and why. There is no other way to a verdict, so nothing passes because nobody
// looked: `pass` comes out only when every look that applies has looked at all of it and found nothing.
//
//   enum class DripLook { rate, time };                       // described: BOOST_DESCRIBE_ENUM
//   template <DripLook> void take(const Drip&, Look&) = delete;  // a look without its function does not compile
//   template <> void take<DripLook::rate>(const Drip& drip, Look& look) { look.say(…); }
//   const Answer answer = take_all<DripLook>([&](auto which, Look& look) { take<which()>(drip, look); });
#include <boost/describe.hpp>
#include <boost/mp11.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include "quantity/figure.h"

namespace dwell::verdict {

/// From good news to bad. `not_fully_checked` is no good news: what nobody could look at may be a stop, and nobody
/// starts on it before somebody has looked.
enum class Verdict { pass, caution, not_fully_checked, stop };
BOOST_DESCRIBE_ENUM(Verdict, pass, caution, not_fully_checked, stop)

enum class LookState { looked, could_not_look, does_not_apply };
BOOST_DESCRIBE_ENUM(LookState, looked, could_not_look, does_not_apply)

/// One look as the answer shows it.
struct LookReport {
  std::string look;  ///< name of its enumerator: "potassium"
  LookState state = LookState::could_not_look;
  std::optional<Severity> worst;  ///< of what it found
  std::vector<Message> missing;   ///< what it could not look at, and why
  friend bool operator==(const LookReport&, const LookReport&) = default;
};
BOOST_DESCRIBE_STRUCT(LookReport, (), (look, state, worst, missing))

/// Collects what one look has to say.
class Look {
 public:
  void say(Severity severity, std::string code, Message text, Source source) {
    findings_.push_back({severity, std::move(code), std::move(text), std::move(source)});
  }
  /// It could not look at this: "the weight". What it found on the rest stands all the same.
  void lacks(Message what) { missing_.push_back(std::move(what)); }
  /// There is nothing of the kind here. A look that lacks something never says so.
  void does_not_apply() { applies_ = false; }
  [[nodiscard]] const std::vector<Message>& missing() const { return missing_; }
  /// Whether it has nothing to say: it found nothing, and lacked nothing.
  [[nodiscard]] bool silent() const { return findings_.empty() && missing_.empty(); }

 private:
  friend class Composition;
  std::vector<Finding> findings_;
  std::vector<Message> missing_;
  bool applies_ = true;
};

struct Answer {
  Verdict verdict = Verdict::not_fully_checked;
  std::vector<LookReport> looks;
  std::vector<Finding> findings;  ///< of all looks, in their order
};

/// Puts looks together. Used by `take_all`, and where one answer takes over the looks of another.
class Composition {
 public:
  void add(std::string_view name, Look look);
  void add(const Answer& other);
  /// stop by any finding; else not fully checked when any look could not look, or when none has looked; else caution by
  /// any finding; else pass.
  [[nodiscard]] Answer answer() &&;

 private:
  Answer answer_;
};

/// Takes each look of the enum once; `take` is called with the look as a constant, so that a function can be chosen by
/// it.
template <class Looks, class Take>
[[nodiscard]] Composition take_looks(Take take) {
  Composition all;
  boost::mp11::mp_for_each<boost::describe::describe_enumerators<Looks>>([&](auto described) {
    Look look;
    take(std::integral_constant<Looks, decltype(described)::value>{}, look);
    all.add(decltype(described)::name, std::move(look));
  });
  return all;
}

template <class Looks, class Take>
[[nodiscard]] Answer take_all(Take take) {
  return take_looks<Looks>(std::move(take)).answer();
}

/// Whether nobody should start on it as it stands.
[[nodiscard]] constexpr bool holds_back(Verdict verdict) {
  return verdict == Verdict::stop || verdict == Verdict::not_fully_checked;
}

}  // namespace dwell::verdict
