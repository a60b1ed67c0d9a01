#pragma once
// A PDF being written: millimetres from the top left, text by Pango, lines by Cairo. Without a font that has the
// letters there is no document (std::runtime_error): sheets of empty boxes would look like a note. The same calls with
// the same moment make the same bytes.
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "quantity/time.h"

using cairo_surface_t = struct _cairo_surface;
using cairo_t = struct _cairo;
using PangoLayout = struct _PangoLayout;

namespace dwell::documents {

struct Millimetres {
  double x = 0, y = 0;
};

class Paper {
 public:
  /// `written` is the document's date, within it too.
  Paper(double width_mm, double height_mm, const std::string& title, Instant written);

  struct LayoutDeleter {
    void operator()(PangoLayout* layout) const;
  };
  /// Set text; its height is known before it is put down.
  using Text = std::unique_ptr<PangoLayout, LayoutDeleter>;

  [[nodiscard]] Text text(const std::string& words, double points, bool bold, double width_mm) const;
  /// So that only what begins a line of the document stands at the edge.
  static void indent_further_lines(const Text& text);
  [[nodiscard]] static double height_of(const Text& text);
  void put(const Text& text, double x_mm, double y_mm);

  void rule(double x_mm, double y_mm, double width_mm, double line_points = 0.5);
  void stroke(const std::vector<Millimetres>& along, double line_points);
  /// Grey from 0 (black) to 1 (white).
  void fill(double x_mm, double y_mm, double width_mm, double height_mm, double grey);
  void frame(double x_mm, double y_mm, double width_mm, double height_mm, double line_points);
  /// A drawing's own field on the paper: where its origin lies, how many mm its unit is, and whether it is mirrored
  /// within its width.
  struct Field {
    Millimetres origin;
    double mm_a_unit = 1;
    double width = 0;
    bool mirrored = false;
  };
  /// A path of "M x y", "L x y", "C x y x y x y" and "Z", absolute, commands and figures in any of SVG's spacings.
  void path(std::string_view svg, const Field& field, double line_points, double grey = 0);
  /// The part of a path between two heights of its field, filled.
  void band(std::string_view svg, const Field& field, double from, double to, double grey);

  /// A ring, filled or not.
  void bead(Millimetres middle, double radius_mm, bool filled);

  /// How many characters so far no font of this machine has; a box with their number stands for each.
  [[nodiscard]] int boxes() const { return boxes_; }

  void next_page();
  /// The bytes of the file; nothing is put down after it.
  [[nodiscard]] std::string finish();

 private:
  void trace(std::string_view svg, const Field& field);

  struct SurfaceDeleter {
    void operator()(cairo_surface_t* surface) const;
  };
  struct ContextDeleter {
    void operator()(cairo_t* context) const;
  };
  std::string bytes_;
  int boxes_ = 0;
  std::unique_ptr<cairo_surface_t, SurfaceDeleter> surface_;
  std::unique_ptr<cairo_t, ContextDeleter> context_;
};

}  // namespace dwell::documents
