#include "cli/steps_printed.h"

#include <iostream>

#include "cli/session.h"
#include "say/command.h"

namespace dwell::cli {

void print_steps(const std::vector<procedure::Step>& steps) {
  int n = 0;
  for (const auto& step : steps) {
    std::cout << ++n << ". " << step.title << "\n   " << step.detail << '\n';
    if (step.clock)
      std::cout << "   " << say::clock_of_step(step.clock->name, step.clock->rule, step.clock->limit) << "  ("
                << say::source_with_mark(step.clock->source.text, step.clock->source.mark) << ")\n";
    for (const auto& stop : step.stops) std::cout << "   " << say::stop_in_capitals(stop) << '\n';
    for (const auto& caution : step.cautions) std::cout << "   " << say::caution_in_capitals(caution) << '\n';
  }
}

}  // namespace dwell::cli
