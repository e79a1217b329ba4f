# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
#
# Imported targets opencv_<module> for the components asked for. Debian's per-module packages
# (libopencv-core-dev, ...) ship no CMake package file: that one comes with libopencv-dev, which
# pulls in every module and some hundred megabytes more.
find_path(OpenCVModules_INCLUDE_DIR opencv2/core.hpp PATH_SUFFIXES opencv4)
set(OpenCVModules_wanted OpenCVModules_INCLUDE_DIR)
foreach(module ${OpenCVModules_FIND_COMPONENTS})
  find_library(OpenCVModules_${module}_LIBRARY opencv_${module})
  list(APPEND OpenCVModules_wanted OpenCVModules_${module}_LIBRARY)
endforeach()
include(FindPackageHandleStandardArgs)
find_package_handle_standard_args(OpenCVModules REQUIRED_VARS ${OpenCVModules_wanted})
if(OpenCVModules_FOUND)
  foreach(module ${OpenCVModules_FIND_COMPONENTS})
    if(NOT TARGET opencv_${module})
      add_library(opencv_${module} UNKNOWN IMPORTED)
      set_target_properties(opencv_${module} PROPERTIES
        IMPORTED_LOCATION "${OpenCVModules_${module}_LIBRARY}"
        INTERFACE_INCLUDE_DIRECTORIES "${OpenCVModules_INCLUDE_DIR}")
    endif()
  endforeach()
endif()
