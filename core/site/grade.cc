#include "site/grade.h"

#include <algorithm>
#include <array>
#include <boost/mp11.hpp>

#include "json/codec.h"
#include "quantity/display.h"
#include "say/common.h"
#include "say/site.h"
#include "site/cards.h"

namespace dwell::site {
namespace {

using infusate::HarmClass;
using infusate::LeakFamily;

bool has(const std::vector<Sign>& signs, Sign sign) {
  return std::find(signs.begin(), signs.end(), sign) != signs.end();
}

bool any_of(const std::vector<Sign>& present, std::initializer_list<Sign> signs) {
  return std::any_of(signs.begin(), signs.end(), [&](Sign s) { return has(present, s); });
}

/// What is present, with a pain score above 0 counted as pain whether or not it was ticked.
std::vector<Sign> present_signs(const Signs& signs) {
  auto present = signs.present;
  if (signs.pain_score.value_or(0) > 0 && !has(present, Sign::pain)) present.push_back(Sign::pain);
  // Pain along the vein is pain at the site too.
  if (has(present, Sign::pain_along_path) && !has(present, Sign::pain)) present.push_back(Sign::pain);
  return present;
}

bool leak_suspected(const std::vector<Sign>& present) {
  return any_of(present, {Sign::swelling, Sign::leaking, Sign::tightness, Sign::blanching, Sign::coolness,
                          Sign::blister_or_skin_loss});
}

bool harmful(HarmClass harm) { return harm == HarmClass::irritant || harm == HarmClass::vesicant; }

bool asks_nothing(const GradeCriteria& c) {
  return c.all_of.empty() && c.count_of.empty() && !c.swelling_from && !c.swelling_below && !c.cord_from;
}

/// A measure that was not taken meets no bound: unknown is not small.
bool measures_hold(const GradeCriteria& c, const Signs& signs) {
  if (c.swelling_from && !(signs.swelling_extent && *signs.swelling_extent >= *c.swelling_from)) return false;
  if (c.swelling_below && !(signs.swelling_extent && *signs.swelling_extent < *c.swelling_below)) return false;
  return !c.cord_from || (signs.cord_length && *signs.cord_length > *c.cord_from);
}

bool holds(const GradeCriteria& c, const std::vector<Sign>& present, const Signs& signs, bool any_concern,
           const Exposure& exposure) {
  if (c.also_any_leak_of_irritant_or_vesicant.value_or(false) && harmful(exposure.harm) && leak_suspected(present))
    return true;
  if (asks_nothing(c)) return !any_concern;
  if (!std::all_of(c.all_of.begin(), c.all_of.end(), [&](Sign s) { return has(present, s); })) return false;
  const auto counted = std::count_if(c.count_of.begin(), c.count_of.end(), [&](Sign s) { return has(present, s); });
  return counted >= c.count.value_or(0) && measures_hold(c, signs);
}

std::vector<Sign> unexplained_by(const GradeCriteria& c, const std::vector<Sign>& concerns) {
  std::vector<Sign> left;
  for (const Sign s : concerns)
    if (!has(c.all_of, s) && !has(c.count_of, s)) left.push_back(s);
  return left;
}

std::vector<Message> said_of(const std::vector<Sign>& signs) {
  std::vector<Message> all;
  all.reserve(signs.size());
  for (const Sign s : signs) all.push_back(say::site_sign(s));
  return all;
}

std::string vesicant_response(LeakFamily family) {
  switch (family) {
    case LeakFamily::vasopressor: return "leak_vesicant_vasopressor";
    case LeakFamily::hyperosmolar:
    case LeakFamily::calcium:
    case LeakFamily::contrast: return "leak_vesicant_hyperosmolar";
    case LeakFamily::alkaline_warm: return "leak_vesicant_alkaline_warm";
    case LeakFamily::alkaline_cold: return "leak_vesicant_alkaline_cold";
    case LeakFamily::acidic: return "leak_vesicant_acidic";
    case LeakFamily::none:
    case LeakFamily::other: break;
  }
  return "leak_vesicant_other";
}

std::string leak_response(const Exposure& exposure) {
  switch (exposure.harm) {
    case HarmClass::harmless: return "leak_harmless";
    case HarmClass::irritant: return "leak_irritant";
    case HarmClass::vesicant: return vesicant_response(exposure.leak_family);
    case HarmClass::unknown: break;
  }
  return "leak_unknown";
}

/// By its name alone, whatever ran.
bool opened_for_leak(const std::string& card) {
  bool opened = false;
  boost::mp11::mp_for_each<boost::describe::describe_enumerators<HarmClass>>([&](auto harm) {
    boost::mp11::mp_for_each<boost::describe::describe_enumerators<LeakFamily>>([&](auto family) {
      opened = opened || leak_response({harm.value, family.value, {}, {}}) == card;
    });
  });
  return opened;
}

/// The graver card wins; a card not in this list comes last.
int gravity(const std::string& response) {
  constexpr std::array<std::string_view, 17> gravest_first{"compartment",
                                                           "leak_vesicant_vasopressor",
                                                           "leak_vesicant_hyperosmolar",
                                                           "leak_vesicant_alkaline_warm",
                                                           "leak_vesicant_alkaline_cold",
                                                           "leak_vesicant_acidic",
                                                           "leak_vesicant_other",
                                                           "leak_unknown",
                                                           "arterial_entry",
                                                           "leak_irritant",
                                                           "phlebitis_treat",
                                                           "infection",
                                                           "nerve_pain",
                                                           "leak_harmless",
                                                           "phlebitis_remove",
                                                           "fever",
                                                           "phlebitis_watch"};
  return static_cast<int>(gravest_first.end() - std::find(gravest_first.begin(), gravest_first.end(), response));
}

/// What destroys tissue when it leaves the vein, or may.
bool destroys_tissue(HarmClass harm) { return harm == HarmClass::vesicant || harm == HarmClass::unknown; }

/// Blood or feeling of the limb suffers: whatever else is there, this cannot wait.
bool limb_at_risk(const std::vector<Sign>& present) {
  return has(present, Sign::poor_circulation) || (has(present, Sign::numbness) && leak_suspected(present));
}

/// The site itself speaks; fever alone has many causes.
bool shows_at_site(const std::vector<Sign>& present) {
  return std::any_of(present.begin(), present.end(), [](Sign s) { return s != Sign::fever; });
}

FieldErrors check(const Signs& signs) {
  FieldErrors errors;
  if (signs.pain_score && (*signs.pain_score < 0 || *signs.pain_score > 10))
    errors.push_back({"/signs/pain_score", std::to_string(*signs.pain_score), say::pain_0_to_10()});
  const auto measure = [&](const char* path, const std::optional<Length>& length, Sign sign) {
    if (!length) return;
    if (!(*length >= Length() && *length <= 1.0 * metre))
      errors.push_back({path, show(*length), say::from_to(shown(0.0 * metre), shown(1.0 * metre))});
    if (!has(signs.present, sign)) errors.push_back({path, show(*length), say::the_sign_ticked_too(sign)});
  };
  measure("/signs/swelling_extent", signs.swelling_extent, Sign::swelling);
  measure("/signs/cord_length", signs.cord_length, Sign::palpable_cord);
  if (!signs.assessed && (!signs.present.empty() || signs.pain_score))
    errors.push_back({"/signs/assessed", "false", say::assessed_where_signs_are_given()});
  return errors;
}

/// A check in the future (a clock that is wrong) bounds nothing: the volume is unknown then, not 0 mL.
void add_leaked_volume(const Exposure& exposure, Assessment& out) {
  const Source source{"common practice: an upper bound, never a measurement", Mark::practice};
  if (exposure.given_since_sound_check) {
    out.worst_leaked_volume = exposure.given_since_sound_check;
    const Message since = exposure.since_last_sound_check ? say::quantity(shown(*exposure.since_last_sound_check))
                                                          : say::a_time_not_recorded();
    out.workings.push_back({say::volume_that_can_have_leaked(),
                            say::all_given_since_sound(),
                            {{say::time_since_sound(), since}},
                            say::volume_up_to(*out.worst_leaked_volume),
                            source});
    return;
  }
  const bool bounded = exposure.since_last_sound_check && *exposure.since_last_sound_check >= Interval{0};
  if (!exposure.flow || !bounded) {
    out.findings.push_back({Severity::information, "leaked_volume_unknown", say::leaked_volume_unknown(), source});
    return;
  }
  out.worst_leaked_volume = *exposure.flow * to_duration(*exposure.since_last_sound_check);
  out.workings.push_back({say::volume_that_can_have_leaked(),
                          say::rate_by_time_since_sound(),
                          {{say::rate_that_ran(), say::quantity(shown(*exposure.flow))},
                           {say::time_since_sound(), say::quantity(shown(*exposure.since_last_sound_check))}},
                          say::volume_up_to(*out.worst_leaked_volume),
                          source});
}

/// Signs that the grade leaves out although a graver grade of the scale asks for them: between two grades.
bool between_grades(const Grade& g, const Scale& scale) {
  return std::any_of(scale.grades.begin(), scale.grades.end(), [&](const GradeCriteria& graver) {
    return graver.grade > *g.grade && std::any_of(g.unexplained.begin(), g.unexplained.end(), [&](Sign s) {
             return has(graver.all_of, s) || has(graver.count_of, s);
           });
  });
}

void add_findings(const Grade& g, const Scale& scale, Assessment& out) {
  if (g.unmatched) {
    out.ask = true;
    out.findings.push_back({Severity::caution, "unmatched_signs",
                            say::no_grade_describes(policy::title_of(scale), said_of(g.unexplained)), g.source});
  } else if (g.grade && !g.unexplained.empty()) {
    const bool between = between_grades(g, scale);
    out.ask = out.ask || between;
    const Message title = policy::title_of(scale);
    auto signs = said_of(g.unexplained);
    out.findings.push_back({Severity::caution, "unexplained_signs",
                            between ? say::only_a_graver_grade_speaks_of(*g.grade, title, std::move(signs))
                                    : say::grade_does_not_speak_of(*g.grade, title, std::move(signs)),
                            g.source});
  }
}

/// What no scale says: pain while something harmful runs, and a limb whose blood or feeling suffers.
void add_warnings(const std::vector<Sign>& present, const Exposure& exposure, Assessment& out) {
  const bool harm_possible = exposure.harm != HarmClass::harmless;
  if (harm_possible && exposure.flow && any_of(present, {Sign::pain}) && !leak_suspected(present))
    out.findings.push_back({Severity::caution,
                            "pain_while_running",
                            say::new_pain_while_running(),
                            {"common practice, no source", Mark::practice}});
  if (limb_at_risk(present))
    out.findings.push_back({Severity::stop,
                            "limb_at_risk",
                            say::limb_at_risk(),
                            {"emergency medicine text (signs) and a children's hospital guideline (emergency), as "
                             "retrieved; limb at heart level from memory",
                             Mark::memory}});
}

/// The cards that the grades name. Where tissue may be destroyed the leak's card stands for those of the vein: each of
/// them advises removal or waiting, and with the catheter goes the way for the antidote.
std::vector<std::string> cards_of_grades(const std::vector<std::string>& advised, const Exposure& exposure) {
  std::vector<std::string> names;
  for (const auto& advice : advised) {
    if (advice.empty()) continue;
    const bool leak = advice == "leak";
    if (leak || !destroys_tissue(exposure.harm)) names.push_back(leak ? leak_response(exposure) : advice);
  }
  return names;
}

/// Whether a list of the policy names what is there; a list that is absent names everything, and unknown may be any.
template <class T>
bool named_by(const std::optional<std::vector<T>>& list, T what, T unknown) {
  return !list || what == unknown || std::find(list->begin(), list->end(), what) != list->end();
}

bool applies(const policy::RegionRule& rule, const std::vector<Sign>& present, const Exposure& exposure) {
  if (!exposure.region) return false;
  if (std::find(rule.regions.begin(), rule.regions.end(), *exposure.region) == rule.regions.end()) return false;
  if (!named_by(rule.harm, exposure.harm, HarmClass::unknown)) return false;
  if (!named_by(rule.ages, exposure.age.value_or(line::AgeBand::unknown), line::AgeBand::unknown)) return false;
  const auto is_present = [&](Sign sign) { return has(present, sign); };
  return std::all_of(rule.all_of.begin(), rule.all_of.end(), is_present) &&
         (rule.any_of.empty() || std::any_of(rule.any_of.begin(), rule.any_of.end(), is_present));
}

/// Every card of the policy that fits signs, what ran and where, gravest first; the worst explanation of the signs
/// leads. `advised` is what the grades name.
std::vector<std::string> responses_of(const std::vector<std::string>& advised, const std::vector<Sign>& present,
                                      const Exposure& exposure, const policy::Policy& policy) {
  auto names = cards_of_grades(advised, exposure);
  if (policy.region_rules)
    for (const auto& rule : *policy.region_rules)
      if (applies(rule, present, exposure)) names.push_back(rule.card);
  const bool destroys = destroys_tissue(exposure.harm);
  if (limb_at_risk(present)) names.emplace_back("compartment");
  if (has(present, Sign::numbness) && !limb_at_risk(present) && !destroys) names.emplace_back("nerve_pain");
  if (has(present, Sign::pus) || (has(present, Sign::fever) && shows_at_site(present)))
    names.emplace_back("infection");
  else if (has(present, Sign::fever))
    names.emplace_back("fever");
  // A leak that no grade describes is a leak all the same, whether something runs or the line is locked. Where tissue
  // may be destroyed any sign at the site is its first; swelling alone may be the vein's where nothing harms.
  const bool only_a_leak_does_this =
      any_of(present, {Sign::leaking, Sign::tightness, Sign::blanching, Sign::coolness, Sign::blister_or_skin_loss});
  if (destroys
          ? shows_at_site(present)
          : leak_suspected(present) && (exposure.harm == HarmClass::irritant || only_a_leak_does_this || names.empty()))
    names.push_back(leak_response(exposure));
  std::sort(names.begin(), names.end(), [](const std::string& a, const std::string& b) {
    return gravity(a) != gravity(b) ? gravity(a) > gravity(b) : a < b;
  });
  names.erase(std::unique(names.begin(), names.end()), names.end());
  std::erase_if(names, [&](const std::string& name) { return !policy.responses.contains(name); });
  return names;
}

std::vector<Sign> concerning(const std::vector<Sign>& present, const Scale& scale) {
  std::vector<Sign> concerns;
  for (const Sign s : present)
    if (has(scale.concerns, s)) concerns.push_back(s);
  return concerns;
}

/// The gravest grade that holds; null when none describes the signs.
const GradeCriteria* found_on(const Scale& scale, const std::vector<Sign>& present, const Signs& signs,
                              const Exposure& exposure) {
  const bool any_concern =
      std::any_of(present.begin(), present.end(), [&](const Sign s) { return has(scale.concerns, s); });
  const auto found = std::find_if(scale.grades.rbegin(), scale.grades.rend(), [&](const GradeCriteria& c) {
    return holds(c, present, signs, any_concern, exposure);
  });
  return found == scale.grades.rend() ? nullptr : &*found;
}

}  // namespace

Grade grade(const Signs& signs, const Scale& scale, const Exposure& exposure) {
  Grade out;
  out.scale = scale.name;
  out.version = scale.version;
  out.subject = scale.subject;
  out.credit = scale.credit;
  out.source = scale.source;
  out.title = policy::title_of(scale);
  if (!signs.assessed) {
    out.meaning = say::site_not_assessed();
    return out;
  }
  const auto present = present_signs(signs);
  std::vector<Sign> concerns = concerning(present, scale);
  const auto* found = found_on(scale, present, signs, exposure);
  if (!found) {
    out.unmatched = true;
    out.unexplained = std::move(concerns);
    out.meaning = say::no_grade_describes_these_signs();
    return out;
  }
  out.grade = found->grade;
  out.meaning = found->meaning;
  out.advice = found->advice.value_or("");
  out.unexplained = unexplained_by(*found, concerns);
  return out;
}

bool answers_leak(const std::string& card, const policy::Policy& policy) {
  const auto found = policy.responses.find(card);
  if (found == policy.responses.end()) return true;
  return found->second.leak.value_or(opened_for_leak(card));
}

Checked<Assessment> assess(const Signs& signs, const Exposure& exposure, const policy::Policy& policy) {
  if (auto errors = check(signs); !errors.empty()) return refuse(std::move(errors));
  Assessment out;
  for (const auto& scale : policy.scales) {
    out.grades.push_back(grade(signs, scale, exposure));
    add_findings(out.grades.back(), scale, out);
  }
  if (!signs.assessed) return out;
  const auto present = present_signs(signs);
  add_warnings(present, exposure, out);
  std::vector<std::string> advised;
  for (const auto& g : out.grades) advised.push_back(g.advice);
  out.responses = responses_of(advised, present, exposure, policy);
  if (!out.responses.empty()) {
    out.response = out.responses.front();
    out.card = policy.responses.at(*out.response);
  }
  // Of the gravest card alone, and never where an antidote may have to go through the catheter, nor for fever alone.
  out.removal_advised = out.card && out.card->remove_advised && !destroys_tissue(exposure.harm);
  if (leak_suspected(present)) add_leaked_volume(exposure, out);
  return out;
}

Checked<std::vector<std::string>> cards(const Signs& signs, const Exposure& exposure, const policy::Policy& policy) {
  if (auto errors = check(signs); !errors.empty()) return refuse(std::move(errors));
  if (!signs.assessed) return std::vector<std::string>();
  const auto present = present_signs(signs);
  std::vector<std::string> advised;
  for (const auto& scale : policy.scales)
    if (const auto* found = found_on(scale, present, signs, exposure)) advised.push_back(found->advice.value_or(""));
  return responses_of(advised, present, exposure, policy);
}

}  // namespace dwell::site
