#include <iostream>

#include "cli/commands.h"
#include "document/handover.h"
#include "exchange/documents/pdf.h"
#include "exchange/documents/plain_text.h"

namespace dwell::cli {
namespace {

struct Options {
  std::string line, pdf, size = "usual";
};

void add_note(CLI::App& app, Session& session) {
  auto options = std::make_shared<Options>();
  auto* command = app.add_subcommand("note", "The note of a line, from what was charted");
  command->add_option("line", options->line, "Id of the line")->required();
  command->add_option("--pdf", options->pdf, "Write it as a PDF file");
  command->callback([=, &session] {
    const auto state = line_state(session, library(session), options->line);
    const auto local = local_time(session, now());
    const auto note = document::compose_note(state, local, now());
    const auto by = on_the_ward(session, now());
    if (!options->pdf.empty()) write_private_file(options->pdf, documents::note_pdf(note, by));
    if (session.json)
      print_json(json::encode(note));
    else if (options->pdf.empty())
      std::cout << documents::plain_text(note, by);
  });
}

void add_label(CLI::App& app, Session& session) {
  auto options = std::make_shared<Options>();
  auto* command = app.add_subcommand("label", "The label for the dressing");
  command->add_option("line", options->line, "Id of the line")->required();
  command->add_option("--pdf", options->pdf, "Write it as a PDF file");
  command->add_option("--size", options->size, "Of the PDF: small (50 by 25 mm), usual (70 by 30), large (90 by 40)")
      ->check(CLI::IsMember({"small", "usual", "large"}));
  command->callback([=, &session] {
    const auto ward = library(session);
    const auto state = line_state(session, ward, options->line);
    const auto local = local_time(session, now());
    const auto label = need(document::compose_label(state, ward.policy, local));
    const auto by = on_the_ward(session, now());
    const auto size = json::Codec<document::LabelSize>::from_name(options->size);
    if (!options->pdf.empty()) write_private_file(options->pdf, documents::label_pdf(label, size.value(), by));
    if (session.json)
      print_json(json::encode(label));
    else if (options->pdf.empty())
      std::cout << documents::plain_text(label, by) << '\n';
  });
}

struct Shift {
  std::string since = "8 h", until = "8 h", pdf;
  std::optional<std::string> nurse;
};

void add_handover(CLI::App& app, Session& session) {
  auto options = std::make_shared<Shift>();
  auto* command = app.add_subcommand("handover", "The sheet for the next shift: every line, what changed, what is due");
  command->add_option("--since", options->since, "How far back the shift that ends goes (default 8 h)");
  command->add_option("--until", options->until, "How far the shift that begins goes (default 8 h)");
  command->add_option("--pdf", options->pdf, "Write it as a PDF file");
  command->add_option("--nurse", options->nurse, "Only the lines of this nurse; \"\" for those of nobody");
  command->callback([=, &session] {
    const auto ward = library(session);
    const Instant at = now();
    const auto sign = policy::decimal_sign(ward.policy);
    const document::HandoverPeriod period{at - need(parse_interval(options->since, sign)), at,
                                          at + need(parse_interval(options->until, sign)), options->nurse};
    const auto sheet = need(document::compose_handover(all_states(session, ward), ward.policy, ward.infusates, period));
    const auto by = on_the_ward(session, at);
    if (!options->pdf.empty()) write_private_file(options->pdf, documents::handover_pdf(sheet, by));
    if (session.json)
      print_json(json::encode(sheet));
    else if (options->pdf.empty())
      std::cout << documents::plain_text(sheet, by);
  });
}

}  // namespace

void add_documents(CLI::App& app, Session& session, Exit&) {
  add_note(app, session);
  add_label(app, session);
  add_handover(app, session);
}

}  // namespace dwell::cli
