// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cstddef>
#include <utility>

#include "align/remembered_frames.h"
#include "analysis.h"
#include "heat/stack.h"
#include "tone/toned_capture.h"

namespace ohmglow {
namespace {

constexpr double kAligned = 0.75;  // Share of the work that is registration.

Stack WithoutPattern(FrameSource& frames,
                     const Case& job,
                     const LocateOptions& options,
                     const Alignment& alignment) {
  Stack stack = BuildStack(frames, job.frame_times_s, alignment, options.heat);
  RemoveSensorPattern(stack, options.heat);
  return stack;
}

}  // namespace

Registered Register(const Case& job,
                    const LocateOptions& options,
                    const std::function<void(double)>& report) {
  Registered out;
  AlignOptions align = options.align;
  align.progress = [&](double share) { report(kAligned * share); };
  internal::RememberedFrames remembered(*job.frames);
  FrameSource* frames = &remembered;
  TonedCapture toned;
  if (frames->range()) {
    toned = ToneAndAlign(*frames, align, {});
    frames = toned.frames.get();
    out.alignment = std::move(toned.alignment);
    out.clipped_share = std::move(toned.clipped_share);
  } else {
    out.alignment = Align(*frames, align);
  }
  ScreenTimes(job.frame_times_s, out.alignment.screening);
  out.stack = WithoutPattern(*frames, job, options, out.alignment);
  report(1);
  return out;
}

Stack StackOf(const Case& job, const LocateOptions& options, const Alignment& alignment) {
  return WithoutPattern(*job.frames, job, options, alignment);
}

std::vector<Image> TimeQuarters(const Stack& stack) {
  constexpr std::size_t kQuarters = 4;
  std::vector<Image> quarters(kQuarters);
  const auto num = static_cast<std::size_t>(stack.size());
  for (std::size_t q = 0; q < kQuarters; ++q) {
    Image sum(stack.size_px(), 0.0F);
    double frames = 0;
    for (std::size_t b = num * q / kQuarters; b < num * (q + 1) / kQuarters; ++b) {
      sum += stack.num_frames[b] * stack.bins_k[b];
      frames += stack.num_frames[b];
    }
    quarters[q] = Image(sum * (1 / std::max(frames, 1.0)));
  }
  return quarters;
}

}  // namespace ohmglow
