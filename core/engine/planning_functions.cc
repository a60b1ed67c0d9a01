// Before the needle: limb, vein, catheter and supplies.
#include "access/difficulty.h"
#include "access/region_rules.h"
#include "access/restart.h"
#include "device/plan.h"
#include "engine/define.h"
#include "supply/pack_code.h"

namespace dwell::engine {
namespace {

struct LimbInput {
  access::Site site;
  std::vector<access::Restriction> restrictions;
  std::optional<line::AgeBand> age_band;
};
BOOST_DESCRIBE_STRUCT(LimbInput, (), (site, restrictions, age_band))

struct LimbOutput {
  std::string site_text;
  std::vector<Finding> findings;
};
BOOST_DESCRIBE_STRUCT(LimbOutput, (), (site_text, findings))

struct RestartInput {
  access::Site site;
  std::vector<access::FailedSite> failed_sites;
};
BOOST_DESCRIBE_STRUCT(RestartInput, (), (site, failed_sites))

}  // namespace

std::vector<Function> planning_functions() {
  std::vector<Function> all;
  all.push_back(define<&access::vein_saving>(
      "access.vein_saving", "Whether the arm veins must be saved for dialysis, and which to use then."));
  all.push_back(define<&access::difficulty>(
      "access.difficulty", "Points on a published scale of difficult veins, and when to call for help first."));
  all.push_back(define<&device::plan>(
      "device.plan",
      "Every catheter in every vein: what fits, ranked with margins and reasons, and what is out and why."));
  all.push_back(define("access.check_limb", "Whether this limb may be used, and why not.",
                       [](const LimbInput& in, const Library&) -> Checked<LimbOutput> {
                         LimbOutput out{access::describe(in.site), access::check_limb(in.site, in.restrictions)};
                         if (in.age_band)
                           for (auto& finding : access::check_region(in.site, *in.age_band))
                             out.findings.push_back(std::move(finding));
                         return out;
                       }));
  all.push_back(define("access.restart",
                       "Where the next line may go after one has failed: above it, or better the other limb.",
                       [](const RestartInput& in, const Library&) -> Checked<std::vector<Finding>> {
                         return access::check_restart(in.site, in.failed_sites);
                       }));
  all.push_back(define<&supply::check_supply>(
      "supply.check", "Reads a pack code (GS1) or typed data, and says whether the supply is in date."));
  return all;
}

}  // namespace dwell::engine
