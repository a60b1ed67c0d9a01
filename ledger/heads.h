#pragma once
// A chain of hashes shows an edit, but not that its end was cut off: what is left is a whole chain too. So its head is
// signed from time to time and kept in a file apart from the ledger. Whoever checks the ledger against that file sees
// entries that were once there and are gone, and a history that was rewritten from some entry on.
//
// Anybody can sign with a key of their own, so a head counts only under the key that the record is held against: the
// one that a person gives, or else the public key that was written beside the signing key when that was made
// ("pinned"). It lies in a file and not in the record: of several servers on one database each signs with its own key,
// a record that is only read must not be written to, and whoever can rewrite the record could rewrite it there as well.
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "ledger/disk.h"
#include "ledger/ledger.h"
#include "quantity/checked.h"
#include "quantity/time.h"

namespace dwell::ledger {

/// "Entry `sequence` had this hash at that time", signed.
struct SignedHead {
  std::int64_t sequence = 0;
  std::string hash;  ///< 64 hex digits
  Instant signed_at;
  std::string key;        ///< public, 64 hex digits
  std::string signature;  ///< Ed25519 over the three above, 128 hex digits
  friend bool operator==(const SignedHead&, const SignedHead&) = default;
};

/// An Ed25519 key in a file that only its owner may read.
class SigningKey {
 public:
  /// Reads the file, or makes it with a new key; its public half is pinned beside it. Refuses a key that others may
  /// read, that is none, or that is not the pinned one; and to make another where a pinned one is gone.
  [[nodiscard]] static Checked<SigningKey> load_or_make(const std::string& path, Disk& disk = machine_disk());
  /// From the 32 bytes of its seed (hex), for known vectors.
  [[nodiscard]] static SigningKey from_seed(const std::string& seed_hex);
  SigningKey(SigningKey&&) noexcept;
  SigningKey& operator=(SigningKey&&) noexcept;
  ~SigningKey();

  [[nodiscard]] std::string public_key() const;
  [[nodiscard]] std::string sign(std::string_view message) const;  ///< 128 hex digits
  [[nodiscard]] SignedHead sign_head(std::int64_t sequence, const std::string& hash, Instant now) const;

 private:
  struct Secret;
  explicit SigningKey(std::unique_ptr<Secret> secret);
  std::unique_ptr<Secret> secret_;
};

/// Does the signature fit the message and the public key? Malformed hex does not.
[[nodiscard]] bool signature_fits(const std::string& public_key, std::string_view message,
                                  const std::string& signature);
[[nodiscard]] bool signature_fits(const SignedHead& head);

/// The public key pinned beside the signing key at `path`, whether or not that is still there.
[[nodiscard]] Checked<std::optional<std::string>> pinned_key(const std::string& path, Disk& disk = machine_disk());

/// Adds one line to the file, durable when it returns. A torn piece at the end, which a power cut left, goes first.
[[nodiscard]] Checked<void> keep_head(const std::string& path, const SignedHead& head, Disk& disk = machine_disk());

/// What a file of heads holds.
struct KeptHeads {
  std::vector<SignedHead> heads;  ///< those whose signature fits, in order
  int torn = 0;                   ///< pieces of lines that a power cut left; none of them was acknowledged
  FieldErrors changed;            ///< lines that are no signed head or whose signature does not fit, by number
};

/// Nothing when there is no file. One bad line hides no other.
[[nodiscard]] Checked<KeptHeads> read_heads(const std::string& path, Disk& disk = machine_disk());

/// Does the record still hold the last head that was kept? Looks at that one only. Refuses ("/heads") a record that is
/// shorter or has another hash there, and a last head that another key signed.
[[nodiscard]] Checked<void> fits_last_head(Ledger& ledger, const std::string& public_key, const std::string& path,
                                           Disk& disk = machine_disk());

/// Signs the ledger's head into the file, unless the last one there is the same. An empty ledger is not signed, nor one
/// that does not fit the last head: a new signature on top would bear out what contradicts the old one.
[[nodiscard]] Checked<void> sign_now(Ledger& ledger, const SigningKey& key, const std::string& path, Instant now,
                                     Disk& disk = machine_disk());

}  // namespace dwell::ledger
