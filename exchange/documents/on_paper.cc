#include "exchange/documents/on_paper.h"

#include "text/own_words.h"

namespace dwell::documents {

std::string on_paper(const Message& message, const said::Reader& reader) {
  return text::one_line(said::said(message, reader));
}

}  // namespace dwell::documents
