#include "exchange/documents/limb_drawing.h"

#include <algorithm>
#include <array>
#include <boost/describe.hpp>
#include <stdexcept>
#include <string_view>
#include <vector>

#include "json/codec.h"

extern const char dwell_text_arm_drawing[], dwell_text_arm_drawing_end[];

namespace dwell::documents {
namespace {

enum class Aspect { palm, back };
BOOST_DESCRIBE_ENUM(Aspect, palm, back)

/// A part of the arm between two heights, and where its mark stands.
struct Part {
  access::Region region = access::Region::forearm_middle;
  Aspect aspect = Aspect::palm;
  double from = 0, to = 0, y = 0;
};
BOOST_DESCRIBE_STRUCT(Part, (), (region, aspect, from, to, y))

/// The right arm from the palm side; its paths as SVG has them.
struct Arm {
  double width = 0, height = 0;
  std::string outline;
  std::vector<std::string> palm_creases, palm_veins, palm_tendons, back_folds, back_relief, back_veins, nails;
  std::vector<Part> regions;
};
BOOST_DESCRIBE_STRUCT(Arm, (),
                      (width, height, outline, palm_creases, palm_veins, palm_tendons, back_folds, back_relief,
                       back_veins, nails, regions))

const Arm& arm() {
  static const Arm drawing = [] {
    const std::string_view text(dwell_text_arm_drawing, dwell_text_arm_drawing_end);
    const auto value = json::parse_text(text);
    if (value)
      if (auto read = json::decode<Arm>(*value)) return *std::move(read);
    throw std::logic_error("the drawing of the arm cannot be read");
  }();
  return drawing;
}

/// Back of hand and wrist are seen from behind, all else from the palm side.
const Part* part_of(access::Region region) {
  const auto& parts = arm().regions;
  const auto of = [&](Aspect aspect) {
    return std::find_if(parts.begin(), parts.end(),
                        [&](const Part& one) { return one.region == region && one.aspect == aspect; });
  };
  for (const auto aspect : {Aspect::palm, Aspect::back})
    if (const auto found = of(aspect); found != parts.end()) return &*found;
  return nullptr;
}

}  // namespace

bool is_drawn(access::Region region) { return part_of(region) != nullptr; }

double limb_width(double height_mm) { return height_mm * arm().width / arm().height; }

void draw_limb(Paper& paper, const access::Site& site, Millimetres top_left, double height_mm) {
  const Part* part = part_of(site.region);
  if (!part) return;
  const Arm& drawn = arm();
  const bool palm = part->aspect == Aspect::palm;
  const Paper::Field field{top_left, height_mm / drawn.height, drawn.width, (site.side == access::Side::left) == palm};
  paper.band(drawn.outline, field, part->from, part->to, 0.8);
  for (const auto& vein : palm ? drawn.palm_veins : drawn.back_veins) paper.path(vein, field, 0.5, 0.6);
  for (const auto* lines : palm ? std::array{&drawn.palm_creases, &drawn.palm_tendons, &drawn.palm_tendons}
                                : std::array{&drawn.back_folds, &drawn.back_relief, &drawn.nails})
    for (const auto& line : *lines) paper.path(line, field, 0.3, 0.45);
  paper.path(drawn.outline, field, 0.8);
  paper.bead({top_left.x + field.mm_a_unit * drawn.width / 2, top_left.y + field.mm_a_unit * part->y}, 1.3, true);
}

}  // namespace dwell::documents
