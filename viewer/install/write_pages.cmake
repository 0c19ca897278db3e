# Asks PROGRAM for its manual pages and leaves them in FOLDER: its own, and one for each command that it knows.
file(REMOVE_RECURSE ${FOLDER})
function(write_page name)
    execute_process(COMMAND ${PROGRAM} --manual ${ARGN} OUTPUT_VARIABLE page COMMAND_ERROR_IS_FATAL ANY)
    file(WRITE ${FOLDER}/${name}.1 "${page}")
endfunction()

execute_process(COMMAND ${PROGRAM} --complete "" OUTPUT_VARIABLE commands COMMAND_ERROR_IS_FATAL ANY)
string(REGEX MATCHALL "[a-z_-]+" commands "${commands}")
list(POP_FRONT commands) # "words": what kind of thing the others are
write_page(lostvolts)
foreach(command IN LISTS commands)
    write_page(lostvolts-${command} ${command})
endforeach()
