// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "byte_source.h"
#include "count_pages.h"

struct OhmglowVideoApi;

namespace ohmglow {

/// A video as pages: grey of 8 or up to 16 bits as stored, colours as CV_8UC3 (blue,
/// green, red). Reading in rising order is the fast way; a step back starts over from
/// the key frame before it. The library that decodes is loaded with the first video.
class VideoPages final : public CountPages {
 public:
  /// @throws InputError  where the file is no video, or no module for video is at hand.
  explicit VideoPages(const ByteSource& source);

  [[nodiscard]] int count() const override { return static_cast<int>(times_s_.size()); }
  [[nodiscard]] cv::Size size_px() const override { return size_px_; }
  [[nodiscard]] int type() const override { return type_; }
  void Read(int page, cv::Mat& counts) override;

  /// By the video's own time stamps.
  [[nodiscard]] std::vector<double> times_s() const override { return times_s_; }
  [[nodiscard]] std::vector<std::string> Notes() const override;
  [[nodiscard]] bool cut_off() const override { return num_lost_ > 0; }

 private:
  std::string file_;
  const OhmglowVideoApi* api_;
  std::unique_ptr<void, void (*)(void*)> video_;
  cv::Size size_px_;
  int type_ = 0;
  int num_lost_ = 0;
  std::vector<double> times_s_;
};

/// Whether a file begins as a video does: Matroska, MP4 and MOV, AVI.
/// @param start  its first 12 bytes, or fewer.
[[nodiscard]] bool IsVideo(const std::string& start);

}  // namespace ohmglow
