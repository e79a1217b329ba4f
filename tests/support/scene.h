// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <random>
#include <utility>
#include <vector>

#include "heat/stack.h"
#include "ohmglow/align/alignment.h"
#include "ohmglow/base/image.h"
#include "ohmglow/input/case.h"

namespace ohmglow::testing {

/// Resistance of the rail in every `StepLog`.
constexpr double kLogOhm = 0.3;

/// Where the current changes [s], and to what [A].
using Steps = std::vector<std::pair<double, double>>;

/// A supply log that starts with 0 A at 0 s, a row every `row_s`, with rows 0.1
/// us before and at each step, so that the steps are sharp.
[[nodiscard]] SupplyLog StepLog(const Steps& steps, double end_s, double row_s = 0.1);

/// The same log as a supply with a slow log writes it: a row every `row_s` only.
[[nodiscard]] SupplyLog SampledLog(const Steps& steps, double end_s, double row_s);

/// What a first-order lag makes of (current / top current)^exponent: a sum of
/// exponentials, written down independently of the product.
[[nodiscard]] double LagOfSteps(const Steps& steps, double time_s, double tau_s, double exponent);

/// A stack that stands still: bins of `frames_per_bin` frames `frame_s` apart,
/// all at `level_k`; a rim of two pixels is unseen, as `BuildStack` leaves it.
[[nodiscard]] Stack StillStack(
    cv::Size size_px, int num_bins, int frames_per_bin, double frame_s, double level_k = 300);

/// Adds to every bin white noise of `sigma_k` a frame.
void AddNoise(std::mt19937& random, double sigma_k, Stack& stack);

/// Adds to every bin the mean over its frames of `shape` (per pixel) times a
/// lag of the steps.
void AddHeat(const Image& shape, const Steps& steps, double tau_s, double exponent, Stack& stack);

/// A round Gaussian of height 1.
[[nodiscard]] Image Blob(cv::Size size_px, Point center_px, double sigma_px);

/// An alignment that moves nothing.
[[nodiscard]] Alignment StillAlignment(cv::Size size_px, int num_frames);

}  // namespace ohmglow::testing
