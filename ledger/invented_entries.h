#pragma once
// Entries of every kind that nobody would send, for tests and the fuzzer: made member by member from the description
// of a type, now and then with what no form gives (a number that is none, half a character, a year far off), so that a
// field added to an event is tried from its first day.
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <string>

#include "json/codec.h"
#include "ledger/copy.h"
#include "ledger/ledger.h"
#include "ledger/projection.h"

namespace dwell::ledger {

/// Takes decisions from bytes: of a fuzzer, or of a generator with a seed.
class Inventor {
 public:
  /// `next` gives a byte at each call, for ever.
  Inventor(std::function<std::uint8_t()> next, Instant now) : next_(std::move(next)), now_(now) {}

  /// One of the lines "…-0" to "…-3"; half of the entries hold nothing odd.
  [[nodiscard]] line::Event event(const std::vector<std::string>& known_ids) {
    odd_ = below(2) == 0 ? 0 : 20;
    line::Event event;
    event.id = is_odd() ? text() : id();
    event.line = is_odd() ? text() : "019abb2c-1111-7111-8111-11111111111" + std::to_string(below(4));
    event.occurred_at = moment();
    event.recorded_at = moment();
    event.author = is_odd() ? text() : "R. Ode";
    event.device = text();
    if (is_odd()) event.schema = number();
    if (!known_ids.empty() && below(4) == 0) event.corrects = known_ids[below(static_cast<unsigned>(known_ids.size()))];
    if (is_odd()) event.deviation_reason = text();
    if (is_odd()) event.receipt = line::Receipt{7, now_};
    invent(event.body);
    return event;
  }

  /// `policy_json` writes a change of policy of this id.
  [[nodiscard]] Paper paper(const std::function<std::string(const std::string& id)>& policy_json) {
    odd_ = below(2) == 0 ? 0 : 4;
    Paper paper{is_odd() ? text() : id(), is_odd() ? text() : practice_paper, text(), moment(), R"({"run":{}})"};
    if (below(4) == 0) paper.kind = policy_paper, paper.json = policy_json(paper.id);
    for (unsigned changes = is_odd() ? 1 + below(3) : 0; changes > 0 && !paper.json.empty(); --changes)
      paper.json[(below(256) * 256 + below(256)) % paper.json.size()] = static_cast<char>(next_());
    return paper;
  }

 private:
  [[nodiscard]] unsigned below(unsigned limit) { return (next_() * 256U + next_()) % limit; }
  [[nodiscard]] bool is_odd() { return odd_ != 0 && below(odd_) == 0; }

  [[nodiscard]] std::string id() {
    std::array<std::uint8_t, 10> drawn{};
    for (auto& byte : drawn) byte = next_();
    return line::make_id(now_ - std::chrono::minutes{below(10000)}, drawn);
  }
  [[nodiscard]] std::string text() {
    static const std::array<std::string, 6> usual{
        "", "sodium chloride 0.9 %", "as ordered", "\"quoted\" \\ 'once'", "π ≈ 3 mL\nnext line", "R. Ode"};
    static const std::array<std::string, 9> odd{std::string("no\0thing", 8),
                                                "\xFF",
                                                "half \xC3",
                                                "\xED\xA0\x80",
                                                "\xC0\xAF",
                                                "a\",\"b",
                                                "{};--",
                                                std::string(4001, 'x'),
                                                "\xEF\xBB\xBF\xE2\x80\xA8"};
    return is_odd() ? odd[below(odd.size())] : usual[below(usual.size())];
  }
  [[nodiscard]] int number() {
    static constexpr std::array odd{-1, 6, 9999, std::numeric_limits<int>::max(), std::numeric_limits<int>::min()};
    return is_odd() ? odd[below(odd.size())] : static_cast<int>(below(5));
  }
  /// In the unit in which it is written. Half of them have all the digits that a number can have.
  [[nodiscard]] double figure() {
    static constexpr std::array odd{0.0,
                                    -0.0,
                                    -1.0,
                                    1e300,
                                    5e-324,
                                    std::numeric_limits<double>::infinity(),
                                    std::numeric_limits<double>::quiet_NaN(),
                                    9007199254740993.0};
    if (is_odd()) return odd[below(odd.size())];
    return below(2) == 0 ? (1 + below(2000)) / 8.0 : std::exp(below(65536) / 8192.0 - 3);
  }
  [[nodiscard]] Instant moment() {
    using std::chrono::year;
    static const auto new_year = [](int number) { return Instant{std::chrono::sys_days{year{number} / 1 / 1}}; };
    static const std::array odd{Instant{}, new_year(1), new_year(1899), new_year(2200), new_year(9999)};
    return is_odd() ? odd[below(odd.size())] : now_ - std::chrono::minutes{below(3000)};
  }

