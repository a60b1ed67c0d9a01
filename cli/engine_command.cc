#include <unistd.h>

#include <iostream>
#include <iterator>

#include "cli/commands.h"
#include "cli/engine_pages.h"
#include "cli/table.h"
#include "server/contract.h"
#include "verdict/verdict.h"

namespace dwell::cli {
namespace {

void print_list(const Session& session, bool schemas) {
  if (session.json || schemas) {
    json::Array all;
    for (const auto& f : engine::functions())
      all.push_back(json::Object{{"name", f.name},
                                 {"summary", f.summary},
                                 {"input", engine::input_in_place(f)},
                                 {"output", engine::output_in_place(f)}});
    return print_json(all);
  }
  Table table({"function", "what it does"});
  for (const auto& f : engine::functions()) table.add({f.name, f.summary});
  table.print(std::cout);
  std::cout << "\nInput and output schemas: dwell engine list --schemas\n";
}

Checked<const engine::Function*> known_function(const std::string& name) {
  if (const auto* function = engine::find_function(name)) return function;
  return refuse("/name", name, in_english_only("a function of the engine; see dwell engine list"));
}

struct Call {
  std::string name, input, file;
};

std::string input_of(const Call& asked) {
  if (!asked.input.empty()) return asked.input;
  if (!asked.file.empty()) return read_file(asked.file);
  if (::isatty(STDIN_FILENO) != 0)
    throw BadInput{{{"/input", "", in_english_only("JSON as an argument, from a file (--file) or from a pipe")}}};
  return {std::istreambuf_iterator<char>(std::cin), std::istreambuf_iterator<char>()};
}

/// An answer that has a verdict says no when nobody should start on it.
bool holds_back(const json::Value& answer) {
  const auto* object = answer.if_object();
  const auto* verdict = object ? object->if_contains("verdict") : nullptr;
  if (!verdict) return false;
  const auto known = json::decode<verdict::Verdict>(*verdict);
  return known && verdict::holds_back(*known);
}

void run(const Call& asked, const Session& session, Exit& exit) {
  const auto input = need(json::parse_text(input_of(asked)));
  const auto ward = library(session);
  tell_policy(session);
  const auto answer = need(engine::call(asked.name, input, ward));
  print_json(answer);
  if (holds_back(answer)) exit = Exit::answer_is_no;
}

struct Saying {
  std::string file;
  bool decimal_comma = false;
};

/// Each message of a JSON list in words, as a JSON list.
void say_all(const Saying& asked) {
  const auto given = need(json::parse_text(input_of({"", "", asked.file})));
  auto by = reader();
  if (asked.decimal_comma) by.decimal_sign = DecimalSign::comma;
  json::Array all;
  for (const auto& message : need(json::decode<std::vector<Message>>(given)))
    all.push_back(json::Value(said::said(message, by)));
  print_json(all);
}

void print_description(const engine::Function& function, const Session& session) {
  std::cout << function_text(function, nullptr, library(session)) << '\n';
}

}  // namespace

void add_engine(CLI::App& app, Session& session, Exit& exit) {
  auto* command = app.add_subcommand("engine", "The engine's functions, JSON in and out");
  command->require_subcommand(1);

  auto schemas = std::make_shared<bool>(false);
  auto* list = command->add_subcommand("list", "Names, with --schemas their input and output");
  list->add_flag("--schemas", *schemas, "JSON Schema of input and output");
  list->callback([=, &session] { print_list(session, *schemas); });

  struct Describe {
    std::string name, into, examples = "examples/engine";
  };
  auto what = std::make_shared<Describe>();
  auto* describe = command->add_subcommand("describe", "Formula, symbols, limits, source and fields of a function");
  describe->add_option("name", what->name, "Function name; all when left out");
  describe->add_option("--into", what->into, "Write a page for each room into this folder");
  describe->add_option("--examples", what->examples, "Folder of example inputs");
  describe->callback([=, &session] {
    if (!what->into.empty()) return write_engine_pages(what->into, what->examples, library(session));
    if (!what->name.empty()) return print_description(*need(known_function(what->name)), session);
    for (const auto& f : engine::functions()) print_description(f, session);
  });

  auto openapi = std::make_shared<bool>(false);
  auto* schema = command->add_subcommand("schema", "One JSON Schema document of all functions, events and HTTP bodies");
  schema->add_flag("--openapi", *openapi, "The HTTP interface as OpenAPI 3.1 instead");
  schema->callback([=] { print_json(*openapi ? server::openapi_document() : server::schema_document()); });

  auto asked = std::make_shared<Call>();
  auto* call =
      command->add_subcommand("call", "Run one function: dwell engine call NAME '{…}', --file FILE, or < in.json");
  call->add_option("name", asked->name, "Function name")->required();
  auto* given = call->add_option("input", asked->input, "Its input, JSON text");
  call->add_option("--file", asked->file, "The same, from a file")->excludes(given);
  call->callback([=, &session, &exit] { run(*asked, session, exit); });

  auto saying = std::make_shared<Saying>();
  auto* say = command->add_subcommand("say", "Put a JSON list of messages into words, in the --language asked for");
  say->add_option("--file", saying->file, "The list, from a file; else < messages.json");
  say->add_flag("--decimal-comma", saying->decimal_comma, "Write decimals with a comma");
  say->callback([=] { say_all(*saying); });
}

}  // namespace dwell::cli
