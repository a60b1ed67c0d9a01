# Run at build time: cmake -DSOURCE=folder -DVERSION=0.1.0 -DOUT=file.cc -P build_identity.cmake
# Writes what this build is: its commit, and a SHA-256 over the sources that decide what a record comes to. The file is
# written anew only when it changes, so that nothing is compiled for nothing.
set(commit unknown)
find_program(git git)
if(git)
  execute_process(COMMAND ${git} describe --always --dirty WORKING_DIRECTORY ${SOURCE} OUTPUT_VARIABLE described
                  RESULT_VARIABLE failed OUTPUT_STRIP_TRAILING_WHITESPACE ERROR_QUIET)
  if(NOT failed)
    set(commit ${described})
  endif()
endif()

set(files)
foreach(folder core ledger data)
  file(GLOB_RECURSE found RELATIVE ${SOURCE} ${SOURCE}/${folder}/*)
  list(APPEND files ${found})
endforeach()
list(FILTER files EXCLUDE REGEX "_(test|bench|fuzz)\\.cc$")
list(SORT files)
set(all)
foreach(name ${files})
  file(SHA256 ${SOURCE}/${name} hash)
  string(APPEND all "${hash} ${name}\n")
endforeach()
string(SHA256 sources "${all}")

set(text "// Made by cmake/build_identity.cmake.
#include \"ledger/build_identity.h\"

namespace dwell::ledger {

const BuildIdentity& build_identity() {
  static const BuildIdentity identity{\"${VERSION}\", \"${commit}\", \"${sources}\"};
  return identity;
}

}  // namespace dwell::ledger
")
set(before)
if(EXISTS ${OUT})
  file(READ ${OUT} before)
endif()
if(NOT before STREQUAL text)
  file(WRITE ${OUT} "${text}")
endif()
