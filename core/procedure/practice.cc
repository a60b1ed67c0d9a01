#include "procedure/practice.h"

#include <algorithm>
#include <map>
#include <set>

#include "json/codec.h"
#include "procedure/words.h"
#include "quantity/display.h"
#include "say/procedure.h"
#include "text/each_text.h"
#include "text/mentions.h"

namespace dwell::procedure {
namespace {

/// What is told for one skill, and what this patient changes in what counts.
struct Story {
  Skill skill;
  Message told;
  std::vector<std::string> must{}, must_not{};  ///< empty: the policy's, and none
};

struct Invented {
  const char *family, *given, *allergy;
  int years, days;  ///< old
  line::Sex sex;
  bool anticoagulant, fragile_skin, can_report_pain;
  const char* antiseptic;  ///< the one that suits, where the usual one does not
  int gauge;
  infusate::HarmClass running;
  bool leak;
  std::vector<access::Restriction> restrictions;
  std::optional<int> weeks_at_birth;
  std::vector<Story> stories;
};

/// Up to the needle and no further: the vein was not what it seemed.
Story ends_at_the_needle(Message told) {
  return {Skill::placing,
          std::move(told),
          {"identity", "consent", "allergies", "hands", "scrub", "let_dry", "tourniquet_again", "insert"},
          {"blood_return", "flush", "secure"}};
}

/// People of our own making. What is kept of a run names its case by number: new ones are added at the end.
const std::vector<Invented>& cases() {
  using infusate::HarmClass;
  using line::Sex;
  static const std::vector<Invented> all{
      {"Marsh",
       "Tove",
       "",
       34,
       0,
       Sex::female,
       false,
       false,
       true,
       "",
       20,
       HarmClass::harmless,
       false,
       {},
       {},
       {{Skill::placing, say::told_marsh_placing()}, {Skill::removing, say::told_marsh_removing()}}},
      {"Oduya",
       "Ben",
       "penicillin",
       86,
       0,
       Sex::male,
       true,
       true,
       true,
       "",
       22,
       HarmClass::irritant,
       false,
       {},
       {},
       {{Skill::placing, say::told_oduya_placing(), {"identity", "need", "allergies"}, {"insert"}},
        {Skill::removing, say::told_oduya_removing()}}},
      {"Hallgren",
       "Per",
       "chlorhexidine",
       52,
       0,
       Sex::male,
       false,
       false,
       true,
       "povidone_iodine",
       18,
       HarmClass::harmless,
       false,
       {},
       {},
       {{Skill::placing, say::told_hallgren_placing()}, {Skill::removing, say::told_hallgren_removing()}}},
      {"Achterberg",
       "Nel",
       "",
       78,
       0,
       Sex::female,
       true,
       true,
       false,
       "",
       22,
       HarmClass::unknown,
       true,
       {},
       {},
       {{Skill::placing, say::told_achterberg_placing()},
        {Skill::removing,
         say::told_achterberg_removing(),
         {"ground", "identity", "stop", "leave_in", "call"},
         {"loosen", "withdraw"}}}},
      {"Veld",
       "Iris",
       "",
       0,
       3,
       Sex::female,
       false,
       true,
       false,
       "",
       24,
       HarmClass::vesicant,
       false,
       {},
       36,
       {{Skill::placing, say::told_veld_placing()}, {Skill::checking, say::told_veld_checking()}}},
      {"Aro",
       "Mika",
       "",
       4,
       0,
       Sex::male,
       false,
       false,
       true,
       "",
       22,
       HarmClass::harmless,
       false,
       {},
       {},
       {{Skill::placing, say::told_aro_placing()},
        {Skill::removing, say::told_aro_removing()},
        {Skill::checking, say::told_aro_checking()}}},
      {"Brandt",
       "Ute",
       "",
       61,
       0,
       Sex::female,
       false,
       false,
       true,
       "",
       22,
       HarmClass::irritant,
       false,
       {},
       {},
       {{Skill::placing,
         say::told_brandt_placing(),
         {"identity", "need", "consent"},
         {"tourniquet", "scrub", "insert"}}}},
      {"Osei",
       "Kofi",
       "",
       58,
       0,
       Sex::male,
       true,
       false,
       true,
       "",
       20,
       HarmClass::harmless,
       false,
       {{access::Side::left, access::Limb::arm, access::RestrictionReason::fistula_or_graft, ""}},
       {},
       {{Skill::placing, say::told_osei_placing()}}},
      {"Lund",
       "Eva",
       "",
       45,
       0,
       Sex::female,
       false,
       false,
       true,
       "",
       20,
       HarmClass::irritant,
       false,
       {},
       {},
       {ends_at_the_needle(say::told_lund_placing())}},
      {"Ferri",
       "Luca",
       "",
       29,
       0,
       Sex::male,
       false,
       false,
       true,
       "",
       18,
       HarmClass::harmless,
       false,
       {},
       {},
       {ends_at_the_needle(say::told_ferri_placing())}},
      {"Petrov",
       "Ana",
       "latex",
       70,
       0,
       Sex::female,
       true,
       true,
       true,
       "",
       22,
       HarmClass::vesicant,
       false,
       {},
       {},
       {{Skill::checking, say::told_petrov_checking()}, {Skill::receiving, say::told_petrov_receiving()}}}};
  return all;
}

line::Patient patient_of(const Invented& one, Date today) {
  line::Patient patient;
  patient.number = "practice";
  patient.family = one.family;
  patient.given = one.given;
  patient.sex = one.sex;
  if (one.years == 0)
    patient.birth_date = Date(std::chrono::sys_days(today) - std::chrono::days{one.days});
  else
    patient.birth_date = (today.year() - std::chrono::years{one.years}) / std::chrono::January / 1;
  patient.allergies_known = true;
  if (*one.allergy != '\0') patient.allergies = {one.allergy};
  patient.anticoagulant = one.anticoagulant;
  patient.fragile_skin = one.fragile_skin;
  patient.can_report_pain = one.can_report_pain;
  patient.restrictions = one.restrictions;
  patient.weeks_at_birth = one.weeks_at_birth;
  return patient;
}

/// The one meant for this case, or the usual one, or any other of the ward that the patient is not allergic to.
Checked<std::string> antiseptic_for(const Invented& one, const line::Patient& patient, const policy::Place& place) {
  const auto suits = [&](const std::string& key) {
    const auto found = place.antiseptics.find(key);
    return found != place.antiseptics.end() && allergies_to(found->second.allergens, patient).empty() &&
           // An edition of the policy that names no allergens yet is asked by the antiseptic's own name.
           std::none_of(patient.allergies.begin(), patient.allergies.end(),
                        [&](const std::string& allergy) { return text::mentions(found->second.name, allergy); });
  };
  if (suits(one.antiseptic)) return std::string(one.antiseptic);
  if (suits(place.usual_antiseptic)) return place.usual_antiseptic;
  for (const auto& [key, unused] : place.antiseptics)
    if (suits(key)) return key;
  return refuse("/number", one.family, say::a_patient_with_an_antiseptic());
}

Checked<std::vector<Step>> steps_of(Skill skill, const Invented& one, Date today, const policy::Policy& policy) {
  const auto patient = patient_of(one, today);
  switch (skill) {
    case Skill::removing: return removing_steps({patient, 32.0 * millimetre, one.running, one.leak}, policy);
    case Skill::receiving: return receiving_steps({line::Origin::field, std::nullopt, std::nullopt}, policy);
    case Skill::checking: return checking_steps({patient, one.running, one.running != infusate::HarmClass::unknown});
    case Skill::placing: break;
  }
  return antiseptic_for(one, patient, policy.place).and_then([&](const std::string& antiseptic) {
    return placing_steps({patient, antiseptic, Gauge{one.gauge}, today}, policy);
  });
}

/// Of all cases, this one's story for this skill.
struct Scene {
  const Invented* person = nullptr;
  const Story* story = nullptr;
};

Checked<Scene> scene_of(int number, Skill skill) {
  if (number < 0 || number >= how_many_cases())
    return refuse("/number", std::to_string(number), say::zero_to(how_many_cases() - 1));
  const auto& one = cases()[static_cast<std::size_t>(number)];
  for (const auto& story : one.stories)
    if (story.skill == skill) return Scene{&one, &story};
  return refuse("/skill", std::string(json::name_of(skill)), say::a_skill_of_this_patient());
}

std::vector<std::string> must_of(const Story& story, const policy::Practice& practice) {
  if (!story.must.empty()) return story.must;
  switch (story.skill) {
    case Skill::placing: return practice.placing.value;
    case Skill::removing: return practice.removing.value;
    case Skill::receiving: return practice.receiving ? practice.receiving->value : std::vector<std::string>{};
    case Skill::checking: return practice.checking ? practice.checking->value : std::vector<std::string>{};
  }
  return {};
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
  Scorer(const PracticeRun& run, const Story& story, std::vector<Step> steps, const policy::Policy& policy)
      : run_(run),
        steps_(std::move(steps)),
        practice_(policy.practice),
        must_not_(story.must_not.begin(), story.must_not.end()),
        ends_early_(!story.must.empty()) {
    for (std::size_t i = 0; i < steps_.size(); ++i) place_.emplace(steps_[i].id, i);
    const auto must = must_of(story, practice_);
    must_ = {must.begin(), must.end()};
  }

  FieldErrors faults() {
    FieldErrors errors;
    const auto fault = [&](std::string path, std::string found, Message expected) {
      errors.push_back({std::move(path), std::move(found), std::move(expected)});
    };
    if (run_.learner.empty()) fault("/learner", "", say::who_practises());
    if (run_.observer.empty()) fault("/observer", "", say::who_watches());
    if (!run_.learner.empty() && run_.learner == run_.observer)
      fault("/observer", run_.observer, say::somebody_other_than_the_learner());
    if (run_.ended_at < run_.begun_at) fault("/ended_at", iso(run_.ended_at), say::not_before_it_began());
    std::set<std::string> seen;
    for (std::size_t i = 0; i < run_.done.size(); ++i) {
      const std::string path = "/done/" + std::to_string(i);
      const auto& tick = run_.done[i];
      if (!place_.contains(tick.step)) fault(path + "/step", tick.step, say::a_step_of_this_procedure());
      if (!seen.insert(tick.step).second) fault(path + "/step", tick.step, say::each_step_once());
      if (i > 0 && tick.at < run_.done[i - 1].at)
        fault(path + "/at", iso(tick.at), say::not_before_the_tick_above_it());
    }
    for (std::size_t i = 0; i < run_.not_needed.size(); ++i) {
      const std::string path = "/not_needed/" + std::to_string(i);
      const auto& step = run_.not_needed[i];
      if (!place_.contains(step)) fault(path, step, say::a_step_of_this_procedure());
      if (must_.contains(step)) fault(path, step, say::a_step_that_may_be_left_out());
      if (!seen.insert(step).second) fault(path, step, say::a_step_not_ticked());
    }
    for (std::size_t i = 0; i < run_.clocks.size(); ++i) {
      const std::string path = "/clocks/" + std::to_string(i);
      const auto found = place_.find(run_.clocks[i].step);
      if (found == place_.end() || !steps_[found->second].clock)
        fault(path + "/step", run_.clocks[i].step, say::a_step_that_has_a_clock());
      if (run_.clocks[i].ran < Interval{0}) fault(path + "/ran", show(run_.clocks[i].ran), say::zero_seconds_or_more());
    }
    return errors;
  }

  PracticeScore score() {
    PracticeScore out;
    const auto seen = sight();
    for (const auto& step : steps_) {
      StepScore one{step.id, step.title, Seen::missed, must_.contains(step.id), {}, {}, {}};
      one.must_not = must_not_.contains(step.id);
      if (const auto found = seen.find(step.id); found != seen.end())
        one.seen = found->second;
      else if (one.must_not || (ends_early_ && !one.must))
        one.seen = Seen::not_needed;
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
        if ((one.must || one.must_not) == must && (must ? failed(one) : wanting(one))) out.again.push_back(one.title);
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
    if (one.must_not) return one.seen == Seen::done || one.seen == Seen::out_of_order;
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
  std::set<std::string> must_, must_not_;
  bool ends_early_ = false;  ///< what is neither a must nor a fault is not asked for
};

}  // namespace

int how_many_cases() { return static_cast<int>(cases().size()); }

std::vector<CaseSkills> practice_cases() {
  std::vector<CaseSkills> all;
  for (const auto& one : cases()) {
    CaseSkills here{static_cast<int>(all.size()), {}};
    for (const auto& story : one.stories) here.skills.push_back(story.skill);
    all.push_back(std::move(here));
  }
  return all;
}

Checked<PracticeCase> practice_case(const CaseInput& input, const policy::Policy& policy) {
  const auto scene = scene_of(input.number, input.skill);
  if (!scene) return refuse(scene.error());
  auto steps = steps_of(input.skill, *scene->person, input.today, policy);
  if (!steps) return refuse(steps.error());
  return PracticeCase{input.number, scene->story->told, patient_of(*scene->person, input.today), std::move(*steps)};
}

FieldErrors check_words(const PracticeRun& run) {
  FieldErrors errors;
  text::check_texts("", run, errors);
  return errors;
}

Checked<PracticeScore> score(const PracticeRun& run, const policy::Policy& policy) {
  const auto scene = scene_of(run.number, run.skill);
  if (!scene) return refuse(scene.error());
  auto steps = steps_of(run.skill, *scene->person, utc_date(run.begun_at), policy);
  if (!steps) return refuse(steps.error());
  Scorer scorer(run, *scene->story, std::move(*steps), policy);
  if (auto errors = scorer.faults(); !errors.empty()) return refuse(std::move(errors));
  return scorer.score();
}

}  // namespace dwell::procedure
