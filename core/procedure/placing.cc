#include "growth/weight_question.h"
#include "json/codec.h"
#include "procedure/steps.h"
#include "quantity/display.h"

namespace dwell::procedure {
namespace {

const Source practice{"common practice, no source", Mark::practice};
const Source checklist{"nursing-school checklists and an open textbook, as retrieved", Mark::read};

Step step(const char* id, const char* title, std::string detail, Capture capture, Source source = practice) {
  Step made;
  made.id = id;
  made.title = title;
  made.detail = std::move(detail);
  made.capture = capture;
  made.source = std::move(source);
  return made;
}

Step because(Step made, std::string why) {
  made.why = std::move(why);
  return made;
}

Step with_clock(Step made, ClockRule rule, const char* name, const Figure<Interval>& figure) {
  made.clock = Clock{rule, figure.value, name, source_of(figure)};
  return made;
}

Step with_caution(Step made, std::string caution) {
  made.cautions.push_back(std::move(caution));
  return made;
}

void before_the_needle(const PlacingInput& in, std::vector<Step>& steps) {
  steps.push_back(step("identity", "Right patient", "Two identifiers against band and record.",
                       Capture::identity_confirmed, checklist));
  steps.push_back(step("consent", "Explain and ask",
                       "Purpose, steps, what to report. Ask for agreement. A no is an answer: write it down.",
                       Capture::consent));
  steps.push_back(
      because(step("wishes", "Which arm?", "The hand that writes, the arm preferred, earlier lines and how they ended.",
                   Capture::wishes),
              "The other hand stays free, and a vein that failed before is not tried again."));
  std::string allergies = in.patient.allergies_known
                              ? (in.patient.allergies.empty() ? "None known; ask again" : "Known: ")
                              : "Not known; ask";
  for (std::size_t i = 0; i < in.patient.allergies.size(); ++i) allergies += (i ? ", " : "") + in.patient.allergies[i];
  steps.push_back(step("allergies", "Allergies", allergies + " (drugs, latex, tape, antiseptic, anaesthetic).",
                       Capture::allergies_checked, checklist));
  steps.push_back(step("supplies", "Supplies",
                       "Every item in date, pack dry and whole; flush drawn up, extension primed.", Capture::supplies,
                       checklist));
  steps.push_back(step("hands", "Clean hands", "Before touching the patient and again before the clean step.",
                       Capture::none, checklist));
}

/// Only where one is ordered: it must lie long enough to work.
void numb_the_skin(const policy::TopicalAnaesthetic& anaesthetic, std::vector<Step>& steps) {
  Step numb = step("numb", "Numb the skin", anaesthetic.name + ". " + anaesthetic.note, Capture::topical_anaesthetic,
                   source_of(anaesthetic.dwell));
  numb = with_clock(std::move(numb), ClockRule::at_least, "topical anaesthetic", anaesthetic.dwell);
  steps.push_back(
      with_caution(std::move(numb), "Ask for allergy to local anaesthetics. Wipe it off before you clean."));
}

void find_the_vein(const PlacingInput& in, const policy::Place& place, std::vector<Step>& steps) {
  const bool fragile = in.patient.fragile_skin.value_or(false);
  Step tourniquet = step("tourniquet", "Tourniquet",
                         show_number(dwell::in(place.tourniquet_nearest.value, centimetre)) + " to " +
                             show_in(place.tourniquet_farthest.value, centimetre, "cm") +
                             " above the site; the pulse must still be felt." +
                             (fragile ? " Fragile skin: over a sleeve, light, or none." : ""),
                         Capture::tourniquet, source_of(place.tourniquet_nearest));
  tourniquet = with_clock(std::move(tourniquet), ClockRule::at_most, "tourniquet", place.tourniquet_longest);
  tourniquet =
      because(std::move(tourniquet),
              "It fills the vein; left on too long it hurts, and blood seeps through the wall of a fragile vein.");
  steps.push_back(with_caution(std::move(tourniquet),
                               "One patient only. Count it off at the end: a forgotten tourniquet can cost a limb."));
  steps.push_back(
      step("choose", "Choose the vein",
           "Look and feel: straight, soft, springy. Hard to find: warmth, arm down, open and close the hand. "
           "Then release the tourniquet while you clean.",
           Capture::none, checklist));
}

void clean(const policy::Antiseptic& antiseptic, std::vector<Step>& steps) {
  Step scrub = step("scrub", "Clean the skin", antiseptic.name + ". " + antiseptic.note, Capture::antiseptic);
  if (antiseptic.scrub) scrub = with_clock(std::move(scrub), ClockRule::at_least, "scrub", *antiseptic.scrub);
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

void puncture(const PlacingInput& in, const policy::Place& place, std::vector<Step>& steps) {
  steps.push_back(with_clock(step("tourniquet_again", "Tourniquet again, gloves on",
                                  "Clean gloves; sterile ones if you must feel again.", Capture::tourniquet, checklist),
                             ClockRule::at_most, "tourniquet", place.tourniquet_longest));
  const auto band = line::age_band(in.patient, in.today);
  auto angle = place.insertion_angle.find(band);
  if (angle == place.insertion_angle.end()) angle = place.insertion_angle.find(line::AgeBand::unknown);
  const bool known = angle != place.insertion_angle.end();
  Step insert =
      step("insert", "Anchor and insert",
           "Skin taut below the site, bevel up, " + (known ? angle->second.value : std::string("a flat angle")) +
               ". On blood in the chamber: lower, " + advance_words(in.gauge) +
               ", hold the needle still and slide the catheter off.",
           Capture::attempt, known ? source_of(angle->second) : practice);
  insert = because(std::move(insert),
                   "The needle's tip is in the vein before the catheter's: slide too early and it tears the wall.");
  insert = with_caution(std::move(insert), "Electric or shooting pain, or the patient says stop: stop, take it out.");
  insert = with_caution(std::move(insert), "Never put the needle back into the catheter: it can cut a piece off.");
  steps.push_back(with_caution(std::move(insert), "Bright pulsing blood: an artery. Remove and press."));
  steps.push_back(
      with_caution(step("release", "Tourniquet off, needle out",
                        "Press over the vein above the tip, withdraw, make the needle safe, sharps box at once.",
                        Capture::none, checklist),
                   "Is the tourniquet off?"));
}

void finish(const PlacingInput& in, const policy::Place& place, std::vector<Step>& steps) {
  steps.push_back(
      because(step("blood_return", "Blood return", "Connect; draw back gently.", Capture::blood_return, checklist),
              "Blood says that the tip is in the vein; none means no irritant or vesicant through this line."));
  if (in.samples.value_or(false))
    steps.push_back(because(
        step("samples", "Draw the samples",
             "Before anything is given, in the laboratory's order of tubes; label at the bedside.", Capture::samples),
        "A sample drawn after a flush or a drug is a wrong result with the right name."));
  Step flush = step("flush", "Flush and watch",
                    "About " + show(place.first_flush.value) + " slowly. Watch for swelling, ask about pain.",
                    Capture::flush, source_of(place.first_flush));
  flush = because(std::move(flush), "The first fluid shows a leak before a drug does.");
  steps.push_back(with_caution(std::move(flush), "Resistance, swelling or pain: stop. Do not force."));
  steps.push_back(because(step("secure", "Secure", "Sutureless securement; no rolled bandage over the site.",
                               Capture::securement, {"CDC 2011, category II", Mark::read}),
                          "A catheter that moves inflames the vein, leaks and comes out."));
  steps.push_back(step("dress", "Dress", "Clear film so that the site shows; gauze only if it bleeds or sweats.",
                       Capture::dressing, {"textbook after INS 2021", Mark::secondary}));
  steps.push_back(
      because(step("label", "Label", "Date, time, gauge, length, initials; \"emergency\" if asepsis was not assured.",
                   Capture::label, {"label content as retrieved; emergency flag from memory", Mark::memory}),
              "Whoever takes it out compares the length."));
  steps.push_back(step("teach", "Tell the patient", "Report pain, swelling, wetness, redness, bleeding.",
                       Capture::teaching, {"CDC 2002, item II.B", Mark::read}));
  steps.push_back(because(
      step("trace", "Trace the tubing", "By hand from the bag to the vein, before it runs.", Capture::tubing_traced),
      "A tube on the wrong port is found by hand, not by eye."));
  steps.push_back(
      step("record", "Write it down", "How the patient bore it. Tourniquet off; sharps gone.", Capture::tolerance));
}

template <class T>
std::string one_of(const std::map<std::string, T>& known) {
  std::string text;
  for (const auto& [name, unused] : known) text += (text.empty() ? "one of " : ", ") + name;
  return text.empty() ? "none; this policy names none" : text;
}

}  // namespace

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
  std::vector<Step> steps;
  before_the_needle(input, steps);
  // Doses and flushes go by weight: asked where the patient is made sure of.
  if (const auto doubt = growth::question_weight(input.patient, input.today))
    for (auto& s : steps)
      if (s.id == "identity") s.cautions.push_back(doubt->text);
  if (anaesthetic) numb_the_skin(*anaesthetic, steps);
  find_the_vein(input, place, steps);
  clean(antiseptic->second, steps);
  puncture(input, place, steps);
  finish(input, place, steps);
  const auto band = line::age_band(input.patient, input.today);
  const bool young = band == line::AgeBand::neonate || (band == line::AgeBand::infant && input.patient.birth_date &&
                                                        age_in_months(*input.patient.birth_date, input.today) < 2);
  if (young && key.starts_with("chlorhexidine"))
    for (auto& s : steps)
      if (s.id == "scrub")
        s.cautions.emplace_back(
            "Under 2 months: CDC 2011 makes no recommendation for chlorhexidine; follow the local rule.");
  return steps;
}

}  // namespace dwell::procedure
