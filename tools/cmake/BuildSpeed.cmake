# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# What makes builds quick and changes no result: a compiler cache and a quick linker where there is
# one, and headers that nearly every file reads compiled once a target.
option(OHMGLOW_PRECOMPILE "Compile the common headers once a target" ON)

find_program(OHMGLOW_CCACHE ccache)
if(OHMGLOW_CCACHE AND NOT CMAKE_CXX_COMPILER_LAUNCHER)
  set(CMAKE_CXX_COMPILER_LAUNCHER
      ${CMAKE_COMMAND} -E env CCACHE_SLOPPINESS=pch_defines,time_macros ${OHMGLOW_CCACHE})
endif()

find_program(OHMGLOW_MOLD mold)
if(OHMGLOW_MOLD)
  add_link_options(-fuse-ld=mold)
endif()

# ohmglow_precompile(TARGET HEADER...): headers of other libraries alone; ours are to be included
# where they are used.
function(ohmglow_precompile target)
  if(NOT OHMGLOW_PRECOMPILE)
    return()
  endif()
  target_precompile_headers(${target} PRIVATE
    <algorithm> <array> <cmath> <cstddef> <filesystem> <functional> <memory> <optional> <span>
    <string> <string_view> <utility> <vector> ${ARGN})
  if(CMAKE_CXX_COMPILER_ID STREQUAL GNU)
    # The first so that ccache sees through it; the others because GCC 12 takes a string literal for
    # too short where <string> is precompiled (a build without, OHMGLOW_PRECOMPILE=OFF, keeps them).
    target_compile_options(${target} PRIVATE
      -fpch-preprocess -Wno-array-bounds -Wno-restrict -Wno-stringop-overflow
      -Wno-stringop-overread)
  endif()
endfunction()
