// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "photo.h"

#include <opencv2/imgcodecs.hpp>

#include "binary_file.h"
#include "ohmglow/base/error.h"
#include "png_page.h"
#include "text.h"

namespace ohmglow {

cv::Mat ReadPhoto(const std::filesystem::path& file) {
  RequireFile(file, "board.photo");
  if (BinaryFile(file).Peek(0, 4) == "\x89PNG") RequireWholePng(file);
  cv::Mat photo;
  try {
    photo = cv::imread(file.string(), cv::IMREAD_COLOR);
  } catch (const cv::Exception&) {
    photo.release();  // Reported below, with the file's name.
  }
  if (photo.empty()) {
    throw InputError(file.string() + ": is no picture that can be read; save it as PNG or JPEG");
  }
  return photo;
}

}  // namespace ohmglow
