#include "ledger/cache_digest.h"

#include <sodium.h>

#include "ledger/chain.h"

namespace dwell::ledger {

RowsDigest::RowsDigest(const std::string& hex) {
  std::size_t length = 0;
  if (sodium_hex2bin(bytes_.data(), bytes_.size(), hex.data(), hex.size(), nullptr, &length, nullptr) != 0 ||
      length != bytes_.size())
    bytes_.fill(0);
}

void RowsDigest::toggle(const ProjectedLine& row) {
  crypto_generichash_state state;
  crypto_generichash_init(&state, nullptr, 0, bytes_.size());
  for (const auto* text : {&row.line, &row.unit, &row.bed, &row.clocks, &row.row}) {
    // With its length before it, so that nothing can move from one field to the next.
    const std::string sized = std::to_string(text->size()) + ":" + *text;
    crypto_generichash_update(&state, reinterpret_cast<const unsigned char*>(sized.data()), sized.size());
  }
  std::array<unsigned char, 32> one{};
  crypto_generichash_final(&state, one.data(), one.size());
  for (std::size_t i = 0; i < one.size(); ++i) bytes_[i] = static_cast<unsigned char>(bytes_[i] ^ one[i]);
}

std::string RowsDigest::hex() const {
  std::string text(bytes_.size() * 2 + 1, '\0');
  sodium_bin2hex(text.data(), text.size(), bytes_.data(), bytes_.size());
  text.pop_back();
  return text;
}

std::string seal_of(const ProjectionMark& mark, const CacheDigest& digest) {
  return blake2b_256(mark.made_with + "\n" + std::to_string(mark.sequence) + "\n" + digest.open.hex() + "\n" +
                     digest.closed.hex());
}

}  // namespace dwell::ledger
