# The page and the browser's engine, built and put inside the server library.
#
#   dwell_page(TARGET)   adds the page's files to TARGET as server/page.h describes them
#
# 1. the engine as WebAssembly: a second configure of this source tree with emscripten, in <build>/wasm
# 2. npm ci in web/ when the lock file changed
# 3. the page's types, web/src/engine/generated, from what the program says of itself (dwell_shapes)
# 4. the Vite build into <build>/page
# 5. licences.txt, whose work stands in all of it (tools/licences)
# 6. every file of the page gzipped and brotlied and linked in through .incbin (cmake/embed_page.cmake)
function(dwell_page TARGET)
  set(wasm_dir ${PROJECT_BINARY_DIR}/wasm)
  set(page_dir ${PROJECT_BINARY_DIR}/page)
  set(web ${PROJECT_SOURCE_DIR}/web)
  find_program(EMCMAKE emcmake REQUIRED)
  find_program(NPM npm REQUIRED)
  find_program(BROTLI brotli REQUIRED)

  # -I/usr/include would put the host's C headers before emscripten's: only these folders are shown to it.
  set(headers ${PROJECT_BINARY_DIR}/wasm-include)
  file(MAKE_DIRECTORY ${headers})
  foreach(folder boost tl date)
    file(CREATE_LINK /usr/include/${folder} ${headers}/${folder} SYMBOLIC)
  endforeach()
  file(CREATE_LINK /usr/include/eigen3/Eigen ${headers}/Eigen SYMBOLIC)

  file(GLOB_RECURSE core_sources CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/core/*.cc ${PROJECT_SOURCE_DIR}/core/*.h
       ${PROJECT_SOURCE_DIR}/core/CMakeLists.txt ${PROJECT_SOURCE_DIR}/text/*.toml)
  list(FILTER core_sources EXCLUDE REGEX "_(test|bench|fuzz)\\.cc$")
  list(APPEND core_sources ${PROJECT_SOURCE_DIR}/CMakeLists.txt ${PROJECT_SOURCE_DIR}/cmake/module.cmake
       ${PROJECT_SOURCE_DIR}/cmake/messages.cmake ${PROJECT_SOURCE_DIR}/tools/messages)
  set(wasm_configure ${CMAKE_COMMAND} -E env NODE_PATH=/usr/share/nodejs ${EMCMAKE} ${CMAKE_COMMAND} -S
                     ${PROJECT_SOURCE_DIR} -B ${wasm_dir} -G Ninja -DCMAKE_BUILD_TYPE=MinSizeRel
                     -DDWELL_HEADERS=${headers} -DCMAKE_CXX_COMPILER_LAUNCHER=${CMAKE_CXX_COMPILER_LAUNCHER})
  set(engines)
  foreach(part first whole)
    list(APPEND engines ${wasm_dir}/wasm/dwell-${part}.js ${wasm_dir}/wasm/dwell-${part}.wasm)
  endforeach()
  add_custom_command(
    OUTPUT ${engines}
    COMMAND ${wasm_configure} -Wno-dev > ${PROJECT_BINARY_DIR}/wasm-configure.log
    COMMAND ${CMAKE_COMMAND} -E env NODE_PATH=/usr/share/nodejs ${CMAKE_COMMAND} --build ${wasm_dir} --target dwell-first dwell-whole
    DEPENDS ${core_sources} ${PROJECT_SOURCE_DIR}/wasm/dwell_core.cc ${PROJECT_SOURCE_DIR}/wasm/CMakeLists.txt
    COMMENT "The engine for the browser (WebAssembly)"
    USES_TERMINAL)
  add_custom_target(wasm DEPENDS ${engines})

  add_custom_command(
    OUTPUT ${PROJECT_BINARY_DIR}/node_modules.stamp
    COMMAND ${NPM} ci --no-audit --no-fund --loglevel=error
    COMMAND ${CMAKE_COMMAND} -E touch ${PROJECT_BINARY_DIR}/node_modules.stamp
    WORKING_DIRECTORY ${web}
    DEPENDS ${web}/package-lock.json
    COMMENT "The page's packages"
    USES_TERMINAL)

  set(generated ${web}/src/engine/generated)
  set(shapes ${generated}/shapes.ts ${generated}/names.ts)
  add_custom_command(
    OUTPUT ${shapes}
    COMMAND dwell_shapes > ${PROJECT_BINARY_DIR}/shapes.json
    COMMAND node_modules/.bin/node make_types.mjs ${PROJECT_BINARY_DIR}/shapes.json ${generated}
    WORKING_DIRECTORY ${web}
    DEPENDS dwell_shapes ${web}/make_types.mjs ${PROJECT_BINARY_DIR}/node_modules.stamp
    COMMENT "The page's types")
  add_custom_target(page_types DEPENDS ${shapes})

  file(GLOB_RECURSE web_sources CONFIGURE_DEPENDS ${web}/src/* ${web}/public/* ${web}/index.html ${web}/*.ts
       ${PROJECT_SOURCE_DIR}/data/drawing/*)
  list(FILTER web_sources EXCLUDE REGEX "/(generated|src/text/made)/")  # made below
  set(embedded ${PROJECT_BINARY_DIR}/embedded)
  add_custom_command(
    OUTPUT ${embedded}/page_table.cc ${embedded}/page_data.S
    COMMAND ${CMAKE_COMMAND} -E rm -rf ${page_dir}
    COMMAND ${Python3_EXECUTABLE} ${PROJECT_SOURCE_DIR}/tools/messages page ${web}/src/text/made
    COMMAND ${CMAKE_COMMAND} -E env DWELL_WEB_OUT=${page_dir} node_modules/.bin/node node_modules/vite/bin/vite.js build
            --logLevel warn
    COMMAND ${CMAKE_COMMAND} -E copy ${engines} ${page_dir}
    COMMAND ${Python3_EXECUTABLE} ${PROJECT_SOURCE_DIR}/tools/licences ${web}/node_modules > ${page_dir}/licences.txt
    COMMAND ${CMAKE_COMMAND} -DPAGE=${page_dir} -DOUT=${embedded} -DBROTLI=${BROTLI} -P
            ${PROJECT_SOURCE_DIR}/cmake/embed_page.cmake
    WORKING_DIRECTORY ${web}
    DEPENDS ${web_sources} ${shapes} ${catalogue} ${PROJECT_SOURCE_DIR}/tools/messages ${PROJECT_SOURCE_DIR}/tools/licences
            ${PROJECT_BINARY_DIR}/node_modules.stamp ${engines}
            ${PROJECT_SOURCE_DIR}/cmake/embed_page.cmake
    COMMENT "The page"
    USES_TERMINAL)
  set_source_files_properties(${embedded}/page_data.S PROPERTIES OBJECT_DEPENDS ${embedded}/page_table.cc)
  target_sources(${TARGET} PRIVATE ${embedded}/page_table.cc ${embedded}/page_data.S)
endfunction()
