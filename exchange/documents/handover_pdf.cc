#include <algorithm>
#include <array>

#include "exchange/documents/paper.h"
#include "exchange/documents/pdf.h"

namespace dwell::documents {
namespace {

using document::HandoverRow;

struct Column {
  const char* title;
  double width;  ///< mm
};
constexpr std::array<Column, 7> columns{
    {{"Bed", 11}, {"Who", 29}, {"Line", 37}, {"Runs", 42}, {"Site", 42}, {"Due", 52}, {"Beware · since then", 64}}};

/// Sets the rows down A4 pages that lie across.
class Table {
 public:
  Table(Paper& paper, const document::HandoverSheet& sheet) : paper_(paper), sheet_(sheet) { head(); }

  void row(const HandoverRow& row) {
    const std::array<Cell, columns.size()> cells{cell(row.bed, true, columns[0]),
                                                 cell(row.who + "\n" + row.second_identifier, true, columns[1]),
                                                 cell(row.line, false, columns[2]),
                                                 cell(row.running, false, columns[3]),
                                                 cell(row.site, false, columns[4]),
                                                 due_cell(row),
                                                 beware_cell(row)};
    double height = 0;
    for (const auto& one : cells) height = std::max(height, height_of(one));
    if (height > bottom - top - 10) return in_sentences(row);
    make_room(height + gap);
    double x = left;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      put(cells[i], x);
      x += columns[i].width;
    }
    y_ += height + gap;
    paper_.rule(left, y_ - gap / 2, width, 0.3);
  }

  void sentence(const std::string& text, bool bold) {
    const auto set = paper_.text(text, letters, bold, width);
    make_room(Paper::height_of(set) + gap);
    paper_.put(set, left, y_);
    y_ += Paper::height_of(set) + gap / 2;
  }

  void close() {
    if (const int boxes = paper_.boxes(); boxes > 0)
      sentence("Shown as boxes, because no font of this machine has them: " + std::to_string(boxes) +
                   (boxes == 1 ? " character." : " characters."),
               false);
    foot();
  }

 private:
  static constexpr double left = 10, top = 9, width = 277, bottom = 198, gap = 1.4, letters = 6.8;

  /// Texts under one another, ordinary ones and those in bold.
  using Cell = std::vector<Paper::Text>;

  [[nodiscard]] Paper::Text set(const std::string& text, bool bold, const Column& column) const {
    return paper_.text(text, letters, bold, column.width - 2);
  }
  [[nodiscard]] Cell cell(const std::string& text, bool bold, const Column& column) const {
    Cell made;
    if (!text.empty()) made.push_back(set(text, bold, column));
    return made;
  }

  /// What is overdue stands first as it is, in bold.
  [[nodiscard]] Cell due_cell(const HandoverRow& row) const {
    Cell made;
    for (const auto& due : row.due)
      made.push_back(set((due.overdue ? "OVERDUE " : "") + due.text, due.overdue, columns[5]));
    return made;
  }

  /// Each on its own line would make a row as high as a thumb.
  [[nodiscard]] Cell beware_cell(const HandoverRow& row) const {
    const auto joined = [](const std::vector<std::string>& all) {
      std::string text;
      for (const auto& one : all) text += (text.empty() ? "" : "; ") + one;
      return text;
    };
    Cell made;
    if (!row.beware.empty()) made.push_back(set(joined(row.beware), true, columns[6]));
    if (!row.since.empty()) made.push_back(set("Since then: " + joined(row.since), false, columns[6]));
    return made;
  }

  [[nodiscard]] static double height_of(const Cell& cell) {
    double height = 0;
    for (const auto& text : cell) height += Paper::height_of(text);
    return height;
  }

  void put(const Cell& cell, double x) {
    double y = y_;
    for (const auto& text : cell) {
      paper_.put(text, x, y);
      y += Paper::height_of(text);
    }
  }

  void head() {
    y_ = top;
    const auto title = paper_.text(sheet_.title + " · " + sheet_.patient, 10, true, width);
    paper_.put(title, left, y_);
    y_ += Paper::height_of(title) + 1;
    double x = left;
    for (const auto& column : columns) {
      paper_.put(paper_.text(column.title, letters, true, column.width), x, y_);
      x += column.width;
    }
    y_ += 3.6;
    paper_.rule(left, y_, width);
    paper_.rule(left, y_ + 0.7, width);
    y_ += 1.5;
  }

  void foot() {
    paper_.put(
        paper_.text("Page " + std::to_string(page_) + " · made by Dwell from charted entries", letters, false, width),
        left, bottom + 3);
  }

  /// A row that no page has room for, so that nothing of it is cut.
  void in_sentences(const HandoverRow& row) {
    sentence("Bed " + row.bed + " · " + row.who + " · " + row.second_identifier, true);
    for (const auto& text : {row.line, row.running, row.site})
      if (!text.empty()) sentence(text, false);
    for (const auto& due : row.due) sentence((due.overdue ? "OVERDUE " : "Due: ") + due.text, due.overdue);
    for (const auto& text : row.beware) sentence("Beware: " + text, true);
    for (const auto& text : row.since) sentence("Since then: " + text, false);
  }

  void make_room(double height) {
    if (y_ + height <= bottom) return;
    foot();
    paper_.next_page();
    ++page_;
    head();
  }

  Paper& paper_;
  const document::HandoverSheet& sheet_;
  double y_ = top;
  int page_ = 1;
};

}  // namespace

std::string handover_pdf(const document::HandoverSheet& sheet) {
  Paper paper(297, 210, sheet.title, sheet.written);
  Table table(paper, sheet);
  for (const auto& row : sheet.rows) table.row(row);
  if (sheet.rows.empty()) table.sentence("No open line: nothing to hand over.", true);
  if (!sheet.ended.empty()) table.sentence("Ended since", true);
  for (const auto& ended : sheet.ended) table.sentence(ended, false);
  table.close();
  return paper.finish();
}

}  // namespace dwell::documents
