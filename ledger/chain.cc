#include "ledger/chain.h"

#include <sodium.h>

#include <array>
#include <stdexcept>
#include <vector>

#include "json/codec.h"

namespace dwell::ledger {
namespace {

constexpr std::size_t hash_bytes = 32;

std::string hex(const std::array<unsigned char, hash_bytes>& bytes) {
  std::string text(hash_bytes * 2 + 1, '\0');
  sodium_bin2hex(text.data(), text.size(), bytes.data(), bytes.size());
  text.pop_back();
  return text;
}

void hash_text(crypto_generichash_state& state, std::string_view text) {
  crypto_generichash_update(&state, reinterpret_cast<const unsigned char*>(text.data()), text.size());
}

}  // namespace

std::string canonical_json(const line::Event& event) {
  if (!event.receipt) return json::to_text(json::encode(event));
  auto as_sent = event;
  as_sent.receipt.reset();
  return json::to_text(json::encode(as_sent));
}

const std::string& genesis_hash() {
  static const std::string zeros(hash_bytes * 2, '0');
  return zeros;
}

std::string chain_hash(std::string_view previous_hash, std::string_view kind, std::string_view received,
                       std::string_view json) {
  std::array<unsigned char, hash_bytes> previous{};
  std::size_t length = 0;
  if (sodium_hex2bin(previous.data(), previous.size(), previous_hash.data(), previous_hash.size(), nullptr, &length,
                     nullptr) != 0 ||
      length != hash_bytes)
    throw std::invalid_argument("a previous hash of 64 hex digits is needed");
  crypto_generichash_state state;
  crypto_generichash_init(&state, nullptr, 0, hash_bytes);
  crypto_generichash_update(&state, previous.data(), previous.size());
  if (!kind.empty() || !received.empty())
    for (const std::string_view text :
         {std::string_view("dwell entry 2\n"), kind, std::string_view("\n"), received, std::string_view("\n")})
      hash_text(state, text);
  hash_text(state, json);
  std::array<unsigned char, hash_bytes> out{};
  crypto_generichash_final(&state, out.data(), out.size());
  return hex(out);
}

std::string blake2b_256(std::string_view bytes) {
  std::array<unsigned char, hash_bytes> out{};
  crypto_generichash(out.data(), out.size(), reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size(),
                     nullptr, 0);
  return hex(out);
}

}  // namespace dwell::ledger