  template <class T>
  void invent(std::optional<T>& out) {
    out.reset();
    if (below(2) == 0) invent(out.emplace());
  }
  template <class T>
  void invent(std::vector<T>& out) {
    out.resize(below(3));
    for (auto& item : out) invent(item);
  }
  template <class... A>
  void invent(std::variant<A...>& out) {
    boost::mp11::mp_with_index<sizeof...(A)>(below(sizeof...(A)),
                                             [&](auto chosen) { invent(out.template emplace<chosen>()); });
  }
  template <class T>
  void invent(T& out) {
    if constexpr (QuantityType<T>) {
      out = T::from_value(figure() * unit_names(KindOf<T>::value).front().si);
    } else if constexpr (boost::describe::has_describe_enumerators<T>::value) {
      std::vector<T> all;
      boost::mp11::mp_for_each<boost::describe::describe_enumerators<T>>([&](auto d) { all.push_back(d.value); });
      out = is_odd() ? static_cast<T>(97) : all[below(static_cast<unsigned>(all.size()))];
    } else if constexpr (std::is_same_v<T, std::string>) {
      out = text();
    } else if constexpr (std::is_same_v<T, bool>) {
      out = below(2) == 0;
    } else if constexpr (std::is_same_v<T, int>) {
      out = number();
    } else if constexpr (std::is_same_v<T, double>) {
      out = figure();
    } else if constexpr (std::is_same_v<T, Gauge>) {
      out = Gauge{is_odd() ? number() : 14 + static_cast<int>(below(12))};
    } else if constexpr (std::is_same_v<T, Interval>) {
      out = Interval{is_odd() ? number() : static_cast<int>(below(60000))};
    } else if constexpr (std::is_same_v<T, Instant>) {
      out = moment();
    } else if constexpr (std::is_same_v<T, Date>) {
      out = is_odd() ? Date{std::chrono::year{2026} / 2 / 31} : utc_date(now_ - std::chrono::hours{24 * below(30000)});
    } else {
      boost::mp11::mp_for_each<json::members_of<T>>([&](auto member) { invent(out.*member.pointer); });
      if constexpr (std::is_same_v<T, line::Photographed>)
        if (!is_odd()) out.hash = std::string(64, 'a'), out.media_type = "image/jpeg";  // by chance it never would
    }
  }

  std::function<std::uint8_t()> next_;
  Instant now_;
  unsigned odd_ = 0;  ///< one choice of so many is an odd one; 0: none
};

/// What was accepted by this ledger decodes, folds, makes a cache that fits, and is copied into another that verifies.
/// Empty, or the first promise that was not kept.
[[nodiscard]] inline std::string broken_promise(Ledger& ledger, const policy::Policy& policy,
                                                const infusate::Formulary& formulary, Instant now) {
  const auto silent = [](VerifyProgress) {};
  for (std::int64_t after = 0, count = ledger.last_sequence(); after < count;)
    for (const auto& entry : ledger.read_after(after, 1000)) {
      if (!entry.unreadable.empty()) return entry.id + " cannot be read: " + entry.unreadable;
      after = entry.sequence;
    }
  if (!rebuild(ledger, policy, formulary, now, silent)) return "the cache cannot be made";
  const auto cache = check_cache(ledger, policy, formulary, now, silent);
  if (!cache.as_kept || !cache.compared) return "the cache is not what was kept";
  if (!cache.wrong.empty()) return "the cache does not fit line " + cache.wrong.front();
  for (const auto& line : ledger.projected(false).lines)
    if (!clocks_of(line) || !row_of(line)) return "the row of line " + line.line + " cannot be read";
  const auto copy = std::move(open_sqlite(":memory:").value());
  if (!copy_chain(ledger, *copy, silent)) return "it cannot be copied";
  for (Ledger* one : {&ledger, copy.get()})
    if (const auto proven = one->verify(silent); proven.first_bad) return "it does not verify: " + proven.reason;
  if (ledger.verify(silent).head != copy->verify(silent).head) return "the copy has another head";
  return "";
}

}  // namespace dwell::ledger
