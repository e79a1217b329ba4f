// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/check/registration_check.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>
#include <vector>

#include "align/robust.h"
#include "analysis.h"
#include "check/line_in_time.h"
#include "check/local_shift.h"
#include "heat/response.h"
#include "ohmglow/align/photo_alignment.h"
#include "ohmglow/base/error.h"
#include "relative_result.h"
#include "scale_guess.h"

namespace ohmglow {
namespace {

constexpr int kTilesAcross = 4;
constexpr int kTilesDown = 3;
constexpr int kMostFrames = 400;

Image MeanOf(const Stack& stack) {
  Image sum(stack.size_px(), 0.0F);
  double frames = 0;
  for (std::size_t b = 0; b < stack.bins_k.size(); ++b) {
    sum += stack.num_frames[b] * stack.bins_k[b];
    frames += stack.num_frames[b];
  }
  return Image(sum / frames);
}

// Noise of one bin's pixel, rms over the bins weighted by their frames.
double NoiseOfBins(double frame_noise_k, const Stack& stack) {
  double frames = 0;
  for (const double n : stack.num_frames) frames += n;
  return frame_noise_k * std::sqrt(static_cast<double>(stack.size()) / frames);
}

void Judge(RegistrationCheck& check) {
  const RegistrationErrors errors = JudgeRegistration(check.alignment);
  check.error_px = errors.middle_px;
  check.large_error_px = errors.large_px;
  check.verdict = errors.verdict;
}

void SummariseTiles(RegistrationCheck& check) {
  std::vector<double> told;
  for (const LocalShift& tile : check.tiles) {
    if (tile.leftover_px) told.push_back(*tile.leftover_px);
  }
  if (told.empty()) return;
  check.worst_leftover_px = *std::max_element(told.begin(), told.end());
  check.leftover_px = internal::MedianInPlace(told);
}

// Of frames that are no temperatures: every kelvin becomes a share of the scene's spread.
void ShareOfSpread(RegistrationCheck& check) {
  constexpr double kLow = 0.05;
  constexpr double kHigh = 0.95;
  check.values = FrameValues::kRelative;
  std::vector<float> seen;
  std::copy_if(
      check.static_k.begin(), check.static_k.end(), std::back_inserter(seen), [](float value) {
        return std::isfinite(value);
      });
  if (seen.empty()) return;
  std::sort(seen.begin(), seen.end());
  const auto quantile = [&](double share) {
    return static_cast<double>(
        seen[static_cast<std::size_t>(share * static_cast<double>(seen.size() - 1))]);
  };
  const double spread = quantile(kHigh) - quantile(kLow);
  const double factor = spread > 0 ? 1 / spread : 1;
  for (Image* values : {&check.static_k,
                        &check.residual_k,
                        &check.row.before_k,
                        &check.row.after_k,
                        &check.column.before_k,
                        &check.column.after_k}) {
    if (!values->empty()) *values = Image(*values * factor);
  }
  check.noise_k *= factor;
  ToRelative(factor, check.alignment);
}

}  // namespace

RegistrationCheck CheckRegistration(const Case& job, const LocateOptions& options) {
  options.Validate();
  if (!job.frames) throw DataError("the case has no frames");
  constexpr double kRegistered = 0.8;  // Of the work, for the progress callback.
  const auto report = [&](double share) {
    if (options.progress) options.progress(share);
  };
  RegistrationCheck check;
  check.title = job.title;
  check.case_file = job.file.filename().string();
  check.frame_times_s = job.frame_times_s;
  check.mm_per_pixel = job.mm_per_pixel;
  check.maps = FitBoardMaps(job.landmarks);  // What is wrong with them is told before the work.
  Registered registered = Register(job, options, [&](double s) { report(kRegistered * s); });
  check.alignment = std::move(registered.alignment);
  const Stack& stack = registered.stack;

  check.static_k = MeanOf(stack);
  // By the picture and at the scale of Locate(), so that both say the same of them.
  check.maps = TieToBoard(job, {StaticPicture(stack), stack.seen});
  check.mm_per_pixel = ScaleOf(job, check.maps, stack.size_px());
  const std::vector<Image> detail_k = internal::FineDetail(stack);
  check.residual_k = internal::RmsDetail(detail_k, stack);
  check.noise_k = NoiseOfBins(check.alignment.noise_k, stack);
  check.tiles =
      internal::MeasureLocalShifts(detail_k, stack, check.static_k, kTilesAcross, kTilesDown);
  Judge(check);
  SummariseTiles(check);

  check.row.is_row = true;
  check.row.line = internal::LineOfMostTexture(check.static_k, check.residual_k, true);
  check.column.is_row = false;
  check.column.line = internal::LineOfMostTexture(check.static_k, check.residual_k, false);
  internal::FollowLines(*job.frames, check.alignment, kMostFrames, check.row, check.column);
  if (job.frames->values() == FrameValues::kRelative) ShareOfSpread(check);
  report(1);
  return check;
}

}  // namespace ohmglow
