// What is asked of the record now and then: where lines failed, where a site is going, an id for an entry.
#include <charconv>

#include "engine/define.h"
#include "line/failed_sites.h"
#include "say/engine.h"
#include "site/trend.h"

namespace dwell::engine {
namespace {

struct IdInput {
  Instant now{};
  std::string random;  ///< 20 hex digits from a cryptographic source
};
BOOST_DESCRIBE_STRUCT(IdInput, (), (now, random))

struct FailedSitesInput {
  std::vector<line::State> states;
  std::string number;  ///< of the patient
};
BOOST_DESCRIBE_STRUCT(FailedSitesInput, (), (states, number))

struct TrendInput {
  std::vector<site::Look> looks;  ///< oldest first
};
BOOST_DESCRIBE_STRUCT(TrendInput, (), (looks))

Checked<site::Trend> trend(const TrendInput& in, const Library& library) {
  for (std::size_t i = 1; i < in.looks.size(); ++i)
    if (in.looks[i].at < in.looks[i - 1].at)
      return refuse("/looks/" + std::to_string(i) + "/at", iso(in.looks[i].at), say::not_before_look_above());
  return site::trend(in.looks, library.policy.scales, library.policy.remove.length_tolerance.value);
}

Checked<std::string> make_id(const IdInput& in, const Library&) {
  std::array<std::uint8_t, 10> random{};
  const bool digits =
      in.random.size() == 20 && in.random.find_first_not_of("0123456789abcdefABCDEF") == std::string::npos;
  if (!digits) return refuse("/random", in.random, say::hex_digits(20));
  for (std::size_t i = 0; i < random.size(); ++i)
    std::from_chars(&in.random[2 * i], &in.random[2 * i] + 2, random[i], 16);
  return line::make_id(in.now, random);
}

}  // namespace

std::vector<Function> record_functions() {
  std::vector<Function> all;
  all.push_back(define("line.failed_sites", "Where earlier lines of a patient failed, for the plan of the next.",
                       [](const FailedSitesInput& in, const Library&) -> Checked<std::vector<access::FailedSite>> {
                         return line::failed_sites(in.states, in.number);
                       }));
  all.push_back(define<&make_id>("line.make_id", "An event id (UUIDv7) from a moment and random digits."));
  all.push_back(
      define<&trend>("site.trend", "Where the site is going: better, steady or worse, and how fast a swelling grows."));
  return all;
}

}  // namespace dwell::engine
