// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture_page.h"

#include <opencv2/imgproc.hpp>
#include <utility>

#include "ohmglow/base/error.h"
#include "picture_file.h"

namespace ohmglow {

PicturePage::PicturePage(ByteSource file) : file_(std::move(file)) {
  cv::Mat picture;
  size_px_ = {0, 0};
  Read(0, picture);
  size_px_ = picture.size();
  type_ = picture.type();
  first_ = std::move(picture);
}

void PicturePage::Read(int /*page*/, cv::Mat& counts) {
  if (!first_.empty()) {  // Decoded to know its size.
    counts = std::move(first_);
    first_.release();
    return;
  }
  cv::Mat picture = ReadPicture(file_, "frames.source");
  if (picture.depth() == CV_16U) picture.convertTo(picture, CV_8U, 1 / 257.0);
  if (picture.channels() == 4) cv::cvtColor(picture, picture, cv::COLOR_BGRA2BGR);
  if (size_px_.area() > 0 && (picture.size() != size_px_ || picture.type() != type_)) {
    throw InputError(file_.name() + ": was changed while it was being read; start again");
  }
  counts = picture;
}

}  // namespace ohmglow
