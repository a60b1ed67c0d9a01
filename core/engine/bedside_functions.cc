// Attempts, steps and the site: what is decided at the bedside, with or without a network.
#include "access/attempts.h"
#include "engine/define.h"
#include "procedure/steps.h"
#include "site/grade.h"

namespace dwell::engine {
namespace {

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
  all.push_back(define<access::AttemptCount, access::AttemptAdvice>(
      "access.attempts", "How many attempts are left, for this clinician and in all.",
      [](const access::AttemptCount& in, const Library& library) {
        return access::attempt_advice(in, library.policy.place);
      }));
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
