#pragma once
// What the ward's list holds: names, other names, what is known of each and what is not. A name that the list lacks is
// never guessed; the nearest ones are offered for a person to choose from.
#include "infusate/infusate.h"

namespace dwell::infusate {

struct Listed {
  std::string name;
  std::vector<std::string> synonyms;
  FluidKind kind = FluidKind::crystalloid;
  HarmClass harm = HarmClass::unknown;
  std::optional<HarmEvidence> harm_evidence;
  LeakFamily leak_family = LeakFamily::none;
  Source harm_source;
  std::optional<Osmolarity> osmolarity;  ///< as labelled; else worked out from the composition
  std::optional<AmountConcentration> sodium, potassium;
  std::optional<double> ph_low, ph_high;
  std::optional<GivingLimit> giving;
  bool must_be_diluted = false;
  std::optional<bool> central_only;
  std::vector<Message> not_known;  ///< "osmolarity", "how fast it may be given"
  Wording note;
  Source source;
  std::optional<Wording> title{};  ///< what it is called where it is shown; absent: its name
};
BOOST_DESCRIBE_STRUCT(Listed, (),
                      (name, synonyms, kind, harm, harm_evidence, leak_family, harm_source, osmolarity, sodium,
                       potassium, ph_low, ph_high, giving, must_be_diluted, central_only, not_known, note, source,
                       title))

struct ListQuery {
  std::optional<std::string> name;  ///< absent: the whole list
};
BOOST_DESCRIBE_STRUCT(ListQuery, (), (name))

struct InfusateList {
  std::vector<Listed> entries;
  std::vector<std::string> nearest;  ///< when the name asked for is not on the list; names as the list has them
};
BOOST_DESCRIBE_STRUCT(InfusateList, (), (entries, nearest))

/// The whole list in the order of names; or the one entry that is meant by a name or synonym, strength included; or
/// none, and the nearest names (fewest letters changed, dropped, added or swapped; at most five).
[[nodiscard]] InfusateList list(const ListQuery& query, const Formulary& formulary);

/// How many letters must be changed, dropped, added, or swapped with their neighbour, to make one word of the other
/// (optimal string alignment).
[[nodiscard]] int letters_apart(std::string_view a, std::string_view b);

/// What the list says of a part in its own words ("Never alone: it bursts red cells."): one finding a part, where the
/// fluid is chosen. A note is no verdict; the looks judge.
[[nodiscard]] std::vector<Finding> notes_of(const std::vector<Part>& parts);

}  // namespace dwell::infusate
