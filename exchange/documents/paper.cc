#include "exchange/documents/paper.h"

#include <cairo-pdf.h>
#include <pango/pangocairo.h>

#include <charconv>
#include <numbers>
#include <stdexcept>

namespace dwell::documents {
namespace {

constexpr double points_per_mm = 72.0 / 25.4;
constexpr double mm(double millimetres) { return millimetres * points_per_mm; }

cairo_status_t append(void* out, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(out)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

int unknown_letters(const Paper::Text& text) { return pango_layout_get_unknown_glyphs_count(text.get()); }

}  // namespace

void Paper::SurfaceDeleter::operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
void Paper::ContextDeleter::operator()(cairo_t* context) const { cairo_destroy(context); }
void Paper::LayoutDeleter::operator()(PangoLayout* layout) const { g_object_unref(layout); }

Paper::Paper(double width_mm, double height_mm, const std::string& title, Instant written)
    : surface_(cairo_pdf_surface_create_for_stream(&append, &bytes_, mm(width_mm), mm(height_mm))),
      context_(cairo_create(surface_.get())) {
  cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_TITLE, title.c_str());
  cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_CREATOR, "Dwell");
  const std::string date = iso(std::chrono::floor<std::chrono::seconds>(written));
  cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_CREATE_DATE, date.c_str());
  if (unknown_letters(text("Page 0123456789 mL/h ·", 10, false, width_mm)) > 0)
    throw std::runtime_error(
        "no document was made: this machine has no font with its letters (install one, such as "
        "DejaVu Sans)");
}

Paper::Text Paper::text(const std::string& words, double points, bool bold, double width_mm) const {
  Text made(pango_cairo_create_layout(context_.get()));
  PangoFontDescription* font = pango_font_description_from_string("Inter, DejaVu Sans");
  pango_font_description_set_absolute_size(font, points * PANGO_SCALE);
  pango_font_description_set_weight(font, bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_layout_set_font_description(made.get(), font);
  pango_font_description_free(font);
  pango_layout_set_width(made.get(), static_cast<int>(mm(width_mm) * PANGO_SCALE));
  pango_layout_set_wrap(made.get(), PANGO_WRAP_WORD_CHAR);
  pango_layout_set_text(made.get(), words.c_str(), static_cast<int>(words.size()));
  return made;
}

void Paper::indent_further_lines(const Text& text) {
  pango_layout_set_indent(text.get(), -static_cast<int>(mm(4) * PANGO_SCALE));
}

double Paper::height_of(const Text& text) {
  int width = 0, height = 0;
  pango_layout_get_size(text.get(), &width, &height);
  return height / static_cast<double>(PANGO_SCALE) / points_per_mm;
}

void Paper::put(const Text& text, double x_mm, double y_mm) {
  boxes_ += unknown_letters(text);
  cairo_move_to(context_.get(), mm(x_mm), mm(y_mm));
  pango_cairo_show_layout(context_.get(), text.get());
}

void Paper::rule(double x_mm, double y_mm, double width_mm, double line_points) {
  stroke({{x_mm, y_mm}, {x_mm + width_mm, y_mm}}, line_points);
}

void Paper::stroke(const std::vector<Millimetres>& along, double line_points) {
  cairo_set_line_width(context_.get(), line_points);
  cairo_new_path(context_.get());  // text leaves a point behind it
  for (const auto& point : along) cairo_line_to(context_.get(), mm(point.x), mm(point.y));
  cairo_stroke(context_.get());
}

void Paper::fill(double x_mm, double y_mm, double width_mm, double height_mm, double grey) {
  cairo_set_source_rgb(context_.get(), grey, grey, grey);
  cairo_rectangle(context_.get(), mm(x_mm), mm(y_mm), mm(width_mm), mm(height_mm));
  cairo_fill(context_.get());
  cairo_set_source_rgb(context_.get(), 0, 0, 0);
}

void Paper::frame(double x_mm, double y_mm, double width_mm, double height_mm, double line_points) {
  cairo_set_line_width(context_.get(), line_points);
  cairo_rectangle(context_.get(), mm(x_mm), mm(y_mm), mm(width_mm), mm(height_mm));
  cairo_stroke(context_.get());
}

void Paper::trace(std::string_view svg, const Field& field) {
  const auto put = [&](double x, double y) {
    return Millimetres{mm(field.origin.x + field.mm_a_unit * (field.mirrored ? field.width - x : x)),
                       mm(field.origin.y + field.mm_a_unit * y)};
  };
  cairo_new_path(context_.get());
  char command = 'M';
  std::vector<double> figures;
  const auto end = svg.data() + svg.size();
  for (const char* at = svg.data(); at != end;) {
    if (*at == 'Z') {
      cairo_close_path(context_.get());
      ++at;
    } else if (*at == 'M' || *at == 'L' || *at == 'C') {
      command = *at++;
    } else if (*at == ' ' || *at == ',') {
      ++at;
    } else {
      double figure = 0;
      const auto [next, wrong] = std::from_chars(at, end, figure);
      if (wrong != std::errc()) throw std::invalid_argument("not a path: " + std::string(at, end));
      at = next;
      figures.push_back(figure);
    }
    if (figures.size() < (command == 'C' ? 6U : 2U)) continue;
    std::vector<Millimetres> points;
    for (std::size_t i = 0; i < figures.size(); i += 2) points.push_back(put(figures[i], figures[i + 1]));
    if (command == 'M') cairo_move_to(context_.get(), points[0].x, points[0].y);
    if (command == 'L') cairo_line_to(context_.get(), points[0].x, points[0].y);
    if (command == 'C')
      cairo_curve_to(context_.get(), points[0].x, points[0].y, points[1].x, points[1].y, points[2].x, points[2].y);
    figures.clear();
  }
}

void Paper::path(std::string_view svg, const Field& field, double line_points, double grey) {
  trace(svg, field);
  cairo_set_source_rgb(context_.get(), grey, grey, grey);
  cairo_set_line_width(context_.get(), line_points);
  cairo_stroke(context_.get());
  cairo_set_source_rgb(context_.get(), 0, 0, 0);
}

void Paper::band(std::string_view svg, const Field& field, double from, double to, double grey) {
  cairo_save(context_.get());
  trace(svg, field);
  cairo_clip(context_.get());
  fill(field.origin.x, field.origin.y + field.mm_a_unit * from, field.mm_a_unit * field.width,
       field.mm_a_unit * (to - from), grey);
  cairo_restore(context_.get());
}

void Paper::bead(Millimetres middle, double radius_mm, bool filled) {
  cairo_new_path(context_.get());
  cairo_arc(context_.get(), mm(middle.x), mm(middle.y), mm(radius_mm), 0, 2 * std::numbers::pi);
  if (!filled) cairo_set_source_rgb(context_.get(), 1, 1, 1);
  cairo_fill_preserve(context_.get());
  cairo_set_source_rgb(context_.get(), 0, 0, 0);
  cairo_set_line_width(context_.get(), 0.6);
  cairo_stroke(context_.get());
}

void Paper::next_page() { cairo_show_page(context_.get()); }

std::string Paper::finish() {
  cairo_surface_finish(surface_.get());
  const auto status = cairo_surface_status(surface_.get());
  if (status != CAIRO_STATUS_SUCCESS) throw std::runtime_error(cairo_status_to_string(status));
  return std::move(bytes_);
}

}  // namespace dwell::documents
