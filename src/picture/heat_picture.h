// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <opencv2/core.hpp>

#include "ohmglow/result.h"
#include "picture/color_scale.h"

namespace ohmglow::internal {

/// The scale of one response: from the coolest to the warmest pixel, but wide
/// enough that noise alone does not fill it and look like heat.
/// @param response_k  NaN pixels are left out.
/// @param noise_k     of one pixel; not finite: unknown.
[[nodiscard]] ColorScale HeatScale(const Image& response_k, double noise_k);

/// The least scale that holds both.
[[nodiscard]] ColorScale CommonScale(const ColorScale& a, const ColorScale& b);

/// A response in colours, `times` as large, without steps; a pixel without a
/// value (NaN) looks like one without warming.
/// @return  8-bit BGR.
[[nodiscard]] cv::Mat HeatPicture(const Image& response_k, const ColorScale& scale, int times);

/// Hatches the pixels without a value (NaN), where a whole area has none and
/// nobody shall take it for a temperature.
/// @param bgr  picture of the response, `times` as large.
void HatchUnknown(cv::Mat& bgr, const Image& response_k, int times);

/// 255 where the static picture has an edge, else 0; `times` as large as the frame.
/// @param result  with a static picture.
[[nodiscard]] cv::Mat FrameOutlines(const LocateResult& result, int times);

/// Draws thin lines where the static picture has edges: what the eye needs to
/// find the parts, without adding colour that could be taken for heat.
/// @param bgr    picture of the frame, `times` as large.
void BlendOutlines(cv::Mat& bgr, const LocateResult& result, int times);

}  // namespace ohmglow::internal
