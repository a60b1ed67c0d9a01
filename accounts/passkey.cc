#include "accounts/passkey.h"

#include <fido.h>
#include <fido/eddsa.h>
#include <fido/es256.h>
#include <fido/rs256.h>
#include <sodium.h>

#include <algorithm>
#include <memory>

#include "json/parse.h"
#include "say/accounts.h"

namespace dwell::accounts {
namespace {

constexpr unsigned char somebody_is_there = 0x01, it_is_her = 0x04;
constexpr std::size_t longest = 16 * 1024;

/// One refusal for whatever does not fit: which of the looks failed helps only who tries to forge.
tl::unexpected<FieldErrors> no_such_key() { return refuse("/passkey", "", say::a_passkey_of_this_account()); }

template <auto Free>
struct Freed {
  template <class T>
  void operator()(T* one) const {
    Free(&one);
  }
};
using Credential = std::unique_ptr<fido_cred_t, Freed<&fido_cred_free>>;
using Assertion = std::unique_ptr<fido_assert_t, Freed<&fido_assert_free>>;

const unsigned char* raw(const std::string& bytes) { return reinterpret_cast<const unsigned char*>(bytes.data()); }

std::string sha256(const std::string& bytes) {
  std::string hash(crypto_hash_sha256_BYTES, '\0');
  crypto_hash_sha256(reinterpret_cast<unsigned char*>(hash.data()), raw(bytes), bytes.size());
  return hash;
}

bool saw(unsigned char flags, Seen asked) {
  return (flags & somebody_is_there) != 0 && (asked == Seen::somebody || (flags & it_is_her) != 0);
}

/// What the browser says of the request that it signed.
struct ClientData {
  std::string type, challenge, origin;
  bool cross_origin = false;
};

/// Members that are not known are left: the browser may add some. Source: section 5.8.1.
std::optional<ClientData> client_data_of(const std::string& text) {
  const auto value = json::parse_text(text);
  if (!value || !value->is_object()) return std::nullopt;
  ClientData data;
  for (const auto& [name, to] :
       {std::pair{"type", &data.type}, {"challenge", &data.challenge}, {"origin", &data.origin}}) {
    const auto* member = value->as_object().if_contains(name);
    if (!member || !member->is_string()) return std::nullopt;
    *to = std::string(member->as_string());
  }
  const auto* within = value->as_object().if_contains("crossOrigin");
  data.cross_origin = within && !(within->is_bool() && !within->as_bool());
  return data;
}

/// The signature under the key's algorithm, by libfido2.
bool fits(const fido_assert_t& assertion, const PublicKey& key) {
  const std::string bytes = bytes_of(key.key);
  const auto look = [&](auto* (*make)(), void (*free)(decltype(make())*), auto from) {
    auto* one = make();
    const bool right = one != nullptr && from(one, bytes.data(), bytes.size()) == FIDO_OK &&
                       fido_assert_verify(&assertion, 0, key.algorithm, one) == FIDO_OK;
    free(&one);
    return right;
  };
  switch (key.algorithm) {
    case COSE_ES256: return look(&es256_pk_new, &es256_pk_free, &es256_pk_from_ptr);
    case COSE_EDDSA: return look(&eddsa_pk_new, &eddsa_pk_free, &eddsa_pk_from_ptr);
    case COSE_RS256: return look(&rs256_pk_new, &rs256_pk_free, &rs256_pk_from_ptr);
    default: return false;
  }
}

}  // namespace

std::string base64url(std::string_view bytes) {
  constexpr int variant = sodium_base64_VARIANT_URLSAFE_NO_PADDING;
  std::string out(sodium_base64_encoded_len(bytes.size(), variant), '\0');
  sodium_bin2base64(out.data(), out.size(), reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size(),
                    variant);
  out.pop_back();  // its zero
  return out;
}

std::string bytes_of(const std::string& text) {
  std::string out(text.size(), '\0');
  std::size_t length = 0;
  const char* end = nullptr;
  const bool read =
      text.size() <= longest &&
      sodium_base642bin(reinterpret_cast<unsigned char*>(out.data()), out.size(), text.data(), text.size(), nullptr,
                        &length, &end, sodium_base64_VARIANT_URLSAFE_NO_PADDING) == 0 &&
      end == text.data() + text.size();
  out.resize(read ? length : 0);
  return out;
}

Checked<std::string> challenge_of(const std::string& client_data, std::string_view purpose, const RelyingParty& party) {
  const auto data = client_data_of(bytes_of(client_data));
  if (!data || data->type != purpose || data->origin != party.origin || data->cross_origin) return no_such_key();
  return data->challenge;
}

Checked<PublicKey> made_key(const PasskeyMade& made, const RelyingParty& party, Seen asked) {
  const std::string data = bytes_of(made.authenticator_data);
  if (data.empty() || data.compare(0, crypto_hash_sha256_BYTES, sha256(party.host)) != 0) return no_such_key();
  const Credential credential(fido_cred_new());
  const bool read = credential && fido_cred_set_type(credential.get(), made.algorithm) == FIDO_OK &&
                    fido_cred_set_authdata_raw(credential.get(), raw(data), data.size()) == FIDO_OK;
  if (!read || !saw(fido_cred_flags(credential.get()), asked)) return no_such_key();
  const auto bytes = [](const unsigned char* from, std::size_t length) {
    return base64url(std::string_view(reinterpret_cast<const char*>(from), length));
  };
  return PublicKey{bytes(fido_cred_id_ptr(credential.get()), fido_cred_id_len(credential.get())), made.algorithm,
                   bytes(fido_cred_pubkey_ptr(credential.get()), fido_cred_pubkey_len(credential.get())),
                   fido_cred_sigcount(credential.get())};
}

Checked<std::uint32_t> used_key(const PasskeyUsed& used, const PublicKey& key, const RelyingParty& party, Seen asked) {
  const std::string data = bytes_of(used.authenticator_data), signature = bytes_of(used.signature);
  const std::string hash = sha256(bytes_of(used.client_data));
  if (data.empty() || signature.empty() || used.id != key.id) return no_such_key();
  const Assertion assertion(fido_assert_new());
  auto* one = assertion.get();
  const bool read = one && fido_assert_set_count(one, 1) == FIDO_OK &&
                    fido_assert_set_rp(one, party.host.c_str()) == FIDO_OK &&
                    fido_assert_set_clientdata_hash(one, raw(hash), hash.size()) == FIDO_OK &&
                    fido_assert_set_authdata_raw(one, 0, raw(data), data.size()) == FIDO_OK &&
                    fido_assert_set_sig(one, 0, raw(signature), signature.size()) == FIDO_OK &&
                    fido_assert_set_up(one, FIDO_OPT_TRUE) == FIDO_OK &&
                    fido_assert_set_uv(one, asked == Seen::her ? FIDO_OPT_TRUE : FIDO_OPT_OMIT) == FIDO_OK;
  if (!read || !fits(*one, key) || !saw(fido_assert_flags(one, 0), asked)) return no_such_key();
  const std::uint32_t count = fido_assert_sigcount(one, 0);
  const bool counts = count != 0 || key.count != 0;
  if (counts && count <= key.count) return no_such_key();
  return count;
}

}  // namespace dwell::accounts
