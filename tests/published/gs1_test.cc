// Codes and check digits that others have published.
//   [calculation]  GS1, How to calculate a check digit manually, www.gs1.org/how-calculate-check-digit-manually
//   [sweden]       GS1 Sweden, www.gs1.se, Så beräknas kontrollsiffran
//   [dictionary]   GS1 Barcode Syntax Dictionary, unit tests of its linters, github.com/gs1/gs1-syntax-dictionary
//   [engine]       GS1 Barcode Syntax Engine 1.4.1, github.com/gs1/gs1-syntax-engine: its unit tests, and strings that
//   it
//                  accepted or refused when run
//   [month-end]    documentation of the gem gs1 0.1.8, GS1::ExpirationDate, www.rubydoc.info
#include <gtest/gtest.h>

#include <algorithm>

#include "supply/identifiers.h"
#include "supply/pack_code.h"

namespace dwell::supply {
namespace {

constexpr Date day(int y, unsigned m, unsigned d) {
  return Date{std::chrono::year{y} / std::chrono::month{m} / std::chrono::day{d}};
}
constexpr Date today = day(2026, 11, 25);

bool accepted(std::string_view text) { return read_pack_code(text, today).has_value(); }
bool proven(std::string_view key) { return gs1_check_digit(key.substr(0, key.size() - 1)) == key.back() - '0'; }
bool pair_proven(std::string_view text) {
  return check_pair_for(text.substr(0, text.size() - 2)) == text.substr(text.size() - 2);
}
Date expiry_of(std::string_view six, Date now) {
  return read_pack_code("(01)09506000134352(17)" + std::string(six), now).value().expiry.value();
}

TEST(PublishedGs1, CheckDigits) {
  EXPECT_EQ(gs1_check_digit("629104150021"), 3);  // [calculation] 6291041500213
  EXPECT_EQ(gs1_check_digit("730001100001"), 7);  // [sweden]
  // [dictionary] lint_csum.c
  for (const auto key : {"02345673", "416000336108", "1234567890128", "12345678901231", "123456789012345675"})
    EXPECT_TRUE(proven(key)) << key;
  for (const auto key : {"12345673", "416000336109", "1234567890129", "12345678901232", "123456789012345670"})
    EXPECT_FALSE(proven(key)) << key;
}

TEST(PublishedGs1, CheckCharacterPairs) {
  // [dictionary] lint_csumalpha.c
  for (const auto text : {"22",
                          "!22",
                          "!!22",
                          "1987654Ad4X4bL5ttr2310c2K",
                          "12345678901234567890123NT",
                          "12345_ABCDEFGHIJKLMCP",
                          "12345_NOPQRSTUVWXYZDN",
                          "12345_abcdefghijklmN3",
                          "12345_nopqrstuvwxyzP2",
                          "12345_!\"%&'()*+,-./LC",
                          "12345_0123456789:;<=>?62",
                          "7907665Bm8v2AB",
                          "97850l6KZm0yCD",
                          "225803106GSpEF",
                          "149512464PM+GH",
                          "62577B8fRG7HJK",
                          "515942070CYxLM",
                          "390800494sP6NP",
                          "386830132uO+QR",
                          "53395376X1:nST",
                          "957813138Sb6UV",
                          "530790no0qOgWX",
                          "62185314IvwmYZ",
                          "23956qk1&dB!23",
                          "794394895ic045",
                          "57453Uq3qA<H67",
                          "0881063PhHvY89",
                          "00000!HV",
                          "99999zzzzzzzzzzzzzzzzzzT2"})
    EXPECT_TRUE(pair_proven(text)) << text;
  for (const auto text : {"33", "1987654Ad4X4bL5ttr2310cXK", "1987654Ad4X4bL5ttr2310c2X"})
    EXPECT_FALSE(pair_proven(text)) << text;
  EXPECT_TRUE(accepted("(8013)1987654Ad4X4bL5ttr2310c2K"));
  EXPECT_FALSE(accepted("(8013)1987654Ad4X4bL5ttr2310c2X"));
}

TEST(PublishedGs1, ItemNumberIsPaddedTo14) {
  EXPECT_TRUE(accepted("0106291041500213"));    // [engine] run
  EXPECT_FALSE(accepted("(01)6291041500213"));  // [engine] run: 13 digits are refused
}

TEST(PublishedGs1, ScannedStrings) {
  // [engine] scandata.c
  EXPECT_FALSE(accepted(""));
  EXPECT_FALSE(accepted("ABC"));
  EXPECT_FALSE(accepted("]"));
  EXPECT_FALSE(accepted("]X"));
  EXPECT_FALSE(accepted("]XX"));
  EXPECT_FALSE(accepted("]e0"));
  EXPECT_FALSE(accepted("]Q3"));
  EXPECT_FALSE(accepted("]d2"));
  for (const std::string kind : {"]Q3", "]d2"}) {
    const auto pack = read_pack_code(kind + "011231231231233310ABC123\x1d" + "99TESTING", today);
    ASSERT_TRUE(pack) << kind;
    EXPECT_EQ(pack->gtin, "12312312312333");
    EXPECT_EQ(pack->lot, "ABC123");
    EXPECT_EQ(pack->elements.back().value, "TESTING");
  }
  for (const auto link :
       {"]Q1https://example.com/01/12312312312333?99=TEST", "]Q1HTTPS://example.com/01/12312312312333?99=TEST"}) {
    const auto pack = read_pack_code(link, today);
    ASSERT_TRUE(pack) << link;
    EXPECT_EQ(pack->gtin, "12312312312333");
    EXPECT_EQ(pack->elements.back().value, "TEST");
  }
}

TEST(PublishedGs1, SeparatorsWhereTheyMayStand) {
  // [engine] run: one after a fixed field or at the end is tolerated; one behind ]d2 and two in a row are not.
  EXPECT_TRUE(
      accepted("]d20109506000134352\x1d"
               "17270228\x1d"
               "10A\x1d"));
  EXPECT_FALSE(
      accepted("]d2\x1d"
               "0109506000134352"));
  EXPECT_FALSE(
      accepted("]d2010950600013435210A\x1d\x1d"
               "21B"));
  // A missing one cannot be seen: the lot swallows the expiry.
  const auto swallowed = read_pack_code("]d2010950600013435210LOT117270228", today).value();
  EXPECT_EQ(swallowed.lot, "LOT117270228");
  EXPECT_FALSE(swallowed.expiry);
  EXPECT_EQ(swallowed.findings.front().code, "separator_missing");
}

TEST(PublishedGs1, RepeatedAndForbiddenIdentifiers) {
  // [engine] run: equal values are fine, different ones are not; [dictionary] 01 excludes 37, 21 excludes 235.
  EXPECT_TRUE(accepted("(01)09506000134352(10)A(10)A"));
  EXPECT_FALSE(accepted("(01)09506000134352(10)A(10)B"));
  EXPECT_FALSE(accepted("(01)09506000134352(37)5"));
  EXPECT_FALSE(accepted("(01)09506000134352(21)A(235)B"));
}

TEST(PublishedGs1, DayNoughtIsTheMonthsLast) {
  EXPECT_EQ(expiry_of("270200", today), day(2027, 2, 28));  // [month-end], [dictionary] flag yymmd0
  EXPECT_EQ(expiry_of("280200", today), day(2028, 2, 29));
  EXPECT_FALSE(accepted("(01)09506000134352(7003)2702001200"));  // [dictionary] flag yymmdd
}

TEST(PublishedGs1, Century) {
  // [engine] the test of its dates, seen from 2026: 76 is 2076, 77 is 1977, 00 is 2000.
  EXPECT_EQ(expiry_of("760101", today).year(), std::chrono::year{2076});
  EXPECT_EQ(expiry_of("770101", today).year(), std::chrono::year{1977});
  EXPECT_EQ(expiry_of("000101", today).year(), std::chrono::year{2000});
  // GS1 General Specifications, determination of the century, value from memory: 00 seen from 2095 is 2100.
  EXPECT_EQ(expiry_of("000101", day(2095, 1, 1)).year(), std::chrono::year{2100});
}

TEST(PublishedGs1, CharactersOfAValue) {
  // [engine] the 82 characters; no space, and none of # $ @ [ \ ] ^ { | } ~
  EXPECT_EQ(characters_82.size(), 82U);
  EXPECT_TRUE(accepted("(01)09506000134352(10)!\"%&'*+,-./09:;<=>?"));
  EXPECT_TRUE(accepted("(01)09506000134352(10)AZ_az()"));
  for (const char refused : std::string_view(" #$@[\\]^{|}~"))
    EXPECT_FALSE(accepted("(01)09506000134352(10)A" + std::string(1, refused) + "B")) << refused;
}

TEST(PublishedGs1, DigitalLinks) {
  // [engine] run: qualifiers in the order 22, 10, 21, or 235 alone; none of them in the query; other keys are ignored.
  const auto pack =
      read_pack_code("https://id.gs1.org/01/09506000134352/10/LOT-A7%2F2/21/SN0042?17=270228", today).value();
  EXPECT_EQ(pack.lot, "LOT-A7/2");
  EXPECT_EQ(pack.serial, "SN0042");
  EXPECT_EQ(pack.expiry, day(2027, 2, 28));
  EXPECT_TRUE(accepted("https://example.com/01/09506000134352/235/T"));
  EXPECT_TRUE(accepted("https://example.com/01/09506000134352?lang=en"));
  EXPECT_FALSE(accepted("https://example.com/01/09506000134352/21/S/10/L"));
  EXPECT_FALSE(accepted("https://example.com/01/09506000134352/10/L/235/T"));
  EXPECT_FALSE(accepted("https://example.com/01/09506000134352?21=S"));
  EXPECT_FALSE(accepted("https://example.com/01/9506000134352"));
  EXPECT_FALSE(accepted("https://example.com/gtin/09506000134352"));
}

}  // namespace
}  // namespace dwell::supply
