// The ranges that core/text carries, against the tables of a Unicode library over every code point.
#include "text/code_points.h"

#include <gtest/gtest.h>
#include <unicode/uchar.h>

namespace dwell::text {
namespace {

TEST(CodePoints, AreThoseOfTheLibraryOverAllOfUnicode) {
  for (UChar32 c = 0; c <= UCHAR_MAX_VALUE; ++c) {
    const auto point = static_cast<char32_t>(c);
    const auto type = u_charType(c);
    ASSERT_EQ(is_control(point), type == U_CONTROL_CHAR) << std::hex << c;
    ASSERT_EQ(is_separator(point), type == U_LINE_SEPARATOR || type == U_PARAGRAPH_SEPARATOR) << std::hex << c;
    ASSERT_EQ(is_bidi_control(point), u_hasBinaryProperty(c, UCHAR_BIDI_CONTROL) != 0) << std::hex << c;
    ASSERT_EQ(is_ignorable(point), u_hasBinaryProperty(c, UCHAR_DEFAULT_IGNORABLE_CODE_POINT) != 0) << std::hex << c;
    ASSERT_EQ(is_white_space(point), u_hasBinaryProperty(c, UCHAR_WHITE_SPACE) != 0) << std::hex << c;
  }
}

}  // namespace
}  // namespace dwell::text
