# The catalogue of what the engine says (text/): constructors of messages for C++ in DWELL_MESSAGES, and a refusal of the
# build when the catalogue is not whole. Every source that may say one is looked at, because a message that none says is refused;
# what is made is written anew only when it changes. All builds of this tree share it: then their command lines are alike,
# and what one has compiled ccache has for the others.
set(DWELL_MESSAGES ${PROJECT_SOURCE_DIR}/build/messages)
find_package(Python3 3.11 REQUIRED COMPONENTS Interpreter)

file(GLOB_RECURSE catalogue CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/text/*.toml)
set(sayers)
foreach(folder core exchange/documents exchange/text ledger accounts server cli)  # as in tools/messages
  file(GLOB_RECURSE sources CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/${folder}/*.cc ${PROJECT_SOURCE_DIR}/${folder}/*.h)
  list(APPEND sayers ${sources})
endforeach()
list(FILTER sayers EXCLUDE REGEX "_(test|bench|fuzz)\\.cc$")
file(GLOB rooms CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/text/messages/*.toml)
set(made ${DWELL_MESSAGES}/said_languages.cc)
foreach(room ${rooms})
  get_filename_component(name ${room} NAME_WE)
  list(APPEND made ${DWELL_MESSAGES}/say/${name}.h)
endforeach()
add_custom_command(
  OUTPUT ${PROJECT_BINARY_DIR}/messages_looked_at
  BYPRODUCTS ${made}
  COMMAND ${Python3_EXECUTABLE} ${PROJECT_SOURCE_DIR}/tools/messages cpp ${DWELL_MESSAGES}
  COMMAND ${CMAKE_COMMAND} -E touch ${PROJECT_BINARY_DIR}/messages_looked_at
  DEPENDS ${catalogue} ${sayers} ${PROJECT_SOURCE_DIR}/tools/messages
  COMMENT "The messages")
add_custom_target(messages DEPENDS ${PROJECT_BINARY_DIR}/messages_looked_at)
