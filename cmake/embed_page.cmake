# Turns the files below PAGE into OUT/page_data.S (.incbin of each file, plain, gzip and brotli) and OUT/page_table.cc
# (the table that server/page.h declares). Run with cmake -P; same files in, same bytes out.
file(GLOB_RECURSE files RELATIVE ${PAGE} ${PAGE}/*)
list(SORT files)
file(MAKE_DIRECTORY ${OUT}/packed)

set(types
    "html=text/html\\; charset=utf-8" "js=text/javascript\\; charset=utf-8" "css=text/css\\; charset=utf-8"
    "wasm=application/wasm" "svg=image/svg+xml" "woff2=font/woff2" "png=image/png" "json=application/json"
    "webmanifest=application/manifest+json" "txt=text/plain\\; charset=utf-8" "ico=image/x-icon")

# cet.h says that nothing here jumps anywhere: one file that does not say so takes the guard from the whole program.
set(assembler "#ifdef __CET__\n#include <cet.h>\n#endif\n.section .rodata\n")
set(externs "")
set(rows "")
set(number 0)

macro(incbin symbol file)
  string(APPEND assembler ".global ${symbol}\n.global ${symbol}_end\n${symbol}:\n.incbin \"${file}\"\n${symbol}_end:\n.byte 0\n")
  string(APPEND externs "extern const char ${symbol}[], ${symbol}_end[];\n")
endmacro()

foreach(file ${files})
  set(source ${PAGE}/${file})
  string(REGEX REPLACE ".*\\." "" extension "${file}")
  set(content_type "application/octet-stream")
  foreach(pair IN LISTS types)
    if(pair MATCHES "^${extension}=(.*)$")
      set(content_type "${CMAKE_MATCH_1}")
    endif()
  endforeach()
  file(SHA256 ${source} hash)
  string(SUBSTRING ${hash} 0 20 tag)
  set(symbol "dwell_page_${number}")
  math(EXPR number "${number} + 1")
  incbin(${symbol} ${source})
  set(gzip "{}")
  set(brotli "{}")
  if(NOT extension MATCHES "^(woff2|png|ico)$")
    set(packed ${OUT}/packed/${symbol})
    execute_process(COMMAND gzip -9 -n -c ${source} OUTPUT_FILE ${packed}.gz COMMAND_ERROR_IS_FATAL ANY)
    execute_process(COMMAND ${BROTLI} -q 11 -c ${source} OUTPUT_FILE ${packed}.br COMMAND_ERROR_IS_FATAL ANY)
    incbin(${symbol}_gz ${packed}.gz)
    incbin(${symbol}_br ${packed}.br)
    set(gzip "{${symbol}_gz, ${symbol}_gz_end}")
    set(brotli "{${symbol}_br, ${symbol}_br_end}")
  endif()
  string(APPEND rows "    {\"/${file}\", \"${content_type}\", \"\\\"${tag}\\\"\", {${symbol}, ${symbol}_end}, ${gzip}, ${brotli}},\n")
endforeach()

file(WRITE ${OUT}/page_data.S "${assembler}.section .note.GNU-stack,\"\",@progbits\n")
file(
  WRITE ${OUT}/page_table.cc
  "// Made by cmake/embed_page.cmake.\n#include \"server/page.h\"\n\nextern \"C\" {\n${externs}}\n\nnamespace dwell::server {\n\n"
  "std::span<const PageFile> page_files() {\n  static const PageFile files[] = {\n${rows}  };\n  return files;\n}\n\n}  // namespace dwell::server\n")
