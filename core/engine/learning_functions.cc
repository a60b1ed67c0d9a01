// Statistics: how long lines last and why they fail.
#include "engine/define.h"
#include "statistics/attempt_watch.h"
#include "statistics/change_plan.h"
#include "statistics/chart.h"
#include "statistics/comparison.h"
#include "statistics/competing.h"
#include "statistics/fine_gray.h"
#include "statistics/frailty.h"
#include "statistics/funnel.h"
#include "statistics/gray.h"
#include "statistics/indicators.h"
#include "statistics/lifetime_model.h"
#include "statistics/lines.h"
#include "statistics/recurrent.h"
#include "statistics/segments.h"
#include "statistics/shrunken_shares.h"
#include "statistics/stretches.h"

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

struct CurvesInput {
  statistics::Lifetimes rows;
  std::vector<int> group, stratum;  // stratum: of the test alone
  statistics::CurveWishes wishes;
  std::optional<statistics::LogRankWeight> weight;  // absent: the plain test
};
BOOST_DESCRIBE_STRUCT(CurvesInput, (), (rows, group, stratum, wishes, weight))
struct Curves {
  std::vector<statistics::SurvivalCurve> curves;  // by rising number of the group
  std::optional<statistics::LogRank> log_rank;    // where there are several
};
BOOST_DESCRIBE_STRUCT(Curves, (), (curves, log_rank))

Checked<Curves> curves(const CurvesInput& in) {
  auto drawn = statistics::survival_curves(in.rows, in.group, in.wishes);
  if (!drawn) return refuse(std::move(drawn.error()));
  Curves out{std::move(*drawn), {}};
  if (out.curves.size() < 2) return out;
  statistics::Lifetimes rows = in.rows;
  if (in.wishes.cause)
    for (int& cause : rows.cause) cause = cause == *in.wishes.cause ? cause : 0;
  auto test = statistics::log_rank(rows, in.group, in.stratum, in.weight.value_or(statistics::LogRankWeight{}));
  if (!test) return refuse(std::move(test.error()));
  out.log_rank = *test;
  return out;
}

struct CompetingInput {
  statistics::Lifetimes rows;
  std::vector<int> group;
  statistics::CurveWishes wishes;
};
BOOST_DESCRIBE_STRUCT(CompetingInput, (), (rows, group, wishes))

struct GrayInput {
  statistics::Lifetimes rows;
  std::vector<int> group;
  int cause = 1;
  double early = 0;
};
BOOST_DESCRIBE_STRUCT(GrayInput, (), (rows, group, cause, early))

struct RecurrentInput {
  statistics::Lifetimes rows;
  std::vector<int> group;
  double confidence = 0.95;
};
BOOST_DESCRIBE_STRUCT(RecurrentInput, (), (rows, group, confidence))

struct SharesInput {
  statistics::Counted one, other;
  statistics::DifferenceKind kind = statistics::DifferenceKind::newcombe;
  double confidence = 0.95;
};
BOOST_DESCRIBE_STRUCT(SharesInput, (), (one, other, kind, confidence))
struct ComparedShares {
  statistics::Estimate difference, ratio;
};
BOOST_DESCRIBE_STRUCT(ComparedShares, (), (difference, ratio))

Checked<ComparedShares> compare_shares(const SharesInput& in) {
  auto difference = statistics::share_difference(in.one, in.other, in.kind, in.confidence);
  if (!difference) return refuse(std::move(difference.error()));
  auto ratio = statistics::share_ratio(in.one, in.other, in.confidence);
  if (!ratio) return refuse(std::move(ratio.error()));
  return ComparedShares{*difference, *ratio};
}

struct RatesInput {
  statistics::Exposed one, other;
  statistics::Tail tail = statistics::Tail::exact;
  double confidence = 0.95;
};
BOOST_DESCRIBE_STRUCT(RatesInput, (), (one, other, tail, confidence))

struct ExpectedInput {
  int observed = 0;
  double expected = 0;
  statistics::Tail tail = statistics::Tail::exact;
  double confidence = 0.95;
};
BOOST_DESCRIBE_STRUCT(ExpectedInput, (), (observed, expected, tail, confidence))

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
  all.push_back(define<&curves>(
      "statistics.curves", "Survival by group with limits, late entry and a mean to a chosen time; do they differ?"));
  all.push_back(
      define<&statistics::cox>("statistics.cox", "Which lines fail sooner, all else being equal: hazard ratios."));
  all.push_back(define<&statistics::frailty>(
      "statistics.frailty", "The same, when some patients' lines fail sooner for reasons nobody wrote down."));
  all.push_back(define<&statistics::lifetime_model>(
      "statistics.lifetimes", "How long lines last by a known shape of dwell: time ratios, and times foretold."));
  all.push_back(define<&statistics::stretches>("statistics.stretches",
                                               "The failure rate in each stretch of dwell, and hazard ratios."));
  all.push_back(define<&statistics::fine_gray>("statistics.fine_gray",
                                               "What raises the share of lines that a cause has ended by a time."));
  all.push_back(define("statistics.competing_risks",
                       "How many lines each cause has ended by a time, and the time it took.",
                       [](const CompetingInput& in, const Library&) {
                         return statistics::competing_risks(in.rows, in.group, in.wishes);
                       }));
  all.push_back(define(
      "statistics.gray", "Does a cause end more lines in one group than in another?",
      [](const GrayInput& in, const Library&) { return statistics::gray(in.rows, in.group, in.cause, in.early); }));
  all.push_back(define<&compare_shares>("statistics.compare_shares", "Two shares: their difference and their ratio."));
  all.push_back(define("statistics.rate_ratio", "Two rates: how many times the other's one is.",
                       [](const RatesInput& in, const Library&) {
                         return statistics::rate_ratio(in.one, in.other, in.tail, in.confidence);
                       }));
  all.push_back(define("statistics.ratio_to_expected", "What was seen, beside what was to be expected.",
                       [](const ExpectedInput& in, const Library&) {
                         return statistics::ratio_to_expected(in.observed, in.expected, in.tail, in.confidence);
                       }));
  all.push_back(define("statistics.recurrent", "How often something has happened by a time, when it can happen again.",
                       [](const RecurrentInput& in, const Library&) {
                         return statistics::mean_cumulative(in.rows, in.group, in.confidence);
                       }));
  all.push_back(define<&statistics::learn>("statistics.learn",
                                           "Lines by group: dwell, failure, reasons, first-attempt success."));
  all.push_back(define<&statistics::indicators>(
      "statistics.indicators", "The ward's figures: each with its interval, what counts, and the lines behind it."));
  all.push_back(define<&statistics::follow_practice>(
      "statistics.practice", "Is placing shown to be good enough, and does it stay so? Attempt by attempt."));
  all.push_back(define<&statistics::shrunken_shares>(
      "statistics.fair_shares", "Each person's share, drawn towards everybody's by as much as chance explains."));
  all.push_back(define<&statistics::chart>("statistics.chart", "Is a figure steady in time, or did something change?"));
  all.push_back(define<&statistics::segments>("statistics.segments",
                                              "Did a change do something? Level and trend before and after it."));
  all.push_back(define<&statistics::funnel>(
      "statistics.funnel", "Units beside each other: which lie outside chance and what units differ by anyway?"));
  all.push_back(define<&statistics::plan_change>("statistics.plan_change",
                                                 "How much must be watched before a change can show what it did?"));
  return all;
}

}  // namespace dwell::engine
