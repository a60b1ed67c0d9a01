#include <algorithm>

#include "growth/weight_question.h"
#include "json/codec.h"
#include "procedure/flush_volume.h"
#include "procedure/steps.h"
#include "procedure/words.h"
#include "quantity/display.h"
#include "say/access.h"
#include "say/common.h"
#include "say/procedure.h"

namespace dwell::procedure {
namespace {

using line::AgeBand;

const Source checklist{"nursing-school checklists and an open textbook, as retrieved", Mark::read};

/// In the words of a tray: what of it somebody may be allergic to, beside drugs and antiseptics.
const std::vector<std::string> latex_names{"latex", "látex"};
const std::vector<std::string> tape_names{"tape", "plaster", "adhesive", "film", "esparadrapo", "adhesivo"};

Step wishes_step(const line::Patient& patient) {
  Step wishes = because(step("wishes", say::step_which_arm(), say::do_wishes(), Capture::wishes), say::why_which_arm());
  for (const auto& r : patient.restrictions)
    wishes = with_stop(std::move(wishes), say::leave_limb_alone(r.side, r.limb, say::restriction(r.reason)));
  return wishes;
}

Step allergies_step(const line::Patient& patient) {
  Message told = patient.allergies_known ? say::no_allergies_known() : say::allergies_not_known();
  if (!patient.allergies.empty())
    told = patient.allergies_known ? say::allergies_known(as_given(patient.allergies))
                                   : say::allergies_told(as_given(patient.allergies));
  return step("allergies", say::step_allergies(), std::move(told), Capture::allergies_checked, checklist);
}

void before_the_needle(const PlacingInput& in, AgeBand band, std::vector<Step>& steps) {
  steps.push_back(
      step("identity", say::step_right_patient(), say::do_identity(), Capture::identity_confirmed, checklist));
  steps.push_back(because(step("need", say::step_the_order_and_the_need(), say::do_need(), Capture::none,
                               {"Australian care standard 2021, first statement, second-hand", Mark::secondary}),
                          say::why_the_need()));
  steps.push_back(step("consent", say::step_explain_and_ask(), say::do_consent(), Capture::consent));
  steps.push_back(wishes_step(in.patient));
  steps.push_back(allergies_step(in.patient));
  Step supplies = step("supplies", say::step_supplies(), say::do_supplies(), Capture::supplies, checklist);
  if (!allergies_to(latex_names, in.patient).empty())
    supplies = with_stop(std::move(supplies), say::allergic_to_latex());
  steps.push_back(std::move(supplies));
  if (line::is_child(band))
    steps.push_back(step("comfort", say::step_comfort_first(),
                         band == AgeBand::child ? say::do_comfort_child() : say::do_comfort_newborn(), Capture::none));
  steps.push_back(step("hands", say::step_clean_hands(), say::do_hands(), Capture::none, checklist));
}

/// Where an anaesthetic does not suit the age; unknown is not old enough.
void judge_age(const policy::TopicalAnaesthetic& anaesthetic, const PlacingInput& in, AgeBand band, Step& numb) {
  if (!in.patient.birth_date) {
    numb = with_stop(std::move(numb), say::age_not_recorded_for_it());
    return;
  }
  if (const auto& weeks = anaesthetic.from_weeks_at_birth; weeks && band == AgeBand::neonate) {
    if (!in.patient.weeks_at_birth)
      numb = with_stop(std::move(numb), say::weeks_at_birth_not_recorded(weeks->value));
    else if (*in.patient.weeks_at_birth < weeks->value)
      numb = with_stop(std::move(numb), say::born_too_early_for_it(*in.patient.weeks_at_birth, weeks->value));
  }
  if (const auto& from = anaesthetic.from_age;
      from && std::chrono::sys_days(in.today) - std::chrono::sys_days(*in.patient.birth_date) < from->value)
    numb = with_stop(std::move(numb), say::too_young_for_it(from->value));
}

/// Only where one is ordered: it must lie long enough to work, and not so long that it poisons.
void numb_the_skin(const policy::TopicalAnaesthetic& anaesthetic, const PlacingInput& in, AgeBand band,
                   std::vector<Step>& steps) {
  Step numb =
      step("numb", say::step_numb_the_skin(), say::name_and_note(policy::title_of(anaesthetic), anaesthetic.note),
           Capture::topical_anaesthetic, source_of(anaesthetic.dwell));
  numb = with_clock(std::move(numb), ClockRule::at_least, say::clock_topical_anaesthetic(), anaesthetic.dwell);
  if (const auto allergies = allergies_to(anaesthetic.allergens, in.patient); !allergies.empty())
    numb = with_stop(std::move(numb), say::allergic_to_anaesthetic(as_given(allergies)));
  judge_age(anaesthetic, in, band, numb);
  const auto of_age = anaesthetic.longest_of_age.find(band);
  const auto& longest =
      of_age != anaesthetic.longest_of_age.end() ? std::optional(of_age->second) : anaesthetic.longest;
  if (longest) numb = with_caution(std::move(numb), say::off_again_after(longest->value));
  steps.push_back(with_caution(std::move(numb), say::ask_for_allergy_to_anaesthetics()));
}

const policy::PlaceOfAge* of_age(const policy::Place& place, AgeBand band) {
  const auto found = place.ages.find(band);
  return found == place.ages.end() ? nullptr : &found->second;
}

Message tourniquet_words(const policy::Place& place, AgeBand band) {
  if (const auto* own = of_age(place, band); own && own->tourniquet) return own->tourniquet->value;
  if (line::is_child(band)) return say::tourniquet_as_the_ward_sets();
  return say::tourniquet_above_the_site(
      shown_number(in(place.tourniquet_nearest.value, centimetre)),
      message::Quantity{{{show_number(in(place.tourniquet_farthest.value, centimetre)), "cm"}}});
}

void find_the_vein(const PlacingInput& in, AgeBand band, const policy::Place& place, std::vector<Step>& steps) {
  const bool fragile = in.patient.fragile_skin.value_or(false);
  Message how = tourniquet_words(place, band);
  if (fragile) how = say::sentences({std::move(how), say::tourniquet_on_fragile_skin()});
  Step tourniquet = step("tourniquet", say::step_tourniquet(), std::move(how), Capture::tourniquet,
                         source_of(place.tourniquet_nearest));
  if (const auto* own = of_age(place, band); own && own->tourniquet) tourniquet.source = source_of(*own->tourniquet);
  tourniquet = with_clock(std::move(tourniquet), ClockRule::at_most, say::clock_tourniquet(), place.tourniquet_longest);
  tourniquet = because(std::move(tourniquet), say::why_tourniquet());
  steps.push_back(with_caution(std::move(tourniquet), say::count_the_tourniquet_off()));
  steps.push_back(step("choose", say::step_choose_the_vein(),
                       in.samples.value_or(false) ? say::do_choose_before_samples() : say::do_choose(), Capture::none,
                       checklist));
}

/// An allergy to it, and an age below which only the ward's own rule holds.
void judge_antiseptic(const policy::Antiseptic& antiseptic, const PlacingInput& in, AgeBand band,
                      const policy::Place& place, Step& scrub) {
  if (const auto allergies = allergies_to(antiseptic.allergens, in.patient); !allergies.empty())
    scrub = with_stop(std::move(scrub), say::allergic_to_antiseptic(as_given(allergies)));
  if (!antiseptic.from_age || !in.patient.birth_date) return;
  const auto age = std::chrono::sys_days(in.today) - std::chrono::sys_days(*in.patient.birth_date);
  if (age >= antiseptic.from_age->value) return;
  const Message rule = antiseptic.younger_note ? Message(*antiseptic.younger_note) : say::only_by_the_wards_rule();
  scrub = with_caution(std::move(scrub), say::under_this_age(antiseptic.from_age->value, rule));
  if (const auto* own = of_age(place, band); own && own->antiseptic)
    scrub = with_caution(std::move(scrub), own->antiseptic->value);
}

void clean(const policy::Antiseptic& antiseptic, const PlacingInput& in, AgeBand band, const policy::Place& place,
           std::vector<Step>& steps) {
  Step scrub = step("scrub", say::step_clean_the_skin(), say::clean_with(policy::title_of(antiseptic), antiseptic.note),
                    Capture::antiseptic);
  if (antiseptic.scrub)
    scrub = with_clock(std::move(scrub), ClockRule::at_least, say::clock_scrub(), *antiseptic.scrub);
  judge_antiseptic(antiseptic, in, band, place, scrub);
  steps.push_back(std::move(scrub));
  Step dry = step("let_dry", say::step_let_it_dry(), say::do_let_dry(), Capture::dry_time);
  if (antiseptic.dry)
    dry = with_clock(std::move(dry), ClockRule::at_least, say::clock_antiseptic_dry_time(), *antiseptic.dry);
  else
    dry.detail = say::let_dry_as_its_maker_says();
  dry = because(std::move(dry), say::why_let_dry());
  steps.push_back(with_caution(std::move(dry), say::do_not_fan_blow_or_blot()));
}

/// The needle leads the catheter; how far to go on differs between texts (1 to 2 mm, 6 mm), less with a fine catheter.
Advance advance_of(const std::optional<Gauge>& gauge) {
  if (!gauge) return Advance::gauge_not_known;
  return gauge->number >= 22 ? Advance::fine : Advance::other;
}

void puncture(const PlacingInput& in, AgeBand band, const policy::Place& place, std::vector<Step>& steps) {
  steps.push_back(with_clock(step("tourniquet_again", say::step_clean_hands_gloves_tourniquet(),
                                  say::do_tourniquet_again(), Capture::tourniquet, checklist),
                             ClockRule::at_most, say::clock_tourniquet(), place.tourniquet_longest));
  auto angle = place.insertion_angle.find(band);
  if (angle == place.insertion_angle.end()) angle = place.insertion_angle.find(AgeBand::unknown);
  const bool known = angle != place.insertion_angle.end();
  Step insert =
      step("insert", say::step_anchor_and_insert(),
           say::anchor_and_insert(known ? Message(angle->second.value) : say::a_flat_angle(), advance_of(in.gauge)),
           Capture::attempt, known ? source_of(angle->second) : common_practice);
  insert = because(std::move(insert), say::why_insert_so_far());
  insert = with_caution(std::move(insert), say::shooting_pain_or_stop());
  insert = with_caution(std::move(insert), say::pulsing_blood_is_an_artery());
  insert = with_caution(std::move(insert), say::no_blood_at_the_attempt());
  steps.push_back(with_caution(std::move(insert), say::never_put_the_needle_back()));
  steps.push_back(
      with_caution(step("release", say::step_tourniquet_off_needle_out(), say::do_release(), Capture::none, checklist),
                   say::is_the_tourniquet_off()));
}

void prove(const PlacingInput& in, AgeBand band, const policy::Place& place, std::vector<Step>& steps) {
  steps.push_back(scrub_hub(place));
  steps.push_back(
      because(step("blood_return", say::step_blood_return(), say::do_blood_return(), Capture::blood_return, checklist),
              say::why_blood_return()));
  if (in.samples.value_or(false))
    steps.push_back(because(step("samples", say::step_draw_the_samples(), say::do_samples(), Capture::samples),
                            say::why_samples()));
  const auto* volume = policy_flush(place, band);
  Step flush = step("flush", say::step_flush_and_watch(),
                    volume == nullptr ? say::flush_as_the_ward_sets() : say::flush_with(volume->value), Capture::flush,
                    source_of(volume == nullptr ? place.first_flush : *volume));
  flush = because(std::move(flush), say::why_flush());
  steps.push_back(with_caution(std::move(flush), say::resistance_swelling_or_pain()));
}

void finish(const PlacingInput& in, AgeBand band, std::vector<Step>& steps) {
  Step secure = because(
      step("secure", say::step_secure(), say::do_secure(), Capture::securement, {"CDC 2011, category II", Mark::read}),
      say::why_secure());
  if (line::is_child(band)) secure = with_caution(std::move(secure), say::splint_near_a_joint());
  steps.push_back(std::move(secure));
  Step dress = step("dress", say::step_dress(), say::do_dress(), Capture::dressing,
                    {"textbook after INS 2021", Mark::secondary});
  if (const auto allergies = allergies_to(tape_names, in.patient); !allergies.empty())
    dress = with_stop(std::move(dress), say::allergic_to_tape(as_given(allergies)));
  steps.push_back(std::move(dress));
  steps.push_back(because(step("label", say::step_label(), say::do_label(), Capture::label,
                               {"label content as retrieved; emergency flag from memory", Mark::memory}),
                          say::why_label()));
  steps.push_back(step("teach", say::step_tell_the_patient(), say::do_teach(), Capture::teaching,
                       {"CDC 2002, item II.B", Mark::read}));
  steps.push_back(
      because(step("trace", say::step_trace_the_tubing(), say::do_trace(), Capture::tubing_traced), say::why_trace()));
  steps.push_back(step("record", say::step_write_it_down(), say::do_record(), Capture::tolerance));
}

/// Null: nothing but another try.
const char* response_to(line::AttemptOutcome outcome) {
  switch (outcome) {
    case line::AttemptOutcome::arterial: return "arterial_entry";
    case line::AttemptOutcome::nerve_pain: return "nerve_pain";
    case line::AttemptOutcome::haematoma: return "haematoma";
    // Nothing but the flush can have run.
    case line::AttemptOutcome::infiltrated: return "leak_harmless";
    case line::AttemptOutcome::placed:
    case line::AttemptOutcome::no_flashback:
    case line::AttemptOutcome::no_advance:
    case line::AttemptOutcome::patient_stopped: break;
  }
  return nullptr;
}

}  // namespace

FailedAttempt after_failed_attempt(line::AttemptOutcome outcome, const policy::Policy& policy) {
  FailedAttempt out;
  out.go_on_at = outcome == line::AttemptOutcome::patient_stopped ? "consent" : "tourniquet";
  if (const char* name = response_to(outcome)) {
    out.response = name;
    if (const auto card = policy.responses.find(name); card != policy.responses.end()) out.card = card->second;
  }
  out.findings.push_back({Severity::caution,
                          "new_catheter",
                          outcome == line::AttemptOutcome::patient_stopped ? say::no_further_try_without_a_yes()
                                                                           : say::new_catheter_new_place(),
                          {"INS (value from memory): a new catheter for each attempt", Mark::memory}});
  return out;
}

Checked<std::vector<Step>> placing_steps(const PlacingInput& input, const policy::Policy& policy) {
  const auto& place = policy.place;
  const auto antiseptic = antiseptic_of(input.antiseptic, place);
  if (!antiseptic) return refuse(antiseptic.error());
  const policy::TopicalAnaesthetic* anaesthetic = nullptr;
  if (const auto& wanted = input.topical_anaesthetic) {
    const auto found = place.topical_anaesthetics.find(*wanted);
    if (found == place.topical_anaesthetics.end())
      return refuse("/topical_anaesthetic", *wanted, one_of_those(keys_of(place.topical_anaesthetics)));
    anaesthetic = &found->second;
  }
  FieldErrors errors;
  growth::check_birth_date(input.patient.birth_date, input.today, "/patient/birth_date", errors);
  if (!errors.empty()) return refuse(std::move(errors));
  if (const auto weeks = input.patient.weeks_at_birth; weeks && (*weeks < 20 || *weeks > 45))
    return refuse("/patient/weeks_at_birth", std::to_string(*weeks), say::weeks_20_to_45());
  const auto band = line::age_band(input.patient, input.today);
  std::vector<Step> steps;
  before_the_needle(input, band, steps);
  if (anaesthetic) numb_the_skin(*anaesthetic, input, band, steps);
  find_the_vein(input, band, place, steps);
  clean(**antiseptic, input, band, place, steps);
  puncture(input, band, place, steps);
  prove(input, band, place, steps);
  finish(input, band, steps);
  // Doses and flushes go by weight: asked where the patient is made sure of.
  if (const auto doubt = growth::question_weight(input.patient, input.today))
    for (auto& s : steps)
      if (s.id == "identity") s.cautions.push_back(doubt->text);
  return steps;
}

}  // namespace dwell::procedure
