#pragma once
// A line in use, as guided steps: a dose, a push, a flush, blood drawn, or a disconnection, each with the same care
// before and after it. What is given is judged once, here: whether it may go in when no blood comes back.
#include <boost/describe.hpp>
#include <optional>
#include <string>
#include <vector>

#include "dosing/push.h"
#include "infusate/infusate.h"
#include "procedure/flush_volume.h"
#include "procedure/steps.h"
#include "verdict/verdict.h"

namespace dwell::procedure {

/// What the line is opened for: a bag is connected, a syringe pushed by hand, the line only flushed, blood drawn, or
/// what runs taken off.
enum class LineUse { dose, push, flush, draw, disconnect };
BOOST_DESCRIBE_ENUM(LineUse, dose, push, flush, draw, disconnect)

/// What a connector does when the syringe leaves it: draws in, neither, or pushes out.
enum class Displacement { negative, neutral, positive, unknown };
BOOST_DESCRIBE_ENUM(Displacement, negative, neutral, positive, unknown)

struct UsingInput {
  line::Patient patient;
  Date today;
  LineUse use = LineUse::flush;
  std::optional<infusate::Mixture> given{};  ///< of a dose or push; absent: not known what
  std::optional<bool> blood_return{};        ///< as it was drawn back just now; absent: nobody has yet
  std::optional<Interval> push_over{};  ///< of a push: how long it takes at least, as order or label says; 5 s to 1 h
  std::string antiseptic{};             ///< key of policy.place.antiseptics; empty: the usual one
  Displacement connector = Displacement::unknown;
  std::optional<bool> runs{};                    ///< something runs through it now; absent: not known
  std::optional<infusate::Mixture> running{};    ///< what that is; absent while it runs: not known
  std::optional<Gauge> gauge{};                  ///< of the catheter in place
  std::optional<Length> length{};                ///< of the catheter in place
  std::optional<std::vector<LinePart>> parts{};  ///< absent: nobody said what is there; empty: nothing is
};
BOOST_DESCRIBE_STRUCT(UsingInput, (),
                      (patient, today, use, given, blood_return, push_over, antiseptic, connector, runs, running, gauge,
                       length, parts))

struct LineAccess {
  std::vector<Step> steps;
  FlushVolume flush;
  infusate::HarmClass harm = infusate::HarmClass::unknown;  ///< of what is given; of a flush alone: harmless
  bool may_be_given = false;                 ///< blood came back, or what is given harms nobody outside a vein
  std::optional<dosing::PushPlan> push{};    ///< how far the plunger may be and when; absent: no time was said
  std::vector<verdict::LookReport> looks{};  ///< at what is given: whether it may be pushed, how fast, allergies
};
BOOST_DESCRIBE_STRUCT(LineAccess, (), (steps, flush, harm, may_be_given, push, looks))

/// The steps of one use, in their order: who and what, hub, its drying, drawing back, flush, what is given, flush,
/// lock. What harms outside a vein, or is not known, is not given before blood came back: a stop at the step that gives
/// it. What the patient is allergic to is a stop at the first; so is what runs and harms, or is not known: what is
/// flushed or pushed in drives it in at once. Clocks and flush from the policy; a connector's own
/// drying time is not published, the antiseptic's on skin stands. Errors: an antiseptic that the policy does not know;
/// a time of the push outside 5 s to 1 h; a pushed volume outside 0.1 to 100 mL; a birth date to come; and those of
/// flush_volume.
[[nodiscard]] Checked<LineAccess> using_steps(const UsingInput& input, const infusate::Formulary& formulary,
                                              const device::Catalogue& catheters, const device::AddOns& add_ons,
                                              const policy::Policy& policy);

}  // namespace dwell::procedure
