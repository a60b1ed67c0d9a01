#include <algorithm>

#include "growth/weight_question.h"
#include "json/codec.h"
#include "procedure/steps.h"
#include "procedure/words.h"
#include "quantity/display.h"

namespace dwell::procedure {
namespace {

using line::AgeBand;

const Source checklist{"nursing-school checklists and an open textbook, as retrieved", Mark::read};

/// In the words of a tray: what of it somebody may be allergic to, beside drugs and antiseptics.
const std::vector<std::string> latex_names{"latex", "látex"};
const std::vector<std::string> tape_names{"tape", "plaster", "adhesive", "film", "esparadrapo", "adhesivo"};

Step wishes_step(const line::Patient& patient) {
  Step wishes = because(
      step("wishes", "Which arm?",
           "Arms to leave alone first. Then the hand that writes, the arm preferred, earlier lines and how they ended.",
           Capture::wishes),
      "The other hand stays free, and a vein that failed before is not tried again.");
  for (const auto& r : patient.restrictions)
    wishes =
        with_stop(std::move(wishes), "Leave alone: " + std::string(json::name_of(r.side)) + " " +
                                         std::string(json::name_of(r.limb)) + ", " + access::describe(r.reason) + ".");
  return wishes;
}

Step allergies_step(const line::Patient& patient) {
  std::string told = "Not known; ask";
  if (!patient.allergies.empty())
    told = (patient.allergies_known ? "Known: " : "Told: ") + listed(patient.allergies) +
           (patient.allergies_known ? "" : "; ask again");
  else if (patient.allergies_known)
    told = "None known; ask again";
  return step("allergies", "Allergies",
              told + " (drugs, latex, tape, antiseptic, anaesthetic). Hold them against the order and the tray.",
              Capture::allergies_checked, checklist);
}

void before_the_needle(const PlacingInput& in, AgeBand band, std::vector<Step>& steps) {
  steps.push_back(step("identity", "Right patient", "Two identifiers against band and record.",
                       Capture::identity_confirmed, checklist));
  steps.push_back(
      because(step("need", "The order and the need",
                   "Right order, right drug, right route. Must it be a vein? Is there a line that serves?",
                   Capture::none, {"Australian care standard 2021, first statement, second-hand", Mark::secondary}),
              "The line that is not placed harms nobody."));
  steps.push_back(
      step("consent", "Explain and ask",
           "Why, what you will do, what to report. Ask for a yes: of the patient, or of whoever may decide. "
           "Interpreter if needed. A no is an answer: write it down.",
           Capture::consent));
  steps.push_back(wishes_step(in.patient));
  steps.push_back(allergies_step(in.patient));
  Step supplies =
      step("supplies", "Supplies",
           "In date, pack dry and whole. Two catheters. Saline 0.9 % labelled, air out; extension primed, end capped.",
           Capture::supplies, checklist);
  if (!allergies_to(latex_names, in.patient).empty())
    supplies = with_stop(std::move(supplies), "Allergic to latex: gloves, tourniquet and ports without it.");
  steps.push_back(std::move(supplies));
  if (line::is_child(band))
    steps.push_back(step("comfort", "Comfort first",
                         band == AgeBand::child
                             ? "Say what comes. Let the child choose: look away, blow, count, hold somebody."
                             : "Warm, held, feeding or sucrose as the ward gives it; a second person.",
                         Capture::none));
  steps.push_back(step("hands", "Clean hands", "Before you touch the patient.", Capture::none, checklist));
}

/// Where an anaesthetic does not suit the age; unknown is not old enough.
void judge_age(const policy::TopicalAnaesthetic& anaesthetic, const PlacingInput& in, AgeBand band, Step& numb) {
  if (!in.patient.birth_date) {
    numb = with_stop(std::move(numb), "Age not recorded: dose and time go by age.");
    return;
  }
  if (const auto& weeks = anaesthetic.from_weeks_at_birth; weeks && band == AgeBand::neonate) {
    if (!in.patient.weeks_at_birth)
      numb = with_stop(std::move(numb), "Weeks at birth not recorded: not before " + std::to_string(weeks->value) +
                                            " weeks of gestation.");
    else if (*in.patient.weeks_at_birth < weeks->value)
      numb =
          with_stop(std::move(numb), "Born at " + std::to_string(*in.patient.weeks_at_birth) + " weeks: not before " +
                                         std::to_string(weeks->value) + " weeks of gestation.");
  }
  if (const auto& from = anaesthetic.from_age;
      from && std::chrono::sys_days(in.today) - std::chrono::sys_days(*in.patient.birth_date) < from->value)
    numb = with_stop(std::move(numb), "Under " + show(from->value) +
                                          " of age: only as the prescriber orders for this age, dose and time.");
}

/// Only where one is ordered: it must lie long enough to work, and not so long that it poisons.
void numb_the_skin(const policy::TopicalAnaesthetic& anaesthetic, const PlacingInput& in, AgeBand band,
                   std::vector<Step>& steps) {
  Step numb = step("numb", "Numb the skin", anaesthetic.name + ". " + anaesthetic.note, Capture::topical_anaesthetic,
                   source_of(anaesthetic.dwell));
  numb = with_clock(std::move(numb), ClockRule::at_least, "topical anaesthetic", anaesthetic.dwell);
  if (const auto allergies = allergies_to(anaesthetic.allergens, in.patient); !allergies.empty())
    numb = with_stop(std::move(numb), "Allergic to " + listed(allergies) + ": not this one.");
  judge_age(anaesthetic, in, band, numb);
  const auto of_age = anaesthetic.longest_of_age.find(band);
  const auto& longest =
      of_age != anaesthetic.longest_of_age.end() ? std::optional(of_age->second) : anaesthetic.longest;
  if (longest) numb = with_caution(std::move(numb), "Off again after " + show(longest->value) + " at the latest.");
  steps.push_back(
      with_caution(std::move(numb), "Ask for allergy to local anaesthetics. Wipe it off before you clean."));
}

const policy::PlaceOfAge* of_age(const policy::Place& place, AgeBand band) {
  const auto found = place.ages.find(band);
  return found == place.ages.end() ? nullptr : &found->second;
}

std::string tourniquet_words(const policy::Place& place, AgeBand band) {
  if (const auto* own = of_age(place, band); own && own->tourniquet) return own->tourniquet->value;
  if (line::is_child(band)) return "As the ward sets for this age.";
  return show_number(in(place.tourniquet_nearest.value, centimetre)) + " to " +
         show_in(place.tourniquet_farthest.value, centimetre, "cm") + " above the site; the pulse must still be felt.";
}

void find_the_vein(const PlacingInput& in, AgeBand band, const policy::Place& place, std::vector<Step>& steps) {
  const bool fragile = in.patient.fragile_skin.value_or(false);
  Step tourniquet =
      step("tourniquet", "Tourniquet",
           tourniquet_words(place, band) + (fragile ? " Fragile skin: over a sleeve, light, or none." : ""),
           Capture::tourniquet, source_of(place.tourniquet_nearest));
  if (const auto* own = of_age(place, band); own && own->tourniquet) tourniquet.source = source_of(*own->tourniquet);
  tourniquet = with_clock(std::move(tourniquet), ClockRule::at_most, "tourniquet", place.tourniquet_longest);
  tourniquet =
      because(std::move(tourniquet),
              "It fills the vein; left on too long it hurts, and blood seeps through the wall of a fragile vein.");
  steps.push_back(with_caution(std::move(tourniquet),
                               "One patient only. Count it off at the end: a forgotten tourniquet can cost a limb."));
  steps.push_back(
      step("choose", "Choose the vein",
           in.samples.value_or(false)
               ? "Look and feel: straight, soft, springy. Hard to find: warmth, arm down; no fist pumping, it "
                 "falsifies potassium. Then release the tourniquet while you clean."
               : "Look and feel: straight, soft, springy. Hard to find: warmth, arm down, open and close the "
                 "hand. Then release the tourniquet while you clean.",
           Capture::none, checklist));
}

/// An allergy to it, and an age below which only the ward's own rule holds.
void judge_antiseptic(const policy::Antiseptic& antiseptic, const PlacingInput& in, AgeBand band,
                      const policy::Place& place, Step& scrub) {
  if (const auto allergies = allergies_to(antiseptic.allergens, in.patient); !allergies.empty())
    scrub = with_stop(std::move(scrub), "Allergic to " + listed(allergies) + ": take another antiseptic.");
  if (!antiseptic.from_age || !in.patient.birth_date) return;
  const auto age = std::chrono::sys_days(in.today) - std::chrono::sys_days(*in.patient.birth_date);
  if (age >= antiseptic.from_age->value) return;
  scrub = with_caution(std::move(scrub), "Under " + show(antiseptic.from_age->value) + " of age: " +
                                             antiseptic.younger_note.value_or("only by the ward's own rule."));
  if (const auto* own = of_age(place, band); own && own->antiseptic)
    scrub = with_caution(std::move(scrub), own->antiseptic->value);
}

void clean(const policy::Antiseptic& antiseptic, const PlacingInput& in, AgeBand band, const policy::Place& place,
           std::vector<Step>& steps) {
  Step scrub = step("scrub", "Clean the skin",
                    antiseptic.name + ". " + antiseptic.note + " Dirty: soap and water first. Hair: clip, never shave.",
                    Capture::antiseptic);
  if (antiseptic.scrub) scrub = with_clock(std::move(scrub), ClockRule::at_least, "scrub", *antiseptic.scrub);
  judge_antiseptic(antiseptic, in, band, place, scrub);
  steps.push_back(std::move(scrub));
  Step dry = step("let_dry", "Let it dry", "By itself. Do not touch the site again.", Capture::dry_time);
  if (antiseptic.dry)
    dry = with_clock(std::move(dry), ClockRule::at_least, "antiseptic dry time", *antiseptic.dry);
  else
    dry.detail += " As its maker says.";
  dry = because(std::move(dry), "It works while it dries, and wet antiseptic stings and carries into the puncture.");
  steps.push_back(with_caution(std::move(dry), "Do not fan, blow or blot."));
}

/// The needle leads the catheter; how far to go on differs between texts (1 to 2 mm, 6 mm), less with a fine catheter.
std::string advance_words(const std::optional<Gauge>& gauge) {
  if (!gauge) return "go on 2 to 6 mm (less with 22 to 24 gauge)";
  return gauge->number >= 22 ? "go on about 2 mm" : "go on 2 to 6 mm";
}

void puncture(const PlacingInput& in, AgeBand band, const policy::Place& place, std::vector<Step>& steps) {
  steps.push_back(with_clock(step("tourniquet_again", "Clean hands, gloves, tourniquet",
                                  "Clean gloves; sterile ones if you must feel again.", Capture::tourniquet, checklist),
                             ClockRule::at_most, "tourniquet", place.tourniquet_longest));
  auto angle = place.insertion_angle.find(band);
  if (angle == place.insertion_angle.end()) angle = place.insertion_angle.find(AgeBand::unknown);
  const bool known = angle != place.insertion_angle.end();
  Step insert =
      step("insert", "Anchor and insert",
           "Skin taut below the site, bevel up, " + (known ? angle->second.value : std::string("a flat angle")) +
               ". On blood in the chamber: lower, " + advance_words(in.gauge) +
               ", hold the needle still and slide the catheter off.",
           Capture::attempt, known ? source_of(angle->second) : common_practice);
  insert = because(std::move(insert),
                   "The needle's tip is in the vein before the catheter's: slide too early and it tears the wall.");
  insert = with_caution(std::move(insert),
                        "Electric or shooting pain, or the patient says stop: tourniquet off, out, press.");
  insert =
      with_caution(std::move(insert), "Bright pulsing blood: an artery. Tourniquet off, out, press; open the card.");
  insert =
      with_caution(std::move(insert),
                   "No blood: back a little, once; do not search. Out means new catheter, new place, clean again.");
  steps.push_back(
      with_caution(std::move(insert), "Never put the needle back into the catheter: it can cut a piece off."));
  steps.push_back(
      with_caution(step("release", "Tourniquet off, needle out",
                        "Press over the vein above the tip, withdraw, make the needle safe, sharps box at once.",
                        Capture::none, checklist),
                   "Is the tourniquet off?"));
}

void prove(const PlacingInput& in, AgeBand band, const policy::Place& place, std::vector<Step>& steps) {
  steps.push_back(scrub_hub(place));
  steps.push_back(because(
      step("blood_return", "Blood return", "Connect; draw back gently.", Capture::blood_return, checklist),
      "Blood makes it likely that the tip is in the vein, not certain. None: no irritant or vesicant through this "
      "line."));
  if (in.samples.value_or(false))
    steps.push_back(because(
        step("samples", "Draw the samples",
             "Straight from the catheter, or throw the primed volume away first. In the laboratory's order of tubes; "
             "label at the bedside.",
             Capture::samples),
        "A sample thinned by saline, or drawn after a drug, is a wrong result with the right name."));
  const auto* own = of_age(place, band);
  const auto& volume = own && own->first_flush ? *own->first_flush : place.first_flush;
  const bool unset = line::is_child(band) && !(own && own->first_flush);
  Step flush = step("flush", "Flush and watch",
                    (unset ? std::string("As the ward sets for this age") : "About " + show(volume.value)) +
                        " of saline 0.9 %, slowly. Look and feel above the tip, ask about pain.",
                    Capture::flush, source_of(volume));
  flush = because(std::move(flush), "The first fluid shows a leak before a drug does.");
  steps.push_back(with_caution(std::move(flush), "Resistance, swelling or pain: stop. Do not flush again."));
}

void finish(const PlacingInput& in, AgeBand band, std::vector<Step>& steps) {
  Step secure = because(step("secure", "Secure", "Sutureless securement; no rolled bandage over the site.",
                             Capture::securement, {"CDC 2011, category II", Mark::read}),
                        "A catheter that moves inflames the vein, leaks and comes out.");
  if (line::is_child(band))
    secure = with_caution(std::move(secure),
                          "Near a joint: splint it, fingers and site in sight; off to look at each check.");
  steps.push_back(std::move(secure));
  Step dress = step("dress", "Dress", "Clear film so that the site shows; gauze only if it bleeds or sweats.",
                    Capture::dressing, {"textbook after INS 2021", Mark::secondary});
  if (const auto allergies = allergies_to(tape_names, in.patient); !allergies.empty())
    dress = with_stop(std::move(dress), "Allergic to " + listed(allergies) + ": another film, another tape.");
  steps.push_back(std::move(dress));
  steps.push_back(
      because(step("label", "Label", "Date, time, gauge, length, initials; \"emergency\" if asepsis was not assured.",
                   Capture::label, {"label content as retrieved; emergency flag from memory", Mark::memory}),
              "Whoever takes it out compares the length."));
  steps.push_back(
      step("teach", "Tell the patient",
           "Say at once: pain, burning, swelling, wetness, redness, bleeding, numbness. Leave clamp and pump "
           "alone. Bell in reach. Cannot tell us: tell the family, look oftener.",
           Capture::teaching, {"CDC 2002, item II.B", Mark::read}));
  steps.push_back(because(
      step("trace", "Trace the tubing", "By hand from the bag to the vein, before it runs.", Capture::tubing_traced),
      "A tube on the wrong port is found by hand, not by eye."));
  steps.push_back(
      step("record", "Write it down",
           "Tourniquet off and counted, sharps gone, gloves off, hands clean. Tries, what was given, how the "
           "patient bore it.",
           Capture::tolerance));
}

template <class T>
std::string one_of(const std::map<std::string, T>& known) {
  std::string text;
  for (const auto& [name, unused] : known) text += (text.empty() ? "one of " : ", ") + name;
  return text.empty() ? "none; this policy names none" : text;
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
                          outcome == line::AttemptOutcome::patient_stopped
                              ? "Tourniquet off, out, press. No further try without a yes."
                              : "Tourniquet off, out, press. New catheter, new place, clean and dry again.",
                          {"INS (value from memory): a new catheter for each attempt", Mark::memory}});
  return out;
}

