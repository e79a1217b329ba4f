// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/body_slopes.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "align/robust.h"

namespace ohmglow {
namespace {

// The slope reaches beyond what is seen.
constexpr int kReachPx = 2;

}  // namespace

BodySlopes SlopesOver(const Image& picture, const Mask& seen, double blur_px, double noises) {
  Image smooth, size;
  BodySlopes out;
  cv::GaussianBlur(picture, smooth, {0, 0}, blur_px, blur_px, cv::BORDER_REPLICATE);
  cv::Scharr(smooth, out.x, CV_32F, 1, 0, 1.0 / 32);
  cv::Scharr(smooth, out.y, CV_32F, 0, 1, 1.0 / 32);
  cv::magnitude(out.x, out.y, size);
  Mask inside(size.size(), uchar{255});
  if (!seen.empty()) {
    cv::erode(seen, inside, cv::Mat::ones(2 * kReachPx + 1, 2 * kReachPx + 1, CV_8U));
  }
  std::vector<float> sizes;
  for (int y = 0; y < size.rows; ++y) {
    for (int x = 0; x < size.cols; ++x) {
      if (inside(y, x) != 0) sizes.push_back(size(y, x));
    }
  }
  size += std::max(1e-9, noises * static_cast<double>(internal::MedianInPlace(sizes)));
  out.x /= size;
  out.y /= size;
  out.x.setTo(0, inside == 0);
  out.y.setTo(0, inside == 0);
  return out;
}

}  // namespace ohmglow
