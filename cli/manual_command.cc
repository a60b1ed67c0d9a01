// The manual page and the shell's completion, both walked from the commands themselves, so that neither can be behind
// them.
#include <algorithm>
#include <iostream>
#include <string>
#include <vector>

#include "cli/commands.h"

namespace dwell::cli {
namespace {

/// Words as roff takes them: a backslash, a dash, a dot or a quote in front mean something to it.
/// Source: groff_man(7), man-pages(7).
std::string roff(const std::string& words) {
  std::string out;
  for (const char c : words) {
    if (c == '\\')
      out += "\\e";
    else if (c == '-')
      out += "\\-";
    else
      out += c;
  }
  return (out.starts_with('.') || out.starts_with('\'') ? "\\&" : "") + out;
}

std::vector<const CLI::App*> commands_of(const CLI::App& app) {
  auto all =
      app.get_subcommands([](const CLI::App* one) { return !one->get_name().empty() && !one->get_group().empty(); });
  return {all.begin(), all.end()};
}

void write_options(const CLI::App& app) {
  for (const auto* option : app.get_options()) {
    std::string name = option->get_name(false, true);
    std::replace(name.begin(), name.end(), ',', ' ');
    const std::string takes = option->get_type_size() == 0 ? "" : " " + option->get_type_name();
    std::cout << ".TP\n.B " << roff(name + takes) << '\n' << roff(option->get_description()) << '\n';
  }
}

void write_command(const CLI::App& command, const std::string& above) {
  const std::string name = above + command.get_name();
  std::cout << ".SS " << roff(name) << '\n' << roff(command.get_description()) << '\n';
  write_options(command);
  for (const auto* below : commands_of(command)) write_command(*below, name + " ");
}

void write_manual(const CLI::App& app) {
  std::cout << ".TH DWELL 1 \"\" \"Dwell " DWELL_VERSION "\" \"User Commands\"\n"
            << ".SH NAME\ndwell \\- one peripheral IV line from the order to the healed skin\n"
            << ".SH SYNOPSIS\n.B dwell\n[\\fIoptions\\fR] \\fIcommand\\fR [\\fIarguments\\fR]\n"
            << ".SH DESCRIPTION\nAdvice for licensed clinicians; the order and local policy govern.\n.SH OPTIONS\n";
  write_options(app);
  std::cout << ".SH COMMANDS\n";
  for (const auto* command : commands_of(app)) write_command(*command, "");
  std::cout << ".SH EXIT STATUS\n.TP\n0\nfine\n.TP\n1\nthe answer is no\n.TP\n2\nthe input was not understood\n";
}

/// What may follow each command: its options and the commands below it.
void write_cases(const CLI::App& command, const std::string& path) {
  std::cout << "    \"" << path << "\") words=\"";
  for (const auto* below : commands_of(command)) std::cout << below->get_name() << ' ';
  for (const auto* option : command.get_options())
    for (const auto& name : option->get_lnames()) std::cout << "--" << name << ' ';
  std::cout << "\" ;;\n";
  for (const auto* below : commands_of(command)) write_cases(*below, path + " " + below->get_name());
}

void write_completion(const CLI::App& app) {
  std::cout << "# What may follow in `dwell …`, for bash. Made by `dwell manual --completion`.\n"
               "_dwell() {\n"
               "  local path=dwell words i\n"
               "  for ((i = 1; i < COMP_CWORD; i++)); do\n"
               "    [[ ${COMP_WORDS[i]} == -* ]] || path+=\" ${COMP_WORDS[i]}\"\n"
               "  done\n"
               "  case $path in\n";
  write_cases(app, "dwell");
  std::cout << "    *) compopt -o default; return ;;\n"
               "  esac\n"
               "  mapfile -t COMPREPLY < <(compgen -W \"$words\" -- \"${COMP_WORDS[COMP_CWORD]}\")\n"
               "}\n"
               "complete -o default -F _dwell dwell\n";
}

}  // namespace

void add_manual(CLI::App& app, Session&, Exit&) {
  auto completion = std::make_shared<bool>(false);
  auto* command = app.add_subcommand("manual", "The manual page (man), of all commands");
  command->add_flag("--completion", *completion, "The shell's completion (bash) instead");
  command->callback([&app, completion] { *completion ? write_completion(app) : write_manual(app); });
}

}  // namespace dwell::cli
