#pragma once
// Several infusions that join at a Y before one catheter: each comes from a bag (gravity, with or without a pressure
// cuff) or from a pump, through its own tubing and clamp; from the junction on they share tubing and catheter. One
// pressure p at the junction settles everything:
//
//   branch i:   rho_i g H_i + P_bag,i - p = dP_set,i + dP_tubing,i + R_clamp,i Q_i      (a pump: Q_i as set)
//   trunk:      p - P_vein = dP_tubing(Q) + dP_connector(Q) + dP_catheter(Q) + R_vein Q,  Q = sum of Q_i
//
// A branch whose head is below p runs backwards into its bag, unless a back-check valve holds it at 0: the well-known
// way in which a medicine ends up in the wrong bag. The stream after the junction has the joined fluid (fluid.h).
#include <array>
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "flow/loss.h"
#include "flow/part.h"
#include "json/codec.h"
#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"

namespace dwell::flow {

/// A bag above the catheter tip, drops falling freely; `cuff` is the pressure around the bag.
struct Bag {
  static constexpr std::string_view kind = "bag";
  Length height;
  Pressure cuff;
  friend bool operator==(const Bag&, const Bag&) = default;
};
BOOST_DESCRIBE_STRUCT(Bag, (), (height, cuff))

/// A pump gives its rate whatever the pressure, until it alarms.
struct Pump {
  static constexpr std::string_view kind = "pump";
  Flow flow;
  std::optional<Pressure> alarm_pressure;  ///< at the pump's outlet
  friend bool operator==(const Pump&, const Pump&) = default;
};
BOOST_DESCRIBE_STRUCT(Pump, (), (flow, alarm_pressure))

using Drive = std::variant<Bag, Pump>;

struct Branch {
  std::string name;  ///< for people: "primary", "antibiotic"
  Drive drive;
  Fluid fluid;
  std::vector<Bore> tubing;
  Resistance clamp;  ///< with saline at 20 °C, as in path.h
  bool back_check_valve = false;
  std::optional<DeclaredPart> set = std::nullopt;  ///< the giving set as a whole, beside any tubing
};
BOOST_DESCRIBE_STRUCT(Branch, (), (name, drive, fluid, tubing, clamp, back_check_valve, set))

inline constexpr std::size_t most_branches = 4;
inline constexpr std::size_t most_network_tubes = 4;  ///< in series, in a branch or in the trunk

struct Network {
  std::vector<Branch> branches;  ///< 1 to most_branches
  std::vector<Bore> tubing;      ///< between the junction and the catheter
  double connector_k = 0;        ///< velocity heads lost in connector and hub, on the catheter's speed
  Bore catheter;
  Pressure venous_pressure;
  std::optional<DeclaredPart> connector = std::nullopt;
  std::optional<Resistance> vein_outflow = std::nullopt;
};
BOOST_DESCRIBE_STRUCT(Network, (), (branches, tubing, connector_k, catheter, venous_pressure, connector, vein_outflow))

/// What settles, without words: allocation-free.
struct Settled {
  Pressure junction;
  Flow total;                                ///< negative: blood runs back into the line
  std::array<Flow, most_branches> branches;  ///< negative: runs back into that bag
  double relative_residual = 0;              ///< of the trunk's pressure balance, against the highest head
};

/// The steady state. Every bore, viscosity and density must be > 0, 1 to most_branches branches, at most
/// most_network_tubes tubes each (checked by `solve_network`).
[[nodiscard]] Settled settle(const Network& network);

struct BranchFlow {
  Message name;  ///< the branch's own, or its number
  Flow flow;
  std::optional<Pressure> outlet_pressure;  ///< what a pump has to push against, at its outlet
};
BOOST_DESCRIBE_STRUCT(BranchFlow, (), (name, flow, outlet_pressure))

struct NetworkSolution {
  std::vector<BranchFlow> branches;
  Flow total;
  Pressure junction;
  double reynolds_catheter = 0;
  double relative_residual = 0;  ///< below 1e-9
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(NetworkSolution, (),
                      (branches, total, junction, reynolds_catheter, relative_residual, findings, workings))

/// Checks, solves, says what a nurse must know: a branch that runs back or stands still, blood running back, a pump
/// that will alarm. Errors: as for a single line (path.h), pump flow 0.1 mL/h to 60 L/h, alarm pressure 10 to 1,500
/// mmHg, number of branches and tubes.
[[nodiscard]] Checked<NetworkSolution> solve_network(const Network& network);

}  // namespace dwell::flow
