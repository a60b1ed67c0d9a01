#include "growth/weight_for_age.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <span>

namespace dwell::growth {
namespace {

struct Row {
  double days, l, kilograms, s;
};

// To 1,826 days: weianthro.txt of the WHO's own program (github.com/WorldHealthOrganization/anthro, read), which has a
// row for each day. From five years on: wfawho2007.txt (github.com/WorldHealthOrganization/anthroplus, read), which has
// one for each month of 30.4375 days. Every row here stands there as it is.
constexpr double month = 30.4375;
constexpr std::array girls{Row{0, 0.3809, 3.2322, 0.14171},
                           Row{1, 0.3259, 3.1957, 0.14578},
                           Row{2, 0.3101, 3.2104, 0.14637},
                           Row{4, 0.2891, 3.2558, 0.14658},
                           Row{7, 0.2671, 3.3388, 0.146},
                           Row{10, 0.2497, 3.4314, 0.14498},
                           Row{14, 0.2304, 3.5693, 0.14339},
                           Row{21, 0.2024, 3.8352, 0.1406},
                           Row{28, 0.1789, 4.0987, 0.13805},
                           Row{42, 0.1395, 4.5793, 0.13392},
                           Row{56, 0.1065, 4.9959, 0.13087},
                           Row{70, 0.0779, 5.3618, 0.12861},
                           Row{84, 0.0525, 5.6883, 0.12691},
                           Row{112, 0.0086, 6.2511, 0.12459},
                           Row{140, -0.0285, 6.7192, 0.12317},
                           Row{168, -0.0605, 7.1133, 0.12231},
                           Row{196, -0.0885, 7.4543, 0.12188},
                           Row{224, -0.1132, 7.7562, 0.12176},
                           Row{252, -0.1352, 8.0286, 0.12185},
                           Row{308, -0.1722, 8.5092, 0.12226},
                           Row{365, -0.2022, 8.9462, 0.12267},
                           Row{456, -0.2382, 9.5968, 0.12299},
                           Row{548, -0.2637, 10.2324, 0.12309},
                           Row{639, -0.2814, 10.8521, 0.12335},
                           Row{730, -0.294, 11.4741, 0.12389},
                           Row{913, -0.3101, 12.7047, 0.12587},
                           Row{1095, -0.3201, 13.8456, 0.12918},
                           Row{1278, -0.3283, 14.9704, 0.13375},
                           Row{1461, -0.3361, 16.0697, 0.13884},
                           Row{1643, -0.344, 17.1514, 0.14369},
                           Row{1826, -0.3518, 18.2179, 0.14821},
                           Row{60 * month, -0.4650, 18.0823, 0.14240},
                           Row{66 * month, -0.4834, 19.1276, 0.14569},
                           Row{72 * month, -0.5013, 20.1639, 0.14900},
                           Row{78 * month, -0.5185, 21.2274, 0.15230},
                           Row{84 * month, -0.5347, 22.3740, 0.15556},
                           Row{90 * month, -0.5495, 23.6369, 0.15876},
                           Row{96 * month, -0.5627, 25.0262, 0.16186},
                           Row{102 * month, -0.5740, 26.5519, 0.16483},
                           Row{108 * month, -0.5833, 28.2040, 0.16764},
                           Row{114 * month, -0.5905, 29.9663, 0.17025},
                           Row{120 * month, -0.5958, 31.8578, 0.17262}};
constexpr std::array boys{Row{0, 0.3487, 3.3464, 0.14602},
                          Row{1, 0.3127, 3.3174, 0.14693},
                          Row{2, 0.3029, 3.337, 0.14676},
                          Row{4, 0.2903, 3.3915, 0.14611},
                          Row{7, 0.2776, 3.4879, 0.14483},
                          Row{10, 0.2681, 3.5941, 0.14339},
                          Row{14, 0.2581, 3.7529, 0.14142},
                          Row{21, 0.2442, 4.0603, 0.13807},
                          Row{28, 0.2331, 4.3671, 0.13497},
                          Row{42, 0.2155, 4.9303, 0.1296},
                          Row{56, 0.2014, 5.4149, 0.1252},
                          Row{70, 0.1894, 5.8346, 0.12157},
                          Row{84, 0.1789, 6.2019, 0.1186},
                          Row{112, 0.1609, 6.8168, 0.11425},
                          Row{140, 0.1456, 7.3187, 0.11158},
                          Row{168, 0.1322, 7.7394, 0.11005},
                          Row{196, 0.1201, 8.1, 0.10927},
                          Row{224, 0.1092, 8.4157, 0.10892},
                          Row{252, 0.0991, 8.6978, 0.1088},
                          Row{308, 0.0809, 9.1951, 0.10892},
                          Row{365, 0.0645, 9.646, 0.10925},
                          Row{456, 0.0414, 10.3069, 0.11007},
                          Row{548, 0.021, 10.9393, 0.1112},
                          Row{639, 0.0029, 11.5474, 0.11261},
                          Row{730, -0.0136, 12.1482, 0.11425},
                          Row{913, -0.0431, 13.2993, 0.11781},
                          Row{1095, -0.0688, 14.3387, 0.12115},
                          Row{1278, -0.092, 15.3465, 0.12424},
                          Row{1461, -0.1131, 16.3489, 0.12759},
                          Row{1643, -0.1325, 17.3418, 0.13131},
                          Row{1826, -0.1506, 18.3352, 0.13517},
                          Row{60 * month, -0.1922, 18.3328, 0.12947},
                          Row{66 * month, -0.2548, 19.3940, 0.13178},
                          Row{72 * month, -0.3180, 20.5137, 0.13372},
                          Row{78 * month, -0.3804, 21.6810, 0.13554},
                          Row{84 * month, -0.4402, 22.8915, 0.13759},
                          Row{90 * month, -0.4964, 24.1371, 0.14016},
                          Row{96 * month, -0.5482, 25.4163, 0.14344},
                          Row{102 * month, -0.5946, 26.7358, 0.14752},
                          Row{108 * month, -0.6337, 28.1092, 0.15233},
                          Row{114 * month, -0.6624, 29.5736, 0.15760},
                          Row{120 * month, -0.6764, 31.1586, 0.16305}};

Row between(const Row& a, const Row& b, double days) {
  const double t = (days - a.days) / (b.days - a.days);
  return {days, std::lerp(a.l, b.l, t), std::lerp(a.kilograms, b.kilograms, t), std::lerp(a.s, b.s, t)};
}

/// Without the tails.
double by_curve(const Lms& at, Weight weight) {
  const double ratio = weight / at.m;
  return std::abs(at.l) < 1e-9 ? std::log(ratio) / at.s : (std::pow(ratio, at.l) - 1) / (at.l * at.s);
}

Weight on_curve(const Lms& at, double z) {
  return at.m * (std::abs(at.l) < 1e-9 ? std::exp(at.s * z) : std::pow(1 + at.l * at.s * z, 1 / at.l));
}

/// The step between the second and the third line on that side.
Weight last_step(const Lms& at, double side) { return side * (on_curve(at, 3 * side) - on_curve(at, 2 * side)); }

}  // namespace

std::optional<Lms> weight_for_age(Curve curve, std::chrono::days age) {
  if (age < std::chrono::days{0} || age > last_day) return std::nullopt;
  const std::span<const Row> rows = curve == Curve::girls ? std::span<const Row>(girls) : std::span<const Row>(boys);
  const auto days = static_cast<double>(age.count());
  const auto after =
      std::upper_bound(rows.begin(), rows.end(), days, [](double d, const Row& r) { return d < r.days; });
  const Row row = after == rows.end() ? rows.back() : between(*std::prev(after), *after, days);
  return Lms{row.l, row.kilograms * kilogram, row.s};
}

double z_score(const Lms& at_age, Weight weight) {
  const double z = by_curve(at_age, weight);
  if (std::abs(z) <= 3) return z;
  const double side = z > 0 ? 1 : -1;
  return 3 * side + (weight - on_curve(at_age, 3 * side)) / last_step(at_age, side);
}

Weight weight_at(const Lms& at_age, double z) {
  if (std::abs(z) <= 3) return on_curve(at_age, z);
  const double side = z > 0 ? 1 : -1;
  return on_curve(at_age, 3 * side) + (z - 3 * side) * last_step(at_age, side);
}

}  // namespace dwell::growth
