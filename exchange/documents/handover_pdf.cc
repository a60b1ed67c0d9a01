#include <algorithm>
#include <array>

#include "exchange/documents/on_paper.h"
#include "exchange/documents/paper.h"
#include "exchange/documents/pdf.h"
#include "line/clauses.h"
#include "say/document.h"

namespace dwell::documents {
namespace {

using document::HandoverRow;

struct Column {
  Message (*title)();
  double width;  ///< mm
};
constexpr std::array<Column, 7> columns{{{say::column_bed, 9},
                                         {say::column_who, 26},
                                         {say::column_line, 49},
                                         {say::column_runs, 41},
                                         {say::column_site, 36},
                                         {say::column_due, 54},
                                         {say::column_beware, 68}}};

/// Sets the rows down A4 pages that lie across.
class Table {
 public:
  Table(Paper& paper, const document::HandoverSheet& sheet, const said::Reader& reader)
      : paper_(paper), sheet_(sheet), dated_(reader), reader_(reader) {
    reader_.sheet_of = sheet.written;
    head();
  }

  void row(const HandoverRow& row) {
    const std::array<Cell, columns.size()> cells{cell(row.bed, true, columns[0]),
                                                 cell_of_two(row.who, row.second_identifier, columns[1]),
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

  void sentence(const Message& message, bool bold) {
    const auto set = paper_.text(on_paper(message, reader_), letters, bold, width);
    make_room(Paper::height_of(set) + gap);
    paper_.put(set, left, y_);
    y_ += Paper::height_of(set) + gap / 2;
  }

  void close() {
    if (const int boxes = paper_.boxes(); boxes > 0) sentence(say::paper_boxes(boxes), false);
    foot();
  }

 private:
  static constexpr double left = 7, top = 5, width = 283, bottom = 203.5, gap = 1, letters = 6.4;

  /// Texts under one another, ordinary ones and those in bold.
  using Cell = std::vector<Paper::Text>;

  [[nodiscard]] Paper::Text set(const Message& message, bool bold, const Column& column) const {
    return paper_.text(on_paper(message, reader_), letters, bold, column.width - 2);
  }
  [[nodiscard]] Cell cell(const Message& message, bool bold, const Column& column) const {
    Cell made;
    if (!message.empty()) made.push_back(set(message, bold, column));
    return made;
  }
  [[nodiscard]] Cell cell_of_two(const Message& first, const Message& second, const Column& column) const {
    Cell made;
    for (const auto& one : {first, second}) made.push_back(set(one, true, column));
    return made;
  }

  /// What is overdue stands first, in bold; of each only what and when.
  [[nodiscard]] Cell due_cell(const HandoverRow& row) const {
    Cell made;
    for (const bool overdue : {true, false}) {
      std::vector<Message> all;
      for (const auto& due : row.due)
        if (due.overdue == overdue) all.push_back(due.brief);
      if (all.empty()) continue;
      const Message together = line::clauses(std::move(all));
      made.push_back(set(overdue ? say::paper_overdue(together) : together, overdue, columns[5]));
    }
    return made;
  }

  /// Each on its own line would make a row as high as a thumb. In bold all that is to beware of; of what was charted
  /// the last two, where the second counts looks that found nothing, else the last one; the others are counted.
  [[nodiscard]] Cell beware_cell(const HandoverRow& row) const {
    const std::size_t printed = !row.since.empty() && row.since.back().id() == say::sound_looks(1, {}).id() ? 2 : 1;
    Cell made;
    if (!row.beware.empty()) made.push_back(set(line::clauses(row.beware), true, columns[6]));
    if (row.since.empty()) return made;
    const std::size_t left_out = row.since.size() - std::min(printed, row.since.size());
    std::vector<Message> last(row.since.begin() + static_cast<std::ptrdiff_t>(left_out), row.since.end());
    if (left_out > 0) last.push_back(say::paper_more_entries(static_cast<std::int64_t>(left_out)));
    made.push_back(set(line::clauses(std::move(last)), false, columns[6]));
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
    const auto title =
        paper_.text(on_paper(say::paper_title_and_head(sheet_.title, sheet_.patient), dated_), 10, true, width);
    paper_.put(title, left, y_);
    y_ += Paper::height_of(title) + 1;
    double x = left;
    for (const auto& column : columns) {
      paper_.put(paper_.text(on_paper(column.title(), reader_), letters, true, column.width), x, y_);
      x += column.width;
    }
    y_ += 3.6;
    paper_.rule(left, y_, width);
    paper_.rule(left, y_ + 0.7, width);
    y_ += 1.5;
  }

  void foot() {
    paper_.put(paper_.text(on_paper(say::paper_page(page_), reader_), letters, false, width), left, bottom + 0.8);
  }

  /// A row that no page has room for, so that nothing of it is cut.
  void in_sentences(const HandoverRow& row) {
    sentence(say::bed_heading(row.bed, row.who, row.second_identifier), true);
    for (const auto& message : {row.line, row.running, row.site})
      if (!message.empty()) sentence(message, false);
    for (const auto& due : row.due)
      sentence(due.overdue ? say::paper_overdue(due.text) : say::item_due(due.text), due.overdue);
    for (const auto& message : row.beware) sentence(say::item_beware(message), true);
    for (const auto& message : row.since) sentence(say::item_since(message), false);
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
  const said::Reader& dated_;  ///< for the heading, whose date stands for those of the rows
  said::Reader reader_;
  double y_ = top;
  int page_ = 1;
};

}  // namespace

std::string handover_pdf(const document::HandoverSheet& sheet, const said::Reader& reader) {
  Paper paper(297, 210, on_paper(sheet.title, reader), sheet.written);
  Table table(paper, sheet, reader);
  for (const auto& row : sheet.rows) table.row(row);
  if (sheet.rows.empty()) table.sentence(say::paper_no_open_line(), true);
  if (!sheet.ended.empty()) table.sentence(say::heading_ended(), true);
  for (const auto& ended : sheet.ended) table.sentence(ended, false);
  table.close();
  return paper.finish();
}

}  // namespace dwell::documents
