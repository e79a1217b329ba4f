// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/stripes.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "base/median.h"

namespace ohmglow {
namespace {

constexpr double kStripePx = 4;

}  // namespace

StaticView Destriped(const StaticView& view) {
  StaticView out{view.picture_k.clone(), view.seen.clone()};
  cv::patchNaNs(out.picture_k, cv::mean(view.picture_k, view.seen)[0]);
  Image along_rows;
  cv::GaussianBlur(out.picture_k, along_rows, {0, 1}, kStripePx, 0.01, cv::BORDER_REPLICATE);
  const Image fine(out.picture_k - along_rows);
  std::vector<float> values;
  for (int x = 0; x < fine.cols; ++x) {
    values.clear();
    for (int y = 0; y < fine.rows; ++y) {
      if (view.seen(y, x) != 0) values.push_back(fine(y, x));
    }
    if (values.size() < 8) continue;
    out.picture_k.col(x) -= MedianOf(values);
  }
  return out;
}

}  // namespace ohmglow
