// A line in use: how it is done here, and what was done.
#include <algorithm>
#include <iostream>

#include "cli/commands.h"
#include "cli/line_options.h"
#include "cli/steps_printed.h"
#include "procedure/using.h"
#include "quantity/display.h"
#include "say/common.h"

namespace dwell::cli {
namespace {

const std::string saline = "sodium chloride 0.9 %";

struct Options {
  std::string line, use, medicine, volume, over, blood_return, connector, antiseptic, flushed, given, author, reason;
  std::vector<std::string> parts;
  bool steps = false, resistance = false;
};

/// "connector" or "extension=1.2 mL", as the pack declares it.
Checked<procedure::LinePart> read_part(const std::string& text, DecimalSign sign) {
  const auto equals = text.find('=');
  procedure::LinePart part{text.substr(0, equals), {}};
  if (equals == std::string::npos) return part;
  return parse<Volume>(text.substr(equals + 1), sign).map([&](Volume holds) {
    part.holds = holds;
    return part;
  });
}

class Read {
 public:
  Read(const Options& o, const line::State& state, const engine::Library& ward, Date today)
      : o_(o), sign_(policy::decimal_sign(ward.policy)) {
    input.patient = state.patient;
    input.today = today;
    input.antiseptic = o.antiseptic;
    input.runs = state.running.has_value();
    if (state.running) input.running = state.running->mixture;
    if (state.placement) {
      input.gauge = state.placement->placed.gauge;
      input.length = state.placement->placed.length;
    }
    take(json::decode<procedure::LineUse>(json::Value(o.use)), "/for", input.use);
    take(read_yes_no(o.blood_return, "blood-return"), "/blood-return", input.blood_return);
    if (!o.connector.empty())
      take(json::decode<procedure::Displacement>(json::Value(o.connector)), "/connector", input.connector);
    if (!o.over.empty()) take(parse_interval(o.over, sign_), "/over", input.push_over);
    what_is_given(state);
    for (const auto& text : o.parts) {
      procedure::LinePart part;
      take(read_part(text, sign_), "/part", part);
      if (!input.parts) input.parts.emplace();
      input.parts->push_back(part);
    }
    if (!o.flushed.empty()) take(parse<Volume>(o.flushed, sign_), "/flushed", flushed);
    if (!o.given.empty()) take(parse<Volume>(o.given, sign_), "/given", given);
  }

  procedure::UsingInput input;
  std::optional<Volume> flushed, given;
  FieldErrors errors;

 private:
  void take(auto checked, const char* path, auto& out) {
    if (checked)
      out = *checked;
    else
      for (const auto& e : checked.error()) errors.push_back({e.path.empty() ? path : e.path, e.found, e.expected});
  }

  void what_is_given(const line::State& state) {
    if (input.use == procedure::LineUse::dose && o_.medicine.empty() && state.order) input.given = state.order->mixture;
    if (o_.medicine.empty()) return;
    input.given = infusate::Mixture{o_.medicine, {}, {}};
    take(parse<Volume>(o_.volume, sign_), "/volume", input.given->volume);
  }

