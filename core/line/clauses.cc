#include "line/clauses.h"

#include <iterator>

#include "json/codec.h"
#include "say/line.h"

namespace dwell::line {

Message clauses(std::vector<Message> p) {
  std::erase_if(p, [](const Message& part) { return part.empty(); });
  // A pattern has so many places; what is more stands in the last of them, so that nothing lies deeper than it must.
  constexpr std::size_t places = 12;
  if (p.size() > places) {
    const auto last = p.begin() + (places - 1);
    Message rest = clauses({std::make_move_iterator(last), std::make_move_iterator(p.end())});
    p.erase(last, p.end());
    p.push_back(std::move(rest));
  }
  switch (p.size()) {
    case 0: return {};
    case 1: return p[0];
    case 2: return say::two_clauses(p[0], p[1]);
    case 3: return say::three_clauses(p[0], p[1], p[2]);
    case 4: return say::four_clauses(p[0], p[1], p[2], p[3]);
    case 5: return say::five_clauses(p[0], p[1], p[2], p[3], p[4]);
    case 6: return say::six_clauses(p[0], p[1], p[2], p[3], p[4], p[5]);
    case 7: return say::seven_clauses(p[0], p[1], p[2], p[3], p[4], p[5], p[6]);
    case 8: return say::eight_clauses(p[0], p[1], p[2], p[3], p[4], p[5], p[6], p[7]);
    case 9: return say::nine_clauses(p[0], p[1], p[2], p[3], p[4], p[5], p[6], p[7], p[8]);
    case 10: return say::ten_clauses(p[0], p[1], p[2], p[3], p[4], p[5], p[6], p[7], p[8], p[9]);
    case 11: return say::eleven_clauses(p[0], p[1], p[2], p[3], p[4], p[5], p[6], p[7], p[8], p[9], p[10]);
    default: return say::twelve_clauses(p[0], p[1], p[2], p[3], p[4], p[5], p[6], p[7], p[8], p[9], p[10], p[11]);
  }
}

std::string key_of(const Message& message) { return json::to_text(json::encode(message)); }

}  // namespace dwell::line
