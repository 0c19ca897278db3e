# Run by CPack on what goes into the packages: Debian wants manual pages and changelogs compressed, always alike.
file(GLOB_RECURSE pages "${CPACK_TEMPORARY_DIRECTORY}/*.1" "${CPACK_TEMPORARY_DIRECTORY}/*/changelog")
foreach(page IN LISTS pages)
    execute_process(COMMAND gzip -9nf ${page} COMMAND_ERROR_IS_FATAL ANY)
endforeach()
