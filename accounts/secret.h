#pragma once
// Passwords, PINs and tokens: how they are made, judged and kept. Nothing of them is ever kept or logged as it is.
#include <cstdint>
#include <functional>
#include <string>
#include <string_view>

#include "accounts/person.h"
#include "quantity/checked.h"

namespace dwell::accounts {

/// What looking at a password costs. The usual is libsodium's for interactive use: 64 MB and two passes.
struct Cost {
  std::uint64_t passes = 2;
  std::size_t bytes = 64 * 1024 * 1024;
};

/// Argon2id with a salt of its own, as text.
[[nodiscard]] std::string hashed(std::string_view secret, const Cost& cost);
[[nodiscard]] bool fits(std::string_view secret, const std::string& hash);

/// 256 random bits, as 64 hex digits.
[[nodiscard]] std::string fresh_token();
/// What is kept of a token: it has 256 bits of its own, so a plain hash is enough.
[[nodiscard]] std::string kept_of_token(std::string_view token);

/// Length first, no rules of composition; refused is what whoever tries the likeliest first would soon find, her own
/// name and wards among it. Source: NIST SP 800-63B, section 5.1.1.2 (length, no composition, blocklist).
[[nodiscard]] FieldErrors check_password(std::string_view password, const Person& person, std::size_t least);
/// Digits only; it opens again what a password opened, for a few tries.
[[nodiscard]] FieldErrors check_pin(std::string_view pin);

/// Overwrites what is no longer needed.
void wipe(std::string& secret);

}  // namespace dwell::accounts
