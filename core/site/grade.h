#pragma once
// From ticked signs to the grade on each scale in force, and to the first response. A set of signs that no grade
// describes is shown as unmatched and asked about; it is never rounded down.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "infusate/infusate.h"
#include "policy/policy.h"
#include "signs/scale.h"

namespace dwell::site {

struct Grade {
  std::string scale;  ///< as records call it
  std::string version;
  ScaleSubject subject = ScaleSubject::phlebitis;
  std::optional<int> grade;  ///< absent: not assessed, or unmatched
  bool unmatched = false;
  Message meaning;
  std::vector<Sign> unexplained;  ///< present signs of this scale's concern that the grade does not use
  std::string advice;             ///< response name
  Message credit;
  Source source;
  Message title;  ///< the scale as it is shown
  friend bool operator==(const Grade&, const Grade&) = default;
};
BOOST_DESCRIBE_STRUCT(Grade, (),
                      (scale, version, subject, grade, unmatched, meaning, unexplained, advice, credit, source, title))

/// What ran when the site was looked at: decides how a leak is answered.
struct Exposure {
  infusate::HarmClass harm = infusate::HarmClass::unknown;
  infusate::LeakFamily leak_family = infusate::LeakFamily::none;
  std::optional<Flow> flow;
  std::optional<Interval> since_last_sound_check;
  std::optional<Volume> given_since_sound_check = std::nullopt;  ///< rate by rate; else rate × time is taken
  std::optional<access::Region> region = std::nullopt;           ///< where the catheter lies
  std::optional<line::AgeBand> age = std::nullopt;
};
BOOST_DESCRIBE_STRUCT(Exposure, (),
                      (harm, leak_family, flow, since_last_sound_check, given_since_sound_check, region, age))

struct Assessment {
  std::vector<Grade> grades;
  std::optional<std::string> response;  ///< name of the card to open: of all that fit, the gravest
  std::vector<std::string> responses;   ///< all cards that fit, gravest first
  std::optional<policy::ResponseCard> card;
  bool removal_advised = false;
  bool ask = false;                           ///< unmatched signs: a person must judge
  std::optional<Volume> worst_leaked_volume;  ///< given since the last sound check: "up to", never "was"
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(Assessment, (),
                      (grades, response, responses, card, removal_advised, ask, worst_leaked_volume, findings,
                       workings))

[[nodiscard]] Grade grade(const Signs& signs, const Scale& scale, const Exposure& exposure);

/// Whether a response card answers a leak: as the card says; of one that does not say (a policy from before cards said
/// it) whether `assess` opens it for a leak, of anything that can run. A card that this policy does not have counts as
/// one: unknown is never taken as safe.
[[nodiscard]] bool answers_leak(const std::string& card, const policy::Policy& policy);

/// Errors: pain score outside 0 to 10, extent over 1 m, a measure without its sign (swelling_extent without swelling).
[[nodiscard]] Checked<Assessment> assess(const Signs& signs, const Exposure& exposure, const policy::Policy& policy);

}  // namespace dwell::site
