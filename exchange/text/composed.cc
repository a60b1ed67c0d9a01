#include "exchange/text/composed.h"

#include <unicode/normalizer2.h>

#include <algorithm>
#include <stdexcept>

namespace dwell::unicode {
namespace {

const icu::Normalizer2& composer() {
  static const icu::Normalizer2* const made = [] {
    UErrorCode status = U_ZERO_ERROR;
    const auto* nfc = icu::Normalizer2::getNFCInstance(status);
    if (U_FAILURE(status)) throw std::runtime_error("Unicode's tables are missing");
    return nfc;
  }();
  return *made;
}

}  // namespace

bool is_composed(std::string_view text) {
  if (std::all_of(text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 0x80; })) return true;
  UErrorCode status = U_ZERO_ERROR;
  const bool composed =
      composer().isNormalizedUTF8(icu::StringPiece(text.data(), static_cast<std::int32_t>(text.size())), status);
  return U_SUCCESS(status) && composed;
}

}  // namespace dwell::unicode
