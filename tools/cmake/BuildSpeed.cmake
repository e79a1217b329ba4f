# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# What makes builds quick and changes no result: a compiler cache and a quick linker where there is
# one, and headers that nearly every file reads compiled once for a target, or for several like ones.
option(OHMGLOW_PRECOMPILE "Compile the common headers once, not for each file" ON)
option(OHMGLOW_JOIN "Compile the small files of a room four at a time" ON)

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
  ohmglow_bear_precompiled(${target})
endfunction()

# ohmglow_reuse_precompiled(TARGET OTHER): what OTHER has precompiled; both are to be compiled alike.
function(ohmglow_reuse_precompiled target other)
  if(NOT OHMGLOW_PRECOMPILE)
    return()
  endif()
  target_precompile_headers(${target} REUSE_FROM ${other})
  ohmglow_bear_precompiled(${target})
endfunction()

# ohmglow_add_headers(TARGET): a library of nothing but what it precompiles, for others to reuse.
function(ohmglow_add_headers target)
  file(GENERATE OUTPUT ${CMAKE_CURRENT_BINARY_DIR}/${target}.cc CONTENT "\n")
  add_library(${target} OBJECT ${CMAKE_CURRENT_BINARY_DIR}/${target}.cc)
endfunction()

function(ohmglow_bear_precompiled target)
  if(CMAKE_CXX_COMPILER_ID STREQUAL GNU)
    # The first so that ccache sees through it; the others because GCC 12 takes a string literal for
    # too short where <string> is precompiled (a build without, OHMGLOW_PRECOMPILE=OFF, keeps them).
    target_compile_options(${target} PRIVATE
      -fpch-preprocess -Wno-array-bounds -Wno-restrict -Wno-stringop-overflow
      -Wno-stringop-overread)
  endif()
endfunction()

# ohmglow_join(TARGET): the sources that the calling folder gave to the target, four to a compilation, in the
# order of its list: half the time, since most of it goes into headers and into the same templates. Four
# such files may not give one name to two things: where two clash, give the thing a name of its own (or, if
# it is the same thing, one place).
function(ohmglow_join target)
  if(NOT OHMGLOW_JOIN)
    return()
  endif()
  get_target_property(all ${target} SOURCES)
  set(own)
  foreach(file IN LISTS all)
    cmake_path(ABSOLUTE_PATH file BASE_DIRECTORY ${CMAKE_CURRENT_SOURCE_DIR} NORMALIZE)
    cmake_path(IS_PREFIX CMAKE_CURRENT_SOURCE_DIR ${file} inside)
    if(inside AND EXISTS ${file})
      list(APPEND own ${file})
    endif()
  endforeach()
  set(count 0)
  cmake_path(GET CMAKE_CURRENT_SOURCE_DIR FILENAME room)
  foreach(file IN LISTS own)
    math(EXPR group "${count} / 4")
    set_source_files_properties(${file} TARGET_DIRECTORY ${target}
      PROPERTIES UNITY_GROUP "${room}${group}")
    math(EXPR count "${count} + 1")
  endforeach()
  set_target_properties(${target} PROPERTIES UNITY_BUILD ON UNITY_BUILD_MODE GROUP)
endfunction()
