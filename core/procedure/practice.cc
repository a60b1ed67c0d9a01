#include "procedure/practice.h"

#include <algorithm>
#include <array>
#include <map>
#include <set>

#include "json/codec.h"
#include "quantity/display.h"
#include "text/each_text.h"

namespace dwell::procedure {
namespace {

struct Invented {
  const char *told, *family, *given, *allergy;
  int age;
  line::Sex sex;
  bool anticoagulant, fragile_skin, can_report_pain;
  const char* antiseptic;
  int gauge;
  infusate::HarmClass running;
  bool leak;
};

/// People of our own making.
constexpr std::array cases{
    Invented{"Awake, calm, dehydrated after two days of vomiting. Fluids are ordered over 8 h.", "Marsh", "Tove", "",
             34, line::Sex::female, false, false, true, "", 20, infusate::HarmClass::harmless, false},
    Invented{"Takes an anticoagulant, skin like paper, hears badly. An antibiotic is ordered each 8 h.", "Oduya", "Ben",
             "penicillin", 86, line::Sex::male, true, true, true, "", 22, infusate::HarmClass::irritant, false},
    Invented{"Said to react to chlorhexidine: swollen eyes in an operating room last year. A scan is ordered.",
             "Hallgren", "Per", "chlorhexidine", 52, line::Sex::male, false, false, true, "povidone_iodine", 18,
             infusate::HarmClass::harmless, false},
    Invented{"Confused since yesterday, pulls at the tape. What ran on the last shift is not written down, and the "
             "forearm looks swollen.",
             "Achterberg", "Nel", "", 78, line::Sex::female, true, true, false, "", 22, infusate::HarmClass::unknown,
             true}};

line::Patient patient_of(const Invented& one, Date today) {
  line::Patient patient;
  patient.number = "practice";
  patient.family = one.family;
  patient.given = one.given;
  patient.sex = one.sex;
  patient.birth_date = (today.year() - std::chrono::years{one.age}) / std::chrono::January / 1;
  patient.allergies_known = true;
  if (*one.allergy != '\0') patient.allergies = {one.allergy};
  patient.anticoagulant = one.anticoagulant;
  patient.fragile_skin = one.fragile_skin;
  patient.can_report_pain = one.can_report_pain;
  return patient;
}

Checked<std::vector<Step>> steps_of(Skill skill, const Invented& one, Date today, const policy::Policy& policy) {
  const auto patient = patient_of(one, today);
  if (skill == Skill::removing) return removing_steps({patient, 32.0 * millimetre, one.running, one.leak}, policy);
  const bool known = policy.place.antiseptics.contains(one.antiseptic);  // a ward may not keep it
  return placing_steps({patient, known ? one.antiseptic : "", Gauge{one.gauge}, today}, policy);
}

Checked<const Invented*> case_of(int number) {
  if (number < 0 || number >= how_many_cases())
    return refuse("/number", std::to_string(number), "0 to " + std::to_string(how_many_cases() - 1));
  return &cases[static_cast<std::size_t>(number)];
}

const Figure<std::vector<std::string>>& must_of(Skill skill, const policy::Practice& practice) {
  return skill == Skill::placing ? practice.placing : practice.removing;
}

/// Which of these belong to a longest rising run.
std::vector<bool> longest_rising(const std::vector<std::size_t>& places) {
  std::vector<std::size_t> length(places.size(), 1), before(places.size(), places.size());
  std::size_t last = places.size();
  for (std::size_t i = 0; i < places.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j)
      if (places[j] < places[i] && length[j] + 1 > length[i]) {
        length[i] = length[j] + 1;
        before[i] = j;
      }
    if (last == places.size() || length[i] > length[last]) last = i;
  }
  std::vector<bool> in_order(places.size(), false);
  for (std::size_t i = last; i < places.size(); i = before[i]) in_order[i] = true;
  return in_order;
}

class Scorer {
 public:
  Scorer(const PracticeRun& run, std::vector<Step> steps, const policy::Policy& policy)
      : run_(run), steps_(std::move(steps)), practice_(policy.practice) {
    for (std::size_t i = 0; i < steps_.size(); ++i) place_.emplace(steps_[i].id, i);
    const auto& must = must_of(run.skill, practice_).value;
    must_ = {must.begin(), must.end()};
  }

