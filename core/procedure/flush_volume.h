#pragma once
// How much must go in to clear a line: reckoned from the catheter, the hub and what stands between it and the syringe,
// and never less than the ward's own flush.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "device/add_on.h"
#include "device/plan.h"
#include "patient/patient.h"
#include "policy/policy.h"

namespace dwell::procedure {

/// One piece between the catheter's hub and the syringe.
struct LinePart {
  std::string name;               ///< key of a ward's add-on, or what it is called
  std::optional<Volume> holds{};  ///< as its pack declares it; counts before the ward's figure; 0.01 to 20 mL
};
BOOST_DESCRIBE_STRUCT(LinePart, (), (name, holds))

struct FlushVolumeInput {
  line::Patient patient;
  Date today;
  std::optional<Gauge> gauge;                  ///< of the catheter in place; absent: not known
  std::optional<Length> length;                ///< of the catheter; absent: not known
  std::optional<std::vector<LinePart>> parts;  ///< absent: nobody said what is there; empty: nothing is
};
BOOST_DESCRIBE_STRUCT(FlushVolumeInput, (), (patient, today, gauge, length, parts))

struct FlushVolume {
  std::optional<Volume> holds;       ///< the whole line; absent when a part of it is not known
  Volume holds_at_least;             ///< the parts that are known
  std::optional<Volume> least;       ///< twice what it holds, rounded up to 0.1 mL; absent when a part is not known
  std::optional<Volume> volume;      ///< to flush; absent: the ward says none for this age and the line is not known
  Source source;                     ///< of `volume`
  std::vector<std::string> unknown;  ///< parts that are not known: "catheter", "add_ons", or names as given
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(FlushVolume, (), (holds, holds_at_least, least, volume, source, unknown, findings, workings))

/// What a round tube holds:  V = π/4 d² L.  Both above 0.
[[nodiscard]] Volume tube_volume(Diameter bore, Length length);

/// The ward's flush at this age; null for a child of an age for which it says none: an adult's is not a child's.
[[nodiscard]] const Figure<Volume>* policy_flush(const policy::Place& place, line::AgeBand band);

/// Twice the internal volume of catheter, hub and add-ons, at least:
///
///   V = hub + π/4 d² L + Σ add-ons,   flush = max(2 V, the ward's flush)
///
/// d the widest bore of that gauge in the catalogue (makes differ), L the catheter's length. A part that is not known
/// makes V unknown: it is said, and the flush is the greater of the ward's and twice the parts that are known. Errors:
/// a declared volume outside 0.01 to 20 mL, a length outside 5 to 300 mm, more than 12 parts. Source: INS (value from
/// memory), at least twice the internal volume of catheter and add-on devices.
[[nodiscard]] Checked<FlushVolume> flush_volume(const FlushVolumeInput& input, const device::Catalogue& catheters,
                                                const device::AddOns& add_ons, const policy::Place& place);

}  // namespace dwell::procedure
