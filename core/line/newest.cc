#include "line/newest.h"

#include <algorithm>
#include <type_traits>

#include "json/codec.h"

namespace dwell::line {
namespace {

template <class T>
constexpr bool is_cut = std::is_same_v<T, std::vector<HistoryEntry>> || std::is_same_v<T, std::vector<site::Look>> ||
                        std::is_same_v<T, std::vector<PhotoMark>> || std::is_same_v<T, std::vector<Deviation>>;

}  // namespace

Newest newest(const State& state, std::size_t most) {
  Newest out;
  out.earlier = state.history.size() - std::min(state.history.size(), most);
  if (out.earlier == 0) return {state, 0};
  const Instant since = most == 0 ? Instant::max() : state.history[out.earlier].at;
  boost::mp11::mp_for_each<json::members_of<State>>([&](auto member) {
    const auto& all = state.*member.pointer;
    auto& kept = out.state.*member.pointer;
    if constexpr (is_cut<std::remove_cvref_t<decltype(all)>>) {
      // All of these lists are in the order of time.
      const auto from = std::partition_point(all.begin(), all.end(), [&](const auto& one) { return one.at < since; });
      kept.assign(from, all.end());
    } else {
      kept = all;
    }
  });
  out.state.history.assign(state.history.begin() + static_cast<std::ptrdiff_t>(out.earlier), state.history.end());
  return out;
}

}  // namespace dwell::line