  const Options& o_;
  DecimalSign sign_;
};

void print(const procedure::LineAccess& access, const Session& session) {
  if (session.json) return print_json(json::encode(access));
  print_steps(access.steps);
  for (const auto& working : access.flush.workings) {
    std::cout << '\n' << working.name << ": " << working.result << "  (" << working.formula << ")\n";
    for (const auto& part : working.inputs) std::cout << "   " << part.name << ": " << part.value << '\n';
  }
}

line::Flushed flush(const Read& read, Volume volume) {
  line::Flushed flushed;
  flushed.fluid = saline;
  flushed.volume = volume;
  flushed.blood_return = read.input.blood_return;
  return flushed;
}

/// What a use leaves in the record: what ended, each volume that went in, and the lock.
std::vector<line::Body> charted(const Options& o, const Read& read) {
  std::vector<line::Body> bodies;
  const auto use = read.input.use;
  if (use == procedure::LineUse::disconnect && read.input.runs == true)
    bodies.emplace_back(line::InfusionEnded{read.given, ""});
  const Volume volume = read.flushed.value_or(Volume{});
  auto first = flush(read, volume);
  first.resistance = o.resistance;
  if (use == procedure::LineUse::push && !o.resistance) {
    bodies.emplace_back(first);
    auto dose = flush(read, read.input.given->volume);
    dose.fluid = read.input.given->base;
    dose.blood_return.reset();
    bodies.emplace_back(dose);
    first.blood_return.reset();
  }
  first.locks = use != procedure::LineUse::dose && !o.resistance &&
                (read.input.runs != true || use == procedure::LineUse::disconnect);
  bodies.emplace_back(first);
  return bodies;
}

void chart(const Options& o, const Session& session, Read& read, const procedure::LineAccess& access) {
  if (o.author.empty()) read.errors.push_back({"/by", "", in_english_only("who charts it (--by)")});
  if (!read.flushed && !o.resistance)
    read.errors.push_back({"/flushed", "", in_english_only("how much was flushed each time (--flushed)")});
  if (read.input.use == procedure::LineUse::push && !o.resistance && !read.input.given)
    read.errors.push_back({"/medicine", "", in_english_only("what was pushed (--medicine and --volume)")});
  const bool goes_against = std::any_of(access.steps.begin(), access.steps.end(),
                                        [](const procedure::Step& step) { return !step.stops.empty(); });
  if (goes_against && !o.resistance && o.reason.empty())
    read.errors.push_back(
        {"/reason", "", in_english_only("why it was done all the same (--reason): --steps says what forbids it")});
  if (!read.errors.empty()) throw BadInput{read.errors};
  std::vector<line::Event> events;
  for (auto& body : charted(o, read)) events.push_back(event(o.line, std::move(body), o.author, now()));
  if (!o.reason.empty()) events.back().deviation_reason = o.reason;
  record(session, events);
  std::cout << "Charted.\n";
}

}  // namespace

void add_use(CLI::App& app, Session& session, Exit&) {
  auto options = std::make_shared<Options>();
  auto* command = app.add_subcommand("use", "Record a use of a line; --steps shows how it is done here");
  command->add_option("line", options->line, "Id of the line")->required();
  command->add_flag("--steps", options->steps, "Show the steps with their clocks and the flush, record nothing");
  command->add_option("--for", options->use, "dose, push, flush, draw or disconnect")->required();
  command->add_option("--medicine", options->medicine, "What is given; left out: a dose is the order's");
  command->add_option("--volume", options->volume, "How much of it, such as \"5 mL\"");
  command->add_option("--over", options->over, "How long a push takes at least, such as \"2 min\"");
  command->add_option("--blood-return", options->blood_return, "yes or no");
  command->add_option("--connector", options->connector, "What it does when let go: negative, neutral or positive");
  command->add_option("--antiseptic", options->antiseptic, "What the hub is scrubbed with");
  command->add_option("--part", options->parts, "What stands between: connector, or extension=1.2 mL as its pack says");
  command->add_option("--flushed", options->flushed, "Volume of each flush, such as \"5 mL\"");
  command->add_option("--given", options->given, "Of what was taken off: how much went in");
  command->add_flag("--resistance", options->resistance, "It resisted, and nothing was given");
  command->add_option("--reason", options->reason, "Why policy was not followed");
  command->add_option("--by", options->author, "Who charts it");
  command->callback([=, &session] {
    const auto ward = library(session);
    const auto state = line_state(session, ward, options->line);
    Read read(*options, state, ward, utc_date(now() + local_time(session, now()).offset(now())));
    if (!read.errors.empty()) throw BadInput{read.errors};
    const auto access =
        need(procedure::using_steps(read.input, ward.infusates, ward.catheters, ward.add_ons, ward.policy));
    if (options->steps) return print(access, session);
    chart(*options, session, read, access);
  });
}

}  // namespace dwell::cli
