#include "exchange/documents/pdf.h"

#include <cairo-pdf.h>
#include <pango/pangocairo.h>

#include <functional>
#include <memory>
#include <stdexcept>

namespace dwell::documents {
namespace {

constexpr double points_per_mm = 72.0 / 25.4;
constexpr double mm(double millimetres) { return millimetres * points_per_mm; }

struct SurfaceDeleter {
  void operator()(cairo_surface_t* s) const { cairo_surface_destroy(s); }
};
struct ContextDeleter {
  void operator()(cairo_t* c) const { cairo_destroy(c); }
};
struct LayoutDeleter {
  void operator()(PangoLayout* l) const { g_object_unref(l); }
};

cairo_status_t append(void* out, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(out)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

/// A PDF being written: millimetres from the top left, text by Pango.
class Sheet {
 public:
  Sheet(double width_mm, double height_mm, const std::string& title)
      : surface_(cairo_pdf_surface_create_for_stream(&append, &bytes_, mm(width_mm), mm(height_mm))),
        context_(cairo_create(surface_.get())) {
    cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_TITLE, title.c_str());
    cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_CREATOR, "Dwell");
    if (const auto letters = layout("Page 0123456789 mL/h ·", 10, false, width_mm); unknown(letters) > 0)
      throw std::runtime_error(
          "no document was made: this machine has no font with its letters (install one, such as "
          "DejaVu Sans)");
  }

  using Layout = std::unique_ptr<PangoLayout, LayoutDeleter>;

  /// How many characters no font of this machine has; a box with their number stands for each.
  [[nodiscard]] static int unknown(const Layout& layout) { return pango_layout_get_unknown_glyphs_count(layout.get()); }

  [[nodiscard]] Layout layout(const std::string& text, double points, bool bold, double width_mm) const {
    Layout made(pango_cairo_create_layout(context_.get()));
    PangoFontDescription* font = pango_font_description_from_string("Inter, DejaVu Sans");
    pango_font_description_set_absolute_size(font, points * PANGO_SCALE);
    pango_font_description_set_weight(font, bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_layout_set_font_description(made.get(), font);
    pango_font_description_free(font);
    pango_layout_set_width(made.get(), static_cast<int>(mm(width_mm) * PANGO_SCALE));
    pango_layout_set_wrap(made.get(), PANGO_WRAP_WORD_CHAR);
    pango_layout_set_text(made.get(), text.c_str(), static_cast<int>(text.size()));
    return made;
  }

  [[nodiscard]] static double height_mm(const Layout& layout) {
    int width = 0, height = 0;
    pango_layout_get_size(layout.get(), &width, &height);
    return height / static_cast<double>(PANGO_SCALE) / points_per_mm;
  }

  void put(const Layout& layout, double x_mm, double y_mm) {
    boxes_ += unknown(layout);
    cairo_move_to(context_.get(), mm(x_mm), mm(y_mm));
    pango_cairo_show_layout(context_.get(), layout.get());
  }

  void rule(double x_mm, double y_mm, double width_mm) {
    cairo_set_line_width(context_.get(), 0.5);
    cairo_move_to(context_.get(), mm(x_mm), mm(y_mm));
    cairo_rel_line_to(context_.get(), mm(width_mm), 0);
    cairo_stroke(context_.get());
  }

  void frame(double x_mm, double y_mm, double width_mm, double height_mm, double line_points) {
    cairo_set_line_width(context_.get(), line_points);
    cairo_rectangle(context_.get(), mm(x_mm), mm(y_mm), mm(width_mm), mm(height_mm));
    cairo_stroke(context_.get());
  }

  [[nodiscard]] int boxes() const { return boxes_; }

  void next_page() { cairo_show_page(context_.get()); }

  [[nodiscard]] std::string finish() {
    cairo_surface_finish(surface_.get());
    const auto status = cairo_surface_status(surface_.get());
    if (status != CAIRO_STATUS_SUCCESS) throw std::runtime_error(cairo_status_to_string(status));
    return std::move(bytes_);
  }

 private:
  std::string bytes_;
  int boxes_ = 0;
  std::unique_ptr<cairo_surface_t, SurfaceDeleter> surface_;
  std::unique_ptr<cairo_t, ContextDeleter> context_;
};

/// Flows the note's parts down A4 pages and counts them.
class NotePages {
 public:
  NotePages(Sheet& sheet, const document::Note& note) : sheet_(sheet), note_(note) { head(); }

  void heading(const std::string& text) {
    const auto layout = sheet_.layout(text, 11, true, width);
    // A heading never stands alone at the foot of a page.
    make_room(Sheet::height_mm(layout) + 10);
    y_ += 3;
    place(layout);
  }

  void line(const std::string& text) {
    const auto layout = sheet_.layout(text, 10, false, width);
    make_room(Sheet::height_mm(layout));
    place(layout);
  }

  void close() {
    if (const int boxes = sheet_.boxes(); boxes > 0)
      line("Shown as boxes, because no font of this machine has them: " + std::to_string(boxes) +
           (boxes == 1 ? " character." : " characters."));
    foot();
  }

 private:
  static constexpr double left = 20, top = 18, width = 170, bottom = 275;

  void head() {
    y_ = top;
    place(sheet_.layout(note_.title, 15, true, width));
    place(sheet_.layout(note_.patient, 10.5, true, width));
    sheet_.rule(left, y_ + 1, width);
    y_ += 3;
  }

  void foot() {
    const auto layout =
        sheet_.layout("Page " + std::to_string(page_) + " · made by Dwell from charted entries", 8, false, width);
    sheet_.put(layout, left, bottom + 6);
  }

  void make_room(double height) {
    if (y_ + height <= bottom) return;
    foot();
    sheet_.next_page();
    ++page_;
    head();
  }

  void place(const Sheet::Layout& layout) {
    sheet_.put(layout, left, y_);
    y_ += Sheet::height_mm(layout) + 0.8;
  }

  Sheet& sheet_;
  const document::Note& note_;
  double y_ = top;
  int page_ = 1;
};

}  // namespace

std::string note_pdf(const document::Note& note) {
  Sheet sheet(210, 297, note.title);
  NotePages pages(sheet, note);
  for (const auto& section : note.sections) {
    pages.heading(section.heading);
    for (const auto& line : section.lines) pages.line(line);
  }
  pages.close();
  return sheet.finish();
}

std::string label_pdf(const document::Label& label) {
  constexpr double width = 70, height = 30, edge = 3;
  Sheet sheet(width, height, "Dressing label");
  sheet.frame(1, 1, width - 2, height - 2, label.emergency ? 2.5 : 1);
  sheet.put(sheet.layout(label.date + "  " + label.time, 16, true, width - 2 * edge), edge, 3);
  sheet.put(sheet.layout(label.catheter, 13, false, width - 2 * edge), edge, 11.5);
  sheet.put(sheet.layout("placed by " + label.initials, 13, false, width - 2 * edge), edge, 18.5);
  if (label.emergency) sheet.put(sheet.layout("EMERGENCY: asepsis not assured", 8.5, true, width - 2 * edge), edge, 25);
  return sheet.finish();
}

}  // namespace dwell::documents