Checked<std::vector<Step>> placing_steps(const PlacingInput& input, const policy::Policy& policy) {
  const auto& place = policy.place;
  const std::string key = input.antiseptic.empty() ? place.usual_antiseptic : input.antiseptic;
  const auto antiseptic = place.antiseptics.find(key);
  if (antiseptic == place.antiseptics.end()) return refuse("/antiseptic", key, one_of(place.antiseptics));
  const policy::TopicalAnaesthetic* anaesthetic = nullptr;
  if (const auto& wanted = input.topical_anaesthetic) {
    const auto found = place.topical_anaesthetics.find(*wanted);
    if (found == place.topical_anaesthetics.end())
      return refuse("/topical_anaesthetic", *wanted, one_of(place.topical_anaesthetics));
    anaesthetic = &found->second;
  }
  FieldErrors errors;
  growth::check_birth_date(input.patient.birth_date, input.today, "/patient/birth_date", errors);
  if (!errors.empty()) return refuse(std::move(errors));
  if (const auto weeks = input.patient.weeks_at_birth; weeks && (*weeks < 20 || *weeks > 45))
    return refuse("/patient/weeks_at_birth", std::to_string(*weeks), "20 to 45");
  const auto band = line::age_band(input.patient, input.today);
  std::vector<Step> steps;
  before_the_needle(input, band, steps);
  if (anaesthetic) numb_the_skin(*anaesthetic, input, band, steps);
  find_the_vein(input, band, place, steps);
  clean(antiseptic->second, input, band, place, steps);
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
