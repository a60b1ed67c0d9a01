#include "accounts/secret.h"

#include <sodium.h>
#include <zxcvbn.h>

#include <algorithm>
#include <array>
#include <set>
#include <stdexcept>
#include <vector>

#include "ledger/chain.h"
#include "say/accounts.h"
#include "text/code_points.h"

namespace dwell::accounts {
namespace {

constexpr std::size_t most_password = 256, least_pin = 6, most_pin = 12;
/// Of guesses by whoever tries the likeliest first, as a power of two: ten thousand million.
constexpr double least_bits = 33;

void need_sodium() {
  if (sodium_init() < 0) throw std::runtime_error("no source of random numbers");
}

}  // namespace

std::string hashed(std::string_view secret, const Cost& cost) {
  need_sodium();
  std::array<char, crypto_pwhash_STRBYTES> out{};
  if (crypto_pwhash_str_alg(out.data(), secret.data(), secret.size(), cost.passes, cost.bytes,
                            crypto_pwhash_ALG_ARGON2ID13) != 0)
    throw std::runtime_error("not enough memory to look at a password");
  return out.data();
}

bool fits(std::string_view secret, const std::string& hash) {
  need_sodium();
  return crypto_pwhash_str_verify(hash.c_str(), secret.data(), secret.size()) == 0;
}

std::string fresh_token() {
  need_sodium();
  std::array<unsigned char, 32> bytes{};
  randombytes_buf(bytes.data(), bytes.size());
  std::string text(bytes.size() * 2 + 1, '\0');
  sodium_bin2hex(text.data(), text.size(), bytes.data(), bytes.size());
  text.pop_back();
  return text;
}

std::string kept_of_token(std::string_view token) { return ledger::blake2b_256(token); }

FieldErrors check_password(std::string_view password, const Person& person, std::size_t least) {
  const auto points = text::code_points(password);
  // What was typed is a secret and is never said back.
  if (!points || points->size() < least)
    return {{"/password", "", say::password_characters_at_least(static_cast<std::int64_t>(least))}};
  if (password.size() > most_password) return {{"/password", "", say::password_characters_at_most(most_password)}};
  std::vector<std::string> own{person.sign_in, person.initials, "dwell", "password", "nurse", "hospital", "ward"};
  std::string word;
  for (const char c : person.name + " ") {
    if (c != ' ' && c != '.' && c != ',') {
      word += c;
      continue;
    }
    if (!word.empty()) own.push_back(word);
    word.clear();
  }
  own.insert(own.end(), person.wards.begin(), person.wards.end());
  std::vector<const char*> dictionary;
  for (const auto& one : own) dictionary.push_back(one.c_str());
  dictionary.push_back(nullptr);
  std::string text(password);
  const double bits = ZxcvbnMatch(text.c_str(), dictionary.data(), nullptr);
  wipe(text);
  if (bits < least_bits) return {{"/password", "", say::password_harder_to_guess()}};
  return {};
}

FieldErrors check_pin(std::string_view pin) {
  const bool digits = std::all_of(pin.begin(), pin.end(), [](char c) { return c >= '0' && c <= '9'; });
  if (!digits || pin.size() < least_pin || pin.size() > most_pin)
    return {{"/pin", "", say::pin_of_digits(least_pin, most_pin)}};
  bool run = true;
  for (std::size_t i = 2; i < pin.size(); ++i) run = run && pin[i] - pin[i - 1] == pin[1] - pin[0];
  constexpr std::size_t least_different = 3;
  if (run || std::set<char>(pin.begin(), pin.end()).size() < least_different)
    return {{"/pin", "", say::pin_harder_to_guess()}};
  return {};
}

void wipe(std::string& secret) {
  sodium_memzero(secret.data(), secret.size());
  secret.clear();
}

}  // namespace dwell::accounts
