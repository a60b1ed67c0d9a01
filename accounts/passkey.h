#pragma once
// Passkeys: a key that a device or a token holds for one person and one address, and that it uses only after it has
// seen her (a finger, a face, its own PIN). What is kept here is its public half. Signatures are looked at by libfido2.
// Source: W3C, Web Authentication Level 3, sections 7.1 (registering) and 7.2 (signing in).
#include <cstdint>
#include <string>
#include <string_view>

#include "json/codec.h"
#include "quantity/checked.h"

namespace dwell::accounts {

/// By which name the server was asked: a key of another address is none here.
struct RelyingParty {
  std::string host;    ///< "dwell.ward7.example"
  std::string origin;  ///< "https://dwell.ward7.example:8443"
};

/// What a browser gives of a new key; all but the number in base64url without padding.
struct PasskeyMade {
  std::string client_data, authenticator_data;
  int algorithm = 0;  ///< COSE: -7 (ECDSA with P-256), -8 (Ed25519), -257 (RSA)
  std::string name;   ///< by which its owner knows the device
};
BOOST_DESCRIBE_STRUCT(PasskeyMade, (), (client_data, authenticator_data, algorithm, name))

/// What a browser gives when it was used.
struct PasskeyUsed {
  std::string id, client_data, authenticator_data, signature;
};
BOOST_DESCRIBE_STRUCT(PasskeyUsed, (), (id, client_data, authenticator_data, signature))

/// What is kept of a key.
struct PublicKey {
  std::string id;  ///< base64url
  int algorithm = 0;
  std::string key;          ///< base64url, as libfido2 writes it for its algorithm
  std::uint32_t count = 0;  ///< how often it was used, where it counts
};

/// Did the device see that somebody is there, or that it is her?
enum class Seen { somebody, her };

/// The challenge in what the browser signed; refused when that was for another purpose ("webauthn.create",
/// "webauthn.get") or another address, or asked by a page within another's.
[[nodiscard]] Checked<std::string> challenge_of(const std::string& client_data, std::string_view purpose,
                                                const RelyingParty& party);
/// The new key. Refused: another address's, an algorithm that is not asked for, and less seen than was asked.
[[nodiscard]] Checked<PublicKey> made_key(const PasskeyMade& made, const RelyingParty& party, Seen asked);
/// How often it was used by now. Refused: a signature that does not fit, another address's, less seen than was asked,
/// and a count that does not rise (a copy of the key is in use).
[[nodiscard]] Checked<std::uint32_t> used_key(const PasskeyUsed& used, const PublicKey& key, const RelyingParty& party,
                                              Seen asked);

/// Bytes in base64url without padding, and back; nothing when it is none.
[[nodiscard]] std::string base64url(std::string_view bytes);
[[nodiscard]] std::string bytes_of(const std::string& base64url);

}  // namespace dwell::accounts
