// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "byte_source.h"
#include "heading_times.h"
#include "sample_type.h"

namespace ohmglow {

/// Larger pictures are refused: no thermal camera makes them, a damaged header may.
constexpr int kLargestSidePx = 16384;

/// The pages of one capture as stored: counts, not yet kelvin. Reading holds
/// one page in memory; opening reads headers only.
class CountPages {
 public:
  virtual ~CountPages() = default;

  [[nodiscard]] virtual int count() const = 0;         ///< >= 1.
  [[nodiscard]] virtual cv::Size size_px() const = 0;  ///< Of every page.
  /// CV_8U, CV_16U, CV_16S or CV_32F, one channel; CV_8UC3 (blue, green, red) of pictures
  /// in colours.
  [[nodiscard]] virtual int type() const = 0;
  /// Of each page, from the first one on, where the file itself tells; else empty.
  [[nodiscard]] virtual std::vector<double> times_s() const { return {}; }
  /// Reads page `page` (from 0) as a continuous matrix of `type()`.
  /// @throws InputError  naming file and page (from 1).
  virtual void Read(int page, cv::Mat& counts) = 0;

  /// What was left out at opening (pages of another size, a cut-off end) and what
  /// was taken for granted, in plain words with the file's name.
  [[nodiscard]] virtual std::vector<std::string> Notes() const { return {}; }
  /// Whether pages are missing at the end: a table of times may have more rows.
  [[nodiscard]] virtual bool cut_off() const { return false; }
  /// When each page was taken, as the file says it: seconds since 1970-01-01 by a
  /// clock of unknown zone. Empty where it does not.
  [[nodiscard]] virtual std::vector<double> WallTimes() const { return {}; }
  /// What the lines of text above each page say; null where there are none.
  [[nodiscard]] virtual const HeadingRows* Headings() const { return nullptr; }
  /// One name a page where each has its own; else empty.
  [[nodiscard]] virtual std::vector<std::string> PageNames() const { return {}; }
  /// Dates of the files of which each holds one page, as seconds since 1970; else empty.
  [[nodiscard]] virtual std::vector<double> FileDates() const { return {}; }
};

/// What files do not say themselves.
struct FrameFormat {
  int width_px = 0;  ///< Of raw frames, 0: not given; with the height for tables, too.
  int height_px = 0;
  std::uint64_t offset_bytes = 0;  ///< Raw: before the first frame.
  std::uint64_t gap_bytes = 0;     ///< Raw: between two frames.
  SampleFormat sample = {};        ///< Raw.
  std::string member = {};         ///< Archive: which of its files, a pattern; empty: all frames.
  cv::Rect crop_px = {};           ///< Part of each frame; empty: all of it.
};

/// One file of any supported kind, told by its first bytes, with every page of it;
/// anything else is raw data where `format` gives a size. Does not crop.
/// @throws InputError
[[nodiscard]] std::unique_ptr<CountPages> OpenCountFile(const ByteSource& file,
                                                        const FrameFormat& format);

/// What `frames.source` names: a file, a folder or a pattern.
/// @throws InputError
[[nodiscard]] std::unique_ptr<CountPages> OpenCounts(const std::filesystem::path& source,
                                                     const FrameFormat& format);

/// "file, page 3", for messages; pages count from 1.
[[nodiscard]] std::string PageName(const std::string& file, int page);

/// @throws InputError  where a side is < 1 or above the largest.
void CheckSize(const std::string& where, long long width_px, long long height_px);

/// Before memory is taken for a page: whether so many bytes can come out of a
/// file of `file_bytes`, however well it is packed. Small pages always can.
/// @throws InputError
void CheckPageBytes(const std::string& where, std::uint64_t page_bytes, std::uint64_t file_bytes);

/// Whether so few pages are lost that the rest is still a capture: a tenth at most.
[[nodiscard]] constexpr bool FewLost(int lost, int all) { return 10LL * lost <= all; }

/// "f.npy: the recording is cut off; 2 of 300 frames at its end are lost".
[[nodiscard]] std::string CutOffNote(const std::string& file, int lost, int all);

}  // namespace ohmglow
