// Keys as browsers hand them over: the standard's own vectors, and each of them spoiled in one place.
#include "accounts/passkey.h"

#include <gtest/gtest.h>

#include <boost/algorithm/hex.hpp>

namespace dwell::accounts {
namespace {

std::string of_hex(std::string_view hex) {
  std::string out;
  boost::algorithm::unhex(hex.begin(), hex.end(), std::back_inserter(out));
  return out;
}
std::string coded(std::string_view hex) { return base64url(of_hex(hex)); }

/// Source: W3C, Web Authentication Level 3, section 16.2, "ES256 Credential with No Attestation" (read in a copy). The
/// authenticator's data is the attestation object's member authData.
const RelyingParty party{"example.org", "https://example.org"};
const std::string id = "f91f391db4c9b2fde0ea70189cba3fb63f579ba6122b33ad94ff3ec330084be4";
const std::string made_data =
    "bfabc37432958b063360d3ad6461c9c4735ae7f8edd46592a5e0f01452b2e4b559000000008446ccb9ab1db374750b2367ff6f3a1f0020"
    "f91f391db4c9b2fde0ea70189cba3fb63f579ba6122b33ad94ff3ec330084be4a5010203262001215820afefa16f97ca9b2d23eb86ccb640"
    "98d20db90856062eb249c33a9b672f26df61225820930a56b87a2fca66334b03458abf879717c12cc68ed73290af2e2664796b9220";
const std::string made_client =
    "7b2274797065223a22776562617574686e2e637265617465222c226368616c6c656e6765223a22414d4d507434557878475453746e63647134"
    "31"
    "3759447742466938767049612d7077386f4f755657345441222c226f726967696e223a2268747470733a2f2f6578616d706c652e6f7267222c"
    "22"
    "63726f73734f726967696e223a66616c73652c22657874726144617461223a22636c69656e74446174614a534f4e206d617920626520657874"
    "65"
    "6e6465642077697468206164646974696f6e616c206669656c647320696e20746865206675747572652c207375636820617320746869733a20"
    "42"
    "6b5165446a646354427258426941774a544c4535513d3d227d";
const std::string used_data = "bfabc37432958b063360d3ad6461c9c4735ae7f8edd46592a5e0f01452b2e4b51900000000";
const std::string used_client =
    "7b2274797065223a22776562617574686e2e676574222c226368616c6c656e6765223a224f63446e55685158756c5455506f334a5558543049"
    "393770767a7a59425039745a63685879617630314167222c226f726967696e223a2268747470733a2f2f6578616d706c652e6f7267222c2263"
    "726f73734f726967696e223a66616c73657d";
const std::string signature =
    "3046022100f50a4e2e4409249c4a853ba361282f09841df4dd4547a13a87780218deffcd380221008480ac0f0b93538174f575bf11a1dd5d78"
    "c6e486013f937295ea13653e331e87";

PasskeyMade made() { return {coded(made_client), coded(made_data), -7, "phone"}; }
PasskeyUsed used() { return {coded(id), coded(used_client), coded(used_data), coded(signature)}; }
PublicKey key() { return *made_key(made(), party, Seen::somebody); }

TEST(Passkey, TheStandardsVectorIsTakenInAndSigns) {
  EXPECT_EQ(*challenge_of(coded(made_client), "webauthn.create", party), "AMMPt4UxxGTStncdq417YDwBFi8vpIa-pw8oOuVW4TA");
  EXPECT_EQ(key().id, coded(id));
  EXPECT_EQ(bytes_of(key().key), of_hex("afefa16f97ca9b2d23eb86ccb64098d20db90856062eb249c33a9b672f26df61"
                                        "930a56b87a2fca66334b03458abf879717c12cc68ed73290af2e2664796b9220"));
  EXPECT_EQ(*challenge_of(coded(used_client), "webauthn.get", party), "OcDnUhQXulTUPo3JUXT0I97pvzzYBP9tZchXyav01Ag");
  const auto count = used_key(used(), key(), party, Seen::somebody);
  ASSERT_TRUE(count);
  EXPECT_EQ(*count, 0u) << "a key that does not count";
}

TEST(Passkey, WhoWasNotSeenToBeHerDoesNotComeIn) {
  EXPECT_FALSE(made_key(made(), party, Seen::her)) << "the vector's device saw somebody only";
  EXPECT_FALSE(used_key(used(), key(), party, Seen::her));
}

TEST(Passkey, AnotherAddressIsAnotherKey) {
  for (const RelyingParty& other :
       {RelyingParty{"example.com", "https://example.com"}, RelyingParty{"example.org", "http://example.org"},
        RelyingParty{"example.org", "https://example.org:8443"}})
    EXPECT_FALSE(challenge_of(coded(used_client), "webauthn.get", other)) << other.origin;
  const RelyingParty elsewhere{"example.com", "https://example.org"};
  EXPECT_FALSE(made_key(made(), elsewhere, Seen::somebody));
  EXPECT_FALSE(used_key(used(), key(), elsewhere, Seen::somebody));
}

TEST(Passkey, WhatWasSignedForAnotherPurposeOrWithinAnotherPage) {
  EXPECT_FALSE(challenge_of(coded(used_client), "webauthn.create", party));
  EXPECT_FALSE(challenge_of(coded(made_client), "webauthn.get", party));
  for (const char* within : {"true", "1", "\"false\"", "null"})
    EXPECT_FALSE(challenge_of(
        base64url(R"({"type":"webauthn.get","challenge":"x","origin":"https://example.org","crossOrigin":)" +
                  std::string(within) + "}"),
        "webauthn.get", party))
        << within;
  for (const char* broken : {"", "[]", "{}", "\"x\"", "{\"type\":1}", R"({"type":"webauthn.get","challenge":1})"})
    EXPECT_FALSE(challenge_of(base64url(broken), "webauthn.get", party)) << broken;
}

TEST(Passkey, EveryByteThatIsSpoiledIsRefused) {
  const auto good = key();
  const auto refused = [&](const PasskeyUsed& spoiled) { return !used_key(spoiled, good, party, Seen::somebody); };
  const std::string data = of_hex(used_data), client = of_hex(used_client), sign = of_hex(signature);
  const auto with = [](std::string bytes, std::size_t at) {
    bytes[at] = static_cast<char>(bytes[at] ^ 0x40);
    return base64url(bytes);
  };
  for (std::size_t i = 0; i < data.size(); ++i) {
    auto one = used();
    one.authenticator_data = with(data, i);
    EXPECT_TRUE(refused(one)) << i;
  }
  for (std::size_t i = 0; i < client.size(); ++i) {
    auto one = used();
    one.client_data = with(client, i);
    EXPECT_TRUE(refused(one)) << i;
  }
  for (std::size_t i = 0; i < sign.size(); ++i) {
    auto one = used();
    one.signature = with(sign, i);
    EXPECT_TRUE(refused(one)) << i;
  }
  for (std::size_t length = 0; length < data.size(); ++length) {
    auto one = used();
    one.authenticator_data = base64url(data.substr(0, length));
    EXPECT_TRUE(refused(one)) << length;
  }
}

TEST(Passkey, WhatIsCutShortOrLongIsNoKey) {
  const std::string data = of_hex(made_data);
  for (std::size_t length = 0; length < data.size(); ++length) {
    auto one = made();
    one.authenticator_data = base64url(data.substr(0, length));
    EXPECT_FALSE(made_key(one, party, Seen::somebody)) << length;
  }
  for (const int algorithm : {-8, -257, -37, 0, 7}) {
    auto one = made();
    one.algorithm = algorithm;
    EXPECT_FALSE(made_key(one, party, Seen::somebody)) << algorithm;
  }
  auto huge = made();
  huge.authenticator_data = base64url(data + std::string(100'000, 'x'));
  EXPECT_FALSE(made_key(huge, party, Seen::somebody));
}

TEST(Passkey, ACountThatDoesNotRiseIsACopyInUse) {
  auto known = key();
  known.count = 1;
  EXPECT_FALSE(used_key(used(), known, party, Seen::somebody)) << "it counted, and now says nought";
  auto other = key();
  other.id = coded("00");
  EXPECT_FALSE(used_key(used(), other, party, Seen::somebody));
}

TEST(Passkey, Base64UrlIsReadAsItIsWrittenAndNothingElse) {
  for (const std::string& bytes : {std::string(), std::string("\0\xff", 2), std::string("any carnal pleas")})
    EXPECT_EQ(bytes_of(base64url(bytes)), bytes);
  EXPECT_EQ(base64url(std::string("\xfb\xff", 2)), "-_8") << "RFC 4648, section 5";
  for (const char* wrong : {"-_8=", "+/8", "a", "ab c", "\xc3\xa9"}) EXPECT_EQ(bytes_of(wrong), "") << wrong;
}

}  // namespace
}  // namespace dwell::accounts
