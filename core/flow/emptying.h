#pragma once
// A bag that hangs and empties: its surface falls, the head falls with it, and the drip slows although nobody touched
// the clamp. With V left of V0 the surface stands lower by  c (1 - V/V0),  c the height of the fluid in the full bag:
//
//   Q(V) = steady flow at head H - c (1 - V/V0),      time to empty = integral from 0 to V0 of dV / Q(V)
//
// The same gives the time of a bolus under a pressure cuff. Source: hydrostatics; the flow itself: path.h
#include <boost/describe.hpp>
#include <optional>
#include <vector>

#include "flow/path.h"
#include "quantity/checked.h"
#include "quantity/figure.h"
#include "quantity/quantity.h"

namespace dwell::flow {

struct EmptyingInput {
  Path path;  ///< bag_height to the surface of the bag as it hangs now
  Volume volume;
  Length column;  ///< how far the surface falls until the bag is empty; 0: constant head
};
BOOST_DESCRIBE_STRUCT(EmptyingInput, (), (path, volume, column))

struct EmptyingPoint {
  Duration after;
  Volume left;
  Flow flow;
};
BOOST_DESCRIBE_STRUCT(EmptyingPoint, (), (after, left, flow))

struct Emptying {
  std::optional<Duration> empty_after;  ///< nothing: it stops before
  std::optional<Volume> stops_with;     ///< volume left when the head no longer exceeds venous pressure
  Flow at_start, at_end;
  std::vector<EmptyingPoint> course;  ///< eleven points, from full to the end
  std::vector<Finding> findings;
  std::vector<Working> workings;
};
BOOST_DESCRIBE_STRUCT(Emptying, (), (empty_after, stops_with, at_start, at_end, course, findings, workings))

/// Errors: those of `solve`, volume 1 mL to 20 L, column 0 to 0.6 m.
[[nodiscard]] Checked<Emptying> emptying(const EmptyingInput& input);

}  // namespace dwell::flow
