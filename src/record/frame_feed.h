// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "input/count_pages.h"

namespace ohmglow::record {

/// "256x192:u16le": width, height, number type and byte order of raw frames.
/// @throws OptionError
[[nodiscard]] FrameFormat ParseRawFormat(const std::string& text);

/// "X,Y,WIDTH,HEIGHT" in pixels.
/// @throws OptionError
[[nodiscard]] cv::Rect ParseCrop(const std::string& text);

/// The part of a frame that the format asks for.
/// @throws OptionError  where it reaches beyond the frame.
[[nodiscard]] cv::Mat Cropped(cv::Mat counts, const FrameFormat& format);

/// Two frames read at once still have two times.
inline constexpr double kLeastStepS = 1e-4;

/// A frame as the camera gave it, and when the last of it arrived.
struct ArrivedFrame {
  double time_s = 0;  ///< By the steady clock; later than the one before.
  cv::Mat counts;     ///< Of CountType() of the format; cropped.
};

/// Frames as they come.
class FrameFeed {
 public:
  virtual ~FrameFeed() = default;

  /// What has arrived since the last call; does not wait. Empty `counts` never occur.
  /// @throws InputError  where what arrives is no frame.
  [[nodiscard]] virtual std::vector<ArrivedFrame> Take() = 0;
  /// To be polled; -1 where there is nothing to poll.
  [[nodiscard]] virtual int fd() const { return -1; }
  [[nodiscard]] virtual bool ended() const = 0;
  /// What has come of a frame that is not whole, for a person; empty: nothing.
  [[nodiscard]] virtual std::string Incomplete() const { return ""; }
};

/// Raw frames one after the other from a descriptor such as standard input.
[[nodiscard]] std::unique_ptr<FrameFeed> FeedFromDescriptor(int fd, const FrameFormat& format);

/// A folder that another program fills with a file a frame; what lies there already is
/// passed over. A file counts once its size no longer changes, and in the order of names.
[[nodiscard]] std::unique_ptr<FrameFeed> FeedFromFolder(const std::filesystem::path& folder,
                                                        const FrameFormat& format);

/// What a film was like: lateness and drops against an even rate.
struct FilmRate {
  int frames = 0;
  double rate_hz = 0;   ///< By the median step.
  double latest_s = 0;  ///< Longest step less the usual one.
  int dropped = 0;      ///< Missing by gaps of the times.
};
[[nodiscard]] FilmRate JudgeRate(const std::vector<double>& times_s);

}  // namespace ohmglow::record