  FieldErrors faults() {
    FieldErrors errors;
    const auto fault = [&](std::string path, std::string found, std::string expected) {
      errors.push_back({std::move(path), std::move(found), std::move(expected)});
    };
    if (run_.learner.empty()) fault("/learner", "", "who practises");
    if (run_.observer.empty()) fault("/observer", "", "who watches");
    if (!run_.learner.empty() && run_.learner == run_.observer)
      fault("/observer", run_.observer, "somebody other than the learner");
    if (run_.ended_at < run_.begun_at) fault("/ended_at", iso(run_.ended_at), "not before it began");
    std::set<std::string> seen;
    for (std::size_t i = 0; i < run_.done.size(); ++i) {
      const std::string path = "/done/" + std::to_string(i);
      const auto& tick = run_.done[i];
      if (!place_.contains(tick.step)) fault(path + "/step", tick.step, "a step of this procedure");
      if (!seen.insert(tick.step).second) fault(path + "/step", tick.step, "each step once");
      if (i > 0 && tick.at < run_.done[i - 1].at) fault(path + "/at", iso(tick.at), "not before the tick above it");
    }
    for (std::size_t i = 0; i < run_.not_needed.size(); ++i) {
      const std::string path = "/not_needed/" + std::to_string(i);
      const auto& step = run_.not_needed[i];
      if (!place_.contains(step)) fault(path, step, "a step of this procedure");
      if (must_.contains(step)) fault(path, step, "a step that the policy lets one leave out");
      if (!seen.insert(step).second) fault(path, step, "a step that was not ticked as done");
    }
    for (std::size_t i = 0; i < run_.clocks.size(); ++i) {
      const std::string path = "/clocks/" + std::to_string(i);
      const auto found = place_.find(run_.clocks[i].step);
      if (found == place_.end() || !steps_[found->second].clock)
        fault(path + "/step", run_.clocks[i].step, "a step that has a clock");
      if (run_.clocks[i].ran < Interval{0}) fault(path + "/ran", show(run_.clocks[i].ran), "0 s or more");
    }
    return errors;
  }

  PracticeScore score() {
    PracticeScore out;
    const auto seen = sight();
    for (const auto& step : steps_) {
      StepScore one{step.id, step.title, Seen::missed, must_.contains(step.id), {}, {}, {}};
      if (const auto found = seen.find(step.id); found != seen.end()) one.seen = found->second;
      if (step.clock && one.seen != Seen::not_needed) time(one, *step.clock);
      count(one, out);
      out.steps.push_back(std::move(one));
    }
    out.share = out.asked_for > 0 ? static_cast<double>(out.in_order) / out.asked_for : 0;
    out.source = source_of(practice_.least_share);
    const bool musts_kept = std::none_of(out.steps.begin(), out.steps.end(), failed);
    out.passed = musts_kept && out.share >= practice_.least_share.value;
    if (out.passed) out.good_until = run_.ended_at + practice_.valid_for.value;
    for (const bool must : {true, false})
      for (const auto& one : out.steps)
        if (one.must == must && (must ? failed(one) : wanting(one))) out.again.push_back(one.title);
    return out;
  }

 private:
  [[nodiscard]] std::map<std::string, Seen> sight() const {
    std::vector<std::size_t> places;
    for (const auto& tick : run_.done) places.push_back(place_.at(tick.step));
    const auto in_order = longest_rising(places);
    std::map<std::string, Seen> seen;
    for (std::size_t i = 0; i < run_.done.size(); ++i)
      seen.emplace(run_.done[i].step, in_order[i] ? Seen::done : Seen::out_of_order);
    for (const auto& step : run_.not_needed) seen.emplace(step, Seen::not_needed);
    return seen;
  }

  void time(StepScore& one, const Clock& clock) const {
    one.limit = clock.limit;
    for (const auto& run : run_.clocks)
      if (run.step == one.step) one.clock_ran = run.ran;
    if (!one.clock_ran) return;
    one.clock_kept = clock.rule == ClockRule::at_least ? *one.clock_ran >= clock.limit : *one.clock_ran <= clock.limit;
  }

  static bool failed(const StepScore& one) {
    return one.must && (one.seen != Seen::done || (one.limit && !one.clock_kept.value_or(false)));
  }
  static bool wanting(const StepScore& one) {
    return one.seen == Seen::missed || one.seen == Seen::out_of_order || one.clock_kept == false;
  }

  static void count(const StepScore& one, PracticeScore& out) {
    if (one.seen != Seen::not_needed) ++out.asked_for;
    if (one.seen == Seen::done) ++out.in_order;
    if (one.seen == Seen::out_of_order) ++out.out_of_order;
    if (one.seen == Seen::missed) ++out.missed;
    if (one.clock_kept == false) ++out.clocks_broken;
  }

  const PracticeRun& run_;
  std::vector<Step> steps_;
  const policy::Practice& practice_;
  std::map<std::string, std::size_t> place_;
  std::set<std::string> must_;
};

}  // namespace

int how_many_cases() { return static_cast<int>(cases.size()); }

Checked<PracticeCase> practice_case(const CaseInput& input, const policy::Policy& policy) {
  const auto one = case_of(input.number);
  if (!one) return refuse(one.error());
  auto steps = steps_of(input.skill, **one, input.today, policy);
  if (!steps) return refuse(steps.error());
  return PracticeCase{input.number, (*one)->told, patient_of(**one, input.today), std::move(*steps)};
}

FieldErrors check_words(const PracticeRun& run) {
  FieldErrors errors;
  text::check_texts("", run, errors);
  return errors;
}

Checked<PracticeScore> score(const PracticeRun& run, const policy::Policy& policy) {
  const auto one = case_of(run.number);
  if (!one) return refuse(one.error());
  auto steps = steps_of(run.skill, **one, utc_date(run.begun_at), policy);
  if (!steps) return refuse(steps.error());
  Scorer scorer(run, std::move(*steps), policy);
  if (auto errors = scorer.faults(); !errors.empty()) return refuse(std::move(errors));
  return scorer.score();
}

}  // namespace dwell::procedure
