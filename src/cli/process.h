// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace ohmglow::cli {

/// The only place that sets globals of the libraries: the computation leaves
/// them alone, the program decides.
/// @param threads  0: one a core.
void SetThreads(int threads);

/// OpenCV's messages would stand beside our own one line.
void SilenceOpenCv();

}  // namespace ohmglow::cli
