#include "exchange/documents/wrap.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

namespace dwell::documents {
namespace {

std::size_t widest(const std::string& text) {
  std::size_t widest = 0, width = 0;
  for (const char c : text) {
    width = c == '\n' ? 0 : width + ((c & 0xC0) != 0x80 ? 1 : 0);
    widest = std::max(widest, width);
  }
  return widest;
}

RC_GTEST_PROP(Wrap, LosesNoWordAndCutsNone, ()) {
  const auto words = *rc::gen::container<std::vector<std::string>>(
      rc::gen::element<std::string>("sodium", "0.9", "%", "µé", "a", "1\u202f000", "long-word-of-some-length"));
  std::string line;
  for (const auto& word : words) line += (line.empty() ? "" : " ") + word;
  auto wrapped = wrap(line, 30, "  ");
  RC_ASSERT(widest(wrapped) <= 30U);
  for (std::size_t at; (at = wrapped.find("\n  ")) != wrapped.npos;) wrapped.replace(at, 3, " ");
  RC_ASSERT(wrapped == line);
}

}  // namespace
}  // namespace dwell::documents
