#include "exchange/documents/limb_drawing.h"
#include "exchange/documents/on_paper.h"
#include "exchange/documents/paper.h"
#include "exchange/documents/pdf.h"
#include "say/access.h"
#include "say/document.h"

namespace dwell::documents {
namespace {

using document::NoteRibbon;

/// Draws the line's life: a tube from placing to its end, what ran as its filling, looks as beads over it.
class RibbonDrawing {
 public:
  RibbonDrawing(Paper& paper, const NoteRibbon& ribbon, const said::Reader& reader, double left, double top,
                double width)
      : paper_(paper), ribbon_(ribbon), reader_(reader), left_(left), top_(top), width_(width) {}

  static constexpr double height = 20;

  void draw() {
    for (const auto& span : ribbon_.ran)
      paper_.fill(x_of(span.from), tube_top(), x_of(span.until) - x_of(span.from), tube_height, 0.72);
    paper_.rule(left_, tube_top(), width_, 0.9);
    paper_.rule(left_, tube_top() + tube_height, width_, 0.9);
    paper_.stroke({{left_, tube_top()}, {left_, tube_top() + tube_height}}, 0.9);
    if (ribbon_.out) paper_.stroke({{right(), tube_top() - 1.5}, {right(), tube_top() + tube_height + 1.5}}, 2);
    looks();
    days();
    paper_.put(paper_.text(on_paper(say::moment_of(ribbon_.from), reader_), 7.5, false, 60), left_, top_ + 15.5);
    const auto end =
        paper_.text(on_paper(ribbon_.out ? say::paper_out(ribbon_.until) : say::paper_still_in(ribbon_.until), reader_),
                    7.5, false, 45);
    paper_.put(end, right() - 38, top_ + 15.5);
  }

 private:
  static constexpr double tube_height = 4, bead = 1.5;
  [[nodiscard]] double tube_top() const { return top_ + 8; }
  [[nodiscard]] double right() const { return left_ + width_; }

  [[nodiscard]] double x_of(Instant at) const {
    const auto whole = std::chrono::duration<double>(ribbon_.until - ribbon_.from).count();
    const auto part = std::chrono::duration<double>(at - ribbon_.from).count();
    return left_ + (whole > 0 ? width_ * std::min(1.0, std::max(0.0, part / whole)) : 0);
  }

  /// A ring: grade 0. Filled: a grade above 0, or signs that match no grade; its figure over it. A dash: not graded.
  void looks() {
    const double y = tube_top() - 2.2;
    for (const auto& look : ribbon_.looks) {
      const double x = x_of(look.at);
      if (!look.grade && !look.unmatched) {
        paper_.rule(x - bead, y, 2 * bead, 0.9);
        continue;
      }
      const bool found = look.unmatched || *look.grade > 0;
      paper_.bead({x, y}, bead, found);
      if (found)
        paper_.put(paper_.text(look.unmatched ? "?" : std::to_string(*look.grade), 8, true, 8), x - 0.9, y - 5.6);
    }
  }

  void days() {
    double free_from = left_ + 32;
    for (const auto& day : ribbon_.days) {
      const double x = x_of(day.at);
      paper_.stroke({{x, tube_top() + tube_height}, {x, tube_top() + tube_height + 1.5}}, 0.5);
      // A day's name only where it stands free.
      if (x < free_from || x > right() - 60) continue;
      paper_.put(paper_.text(on_paper(say::day_of(day.date), reader_), 7.5, false, 24), x - 1, top_ + 15.5);
      free_from = x + 24;
    }
  }

  Paper& paper_;
  const NoteRibbon& ribbon_;
  const said::Reader& reader_;
  double left_, top_, width_;
};

/// Flows the note's parts down A4 pages and counts them.
class NotePages {
 public:
  NotePages(Paper& paper, const document::Note& note, const said::Reader& reader)
      : paper_(paper), note_(note), reader_(reader) {
    head();
  }

  /// The limb stands at the right, on the first page; what is written beside it is narrower until it ends.
  void limb(const access::Site& site) {
    if (!is_drawn(site.region)) return;
    const double wide = limb_width(limb_height);
    limb_left_ = left + width - wide;
    draw_limb(paper_, site, {limb_left_, y_ + 1}, limb_height);
    const auto words = paper_.text(on_paper(say::site(site.side, site.region), reader_), 7.5, false, wide + 8);
    paper_.put(words, limb_left_ - 8, y_ + limb_height + 2);
    limb_end_ = y_ + limb_height + 3 + Paper::height_of(words);
  }

  void ribbon(const NoteRibbon& ribbon) {
    RibbonDrawing(paper_, ribbon, reader_, left, y_, free_width()).draw();
    y_ += RibbonDrawing::height;
  }

  void heading(const Message& message) {
    const auto set = paper_.text(on_paper(message, reader_), 10, true, free_width());
    // A heading never stands alone at the foot of a page.
    make_room(Paper::height_of(set) + 10);
    y_ += 2;
    place(set);
  }

  void line(const Message& message) {
    const auto set = paper_.text(on_paper(message, reader_), 8.5, false, free_width());
    Paper::indent_further_lines(set);
    make_room(Paper::height_of(set));
    place(set);
  }

  void close() {
    if (const int boxes = paper_.boxes(); boxes > 0) line(say::paper_boxes(boxes));
    foot();
  }

 private:
  static constexpr double left = 18, top = 14, width = 174, bottom = 280, limb_height = 58;

  void head() {
    y_ = top;
    place(paper_.text(on_paper(note_.title, reader_), 14, true, width));
    const auto patient = paper_.text(on_paper(note_.patient, reader_), 10, true, width);
    Paper::indent_further_lines(patient);
    place(patient);
    paper_.rule(left, y_ + 0.8, width);
    paper_.rule(left, y_ + 1.6, width);
    y_ += 3;
  }

  void foot() {
    const auto text = paper_.text(on_paper(say::paper_page(page_), reader_), 7.5, false, width);
    paper_.put(text, left, bottom + 5);
  }

  void make_room(double height) {
    if (y_ + height <= bottom) return;
    foot();
    paper_.next_page();
    ++page_;
    limb_end_ = 0;
    head();
  }

  /// How wide a text that begins here may be: beside the limb it ends before it.
  [[nodiscard]] double free_width() const { return y_ < limb_end_ ? limb_left_ - 12 - left : width; }

  void place(const Paper::Text& text) {
    paper_.put(text, left, y_);
    y_ += Paper::height_of(text) + 0.5;
  }

  Paper& paper_;
  const document::Note& note_;
  const said::Reader& reader_;
  double y_ = top;
  double limb_left_ = 0, limb_end_ = 0;
  int page_ = 1;
};

}  // namespace

std::string note_pdf(const document::Note& note, const said::Reader& reader) {
  Paper paper(210, 297, on_paper(note.title, reader), note.written);
  NotePages pages(paper, note, reader);
  if (note.site) pages.limb(*note.site);
  if (note.ribbon) pages.ribbon(*note.ribbon);
  for (const auto& section : note.sections) {
    pages.heading(section.heading);
    for (const auto& line : section.lines) pages.line(line);
  }
  pages.close();
  return paper.finish();
}

}  // namespace dwell::documents
