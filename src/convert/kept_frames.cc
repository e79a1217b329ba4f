// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "convert/kept_frames.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <vector>

#include "convert/tiff_writer.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/measured_frames.h"
#include "ohmglow/input/radiometry.h"

namespace ohmglow {
namespace {

// The ends of the range are no values: the reader takes them as saturated.
constexpr double kMostCount = 65534;
constexpr double kRoom = 65000;

struct Span {
  double low = std::numeric_limits<double>::infinity();
  double high = -std::numeric_limits<double>::infinity();
};

Span SpanOf(FrameSource& frames) {
  Span span;
  Image values;
  for (int i = 0; i < frames.count(); ++i) {
    frames.Read(i, values);
    for (const float value : values) {
      if (!std::isfinite(value)) continue;
      span.low = std::min(span.low, static_cast<double>(value));
      span.high = std::max(span.high, static_cast<double>(value));
    }
  }
  if (span.low > span.high) {
    throw DataError("no frame of the case holds a value that is not saturated; nothing to keep");
  }
  return span;
}

// From the frames' values to what the camera saw, through a table: a step of 1/64 K
// and straight lines between are good to a microkelvin.
class Seen {
 public:
  /// @param surface  null: the values are kept as they are.
  Seen(const SurfaceOptions* surface, Span span) {
    if (surface == nullptr) return;
    low_ = span.low;
    const ObjectTemperature object(*surface);
    const auto num = static_cast<std::size_t>((span.high - span.low) * kPerK) + 2;
    for (std::size_t i = 0; i < num; ++i) {
      const double object_k = std::min(low_ + static_cast<double>(i) / kPerK, kHottestK);
      const double seen_k = object.ToApparent(object_k);
      const auto& band = surface->band;
      table_.push_back(band && !std::isnan(seen_k) ? band->dark + band->Radiance(seen_k) : seen_k);
    }
  }

  [[nodiscard]] double operator()(float value) const {
    const auto exact = static_cast<double>(value);
    if (table_.empty()) return exact;
    const double x = std::max(0.0, (exact - low_) * kPerK);
    const std::size_t i = std::min(static_cast<std::size_t>(x), table_.size() - 2);
    return table_[i] + (x - static_cast<double>(i)) * (table_[i + 1] - table_[i]);
  }

 private:
  static constexpr double kPerK = 64;
  static constexpr double kHottestK = ObjectTemperature::kHighestK;
  double low_ = 0;
  std::vector<double> table_;
};

// The original's steps; moved by whole ones where its counts were below zero.
std::optional<KeptCounts> OriginalSteps(const CountSteps& steps, Span seen) {
  KeptCounts counts{steps.scale, steps.zero, true};
  const double low = std::round((seen.low - steps.zero) / steps.scale);
  const double high = std::round((seen.high - steps.zero) / steps.scale);
  if (low < 1 || high > kMostCount) counts.zero += (low - 1) * steps.scale;
  if (high - low + 1 > kMostCount) return std::nullopt;
  return counts;
}

KeptCounts ChooseCounts(const MeasuredFrames* measured, Span seen) {
  if (measured != nullptr && measured->steps()) {
    if (const auto counts = OriginalSteps(*measured->steps(), seen)) return *counts;
  }
  const double span = std::max(seen.high - seen.low, 1e-6);
  if (measured == nullptr || measured->surface().band) {
    return {span / kRoom, seen.low - span / kRoom, false};
  }
  constexpr std::array kStepsK{0.001, 0.002, 0.005, 0.01, 0.02};
  const double zero = std::floor(seen.low) - 1;
  const auto* const step = std::find_if(kStepsK.begin(), kStepsK.end(), [&](double scale) {
    return (seen.high - zero) / scale <= kRoom;
  });
  return {step != kStepsK.end() ? *step : (seen.high - zero) / kRoom, zero, false};
}

}  // namespace

KeptCounts WriteKeptFrames(const Case& job, const std::filesystem::path& file) {
  FrameSource& frames = *job.frames;
  if (frames.range()) {
    throw DataError(
        "the frames are pictures or video, which hold no measured values to keep; send the "
        "original");
  }
  const auto* const measured = dynamic_cast<const MeasuredFrames*>(&frames);
  if (measured == nullptr && frames.values() == FrameValues::kKelvin) {
    throw DataError("the frames do not tell what the camera saw; nothing to keep");
  }
  const Span span = SpanOf(frames);
  const Seen seen(measured != nullptr ? &measured->surface() : nullptr, span);
  KeptCounts counts = ChooseCounts(
      measured, {seen(static_cast<float>(span.low)), seen(static_cast<float>(span.high))});
  for (int i = 0; i < frames.count(); ++i) {
    if (!frames.Problem(i).empty()) counts.left_out.push_back(i);
  }
  const auto is_left_out = [&](int i) {
    return std::binary_search(counts.left_out.begin(), counts.left_out.end(), i);
  };
  const int kept = frames.count() - static_cast<int>(counts.left_out.size());
  TiffWriter tiff(file, kept, frames.size_px());
  Image values;
  cv::Mat_<std::uint16_t> page(frames.size_px());
  for (int i = 0; i < frames.count(); ++i) {
    if (is_left_out(i)) continue;
    frames.Read(i, values);
    std::transform(values.begin(), values.end(), page.begin(), [&](float value) {
      if (!std::isfinite(value)) return std::uint16_t{0};
      const double count = std::round((seen(value) - counts.zero) / counts.scale);
      return static_cast<std::uint16_t>(std::isnan(count) ? 0 : std::clamp(count, 1.0, kMostCount));
    });
    tiff.Add(page);
  }
  tiff.Close();
  if (measured != nullptr) counts.surface = measured->surface();
  if (counts.surface.band) {
    counts.curve = counts.surface.band;
    counts.curve->gain /= counts.scale;
    counts.curve->dark = (counts.curve->dark - counts.zero) / counts.scale;
  }
  return counts;
}

}  // namespace ohmglow
