// Prints the schema document at build time, before there is a page: from it the page's types are made.
#include <iostream>

#include "server/contract.h"

int main() {
  std::cout << dwell::json::to_pretty_text(dwell::server::schema_document()) << '\n';
  return std::cout.flush() ? 0 : 1;
}
