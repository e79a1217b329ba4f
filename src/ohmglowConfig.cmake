# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
include(CMakeFindDependencyMacro)
list(APPEND CMAKE_MODULE_PATH "${CMAKE_CURRENT_LIST_DIR}")
find_dependency(OpenCVModules COMPONENTS core imgproc calib3d)
find_dependency(TIFF)
find_dependency(PNG)
find_dependency(JPEG)
find_dependency(Eigen3)
find_dependency(nlohmann_json)
find_dependency(PkgConfig)
pkg_check_modules(PANGOCAIRO REQUIRED IMPORTED_TARGET pangocairo)
include("${CMAKE_CURRENT_LIST_DIR}/ohmglowTargets.cmake")
