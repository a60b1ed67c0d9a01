#pragma once
// A small policy for tests. Its figures are chosen to be told apart, not to be followed.
#include "policy/policy.h"

namespace dwell::test {

template <class T>
[[nodiscard]] Figure<T> figure(
    T value,
    std::string source =
        "test figure, chosen to be told apart from the others; no clinical meaning, not to be followed",
    Mark mark = Mark::practice) {
  return {std::move(value), std::move(source), mark};
}

[[nodiscard]] inline policy::Policy small_policy() {
  using policy::SiteCheckClass;
  using std::chrono::hours;
  using std::chrono::minutes;
  using std::chrono::seconds;
  policy::Policy p;
  p.name = "Test ward";
  p.version = "1";
  p.place.antiseptics["chlorhexidine_alcohol"] = {"chlorhexidine 2 % in 70 % alcohol", figure<Interval>(seconds{30}),
                                                  figure<Interval>(seconds{30}), ""};
  p.place.usual_antiseptic = "chlorhexidine_alcohol";
  p.place.attempts_per_clinician = figure(2);
  p.place.attempts_in_all = figure(4);
  p.watch.site_check[SiteCheckClass::adult_infusing] = figure<Interval>(hours{4});
  p.watch.site_check[SiteCheckClass::cannot_report] = figure<Interval>(hours{2});
  p.watch.site_check[SiteCheckClass::child] = figure<Interval>(hours{1});
  p.watch.site_check[SiteCheckClass::vesicant] = figure<Interval>(minutes{15});
  p.watch.site_check[SiteCheckClass::flexion_site] = figure<Interval>(minutes{90});
  p.watch.site_check[SiteCheckClass::locked] = figure<Interval>(hours{8});
  p.watch.film_dressing = figure<Interval>(hours{7 * 24});
  p.watch.gauze_dressing = figure<Interval>(hours{48});
  p.watch.flush_locked = figure<Interval>(hours{12});
  p.watch.set_continuous = figure<Interval>(hours{96});
  p.watch.set_intermittent = figure<Interval>(hours{24});
  p.watch.set_blood = figure<Interval>(hours{4});
  p.watch.idle = figure<Interval>(hours{24});
  p.watch.emergency_dwell = figure<Interval>(hours{48});
  p.watch.soon = figure<Interval>(minutes{30});
  p.watch.drip_recount = figure<Interval>(hours{2});
  p.watch.add_ons = figure<Interval>(hours{120});
  p.watch.trace_after_move = figure<Interval>(minutes{20});
  p.watch.longest_put_off = figure<Interval>(hours{3});
  p.remove.pressure = figure<Interval>(minutes{2});
  p.remove.pressure_anticoagulant = figure<Interval>(minutes{5});
  p.remove.length_tolerance = figure<Length>(1.0 * millimetre);
  p.remove.after_watch = figure<Interval>(hours{48});
  return p;
}

}  // namespace dwell::test
