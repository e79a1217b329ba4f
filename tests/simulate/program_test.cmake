# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# Exit codes and one-line errors of the program: 0 done, 2 options, 3 input.
function(expect code pattern)
  execute_process(COMMAND ${PROGRAM} ${ARGN} RESULT_VARIABLE result OUTPUT_VARIABLE text
    ERROR_VARIABLE errors)
  if(NOT result EQUAL code)
    message(FATAL_ERROR "simulate ${ARGN}: exit code ${result}, not ${code}: ${errors}")
  endif()
  if(NOT "${text}${errors}" MATCHES "${pattern}")
    message(FATAL_ERROR "simulate ${ARGN}: no '${pattern}' in: ${text}${errors}")
  endif()
endfunction()

expect(0 "fault.power_w" --help)
expect(2 "out is missing" ${DATA}/tiny.ini)
expect(2 "unrecognised option" --frobnicate)
expect(3 "no.such.ini: cannot be opened" ${DATA}/no_such.ini --out unused)
expect(3 "unknown key camera.zoom" ${DATA}/error_unknown_key.ini --out unused)
