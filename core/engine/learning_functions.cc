// Statistics: how long lines last and why they fail.
#include "engine/define.h"
#include "statistics/lines.h"

namespace dwell::engine {
namespace {

struct SurvivalInput {
  std::vector<statistics::Observation> lines;
  double confidence = 0.95;
  statistics::LimitKind limits = statistics::LimitKind::log_log;
};
BOOST_DESCRIBE_STRUCT(SurvivalInput, (), (lines, confidence, limits))

struct LogRankInput {
  std::vector<std::vector<statistics::Observation>> groups;
};
BOOST_DESCRIBE_STRUCT(LogRankInput, (), (groups))

struct RateInput {
  int events = 0;
  Duration dwell;
  double confidence = 0.95;
};
BOOST_DESCRIBE_STRUCT(RateInput, (), (events, dwell, confidence))

struct ShareInput {
  int events = 0, of = 0;
  double confidence = 0.95;
};
BOOST_DESCRIBE_STRUCT(ShareInput, (), (events, of, confidence))

}  // namespace

std::vector<Function> learning_functions() {
  std::vector<Function> all;
  all.push_back(define("statistics.survival", "Kaplan-Meier curve with Greenwood's error, median and restricted mean.",
                       [](const SurvivalInput& in, const Library&) {
                         return statistics::kaplan_meier(in.lines, in.confidence, in.limits);
                       }));
  all.push_back(define("statistics.log_rank", "Do the groups' lines last differently?",
                       [](const LogRankInput& in, const Library&) { return statistics::log_rank(in.groups); }));
  all.push_back(define("statistics.rate", "Events per 1\u202f000 catheter-days with the exact interval.",
                       [](const RateInput& in, const Library&) {
                         return statistics::rate_per_thousand_days(in.events, in.dwell, in.confidence);
                       }));
  all.push_back(define("statistics.share", "A share with Wilson's interval.", [](const ShareInput& in, const Library&) {
    return statistics::wilson_share(in.events, in.of, in.confidence);
  }));
  all.push_back(define<&statistics::learn>("statistics.learn",
                                           "Lines by group: dwell, failure, reasons, first-attempt success."));
  return all;
}

}  // namespace dwell::engine
