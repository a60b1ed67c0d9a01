# Puts text files into the binary: dwell_embed_text(OUT.S NAME FILE NAME FILE ...) defines, for each NAME, the symbols
# dwell_text_NAME and dwell_text_NAME_end. The object is made anew when a file changes.
function(dwell_embed_text OUT)
  # cet.h says that nothing here jumps anywhere: one file that does not say so takes the guard from the whole program.
  set(text "#ifdef __CET__\n#include <cet.h>\n#endif\n.section .rodata\n")
  set(files "")
  set(rest ${ARGN})
  while(rest)
    list(POP_FRONT rest name file)
    string(APPEND text
           ".global dwell_text_${name}\n.global dwell_text_${name}_end\n"
           "dwell_text_${name}:\n.incbin \"${file}\"\ndwell_text_${name}_end:\n.byte 0\n")
    list(APPEND files ${file})
  endwhile()
  string(APPEND text ".section .note.GNU-stack,\"\",@progbits\n")
  file(GENERATE OUTPUT ${OUT} CONTENT "${text}")
  set_source_files_properties(${OUT} PROPERTIES GENERATED TRUE OBJECT_DEPENDS "${files}")
endfunction()
