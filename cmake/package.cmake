# A package for Debian: `cpack -G DEB` in the build folder. The libraries that it needs are found by dpkg-shlibdeps; what is
# no library (letters for paper, time zones) is named.
include(GNUInstallDirs)
install(TARGETS dwell RUNTIME)
install(FILES ${PROJECT_SOURCE_DIR}/deploy/dwell.service DESTINATION /usr/lib/systemd/system)
install(FILES ${PROJECT_SOURCE_DIR}/deploy/serve.conf DESTINATION /etc/dwell)
install(FILES ${PROJECT_SOURCE_DIR}/LICENSE ${PROJECT_SOURCE_DIR}/CHANGELOG.md ${PROJECT_SOURCE_DIR}/docs/operate.md
              ${PROJECT_SOURCE_DIR}/docs/setup.md ${PROJECT_SOURCE_DIR}/docs/security.md ${PROJECT_SOURCE_DIR}/docs/reliability.md
        DESTINATION ${CMAKE_INSTALL_DOCDIR})
# What the program says of itself is written by the program that is installed.
set(said ${PROJECT_BINARY_DIR}/said)
install(CODE "file(MAKE_DIRECTORY ${said})
execute_process(COMMAND $<TARGET_FILE:dwell> manual OUTPUT_FILE ${said}/dwell.1 COMMAND_ERROR_IS_FATAL ANY)
execute_process(COMMAND $<TARGET_FILE:dwell> manual --completion OUTPUT_FILE ${said}/completion COMMAND_ERROR_IS_FATAL ANY)
execute_process(COMMAND $<TARGET_FILE:dwell> licences OUTPUT_FILE ${said}/copyright COMMAND_ERROR_IS_FATAL ANY)
execute_process(COMMAND gzip -9nf ${said}/dwell.1 COMMAND_ERROR_IS_FATAL ANY)")
install(FILES ${said}/dwell.1.gz DESTINATION ${CMAKE_INSTALL_MANDIR}/man1)
install(FILES ${said}/copyright DESTINATION ${CMAKE_INSTALL_DOCDIR})
install(FILES ${said}/completion DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions RENAME dwell)

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME dwell)
set(CPACK_PACKAGE_CONTACT "The Dwell developers <dwell@localhost>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "Bedside companion for short peripheral IV lines")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PACKAGE_DEPENDS "fonts-inter, fonts-dejavu-core, tzdata, passwd")
set(CPACK_DEBIAN_PACKAGE_CONTROL_STRICT_PERMISSION ON)
set(CPACK_DEBIAN_PACKAGE_CONTROL_EXTRA ${PROJECT_SOURCE_DIR}/deploy/conffiles ${PROJECT_SOURCE_DIR}/deploy/postinst)
include(CPack)
