// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "photo.h"

#include <opencv2/imgproc.hpp>

#include "picture_file.h"

namespace ohmglow {

constexpr const char* kNamedBy = "board.photo";

cv::Mat ReadPhoto(const std::filesystem::path& file) {
  cv::Mat photo = ReadPicture(ByteSource(file, kNamedBy), kNamedBy);
  if (photo.depth() == CV_16U) photo.convertTo(photo, CV_8U, 1 / 257.0);
  if (photo.channels() == 1) cv::cvtColor(photo, photo, cv::COLOR_GRAY2BGR);
  if (photo.channels() == 4) cv::cvtColor(photo, photo, cv::COLOR_BGRA2BGR);
  return photo;
}

}  // namespace ohmglow
