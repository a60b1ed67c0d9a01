// golden_entries events|papers: the lines that hold what no frozen line holds yet, to be added to the newest file here.
#include <iostream>
#include <string_view>

#include "golden.h"

int main(int count, char** words) {
  const std::string_view what = count == 2 ? words[1] : "";
  if (what != "events" && what != "papers") {
    std::cerr << "golden_entries events|papers\n";
    return 2;
  }
  const auto lines =
      what == "events" ? dwell::golden::lines_to_add_of_events() : dwell::golden::lines_to_add_of_papers();
  for (const auto& line : lines) std::cout << line << '\n';
}
