// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <array>
#include <cmath>
#include <limits>
#include <string>

#include "flat_pages.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

constexpr int kMostFrames = 10'000'000;

// Whether pixels are more alike one width apart than a little more or less: true
// of pictures read with their width, of others by chance at most.
bool RowsFit(const ByteSource& file, const FrameFormat& format) {
  const std::size_t width = static_cast<std::size_t>(format.width_px);
  const std::size_t bytes =
      width * static_cast<std::size_t>(format.height_px) * SampleBytes(format.sample.type);
  const std::string samples = file.Peek(format.offset_bytes, bytes);
  if (samples.size() < bytes || format.height_px < 8 || width < 8) return false;
  cv::Mat counts(format.height_px, format.width_px, CountType(format.sample.type));
  ToCounts(samples.data(), format.sample, counts);
  cv::Mat_<double> values;
  counts.convertTo(values, CV_64F);
  const double* const v = values.ptr<double>();
  const auto difference = [&](std::size_t lag) {
    double sum = 0;
    std::size_t count = 0;
    for (std::size_t i = 0; i + width + 4 < values.total(); ++i) {
      const double d = std::abs(v[i + lag] - v[i]);
      if (!std::isfinite(d)) continue;
      sum += d;
      ++count;
    }
    return count == 0 ? std::numeric_limits<double>::infinity() : sum / static_cast<double>(count);
  };
  const double own = difference(width);
  for (const std::size_t off : {std::size_t{2}, std::size_t{4}}) {
    if (own >= difference(width - off) || own >= difference(width + off)) return false;
  }
  return true;
}

}  // namespace

FlatPages::Layout ReadRawLayout(const ByteSource& file, const FrameFormat& format) {
  FlatPages::Layout layout;
  layout.sample = format.sample;
  layout.size_px = {format.width_px, format.height_px};
  layout.first_offset = format.offset_bytes;
  const std::uint64_t frame = static_cast<std::uint64_t>(format.width_px) *
                              static_cast<std::uint64_t>(format.height_px) *
                              SampleBytes(format.sample.type);
  layout.stride_bytes = frame + format.gap_bytes;
  const std::uint64_t total = file.size();
  if (total < format.offset_bytes || total - format.offset_bytes < frame) {
    throw InputError(file.name() + ": has " + std::to_string(total) +
                     " bytes, too few for one frame of " + std::to_string(format.width_px) + " x " +
                     std::to_string(format.height_px) + " px at " +
                     std::to_string(SampleBytes(format.sample.type)) +
                     " bytes; check frames.width_px and frames.height_px");
  }
  // The gap may follow the last frame, too, or not.
  const std::uint64_t frames =
      (total - format.offset_bytes + format.gap_bytes) / layout.stride_bytes;
  const std::uint64_t used = format.offset_bytes + frames * layout.stride_bytes;
  const bool exact = total == used || total + format.gap_bytes == used;
  if (frames > kMostFrames || (!exact && (frames < 10 || !RowsFit(file, format)))) {
    throw InputError(file.name() + ": has " + std::to_string(total) +
                     " bytes, no whole number of frames of " + std::to_string(format.width_px) +
                     " x " + std::to_string(format.height_px) + " px at " +
                     std::to_string(SampleBytes(format.sample.type)) +
                     " bytes; check frames.width_px and frames.height_px");
  }
  // The frame cut short counts, so that it is told as lost.
  layout.count = static_cast<int>(frames) + (exact ? 0 : 1);
  return layout;
}

}  // namespace ohmglow
