# One folder, one idea: dwell_module(flow core/flow's directory is the caller's) makes the library dwell_flow of the
# folder's .cc files and, beside it, the test program flow_test of its *_test.cc files. With DWELL_FUZZ, each *_fuzz.cc
# becomes a program of its own (preset `fuzz`).
#
#   dwell_module(NAME [FAST [SMALL_IN_BROWSER]] [THREADS] [DEPENDS other modules and libraries...]
#                [TEST_DEPENDS what only the tests use...] [TEST_LOCK what only one test may use at a time])
#
# FAST compiles the folder at -O2 in release builds and in the browser's engine: the modules that compute or encode. The
# rest is mostly the codec's templates, which only cost build time and download there. SMALL_IN_BROWSER: all the same for
# size there, because it is in the part that is waited for, and was measured to be as quick so (docs/performance.md).
# THREADS: something runs beside something else here, so the thread sanitizer looks at it.
function(dwell_module NAME)
  cmake_parse_arguments(ARG "FAST;SMALL_IN_BROWSER;THREADS" "TEST_LOCK" "DEPENDS;TEST_DEPENDS" ${ARGN})
  file(GLOB sources CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/*.cc)
  set(tests ${sources})
  set(fuzzers ${sources})
  list(FILTER sources EXCLUDE REGEX "_(test|bench|fuzz)\\.cc$")
  list(FILTER tests INCLUDE REGEX "_test\\.cc$")
  list(FILTER fuzzers INCLUDE REGEX "_fuzz\\.cc$")

  set(sanitized)
  if(ARG_THREADS)
    set(sanitized dwell_sanitized)
  endif()
  if(sources)
    add_library(dwell_${NAME} STATIC ${sources})
    target_include_directories(dwell_${NAME} PUBLIC ${PROJECT_SOURCE_DIR}/core ${PROJECT_SOURCE_DIR}
                                                    ${DWELL_MESSAGES})
    add_dependencies(dwell_${NAME} messages)
    target_link_libraries(dwell_${NAME} PUBLIC ${ARG_DEPENDS} PRIVATE dwell_options ${sanitized})
    if(EMSCRIPTEN)
      # emcc keeps the first -O that asks for size, so each folder has only one.
      if(ARG_FAST AND NOT ARG_SMALL_IN_BROWSER)
        target_compile_options(dwell_${NAME} PRIVATE -O2)
      else()
        target_compile_options(dwell_${NAME} PRIVATE -Oz)
      endif()
    elseif(ARG_FAST AND CMAKE_BUILD_TYPE STREQUAL "Release" AND NOT DWELL_SANITIZE MATCHES "address"
           AND NOT (ARG_THREADS AND DWELL_SANITIZE))
      target_compile_options(dwell_${NAME} PRIVATE -O2)
    endif()
  else()
    add_library(dwell_${NAME} INTERFACE)
    target_include_directories(dwell_${NAME} INTERFACE ${PROJECT_SOURCE_DIR}/core ${PROJECT_SOURCE_DIR}
                                                       ${DWELL_MESSAGES})
    target_link_libraries(dwell_${NAME} INTERFACE ${ARG_DEPENDS})
  endif()

  if(DWELL_FUZZ)
    foreach(fuzzer ${fuzzers})
      get_filename_component(program ${fuzzer} NAME_WE)
      add_executable(${program} ${fuzzer})
      target_link_libraries(${program} PRIVATE dwell_${NAME} ${ARG_TEST_DEPENDS} dwell_options)
      target_link_options(${program} PRIVATE -fsanitize=fuzzer)
    endforeach()
  endif()

  if(DWELL_TESTS AND DWELL_UNIT_TESTS AND tests)
    add_executable(${NAME}_test ${tests})
    target_link_libraries(${NAME}_test PRIVATE dwell_${NAME} ${ARG_TEST_DEPENDS} dwell_options ${sanitized}
                                               GTest::gtest_main rapidcheck)
    target_compile_options(${NAME}_test PRIVATE -O0 -U_FORTIFY_SOURCE)
    add_dependencies(unit_tests ${NAME}_test)
    set(lock)
    if(ARG_TEST_LOCK)
      set(lock PROPERTIES RESOURCE_LOCK ${ARG_TEST_LOCK})
    endif()
    gtest_discover_tests(${NAME}_test TEST_PREFIX "${NAME}: " NO_PRETTY_VALUES DISCOVERY_MODE PRE_TEST
                         DISCOVERY_TIMEOUT 60 ${lock})
  endif()
endfunction()
