#pragma once
// The line that is really there. Catheters of one gauge differ between makers, sets differ between packets, and nobody
// sees the vein: what a line will pass is known with a band, and one count of the open line makes the band narrower.
//
//   before    ln Q +- 1.645 sqrt( sum of (dlnQ/dx_i)^2 + rig^2 )           x_i: what nobody can see, in standard
//   deviations a count   x <- C J (ln Q_counted - ln Q(x) + J x) / (e^2 + J C J),     C <- C - (C J)(C J) / (e^2 + J C
//   J)
//
// A second count at another height tells pressure (vein, sleeve, a tourniquet left on) from narrowness (set, kink,
// vein). Figures and how well they hold: docs/flow.md
#include <array>
#include <boost/describe.hpp>
#include <optional>
#include <vector>

#include "flow/path.h"
#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"

namespace dwell::flow {

/// What nobody can see of a line, each counted in standard deviations from what is usual.
enum class Unknown {
  bore,
  length,
  hub,
  catheter_law,
  set_flow,
  set_share,
  vein_pressure,
  vein_outflow,
  sleeve,
  head,
  viscosity,
  drop_size,
};
inline constexpr std::size_t unknowns = 12;
using Deviations = std::array<double, unknowns>;

/// A set and how much such sets differ: `low` and `high` hold 95 % of them.
struct UsualSet {
  DeclaredPart part;
  Flow low, high;
  friend bool operator==(const UsualSet&, const UsualSet&) = default;
};
/// 175 mL/min (100 to 300): the floor is the standard's 1,000 mL in 10 min, the ceiling a 3 mm tube with its passages.
[[nodiscard]] UsualSet ward_set();
/// For blood, theatre and trauma: 400 mL/min (250 to 640).
[[nodiscard]] UsualSet wide_set();
/// One whose own flow somebody measured, within 5 %.
[[nodiscard]] UsualSet measured_set(Flow open_flow);

/// A catheter and how well its bore and length are known (logarithms, one standard deviation).
struct UsualCatheter {
  Bore bore;
  double bore_spread = 0.03, length_spread = 0.1;
};
/// By gauge only: the spread of the flows that makers declare for it.
[[nodiscard]] UsualCatheter by_gauge(Gauge gauge, const Bore& bore);
/// By the flow on the pack, which stands for bore, hub and, nearly, length.
[[nodiscard]] Checked<UsualCatheter> by_declared_flow(Flow declared, Length length);

/// One line, as far as it stays the same from count to count.
struct OpenLine {
  UsualCatheter catheter;
  UsualSet set = ward_set();
  std::optional<DeclaredPart> connector;
  bool in_vein = true;
  Pressure venous_pressure = 9.0 * millimetre_of_mercury;
  Pressure venous_spread = 3.7 * millimetre_of_mercury;
  Diameter vein;                                          ///< inner diameter behind the tip; not used outside a vein
  double vein_spread = 1.2;                               ///< of ln R: the vein's diameter within 30 %
  Pressure sleeve_shift = -15.0 * millimetre_of_mercury;  ///< pressure in the fluid less that on the sleeve's gauge
  Pressure sleeve_spread = 70.0 * millimetre_of_mercury;
  double rig_spread = 0.1;  ///< between lines that look alike
};

/// How it stands when it is counted, or asked about.
struct Standing {
  Fluid fluid;
  double viscosity_spread = 0.05;
  Length bag_height;
  std::optional<Length> height_spread;  ///< absent: 3 % of the height, as measured
  Pressure cuff;                        ///< on the gauge of a sleeve around the bag
  bool pressed_by_machine = false;      ///< the machine measures the fluid: ± 8 %, no sleeve
};

/// A count of the open line: clamp fully open, so many millilitres in a time.
struct OpenCount {
  Standing standing;
  Flow flow;
  double error = 0.05;  ///< of reading, one standard deviation
  /// Half-width that holds 95 % of drop sizes when drops were counted; absent: a volume was measured.
  std::optional<Ratio> drop_size_tolerance = std::nullopt;
};

struct FlowBand {
  Flow middle, low, high;  ///< low and high hold nine of ten lines
};
BOOST_DESCRIBE_STRUCT(FlowBand, (), (middle, low, high))

/// What is believed of the unknowns.
struct Belief {
  Deviations middle{};
  std::array<Deviations, unknowns> covariance{};
};
[[nodiscard]] Belief before_counting();
/// The counts taken in, most likely values of all unknowns together. Counts and heads must be > 0.
[[nodiscard]] Belief after_counting(const OpenLine& line, const std::vector<OpenCount>& counts);

/// The line so standing, with its unknowns at these deviations: a path for `solve`, without the catheter's law.
[[nodiscard]] Path path_at(const OpenLine& line, const Standing& standing, const Deviations& x = {});
[[nodiscard]] Flow flow_at(const OpenLine& line, const Standing& standing, const Deviations& x = {});
/// d ln Q / d x of each unknown at x, drop size aside. 0 where nothing runs.
[[nodiscard]] Deviations sensitivity(const OpenLine& line, const Standing& standing, const Deviations& x = {});

/// 90 % band: the slowest and the fastest of the lines that nine of ten are. Less known of a part, with the same
/// middle, brings neither end nearer. In a living vein that nobody has counted the low end is also that of the slowest
/// published series, at 0.45 of the middle (piglets, 1993).
[[nodiscard]] FlowBand expected(const OpenLine& line, const Standing& standing,
                                const Belief& belief = before_counting(), bool counted = false);

/// The flow of the set alone that would explain this count if all else were as usual; nothing when the line ran faster
/// than it could without any set.
[[nodiscard]] std::optional<Flow> set_flow_implied(const OpenLine& line, const OpenCount& count);

/// What was believed of one part, and what is after the counts.
struct Believed {
  Message what;    ///< "flow of the set alone"
  Message before;  ///< "175 mL/min (100 mL/min to 300 mL/min)", the 95 % range
  Message after;
};
BOOST_DESCRIBE_STRUCT(Believed, (), (what, before, after))

struct OpenLineAnswer {
  FlowBand before;                ///< by what is usual
  std::optional<FlowBand> after;  ///< by the counts too
  std::optional<Ratio> counted_to_expected;
  std::optional<Flow> set_flow_implied;
  std::vector<Believed> beliefs;
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(OpenLineAnswer, (),
                      (before, after, counted_to_expected, set_flow_implied, beliefs, findings, workings))

/// The line so standing, before and after its counts. The first count is the one that is judged. Errors: those of
/// `solve`; counts 0.1 mL/h to 60 L/h with a head that drives them, error 1 to 50 %; ordered 0.1 mL/h to 60 L/h; at
/// most 8 counts.
[[nodiscard]] Checked<OpenLineAnswer> open_line(const OpenLine& line, const Standing& standing,
                                                const std::vector<OpenCount>& counts,
                                                std::optional<Flow> ordered = std::nullopt);

}  // namespace dwell::flow
