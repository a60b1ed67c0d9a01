// Access, device choice, supplies, procedure and site: what is decided at the bedside.
#include "access/attempts.h"
#include "access/difficulty.h"
#include "access/region_rules.h"
#include "access/restart.h"
#include "device/plan.h"
#include "engine/define.h"
#include "procedure/steps.h"
#include "site/grade.h"
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

struct TransferInput {};
BOOST_DESCRIBE_STRUCT(TransferInput, (), ())

struct AssessInput {
  site::Signs signs;
  site::Exposure exposure;
};
BOOST_DESCRIBE_STRUCT(AssessInput, (), (signs, exposure))

struct CatheterCheckInput {
  std::optional<Length> placed, found;
  std::optional<bool> tip_whole;
};
BOOST_DESCRIBE_STRUCT(CatheterCheckInput, (), (placed, found, tip_whole))

}  // namespace

std::vector<Function> bedside_functions() {
  std::vector<Function> all;
  all.push_back(define<LimbInput, LimbOutput>(
      "access.check_limb", "Whether this limb may be used, and why not.",
      [](const LimbInput& in, const Library&) -> Checked<LimbOutput> {
        LimbOutput out{access::describe(in.site), access::check_limb(in.site, in.restrictions)};
        if (in.age_band)
          for (auto& finding : access::check_region(in.site, *in.age_band)) out.findings.push_back(std::move(finding));
        return out;
      }));
  all.push_back(define<RestartInput, std::vector<Finding>>(
      "access.restart", "Where the next line may go after one has failed: above it, or better the other limb.",
      [](const RestartInput& in, const Library&) -> Checked<std::vector<Finding>> {
        return access::check_restart(in.site, in.failed_sites);
      }));
  all.push_back(define<access::VeinSavingInput, access::VeinSaving>(
      "access.vein_saving", "Whether the arm veins must be saved for dialysis, and which to use then.",
      [](const access::VeinSavingInput& in, const Library& library) {
        return access::vein_saving(in, library.policy.access);
      }));
  all.push_back(define<access::DifficultyInput, access::DifficultyResult>(
      "access.difficulty", "Points on a published scale of difficult veins, and when to call for help first.",
      [](const access::DifficultyInput& in, const Library& library) {
        return access::difficulty(in, library.policy.access);
      }));
  all.push_back(define<access::AttemptCount, access::AttemptAdvice>(
      "access.attempts", "How many attempts are left, for this clinician and in all.",
      [](const access::AttemptCount& in, const Library& library) {
        return access::attempt_advice(in, library.policy.place);
      }));
  all.push_back(define<device::Case, device::Plan>(
      "device.plan",
      "Every catheter in every vein: what fits, ranked with margins and reasons, and what is out and why.",
      [](const device::Case& in, const Library& library) {
        return device::plan(in, library.catheters, library.infusates, library.policy);
      }));
  all.push_back(define<supply::SupplyInput, supply::SupplyCheck>(
      "supply.check", "Reads a pack code (GS1) or typed data, and says whether the supply is in date.",
      [](const supply::SupplyInput& in, const Library&) { return supply::check_supply(in); }));
  all.push_back(define<procedure::PlacingInput, std::vector<procedure::Step>>(
      "procedure.placing", "The steps of placing a line, with clocks and what each captures.",
      [](const procedure::PlacingInput& in, const Library& library) {
        return procedure::placing_steps(in, library.policy);
      }));
  all.push_back(define<procedure::RemovingInput, std::vector<procedure::Step>>(
      "procedure.removing", "The steps of taking a line out, with the pressure clock for this patient.",
      [](const procedure::RemovingInput& in, const Library& library) -> Checked<std::vector<procedure::Step>> {
        return procedure::removing_steps(in, library.policy);
      }));
  all.push_back(define<TransferInput, std::vector<procedure::Step>>(
      "procedure.transfer",
      "The steps of moving a patient with a line that runs: enough for the way, hand over, trace.",
      [](const TransferInput&, const Library& library) -> Checked<std::vector<procedure::Step>> {
        return procedure::transfer_steps(library.policy);
      }));
  all.push_back(define<procedure::ReceivingInput, std::vector<procedure::Step>>(
      "procedure.receiving", "The steps of taking over a line that was started elsewhere.",
      [](const procedure::ReceivingInput& in, const Library& library) -> Checked<std::vector<procedure::Step>> {
        return procedure::receiving_steps(in, library.policy);
      }));
  all.push_back(define<CatheterCheckInput, procedure::CatheterCheck>(
      "procedure.check_catheter", "Length and tip found against length placed; the alarm when a piece is missing.",
      [](const CatheterCheckInput& in, const Library& library) {
        return procedure::check_catheter(in.placed, in.found, in.tip_whole, library.policy);
      }));
  all.push_back(define<AssessInput, site::Assessment>(
      "site.assess", "From ticked signs to the grade on each scale in force, and the first response.",
      [](const AssessInput& in, const Library& library) {
        return site::assess(in.signs, in.exposure, library.policy);
      }));
  return all;
}

}  // namespace dwell::engine
