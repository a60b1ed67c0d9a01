// Whose work stands in the program, and under what terms.
#include <algorithm>
#include <iostream>

#include "cli/commands.h"
#include "server/page.h"

namespace dwell::cli {

void add_licences(CLI::App& app, Session&, Exit& exit) {
  auto* command = app.add_subcommand("licences", "Whose work stands in Dwell, and under what terms");
  command->callback([&exit] {
    const auto files = server::page_files();
    const auto found = std::find_if(files.begin(), files.end(),
                                    [](const server::PageFile& file) { return file.path == server::licences_file; });
    if (found == files.end()) {
      std::cerr << "They come with the page, and this program was built without it: see tools/licences.\n";
      exit = Exit::answer_is_no;
      return;
    }
    std::cout << found->plain;
  });
}

}  // namespace dwell::cli
