// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "base/steepness.h"

#include <opencv2/imgproc.hpp>

namespace ohmglow {

Image SteepnessOf(const cv::Mat& picture) {
  constexpr double kPerPixel = 1.0 / 8;  // Of the sum that the kernel makes.
  cv::Mat across;
  cv::Mat down;
  cv::Sobel(picture, across, CV_32F, 1, 0, 3, kPerPixel);
  cv::Sobel(picture, down, CV_32F, 0, 1, 3, kPerPixel);
  Image steepness;
  cv::magnitude(across, down, steepness);
  return steepness;
}

}  // namespace ohmglow
