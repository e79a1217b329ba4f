// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "align/screening.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <string>

#include "align/robust.h"
#include "align/screening_events.h"
#include "align/screening_pixels.h"
#include "align/screening_sums.h"
#include "base/made_ahead.h"
#include "ohmglow/base/remark_kind.h"

namespace ohmglow {

int ScreeningReport::CountPixels(PixelFault fault) const {
  return static_cast<int>(
      std::count(pixel_faults.begin(), pixel_faults.end(), static_cast<unsigned char>(fault)));
}

const char* Name(PixelFault fault) {
  constexpr const char* kNames[kPixelFaults] = {
      "none", "dead", "stuck", "blinking", "drifting", "outlying", "saturated"};
  return kNames[static_cast<std::size_t>(fault)];
}

const char* Name(ScreeningEvent::Kind kind) {
  constexpr const char* kNames[] = {"freeze", "jump", "doubled", "lost", "covered"};
  return kNames[static_cast<std::size_t>(kind)];
}

const char* Name(ExcludedFrame::Kind kind) {
  constexpr const char* kNames[] = {"doubled", "frozen", "saturated", "covered", "unread"};
  return kNames[static_cast<std::size_t>(kind)];
}

namespace internal {
namespace {

constexpr double kMostMissing = 0.5;  // Share of a frame's pixels; more is saturated.
constexpr double kRougher = 1.5;      // A step this much rougher than the first ones is motion.
constexpr double kOffset = 0.5;       // Share of the roughness that the offset may step.

bool SamePixels(const Image& a, const Image& b) {
  for (int r = 0; r < a.rows; ++r) {
    if (std::memcmp(a[r], b[r], static_cast<std::size_t>(a.cols) * sizeof(float)) != 0) {
      return false;
    }
  }
  return true;
}

// Tells steps that say something of single pixels from bumps and jumps, which
// make them all lively, stuck ones excepted.
class UsualSteps {
 public:
  // Whether the step is like the first ones.
  bool Add(const FrameProfile& before, const FrameProfile& after) {
    if (rough_k_.size() < kFirst) {
      rough_k_.push_back(after.roughness_k);
      usual_k_ = Median(rough_k_);
    }
    double square = 0;
    for (std::size_t b = 0; b < kBlocks; ++b) {
      const double d = static_cast<double>(after.block_k[b] - before.block_k[b]);
      square += d * d / kBlocks;
    }
    return after.roughness_k < kRougher * usual_k_ + 1e-12 &&
           std::sqrt(square) < kOffset * usual_k_ + 1e-12;
  }

 private:
  static constexpr std::size_t kFirst = 32;
  std::vector<double> rough_k_;
  double usual_k_ = 0;
};

struct ReadFrame {
  Image kelvin;
  std::string problem;  // Why there are no values; else empty.
};

// The one pass over the frames.
class Pass {
 public:
  Pass(const FrameSource& frames, Screening& result)
      : result_(result), sums_(frames.size_px(), frames.count()) {}

  void Take(int n, ReadFrame& read) {
    if (!read.problem.empty()) {
      Exclude(n,
              ExcludedFrame::Kind::kUnread,
              Remark(RemarkKind::kFrameUnreadable)
                  .With("problem", read.problem)
                  .With("file", read.problem.substr(0, read.problem.find(": "))),
              result_);
      return;
    }
    std::swap(frame_, read.kelvin);
    if (!before_.empty() && SamePixels(before_, frame_)) {
      Exclude(n,
              ExcludedFrame::Kind::kDoubled,
              Remark(RemarkKind::kFrameRepeats).With("frame", profiles_.back().index),
              result_);
      return;
    }
    const FrameProfile profile = sums_.Profile(n, before_, frame_);
    if (profile.missing > kMostMissing) {
      Exclude(n, ExcludedFrame::Kind::kSaturated, Remark(RemarkKind::kFrameSaturated), result_);
      return;
    }
    if (!profiles_.empty()) {
      const bool usual = usual_.Add(profiles_.back(), profile);
      // Only repeats and saturated frames lie between the two.
      if (usual) sums_.AddChange(before_, frame_);
    }
    sums_.AddValue(frame_);
    sums_.Keep();
    std::swap(before_, frame_);
    profiles_.push_back(profile);
  }

  [[nodiscard]] ScreeningSums& sums() { return sums_; }
  [[nodiscard]] const std::vector<FrameProfile>& profiles() const { return profiles_; }

 private:
  Screening& result_;
  ScreeningSums sums_;
  UsualSteps usual_;
  std::vector<FrameProfile> profiles_;
  Image before_, frame_;
};

void ReportPixels(ScreeningSums& sums, double dead_pixel_sigmas, Screening& result) {
  ScreeningReport& report = result.report;
  report.pixel_faults = JudgePixels(sums, dead_pixel_sigmas, result.noise_k);
  result.good_pixels = report.pixel_faults == 0;
  report.noise.column_k = sums.ColumnNoise(result.noise_k);
  report.noise.row_k = sums.RowNoise(result.noise_k);
  const double lines = std::hypot(report.noise.column_k, report.noise.row_k);
  report.noise.white_k = std::sqrt(std::max(0.0, result.noise_k * result.noise_k - lines * lines));
  for (int r = 0; r < report.pixel_faults.rows; ++r) {
    for (int c = 0; c < report.pixel_faults.cols; ++c) {
      const int values = sums.Values(r, c);
      if (values > 0 && values < sums.frames()) ++report.saturated_for_a_while;
    }
  }
}

}  // namespace

Screening ScreenFrames(FrameSource& frames,
                       const AlignOptions& options,
                       const std::function<void(double)>& progress) {
  Screening result;
  const int count = frames.count();
  result.frames.resize(static_cast<std::size_t>(count));
  Pass pass(frames, result);
  MadeAhead<ReadFrame> read(static_cast<std::size_t>(count), [&](std::size_t n, ReadFrame& frame) {
    frames.Read(static_cast<int>(n), frame.kelvin);
    frame.problem = frames.Problem(static_cast<int>(n));
  });
  for (int n = 0; n < count; ++n) {
    pass.Take(n, read.Next());
    if (progress) progress((n + 1.0) / count);
  }
  ReportPixels(pass.sums(), options.dead_pixel_sigmas, result);
  FindEvents(pass.profiles(), result);
  return result;
}

}  // namespace internal
}  // namespace ohmglow
