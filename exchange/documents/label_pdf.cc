#include <zint.h>

#include <memory>
#include <stdexcept>

#include "exchange/documents/on_paper.h"
#include "exchange/documents/paper.h"
#include "exchange/documents/pdf.h"
#include "say/document.h"

namespace dwell::documents {
namespace {

using document::LabelSize;

struct SymbolDeleter {
  void operator()(zint_symbol* symbol) const { ZBarcode_Delete(symbol); }
};

/// Draws `content` as a square Data Matrix with this edge; its quiet zone is the paper around it.
void draw_code(Paper& paper, const std::string& content, double left, double top, double edge) {
  const std::unique_ptr<zint_symbol, SymbolDeleter> symbol(ZBarcode_Create());
  symbol->symbology = BARCODE_DATAMATRIX;
  symbol->option_3 = DM_SQUARE;
  const auto failed = ZBarcode_Encode(symbol.get(), reinterpret_cast<const unsigned char*>(content.data()),
                                      static_cast<int>(content.size()));
  if (failed >= ZINT_ERROR) throw std::runtime_error(symbol->errtxt);
  const double cell = edge / symbol->width;
  const auto is_dark = [&](int row, int column) {
    return (symbol->encoded_data[row][column / 8] >> (column % 8) & 1) != 0;
  };
  // A run of dark cells is one box: boxes that only touch show a hair between them.
  for (int row = 0; row < symbol->rows; ++row)
    for (int column = 0; column < symbol->width; ++column) {
      if (!is_dark(row, column)) continue;
      const int first = column;
      while (column < symbol->width && is_dark(row, column)) ++column;
      paper.fill(left + first * cell, top + row * cell, (column - first) * cell, cell, 0);
    }
}

struct LabelForm {
  double width, height, code;  ///< mm
  double large, small;         ///< letters, points
};

constexpr LabelForm form_of(LabelSize size) {
  switch (size) {
    case LabelSize::small: return {50, 25, 12, 9, 6.2};
    case LabelSize::usual: return {70, 30, 15, 12, 7.8};
    case LabelSize::large: return {90, 40, 20, 16, 10};
  }
  return {70, 30, 15, 12, 7.8};
}

}  // namespace

std::string label_pdf(const document::Label& label, LabelSize size, const said::Reader& reader) {
  const LabelForm form = form_of(size);
  constexpr double edge = 2.5;
  Paper paper(form.width, form.height, on_paper(say::title_label(), reader), label.placed_at);
  paper.frame(0.8, 0.8, form.width - 1.6, form.height - 1.6, label.emergency ? 2.5 : 0.8);
  const double words = form.width - form.code - 3 * edge;
  double y = edge - 0.5;
  const auto put = [&](const Message& message, double points, bool bold) {
    const auto set = paper.text(on_paper(message, reader), points, bold, words);
    paper.put(set, edge, y);
    y += Paper::height_of(set);
  };
  put(label.date, form.large, true);
  put(label.site, form.small, false);
  put(say::paper_catheter_and_initials(label.catheter, label.initials), form.small, false);
  put(say::paper_dressing_due(label.next_change), form.small, true);
  if (label.emergency) put(say::paper_emergency(), form.small, true);
  draw_code(paper, label.code, form.width - edge - form.code, (form.height - form.code) / 2, form.code);
  return paper.finish();
}

}  // namespace dwell::documents
